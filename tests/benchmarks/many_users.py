"""How long pages take with 2,000 clients, and 50 people at once: ``python -m tests.benchmarks.many_users``.

An invented company of 2,000 clients, sites and controllers, 4,000 programs and 16,000 zones whose night has
run and proposed a change for each program, served by gunicorn as in production (2 processes of 4 threads), on
SQLite and, where it answers, on PostgreSQL. Server time is what gunicorn's access log says of each request.
"""

import os
import re
import subprocess
import sys
import tempfile
import time
from collections import Counter, defaultdict
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path

import requests

from scripts.postgres import find

CLIENTS = int(os.environ.get("BLUESTEM_LOAD_CLIENTS", "2000"))
USERS, ROUNDS, ALONE = 50, 6, 20
PORT = 8790
BASE = f"http://127.0.0.1:{PORT}"
LINE = re.compile(r"^(\S+) (\S+) (\d+) (\d+)$")
SETTINGS = {
    "DJANGO_SETTINGS_MODULE": "config.settings",
    "BLUESTEM_ENV_FILE": "",
    "BLUESTEM_SECRET_KEY": "l" * 50,
    "BLUESTEM_HOSTS": "127.0.0.1",
    "BLUESTEM_AS_OF": "2026-07-14",
    "BLUESTEM_WEATHER_SOURCE": "invented",
}


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        measured("SQLite", f"sqlite:///{folder}/load.sqlite3", Path(folder))
        address, why_not = find()
        if not address:
            print(f"PostgreSQL left out: {why_not}")
            return
        with a_database(address) as database:
            measured("PostgreSQL", database, Path(folder))


@contextmanager
def a_database(address: str) -> Iterator[str]:
    """Make a database, yield its address, drop it."""
    import psycopg

    name = f"bluestem_load_{os.getpid()}"
    with psycopg.connect(address, autocommit=True) as connection:
        connection.execute(f"create database {name}")
        try:
            yield f"{address.rpartition('/')[0]}/{name}"
        finally:
            connection.execute(f"drop database {name} with (force)")


def measured(name: str, database: str, folder: Path) -> None:
    """Build the company, serve it, and print what its pages took."""
    env = os.environ | SETTINGS | {"DATABASE_URL": database, "PYTHONPATH": "."}
    done = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.many_users", "build"],
        env=env,
        capture_output=True,
        text=True,
    )
    if done.returncode:
        raise SystemExit(done.stderr)
    cookies, addresses = (line.split() for line in done.stdout.strip().splitlines()[-2:])
    log = folder / f"{name}.log"
    with served(env, log):
        for address in addresses:  # once without counting, so that nobody waits for a first import
            asked(cookies[0], address)
        log.write_text("")
        failed = alone(cookies[0], addresses)
        report(f"{name}, {CLIENTS:,} clients, one after the other", log, failed)
        log.write_text("")
        started = time.monotonic()
        failed = together(cookies, addresses)
        spent = time.monotonic() - started
        report(f"{name}, {CLIENTS:,} clients, {USERS} people at once", log, failed)
        print(f"  {USERS * ROUNDS / spent:.0f} pages a second in all\n")


@contextmanager
def served(env: dict[str, str], log: Path) -> Iterator[None]:
    command = [sys.executable, "-m", "gunicorn", "config.wsgi:application", "--bind", f"127.0.0.1:{PORT}"]
    command += ["--workers", "2", "--threads", "4", "--timeout", "120", "--log-level", "warning"]
    command += ["--access-logfile", str(log), "--access-logformat", "%(m)s %(U)s %(s)s %(D)s"]
    server = subprocess.Popen(command, env=env, stdout=subprocess.DEVNULL)
    try:
        for _ in range(200):
            try:
                requests.get(f"{BASE}/sign-in/", timeout=5)
                break
            except requests.ConnectionError:
                time.sleep(0.1)
        yield
    finally:
        server.terminate()
        server.wait()


def asked(cookie: str, address: str) -> int:
    return requests.get(
        BASE + address, cookies={"sessionid": cookie}, timeout=120, allow_redirects=False
    ).status_code


def alone(cookie: str, addresses: list[str]) -> Counter[int]:
    return Counter(asked(cookie, address) for address in addresses for _ in range(ALONE))


def together(cookies: list[str], addresses: list[str]) -> Counter[int]:
    """Let everyone ask for other pages at the same time."""

    def one(place: int) -> list[int]:
        return [asked(cookies[place], addresses[(place + n) % len(addresses)]) for n in range(ROUNDS)]

    with ThreadPoolExecutor(USERS) as people:
        return Counter(status for statuses in people.map(one, range(USERS)) for status in statuses)


def report(title: str, log: Path, statuses: Counter[int]) -> None:
    times: dict[str, list[float]] = defaultdict(list)
    time.sleep(0.3)
    for line in log.read_text().splitlines():
        if found := LINE.match(line):
            times[re.sub(r"\d+", "N", found[2])].append(int(found[4]) / 1000)
    everything = sorted(one for page in times.values() for one in page)
    wrong = {status: count for status, count in statuses.items() if status != 200}
    print(
        f"{title}: p95 {share(everything, 0.95):.0f} ms, {len(everything)} pages, not 200: {wrong or 'none'}"
    )
    for page, took in sorted(times.items(), key=lambda item: -share(sorted(item[1]), 0.95)):
        took.sort()
        print(
            f"  {page:<32} median {share(took, 0.5):5.0f} ms   p95 {share(took, 0.95):5.0f} ms   {len(took)}"
        )


def share(ordered: list[float], part: float) -> float:
    return ordered[min(len(ordered) - 1, int(part * len(ordered)))]


def build() -> None:
    """Store the company and its night; print the people's sessions and the pages to ask for."""
    import django

    django.setup()
    from django.conf import settings
    from django.core.management import call_command
    from django.db import connection

    from reports.services.recompute import recompute
    from scheduling.models import Change
    from scheduling.services.nightly import run_night
    from tests.benchmarks import whole_night

    call_command("build_charts", verbosity=0)
    call_command("collectstatic", interactive=False, verbosity=0)
    call_command("migrate", verbosity=0)
    whole_night.build(CLIENTS)
    run_night(on=whole_night.ON, timezone=whole_night.TIMEZONE)
    recompute(on=whole_night.ON)
    with connection.cursor() as cursor:
        cursor.execute(
            "analyze"
        )  # what PostgreSQL's autovacuum does by itself within a minute of such a night
    assert settings.AS_OF == whole_night.ON
    change = Change.objects.filter(kind="percent").order_by("pk").first()
    assert change is not None
    print(*people())
    print(*pages(change))


def pages(change: "object") -> list[str]:
    """Return the pages of an office's day."""
    from scheduling.models import Change

    assert isinstance(change, Change)
    site = change.program.controller.site
    own = ["/", "/week/", f"/changes/{change.pk}/", "/clients/", f"/clients/{site.client_id}/", "/sites/"]
    own += [f"/sites/{site.pk}/", "/field/", "/nights/"]
    lists = ["changes", "clients", "sites", "controllers", "zones", "programs", "settings", "nightly-runs"]
    own += [f"/api/v1/{rows}/" for rows in lists]
    return [*own, f"/api/v1/controllers/{change.program.controller_id}/timeline/"]


def people() -> list[str]:
    """Make the people of the office and return their sessions."""
    from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
    from django.contrib.sessions.backends.db import SessionStore

    from fleet.models import Company, Membership, User

    company = Company.objects.get()
    sessions = []
    for n in range(USERS):
        user = User(email=f"office-{n}@load.test")
        user.set_unusable_password()
        user.save()
        Membership.objects.create(user=user, company=company, role="owner" if n == 0 else "office")
        session = SessionStore()
        session[SESSION_KEY], session[HASH_SESSION_KEY] = str(user.pk), user.get_session_auth_hash()
        session[BACKEND_SESSION_KEY] = "django.contrib.auth.backends.ModelBackend"
        session.create()
        sessions.append(str(session.session_key))
    return sessions


if __name__ == "__main__":
    build() if sys.argv[1:] == ["build"] else main()
