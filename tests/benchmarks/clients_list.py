"""How long the clients list takes with 2,000 clients: ``python -m tests.benchmarks.clients_list``.

An invented company of 2,000 clients, 3,000 sites and 6,000 programs with eight months each, in a SQLite file
of its own. What is timed is the whole answer of the service, from request to page, once for every order.
"""

import os
from datetime import date
from typing import Any

ON = date(2026, 7, 14)
CLIENTS = 2_000


def main() -> None:
    """Build the company in the tests' own database, time its list, and drop it again."""
    import django

    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
    django.setup()
    from django.conf import settings
    from django.db import connection

    settings.AS_OF = ON
    connection.creation.create_test_db(verbosity=0)
    try:
        measure()
    finally:
        connection.creation.destroy_test_db("", verbosity=0)


def measure() -> None:
    """Build the company and time its list."""
    from django.test import Client

    from tests.benchmarks.timing import best_of
    from tests.large import large_company

    made = large_company(CLIENTS, on=ON)
    browser = Client(HTTP_HOST="localhost")
    browser.force_login(made.owner, backend="django.contrib.auth.backends.ModelBackend")
    for query in QUERIES:
        took = best_of(lambda query=query: page(browser, query))  # type: ignore[misc]
        print(f"{CLIENTS:,} clients, /clients/?{query}: {1000 * took:.0f} ms")


QUERIES = (
    "",
    *(f"sort={sort}" for sort in ("month", "saved", "used", "need", "open", "last", "next")),
    "words=lot+29",
    "open=nothing&sort=saved",
    "open=risk&season=closed&access=open",
    "page=20&sort=saved",
)


def page(browser: Any, query: str) -> None:
    """Open a page of the list."""
    answer = browser.get(f"/clients/?{query}", secure=True)
    if answer.status_code != 200:
        raise SystemExit(f"/clients/?{query} answered {answer.status_code}")


if __name__ == "__main__":
    main()
