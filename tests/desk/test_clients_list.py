"""The clients list of a large company: search, filters and order in the database, pages, fixed queries."""

import re
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from fleet.models import Client as Client_
from fleet.models import Finding, Site, User, Visit
from reports.models import ProgramMonth
from reports.selectors.client_choice import ACCESS, OPEN, SEASONS, Choice
from reports.selectors.client_list import ClientRow, client_rows, clients_listed
from reports.selectors.client_order import SORTS
from scheduling.models import Change
from tests.cast import MORNING, TODAY, Cast, a_change, a_program
from tests.large import Large, large_company

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]
SignedIn = Callable[[User], Client]


@pytest.fixture
def large(db: None) -> Large:
    return large_company(48, on=TODAY)


def rows(large: Large, **choice: Any) -> list[ClientRow]:
    listed = clients_listed(large.owner, large.company.pk, Choice(**choice), on=TODAY)
    return client_rows(list(listed.values_list("pk", flat=True)), on=TODAY)


def names(page: Any) -> list[str]:
    return re.findall(r'<th scope="row">\s*<a [^>]*>([^<]+)</a>', page.content.decode())


FIGURES: dict[str, Callable[[ClientRow], Any]] = {
    "month": lambda row: row.month.saved_l,
    "saved": lambda row: row.year.saved_l,
    "used": lambda row: row.year.applied_l,
    "need": lambda row: row.year.adequacy,
    "open": lambda row: row.waiting.decide + row.waiting.enter + row.waiting.findings,
    "last": lambda row: row.last_visit,
    "next": lambda row: row.next_visit,
}


@pytest.mark.parametrize("down", [False, True])
@pytest.mark.parametrize("sort", FIGURES)
def test_a_column_sorts_by_what_it_shows_and_who_has_no_figure_comes_last(
    large: Large, sort: str, down: bool
) -> None:
    listed = rows(large, sort=sort, down=down)
    figures = [FIGURES[sort](row) for row in listed]
    known = [figure for figure in figures if figure is not None]
    assert len(listed) == 48
    assert (
        known == pytest.approx(sorted(known, reverse=down))
        if sort not in ("last", "next")
        else (known == sorted(known, reverse=down))
    )
    assert figures[: len(known)] == known, "somebody without a figure stands before one with"
    assert 0 < len(known) < 48 or sort == "open"
    assert len(set(known)) > 2


def test_every_column_has_an_order() -> None:
    assert set(SORTS) == {"client", *FIGURES}


def test_names_sort_without_regard_to_capitals(large: Large) -> None:
    Client_.objects.filter(pk=large.clients[3].pk).update(name="aardvark hill")
    assert rows(large)[0].client.name == "aardvark hill"
    assert rows(large, down=True)[-1].client.name == "aardvark hill"


def test_a_search_finds_clients_by_their_own_and_their_sites_names(large: Large) -> None:
    Site.objects.filter(pk=large.sites[0].pk).update(name="Old orchard")
    assert [row.client for row in rows(large, words="ORCHARD")] == [large.clients[0]]
    assert [row.client.name for row in rows(large, words="client 0007")] == ["Client 0007"]
    assert rows(large, words="nobody") == []


TOLD: dict[str, Callable[[ClientRow], bool]] = {
    "decide": lambda row: row.waiting.decide > 0,
    "enter": lambda row: row.waiting.enter > 0,
    "risk": lambda row: row.waiting.risk > 0,
    "finding": lambda row: row.waiting.findings > 0,
    "nothing": lambda row: row.waiting.nothing,
}


@pytest.mark.parametrize("what", OPEN)
def test_a_filter_by_what_is_open_leaves_those_whose_lines_say_so(large: Large, what: str) -> None:
    Change.objects.filter(program__controller__site__client__in=large.clients[40:]).delete()
    Finding.objects.filter(zone__controller__site__client__in=large.clients[40:]).delete()
    left = {row.client.pk for row in rows(large, open=what)}
    assert left == {row.client.pk for row in rows(large) if TOLD[what](row)}
    assert 0 < len(left) < 48


@pytest.mark.parametrize("access", ACCESS)
def test_a_filter_by_access_goes_by_the_day_it_opens(large: Large, access: str) -> None:
    said = {row.client.access_from for row in rows(large, access=access)}
    days = {"open": TODAY - timedelta(days=60), "later": TODAY + timedelta(days=10), "closed": None}
    assert said == {days[access]}


@pytest.mark.parametrize("season", SEASONS)
def test_a_filter_by_season_leaves_clients_with_such_a_site(large: Large, season: str) -> None:
    left = {row.client.pk for row in rows(large, season=season)}
    assert left == set(Site.objects.filter(season=season).values_list("client_id", flat=True))


def test_counts_do_not_multiply_each_other(cast: Cast) -> None:
    for n in range(3):
        a_change(a_program(cast.controller, "BCD"[n]), risk_keep_level=n)
    Finding.objects.create(zone=cast.zone, found_on=TODAY, part="Riser")
    Finding.objects.create(zone=cast.zone, found_on=TODAY, part="Valve", status="mended")
    Visit.objects.create(site=cast.site, date=TODAY - timedelta(days=3), done_at=MORNING)
    Visit.objects.create(site=cast.site, date=TODAY)
    Visit.objects.create(site=cast.site, date=TODAY - timedelta(days=1))  # missed: neither last nor next
    (row,) = client_rows([cast.client.pk], on=TODAY)
    waiting = row.waiting
    assert (waiting.decide, waiting.risk, waiting.enter, waiting.findings) == (4, 2, 0, 1)
    assert (row.last_visit, row.next_visit) == (TODAY - timedelta(days=3), TODAY)
    assert row.client.site_count == 1


def test_a_head_sorts_turns_round_and_keeps_what_was_chosen(large: Large, signed_in: SignedIn) -> None:
    browser = signed_in(large.owner)
    page = browser.get("/clients/?words=client&access=open&sort=saved").content.decode()
    assert page.count('aria-sort="descending"') == 1
    assert 'href="?words=client&amp;access=open&amp;sort=saved&amp;way=up"' in page
    assert 'href="?words=client&amp;access=open&amp;sort=need"' in page
    turned = browser.get("/clients/?sort=saved&way=up").content.decode()
    assert 'aria-sort="ascending"' in turned
    assert '<input type="hidden" name="sort" value="saved">' in turned


def test_what_is_not_known_in_the_address_counts_as_not_chosen(large: Large, signed_in: SignedIn) -> None:
    browser = signed_in(large.owner)
    usual = names(browser.get("/clients/"))
    for wrong in ("sort=made-up", "open=x", "access=%00", "season=" + "9" * 9999, "way=sideways", "page=-3"):
        assert names(browser.get(f"/clients/?{wrong}")) == usual
    for words in ("%00", "🌱", "‮txt", "'; drop table"):
        assert browser.get("/clients/", {"words": words}).status_code == 200


def test_a_list_that_nobody_is_in_says_so(large: Large, signed_in: SignedIn) -> None:
    Change.objects.all().delete()
    page = signed_in(large.owner).get("/clients/?open=decide").content.decode()
    assert "No client is like that now." in page
    assert "Show all clients" in page


def test_pages_of_a_hundred_show_everybody_once(signed_in: SignedIn) -> None:
    large = large_company(230, on=TODAY)
    browser = signed_in(large.owner)
    pages = [names(browser.get(f"/clients/?sort=saved&page={n}")) for n in (1, 2, 3)]
    assert [len(page) for page in pages] == [100, 100, 30]
    assert len({name for page in pages for name in page}) == 230
    first = browser.get("/clients/?sort=saved").content.decode()
    assert "1 to 100 of 230 clients" in first
    assert 'href="?sort=saved&amp;page=2"' in first


def test_who_nothing_was_counted_for_shows_a_dash_and_no_nought(cast: Cast, signed_in: SignedIn) -> None:
    ProgramMonth.objects.all().delete()
    page = signed_in(cast.owner).get("/clients/").content.decode().replace("\u00a0", " ")
    assert "0 gal" not in page
    assert "0 %" not in page


def test_last_year_is_not_in_this_years_figures(large: Large) -> None:
    """The months of the large company begin in December of the year before."""
    row = next(row for row in rows(large) if row.year.applied_l)
    of_year = ProgramMonth.objects.filter(controller__site__client=row.client, month__year=TODAY.year)
    assert row.year.applied_l == pytest.approx(sum(m.applied_l for m in of_year))


QUERIES = 18


def test_the_list_costs_as_many_queries_for_24_clients_as_for_2000(signed_in: SignedIn) -> None:
    for count in (24, 2_000):
        browser = signed_in(large_company(count, on=TODAY, months=2, name=f"Company of {count}").owner)
        for query in ("", "sort=open", "sort=need&way=down", "open=nothing&season=open&words=lot"):
            with CaptureQueriesContext(connection) as seen:
                assert browser.get(f"/clients/?{query}").status_code == 200
            assert len(seen) == QUERIES, (count, query)
