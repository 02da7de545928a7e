"""Entering a decided change at its controller."""

from datetime import date, timedelta

import pytest

from common.errors import MovedOn, NotAllowed, Refused
from scheduling.models import Change, Setting, Skip
from scheduling.services.decisions import approve
from scheduling.services.entering import apply, covered_programs, current_programs
from tests.cast import TODAY, Cast, a_program, a_skip

pytestmark = pytest.mark.django_db


def percents() -> list[tuple[str, int, date]]:
    rows = Setting.objects.order_by("program__letter", "program__effective")
    return [(s.program.letter, s.percent, s.effective_from) for s in rows]


def test_without_a_date_it_is_in_force_from_tonight(cast: Cast):
    approve(change=cast.change, by=cast.office)
    apply(change=cast.change, by=cast.technician)
    assert percents() == [("A", 85, TODAY)]
    assert cast.change.applied_on == TODAY


def test_entering_again_for_the_same_night_replaces_the_percent(cast: Cast):
    Setting.objects.create(program=cast.program, percent=110, effective_from=TODAY, how="entered")
    approve(change=cast.change, by=cast.office)
    apply(change=cast.change, by=cast.technician)
    assert percents() == [("A", 85, TODAY)]


def test_what_was_found_for_the_same_night_moves_to_the_night_before(cast: Cast):
    found = Setting.objects.create(program=cast.program, percent=110, effective_from=TODAY, how="found")
    approve(change=cast.change, by=cast.office)
    apply(change=cast.change, by=cast.technician)
    assert percents() == [("A", 110, TODAY - timedelta(days=1)), ("A", 85, TODAY)]
    found.refresh_from_db()
    assert (found.percent, found.how, found.effective_from) == (110, "found", TODAY - timedelta(days=1))
    assert Setting.objects.get(effective_from=TODAY).change == cast.change


def test_what_was_found_is_kept_where_the_night_before_is_known_as_well(cast: Cast):
    for days, percent, how in ((1, 95, "entered"), (0, 110, "found")):
        Setting.objects.create(
            program=cast.program, percent=percent, effective_from=TODAY - timedelta(days=days), how=how
        )
    approve(change=cast.change, by=cast.office)
    with pytest.raises(Refused, match="found at 110 %") as refusal:
        apply(change=cast.change, by=cast.technician)
    assert refusal.value.field == "applied_on"
    assert percents() == [("A", 95, TODAY - timedelta(days=1)), ("A", 110, TODAY)]
    apply(change=Change.objects.get(), by=cast.technician, applied_on=TODAY + timedelta(days=1))
    assert percents()[-1] == ("A", 85, TODAY + timedelta(days=1))


def test_only_an_approved_change_is_entered(cast: Cast):
    with pytest.raises(MovedOn) as conflict:
        apply(change=cast.change, by=cast.technician)
    assert conflict.value.current_status == "pending"
    assert not Setting.objects.exists()


def test_it_is_entered_once(cast: Cast):
    approve(change=cast.change, by=cast.office)
    other_page = Change.objects.get(pk=cast.change.pk)
    apply(change=cast.change, by=cast.technician, applied_on=TODAY)
    with pytest.raises(MovedOn) as conflict:
        apply(change=other_page, by=cast.office, applied_on=TODAY - timedelta(days=1))
    assert conflict.value.current_status == "applied"
    assert percents() == [("A", 85, TODAY)]


def test_people_outside_the_company_enter_nothing(cast: Cast, stranger):
    approve(change=cast.change, by=cast.office)
    for person in (stranger, cast.client_person):
        with pytest.raises(NotAllowed):
            apply(change=cast.change, by=person)


@pytest.mark.parametrize(("night", "fits"), [("2026-04-01", True), ("2026-03-31", False)])
def test_a_program_takes_no_percent_before_it_existed(cast: Cast, night, fits):
    approve(change=cast.change, by=cast.office)
    if fits:
        apply(change=cast.change, by=cast.technician, applied_on=date.fromisoformat(night))
        assert percents() == [("A", 85, date(2026, 4, 1))]
    else:
        with pytest.raises(Refused, match="2026-04-01") as refusal:
            apply(change=cast.change, by=cast.technician, applied_on=date.fromisoformat(night))
        assert refusal.value.field == "applied_on"


def test_a_month_ahead_is_the_limit(cast: Cast):
    approve(change=cast.change, by=cast.office)
    with pytest.raises(Refused, match="more than a month ahead"):
        apply(change=cast.change, by=cast.technician, applied_on=TODAY + timedelta(days=32))
    apply(change=cast.change, by=cast.technician, applied_on=TODAY + timedelta(days=31))


def test_a_long_note_is_refused_rather_than_cut(cast: Cast):
    approve(change=cast.change, by=cast.office)
    with pytest.raises(Refused) as refusal:
        apply(change=cast.change, by=cast.technician, note="x" * 1001)
    assert refusal.value.field == "note"


def test_one_percent_for_the_whole_controller_reaches_every_program_that_runs(cast: Cast):
    a_program(cast.controller, "B")
    a_program(cast.controller, "C", ended=date(2026, 6, 1))
    a_program(cast.controller, "D", effective=TODAY + timedelta(days=7))
    Change.objects.filter(pk=cast.change.pk).update(whole_controller=True)
    change = Change.objects.get(pk=cast.change.pk)
    approve(change=change, by=cast.office)
    apply(change=change, by=cast.technician)
    assert percents() == [("A", 85, TODAY), ("B", 85, TODAY)]


def test_a_skip_for_the_whole_controller_reaches_every_program_that_runs(cast: Cast):
    a_program(cast.controller, "B")
    skip = approve(change=a_skip(cast.program, whole_controller=True), by=cast.office)
    apply(change=skip, by=cast.technician)
    rows = Skip.objects.order_by("program__letter").values_list("program__letter", "effective_from", "group")
    assert list(rows) == [("A", TODAY, f"change-{skip.pk}"), ("B", TODAY, f"change-{skip.pk}")]


def test_a_program_rewritten_since_takes_the_percent_in_its_new_version(cast: Cast):
    new = a_program(cast.controller, "A", effective=TODAY - timedelta(days=1), starts=["03:00"])
    approve(change=cast.change, by=cast.office)
    apply(change=cast.change, by=cast.technician)
    assert [s.program for s in Setting.objects.all()] == [new]


def test_of_each_letter_the_newest_version_that_runs_counts(cast: Cast):
    new = a_program(cast.controller, "A", effective=date(2026, 6, 1))
    b = a_program(cast.controller, "B", ended=date(2026, 6, 15))
    assert current_programs(cast.controller.pk, on=date(2026, 5, 31)) == [cast.program, b]
    assert current_programs(cast.controller.pk, on=date(2026, 6, 1)) == [new, b]
    assert current_programs(cast.controller.pk, on=date(2026, 6, 15)) == [new]
    assert covered_programs(cast.change, on=date(2026, 5, 31)) == [cast.program]
