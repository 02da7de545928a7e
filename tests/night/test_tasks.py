"""The clock's tasks: each timezone at its own hour, once; the same through a real worker over Redis."""

import os
import subprocess
import sys
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from importlib import import_module
from pathlib import Path

import pytest
import time_machine
from django.apps import apps
from django.conf import settings as django_settings
from django_celery_beat.models import IntervalSchedule, PeriodicTask

from scheduling.models import Advice, NightlyRun, Program
from scheduling.services import advising
from scheduling.tasks import night, what_is_due
from tests.benchmarks.many_users import a_database
from tests.night.conftest import SkySource
from tests.night.garden import ON, garden

HALF_PAST_FOUR_THERE = datetime(2026, 7, 14, 11, 30, tzinfo=UTC)  # 4:30 in Los Angeles, 7:30 in New York


@pytest.fixture
def two_coasts(db: None, sky: SkySource, settings: pytest.FixtureRequest) -> None:
    settings.AS_OF = None  # type: ignore[attr-defined]
    garden("West", minutes=25)
    garden("East", minutes=25, place=(40.0, -75.0, 50.0), timezone="America/New_York")


def test_a_timezone_is_left_alone_until_its_own_hour(two_coasts: None) -> None:
    with time_machine.travel(HALF_PAST_FOUR_THERE.replace(hour=9), tick=False):
        assert what_is_due() == ["night America/New_York"]
    assert list(NightlyRun.objects.values_list("date", "timezone")) == [(ON, "America/New_York")]


def test_each_night_runs_once_and_the_afternoon_after_it(two_coasts: None) -> None:
    with time_machine.travel(HALF_PAST_FOUR_THERE, tick=False):
        assert sorted(what_is_due()) == ["night America/Los_Angeles", "night America/New_York"]
        assert what_is_due() == []
    with time_machine.travel(HALF_PAST_FOUR_THERE.replace(hour=20, minute=30), tick=False):
        assert what_is_due() == ["afternoon America/New_York"]
        assert what_is_due() == []


def test_advice_follows_the_night_and_is_made_up_for_if_it_was_lost(two_coasts: None) -> None:
    Program.objects.update(days="mon")
    with time_machine.travel(HALF_PAST_FOUR_THERE.replace(hour=9), tick=False):
        what_is_due()
        east = NightlyRun.objects.get()
        assert east.advised_at is not None
        assert set(Advice.objects.values_list("controller__site__timezone", flat=True)) == {east.timezone}
        NightlyRun.objects.update(advised_at=None)
        assert what_is_due() == ["advice America/New_York"]
        assert what_is_due() == []


def test_advice_on_many_sites_is_made_a_batch_a_job(two_coasts: None, monkeypatch) -> None:
    garden("Southwest", minutes=25)
    Program.objects.update(days="mon")
    looked_at: list[int] = []
    usual = advising.advise

    def counted(sites, **more) -> int:
        looked_at.append(len(sites))
        return usual(sites, **more)

    monkeypatch.setattr(advising, "advise", counted)
    monkeypatch.setattr(advising, "A_BATCH", 1)
    with time_machine.travel(HALF_PAST_FOUR_THERE, tick=False):
        night.delay("America/Los_Angeles")
    assert looked_at == [1, 1, 0]
    assert NightlyRun.objects.get().advised_at is not None
    assert Advice.objects.values("controller__site").distinct().count() == 2


def test_the_clock_no_longer_makes_advice_once_a_day(db: None) -> None:
    """An installation set up before advice followed the night has a row for it that nobody else takes off."""
    daily = IntervalSchedule.objects.create(every=86_400, period=IntervalSchedule.SECONDS)
    for name, task in (("advice", "scheduling.advice"), ("ours at noon", "scheduling.advice")):
        PeriodicTask.objects.create(name=name, task=task, interval=daily)
    step = import_module("scheduling.migrations.0008_advice_follows_the_night")
    step.forget_the_daily_advice(apps, None)
    assert list(PeriodicTask.objects.values_list("name", flat=True)) == ["ours at noon"]


@pytest.fixture
def empty_database(tmp_path: Path) -> Iterator[str]:
    """Yield the address of a database without tables, of the kind this run is on."""
    server = os.environ.get("BLUESTEM_TEST_DATABASE_URL", "")
    if not server:
        yield f"sqlite:///{tmp_path / 'worker.sqlite3'}"
        return
    with a_database(server) as address:
        yield address


@pytest.mark.redis
@pytest.mark.django_db  # not this database, but one of its kind, so that PostgreSQL's turn comes too
def test_a_worker_over_redis_runs_the_night(empty_database: str) -> None:
    """The processes of docker-compose.yml, natively: migrated, a worker takes the night from Redis."""
    root = Path(django_settings.BASE_DIR)
    environment = {
        "PATH": os.environ["PATH"],
        "BLUESTEM_ENV_FILE": "",
        "BLUESTEM_SECRET_KEY": "w" * 50,
        "BLUESTEM_AS_OF": ON.isoformat(),
        "BLUESTEM_WEATHER_SOURCE": "invented",
        "BLUESTEM_NIGHTLY_HOUR": "0",
        "DATABASE_URL": empty_database,
        "CELERY_BROKER_URL": f"redis://127.0.0.1:6379/{11 + os.getpid() % 4}",
    }

    def manage(*words: str, text: str = "") -> str:
        done = subprocess.run(
            [sys.executable, "manage.py", *words],
            cwd=root,
            env=environment,
            input=text,
            capture_output=True,
            text=True,
        )
        assert done.returncode == 0, done.stderr
        return done.stdout

    manage("migrate", "-v0")
    manage("shell", "-v0", text="from tests.night.garden import garden; garden(minutes=25)\n")
    worker = subprocess.Popen(
        [sys.executable, "-m", "celery", "-A", "config", "worker", "--pool", "solo", "-l", "WARNING"],
        cwd=root,
        env=environment,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        manage("shell", "-v0", text="from scheduling.tasks import what_is_due; what_is_due.delay()\n")
        rows = "list(NightlyRun.objects.values_list('date', 'state'))"
        ask = f"from scheduling.models import NightlyRun; print({rows})\n"
        until = time.monotonic() + 60
        while "done" not in (told := manage("shell", "-v0", text=ask)) and time.monotonic() < until:
            time.sleep(0.5)
    finally:
        worker.terminate()
        worker.wait(20)
    assert "done" in told and "2026, 7, 14" in told
