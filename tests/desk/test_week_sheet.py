"""The week sheet as it is read: groups, orders, views, search, and a fixed number of queries."""

import re
from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from fleet.models import Visit
from scheduling.models import Change
from tests.cast import TODAY, Cast, a_change, a_program, a_site, a_skip
from tests.desk.rows import a_mixed_week, a_place, changes_at


def page(web: Client, query: str = "") -> str:
    answer = web.get(f"/week/{query}")
    assert answer.status_code == 200
    return answer.content.decode()


def order(text: str) -> list[int]:
    return [int(pk) for pk in re.findall(r'id="change-(\d+)"', text)]


def count(text: str, label: str) -> int:
    found = re.search(rf'{label} <span class="count">(\d+)</span>', text)
    assert found
    return int(found[1])


def test_changes_stand_by_client_and_site(cast: Cast, owner: Client):
    zinnia = a_place(cast.company, client="Zinnia Court", site="Mill lawn")
    aster = a_place(cast.company, client="Aster Hall", site="Weir lawn")
    (last,), (first,) = changes_at(zinnia, 1), changes_at(aster, 1)
    assert order(page(owner)) == [first.pk, cast.change.pk, last.pk]


def test_a_client_with_two_sites_has_a_line_for_each(cast: Cast, owner: Client):
    changes_at(a_place(cast.company, site="East lot"), 1)
    changes_at(a_place(cast.company, site="West lot"), 1)
    text = page(owner)
    assert text.count("Heron School") == 1
    assert text.index("East lot") < text.index("West lot")


def test_the_biggest_change_in_water_can_come_first(cast: Cast, owner: Client):
    box = a_place(cast.company, client="Zinnia Court")
    small, big = changes_at(box, 2)
    Change.objects.filter(pk=big.pk).update(effect_litres=90_000)
    assert order(page(owner, "?sort=water")) == [big.pk, small.pk, cast.change.pk]


def test_the_plants_most_at_risk_can_come_first(cast: Cast, owner: Client):
    (risky,) = changes_at(a_place(cast.company, client="Zinnia Court"), 1, risk_keep_level=2)
    assert order(page(owner, "?sort=risk"))[0] == risky.pk


def test_each_view_shows_its_changes_and_counts_them(cast: Cast, owner: Client):
    box = a_place(cast.company, delivery="on_site")
    (up,) = changes_at(box, 1, current=80, proposed=105, risk_keep_level=1)
    skip = a_skip(a_program(box, letter="S"))
    waiting = a_change(a_program(box, letter="W"), status="approved", decided=90, decided_at=timezone.now())
    views = {
        "needs": {cast.change, up, skip},
        "up": {up},
        "down": {cast.change},
        "skips": {skip},
        "visit": {up, skip, waiting},
        "risk": {up},
        "enter": {waiting},
        "decided": {waiting},
    }
    labels = (
        "Needs a decision",
        "Up",
        "Down",
        "Skips",
        "Needs a visit",
        "At risk",
        "To enter",
        "Decided this week",
    )
    for (view, changes), label in zip(views.items(), labels, strict=True):
        text = page(owner, f"?view={view}")
        assert set(order(text)) == {change.pk for change in changes}, view
        assert count(text, label) == len(changes), view


def test_decided_this_week_leaves_older_decisions_out(cast: Cast, owner: Client):
    box = a_place(cast.company)
    fresh = a_change(a_program(box, "F"), status="declined", decided_at="2026-07-02T15:00Z")
    a_change(a_program(box, "O"), status="declined", decided_at="2026-06-20T15:00Z")
    assert order(page(owner, "?view=decided")) == [fresh.pk]


@pytest.mark.parametrize("words", ["heron", "HERON SCHOOL", "east l"])
def test_a_client_or_site_is_found_by_a_piece_of_its_name(cast: Cast, owner: Client, words):
    (found,) = changes_at(a_place(cast.company, client="Heron School", site="East lot"), 1)
    assert order(page(owner, f"?words={words}")) == [found.pk]


def test_a_search_that_finds_nothing_says_so_and_leads_back(cast: Cast, owner: Client):
    text = page(owner, "?words=<b>nobody</b>&view=up")
    assert "&lt;b&gt;nobody&lt;/b&gt;" in text
    assert 'href="?view=up&amp;sort=client"' in text


def test_nothing_to_decide_is_said_kindly(cast: Cast, owner: Client):
    Change.objects.all().delete()
    assert "Nothing waits for you." in page(owner)


def test_what_is_not_known_in_the_address_counts_as_not_chosen(cast: Cast, owner: Client):
    assert order(page(owner, "?view=none&sort=none&words=%00")) == [cast.change.pk]


@pytest.mark.parametrize(
    "query", ["", "?view=skips", "?view=decided", "?view=visit&sort=water", "?words=client"]
)
def test_the_sheet_takes_as_many_queries_for_many_rows_as_for_few(cast: Cast, owner: Client, query):
    a_mixed_week(cast.company, clients=2)
    with CaptureQueriesContext(connection) as few:
        before = len(order(page(owner, query)))
    a_mixed_week_of_others(cast, clients=12)
    with CaptureQueriesContext(connection) as many:
        after = len(order(page(owner, query)))
    assert after > before
    assert len(many) == len(few) <= 16


def a_mixed_week_of_others(cast: Cast, *, clients: int) -> None:
    for n in range(clients):
        box = a_place(
            cast.company, client=f"Client more {n}", site=f"More {n}", delivery=["office", "on_site"][n % 2]
        )
        changes_at(box, 2)
        a_skip(a_program(box, letter="S"))
        a_change(a_program(box, letter="D"), status="declined", decided_at="2026-07-05T15:00Z")
        Visit.objects.create(site=box.site, date=TODAY + timedelta(days=n))


def test_totals_add_up_water_and_money_of_open_changes_alone(cast: Cast, owner: Client):
    box = a_place(cast.company, client="Zinnia Court")
    a_change(a_program(box, "A"), effect_litres=1_000.0, effect_money="5.00")
    a_change(
        a_program(box, "B"), status="approved", decided=85, decided_at=timezone.now(), effect_litres=-9e6
    )
    text = page(owner)
    # −8,200 L and +1,000 L are −7,200 L, 1,902 gal at 3.785412 L; $21.40 saved and $5.00 spent are $16.40.
    assert "−1,900\u00a0gal" in text
    assert "saves $16.40" in text
    assert "2 changes for 2 clients" in " ".join(text.split())


def test_water_is_told_in_the_companys_units(cast: Cast, owner: Client):
    cast.company.units = "metric"
    cast.company.save()
    assert "−8.2\u00a0m³" in page(owner)


def test_plants_under_keep_and_change_stand_in_shape_and_word(cast: Cast, owner: Client):
    fields = {"risk_keep": "zone 2 dry from Wed", "risk_keep_level": 2, "risk_change": "unharmed"}
    changes_at(a_place(cast.company), 1, **fields)
    text = " ".join(page(owner, "?view=risk").split())
    assert '<span class="shape" aria-hidden="true">■</span>zone 2 dry from Wed' in text
    assert '<span class="shape" aria-hidden="true">●</span>unharmed' in text


def test_a_site_names_its_next_visit(cast: Cast, owner: Client):
    Visit.objects.create(site=cast.site, date=TODAY + timedelta(days=9))
    Visit.objects.create(site=cast.site, date=TODAY + timedelta(days=2))
    assert "next visit Wed\u00a0Jul\u00a08" in page(owner)


def test_a_skip_says_until_when_it_can_be_decided(cast: Cast, owner: Client):
    box = a_place(cast.company)
    a_skip(a_program(box, letter="S", starts=["21:30", "03:00"]))
    # Entered from the office two hours ahead of the first start.
    assert "decide by Mon\u00a0Jul\u00a06 7:30\u00a0pm" in page(owner, "?view=skips")


def test_one_percent_for_a_whole_controller_names_the_controller(cast: Cast, owner: Client):
    box = a_place(cast.company, percent_scope="controller")
    changes_at(box, 1, whole_controller=True)
    assert "Box of East lot, all programs" in " ".join(page(owner).split())


def test_a_technician_reads_the_sheet_and_finds_what_to_enter(cast: Cast, technician: Client):
    approved = a_change(
        a_program(a_place(cast.company)), status="approved", decided=90, decided_at=timezone.now()
    )
    first = page(technician)
    assert order(first) == [approved.pk]
    assert f'action="/changes/{approved.pk}/enter/' in first
    pending = page(technician, "?view=needs")
    assert order(pending) == [cast.change.pk]
    assert 'type="number"' not in pending
    assert "/approve/" not in pending


def test_a_field_holds_the_steps_of_its_controller(cast: Cast, owner: Client):
    changes_at(a_place(cast.company, percent_step=10, percent_max=160), 1)
    text = " ".join(page(owner).split())
    assert 'max="160" step="10"' in text


def test_two_sites_of_one_name_stay_apart(cast: Cast, owner: Client):
    changes_at(a_place(cast.company, client="Aster Hall", site="Lawn"), 1)
    changes_at(a_place(cast.company, client="Zinnia Court", site="Lawn"), 1)
    a_site(cast.client, "Lawn")
    assert page(owner).count(">Lawn</a>") == 2
