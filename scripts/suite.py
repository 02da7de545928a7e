"""Run every test: all of them on SQLite, then those that use the database on PostgreSQL, if it answers.

What could not run here is named at the end. With CI=true nothing may be left out: a missing PostgreSQL
fails the run, and so does every skipped test (tests/conftest.py).
"""

import os
import subprocess
import sys
import time
import xml.etree.ElementTree as ET
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

from scripts.bootstrap import ROOT, Stopped, say
from scripts.postgres import find
from scripts.service import build_charts

RESULTS = ROOT / ".build" / "tests"
BUILD_SETTINGS = {"BLUESTEM_ENV_FILE": "", "BLUESTEM_SECRET_KEY": "only-to-build-the-charts-" + "x" * 40}


@dataclass
class Outcome:
    """What one run of pytest came to."""

    exit_code: int
    passed: int = 0
    failed: int = 0
    left_out: Counter[str] = field(default_factory=Counter)


def read(report: Path, exit_code: int) -> Outcome:
    """Read pytest's XML report; a run that wrote none counts as one failure."""
    if not report.exists():
        return Outcome(exit_code, failed=1)
    outcome = Outcome(exit_code)
    for case in ET.parse(report).iter("testcase"):
        skipped = case.find("skipped")
        if case.find("failure") is not None or case.find("error") is not None:
            outcome.failed += 1
        elif skipped is not None and skipped.get("type") == "pytest.skip":
            outcome.left_out[skipped.get("message", "")] += 1
        else:
            outcome.passed += 1
    return outcome


def run(name: str, *arguments: str, database: str = "") -> Outcome:
    report = RESULTS / f"{name}.xml"
    report.unlink(missing_ok=True)
    environment = {**os.environ, "BLUESTEM_TEST_DATABASE_URL": database}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)  # every worker and program under test would compile anew
    workers = str(min(2, os.cpu_count() or 1))
    command = [
        sys.executable,
        "-m",
        "pytest",
        "-q",
        "--nomigrations",  # tables straight from the models; tests/night/test_tasks.py goes through them
        "-n",
        workers,
        "--dist=loadscope",
        f"--junitxml={report}",
        *arguments,
    ]
    started = time.monotonic()
    exit_code = subprocess.run(command, cwd=ROOT, env=environment, check=False).returncode
    say(f"{name}: {time.monotonic() - started:.0f} s\n")
    return read(report, exit_code)


def main() -> int:
    chosen = sys.argv[1:]
    try:
        build_charts(settings=BUILD_SETTINGS)
    except Stopped as stopped:
        print(stopped, file=sys.stderr)
        return 1
    RESULTS.mkdir(parents=True, exist_ok=True)
    say("All tests, on SQLite")
    database, why_not = find()
    marks = "not prove and not postgres" + (" and not once" if database else "")
    outcomes = [run("SQLite", "-m", marks, *chosen)]
    if database:
        say("The tests that use the database, on PostgreSQL")
        marks = "not prove and not browser and not sqlite"
        outcomes.append(run("PostgreSQL", "--database-only", "-m", marks, *chosen, database=database))
    else:
        say(f"Left out: the run on PostgreSQL ({why_not}).")
    return conclude(outcomes, complete=bool(database))


def conclude(outcomes: list[Outcome], *, complete: bool) -> int:
    """Say what was left out and how it went, and return the exit code."""
    left_out = sum((outcome.left_out for outcome in outcomes), Counter[str]())
    for reason, count in left_out.most_common():
        say(f"Left out: {count} tests ({reason}).")
    passed = sum(outcome.passed for outcome in outcomes)
    failed = sum(outcome.failed for outcome in outcomes)
    say(f"total: {passed} passed, {failed} failed, {left_out.total()} skipped")
    in_ci = os.environ.get("CI") == "true"
    return int(any(outcome.exit_code for outcome in outcomes) or (in_ci and not complete))


if __name__ == "__main__":
    sys.exit(main())
