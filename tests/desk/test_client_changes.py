"""A client's page and its history: sites, visits, findings; filters and pages; fixed queries."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from fleet.models import Controller, Finding, User, Visit
from tests.cast import MORNING, TODAY, Cast, a_change, a_program, a_site, a_skip, a_zone

pytestmark = pytest.mark.django_db
SignedIn = Callable[[User], Client]


def text(answer: Any) -> str:
    return " ".join(answer.content.decode().replace("\u00a0", " ").split())


def shown(answer: Any) -> list[int]:
    return [row.change.pk for row in answer.context["rows"]]


@pytest.fixture
def second(cast: Cast) -> Any:
    """A declined skip of last year at a second site, in another time zone."""
    site = a_site(cast.client, "Far lot", timezone="America/New_York")
    box = Controller.objects.create(site=site, name="Porch")
    return a_skip(
        a_program(box, "B"),
        status="declined",
        decided_at=MORNING,
        decided_by=cast.owner,
        effective_from=date(2025, 7, 6),
        effective_to=date(2025, 7, 6),
        reason="Rain of last year.",
    )


def test_every_filter_leaves_its_own(cast: Cast, second: Any, owner: Client) -> None:
    address = f"/clients/{cast.client.pk}/changes/"
    first, box = cast.change.pk, second.program.controller
    assert shown(owner.get(address)) == [second.pk, first]
    for query, left in (
        ("kind=percent", [first]),
        ("kind=rain_skip", [second.pk]),
        ("status=declined", [second.pk]),
        ("year=2026", [first]),
        ("year=2025", [second.pk]),
        (f"site={cast.site.pk}", [first]),
        (f"program={box.pk}-B", [second.pk]),
        (f"program={box.pk}-B&year=2026", []),
    ):
        assert shown(owner.get(f"{address}?{query}")) == left, query
    assert "No change is like that." in text(owner.get(f"{address}?status=expired"))


def test_what_is_not_offered_counts_as_not_chosen(
    cast: Cast, second: Any, owner: Client, stranger: User
) -> None:
    address = f"/clients/{cast.client.pk}/changes/"
    for wrong in ("year=1", "year=x", "site=999999", "program=9-Z", "program=%00", "kind=🌱", "page=x",
                  "year=" + "9" * 9000):  # fmt: skip
        assert len(shown(owner.get(f"{address}?{wrong}"))) == 2


def test_times_are_those_of_the_site(cast: Cast, second: Any, owner: Client) -> None:
    """11:00 UTC is 7 in the morning in New York, 4 at the other site."""
    assert "Mon Jul 6 7:00 am" in text(owner.get(f"/clients/{cast.client.pk}/changes/"))


def test_pages_of_the_history_keep_the_filters(cast: Cast, owner: Client) -> None:
    for n in range(60):
        a_change(a_program(cast.controller, f"{n:02d}"))
    address = f"/clients/{cast.client.pk}/changes/?kind=percent"
    first, second = owner.get(address), owner.get(f"{address}&page=2")
    assert (len(shown(first)), len(shown(second))) == (50, 11)
    assert not set(shown(first)) & set(shown(second))
    assert 'href="?kind=percent&amp;page=2"' in text(first)


def test_the_page_tells_sites_visits_and_findings(cast: Cast, second: Any, owner: Client) -> None:
    second.program.controller.site.season = "closed"
    second.program.controller.site.save()
    Visit.objects.create(site=cast.site, date=TODAY + timedelta(days=2), kind="audit")
    Visit.objects.create(site=cast.site, date=TODAY - timedelta(days=2))
    Visit.objects.create(site=cast.site, date=TODAY - timedelta(days=9), done_at=MORNING, note="Gate <code>")
    Finding.objects.create(zone=cast.zone, found_on=TODAY, part="Riser", lost_l_day=400)
    Finding.objects.create(zone=cast.zone, found_on=TODAY, part="Mended valve", status="mended")
    page = text(owner.get(f"/clients/{cast.client.pk}/"))
    for words in (
        "closed",
        "1 to decide",
        "1 open finding",
        "Wed Jul 8",
        "audit",
        "planned, not said to be made",
        "Gate &lt;code&gt;",
        "Riser</a> at",
        "106 gal a day",
    ):
        assert words in page
    assert "Mended valve" not in page


def test_an_empty_client_is_told_so_everywhere(cast: Cast, owner: Client) -> None:
    cast.site.delete()
    cast.client.accesses.all().delete()
    page = text(owner.get(f"/clients/{cast.client.pk}/"))
    for words in ("No site has been set up yet.", "Nobody yet.", "No visit is planned.", "Nothing is broken",
                  "Nothing waits here.", "Nothing has been decided here yet."):  # fmt: skip
        assert words in page
    assert "Nothing has been proposed here yet." in text(owner.get(f"/clients/{cast.client.pk}/changes/"))


@pytest.mark.parametrize("part", ["", "changes/"])
def test_much_costs_as_many_queries_as_little(
    cast: Cast, second: Any, signed_in: SignedIn, part: str
) -> None:
    def queries() -> int:
        browser = signed_in(cast.owner)
        with CaptureQueriesContext(connection) as seen:
            assert browser.get(f"/clients/{cast.client.pk}/{part}").status_code == 200
        return len(seen)

    Finding.objects.create(zone=cast.zone, found_on=TODAY, part="Riser")
    Visit.objects.create(site=cast.site, date=TODAY, done_at=MORNING)
    few = queries()
    for n in range(8):
        site = a_site(cast.client, f"Lot {n}")
        box = Controller.objects.create(site=site, name="Wall")
        a_change(a_program(box))
        a_skip(a_program(box, "B"), status="declined", decided_at=MORNING)
        Finding.objects.create(zone=a_zone(box), found_on=TODAY, part="Riser")
        for day in range(4):
            Visit.objects.create(site=site, date=TODAY - timedelta(days=day), done_at=MORNING)
    assert queries() == few
