"""The bones of every test: which services answer here, and that nothing is left out in silence."""

import os
import shutil
import socket
from pathlib import Path
from typing import Any

import pytest
from django.core.cache import cache
from xdist.scheduler import LoadScopeScheduling

from tests.settings import MEDIA_ROOT, SQLITE_FILE

# Playwright's synchronous calls run inside an event loop, where Django would refuse the database.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"

IN_CI = os.environ.get("CI") == "true"


def _answers(port: int) -> bool:
    try:
        with socket.create_connection(("127.0.0.1", port), timeout=1):
            return True
    except OSError:
        return False


def chromium() -> str | None:
    """Return the path of this machine's Chromium, if it has one."""
    return next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)


MISSING = {
    "redis": lambda: not _answers(6379) and "no Redis answers on 127.0.0.1:6379",
    "mosquitto": lambda: not _answers(1883) and "no MQTT broker answers on 127.0.0.1:1883",
    "browser": lambda: not chromium() and "Chromium is not installed",
    "postgres": lambda: not os.environ.get("BLUESTEM_TEST_DATABASE_URL") and "the tests run on SQLite",
    "sqlite": lambda: bool(os.environ.get("BLUESTEM_TEST_DATABASE_URL")) and "the tests run on PostgreSQL",
}


# Tests that share what takes longest to make, by the beginning of their names: each lot on one worker.
TOGETHER = (
    "tests/demo/",
    "tests/desk/test_as_many_queries.py",
    "tests/security/test_https.py",
    "tests/tooling/test_bootstrap.py",
)


class Together(LoadScopeScheduling):
    """Hand tests to workers one by one, but those that belong together as one lot, and first."""

    def _split_scope(self, nodeid: str) -> str:
        return next((lot for lot in TOGETHER if nodeid.startswith(lot)), nodeid)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Together:
    return Together(config, log)


@pytest.fixture(autouse=True)
def nothing_is_remembered() -> None:
    """Rows of one test get the numbers of another's: what was made from those must not be remembered."""
    cache.clear()


@pytest.fixture(scope="session", autouse=True)
def postgres_is_emptied_row_by_row() -> None:
    """Empty tables of few rows by deleting those: PostgreSQL takes a second to cut a hundred short."""
    if not os.environ.get("BLUESTEM_TEST_DATABASE_URL"):
        return
    from django.db.backends.postgresql.operations import DatabaseOperations

    cut_short = DatabaseOperations.sql_flush

    def emptied(
        self: Any, style: Any, tables: Any, *, reset_sequences: bool = False, **more: Any
    ) -> list[str]:
        if reset_sequences:
            return cut_short(self, style, tables, reset_sequences=True, **more)
        return [f"DELETE FROM {self.quote_name(table)}" for table in tables]  # keys are looked at in the end

    DatabaseOperations.sql_flush = emptied  # type: ignore[method-assign, assignment]


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--database-only", action="store_true", help="run only the tests that use the database")


def uses_database(item: pytest.Item) -> bool:
    """Say whether a test asks for the database, by marker or by any fixture on its way."""
    fixtures = {"db", "transactional_db", "django_db_reset_sequences", "live_server"}
    return bool(item.get_closest_marker("django_db") or fixtures & {*getattr(item, "fixturenames", ())})


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Mark what can't run here as skipped, with the reason; leave out what the options leave out."""
    if config.getoption("--database-only"):
        left = [item for item in items if not uses_database(item)]
        items[:] = [item for item in items if uses_database(item)]
        config.hook.pytest_deselected(items=left)
    for marker, missing in MISSING.items():
        marked = [item for item in items if item.get_closest_marker(marker)]
        if marked and (reason := missing()):
            for item in marked:
                item.add_marker(pytest.mark.skip(reason=reason))


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish(session: pytest.Session, exitstatus: int) -> None:
    """In CI a skipped test fails the run: nothing may be left out there."""
    if IN_CI and exitstatus == pytest.ExitCode.OK and _skipped(session.config):
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    if IN_CI and (count := _skipped(terminalreporter.config)):
        terminalreporter.write_line(
            f"{count} skipped: in CI nothing may be left out, so this run fails.", red=True
        )


def pytest_unconfigure() -> None:
    """Remove this process's SQLite files, the journal's too, and its photos."""
    shutil.rmtree(MEDIA_ROOT, ignore_errors=True)
    for left in Path(SQLITE_FILE.parent).glob(f"{SQLITE_FILE.name}*"):
        left.unlink(missing_ok=True)


def _skipped(config: pytest.Config) -> int:
    reporter = config.pluginmanager.get_plugin("terminalreporter")
    return len(reporter.stats.get("skipped", ())) if reporter else 0
