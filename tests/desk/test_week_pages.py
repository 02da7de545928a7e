"""A week too long for one page: pages that follow one another in every order, and lines that must be told."""

import re

import pytest
from django.test import Client

from scheduling.models import Change
from scheduling.selectors.week import A_PAGE
from tests.cast import Cast
from tests.desk.rows import a_place, changes_at


@pytest.fixture
def long(cast: Cast) -> list[Change]:
    """Nine clients of fifteen changes each and the one of the cast, with all sorts of water and risk."""
    made: list[Change] = []
    for n in range(9):
        made += changes_at(a_place(cast.company, client=f"Client {n}", site=f"Lot {n}"), 15)
    for n, change in enumerate(made):
        change.effect_litres = (n * 7919) % 1000 - 500
        change.risk_keep_level, change.risk_change_level = n % 3, n % 2
    Change.objects.bulk_update(made, ["effect_litres", "risk_keep_level", "risk_change_level"])
    return [cast.change, *made]


def shown(web: Client, query: str) -> list[int]:
    answer = web.get(f"/week/{query}")
    assert answer.status_code == 200
    return [int(pk) for pk in re.findall(r'id="change-(\d+)"', answer.content.decode())]


@pytest.mark.parametrize("sort", ["client", "water", "risk"])
def test_every_change_is_on_one_page(owner: Client, long, sort):
    pages = [shown(owner, f"?sort={sort}&page={n}") for n in (1, 2, 3)]
    assert [len(page) for page in pages] == [A_PAGE, A_PAGE, len(long) - 2 * A_PAGE]
    assert sorted(pk for page in pages for pk in page) == sorted(change.pk for change in long)


def test_the_clients_that_weigh_most_come_first_over_all_pages(owner: Client, long):
    place = {change.pk: change for change in Change.objects.select_related("program__controller__site")}
    pages = [place[pk] for n in (1, 2, 3) for pk in shown(owner, f"?sort=water&page={n}")]
    clients = list(dict.fromkeys(change.program.controller.site.client_id for change in pages))
    most = {
        client: max(
            abs(change.effect_litres or 0)
            for change in place.values()
            if change.program.controller.site.client_id == client
        )
        for client in clients
    }
    assert [most[client] for client in clients] == sorted(most.values(), reverse=True)


def test_a_page_that_is_not_there_is_the_nearest_that_is(owner: Client, long):
    assert shown(owner, "?page=99") == shown(owner, "?page=3")
    assert shown(owner, "?page=soon") == shown(owner, "?page=1")
    assert shown(owner, "?page=-1") == shown(owner, "?page=3")


def test_pages_keep_what_was_chosen_and_choosing_anew_starts_at_the_first(owner: Client, long):
    text = owner.get("/week/?view=needs&sort=water&page=2").content.decode()
    assert 'href="?view=needs&amp;sort=water&amp;page=3"' in text
    assert 'href="?view=up&amp;sort=water"' in text
    assert f"{A_PAGE + 1} to {2 * A_PAGE} of {len(long)} changes" in text


def test_a_line_that_was_answered_is_told_on_whatever_page(owner: Client, long, cast: Cast):
    last = shown(owner, "?page=3")[-1]
    answer = owner.post(f"/changes/{last}/approve/?page=1", {"value": "much"})
    assert answer.status_code == 422
    text = answer.content.decode()
    assert f'id="change-{last}"' in text
    assert "much" in text
