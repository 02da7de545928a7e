"""An alteration's life: approved, entered as new versions, taken back, replaced when its program changes."""

from datetime import date, timedelta

import pytest

from common.errors import MovedOn, Refused
from fleet.models import Membership, User
from scheduling.models import Change, ChangeEvent, Delivery, FieldEntry, Program, Setting, ZoneRun
from scheduling.selectors.plan.of_controller import plan_of
from scheduling.selectors.season_load import load_season
from scheduling.services.adopt import adopt_plan
from scheduling.services.decisions import approve, decline, undo
from scheduling.services.entering import apply
from scheduling.services.nightly import run_night
from scheduling.services.programs import edit_program, enter_program
from scheduling.services.taking_back import take_back
from scheduling.services.ticking import enter_change
from tests.night.garden import ON, TIMEZONE, Garden, zone
from tests.scheduling.services import altered
from tests.scheduling.services.altered import newest, proposed
from weather.models import MonthlyNormal

pytestmark = pytest.mark.django_db
TOMORROW = ON + timedelta(days=1)


@pytest.fixture
def heron(settings) -> Garden:
    settings.WEATHER_SOURCE = "invented"
    return altered.heron(settings)


@pytest.fixture
def hand(heron: Garden) -> User:
    person = User.objects.create_user("hand@heron.test", "three herons at dawn")
    Membership.objects.create(user=person, company=heron.company, role="technician")
    return person


def held(program: Program) -> list[tuple]:
    return list(program.runs.order_by("order").values_list("zone", "minutes", "cycle", "soak"))


def approved(advice, of: Garden) -> Change:
    return approve(change=proposed(advice, of).change, by=of.owner)


def percent(program: Program, night: date) -> int:
    return program.settings.filter(effective_from__lte=night).order_by("effective_from").last().percent


def test_entered_it_is_a_new_version_from_that_night(heron: Garden, hand: User):
    change = approved(altered.on_clay(heron), heron)
    assert (change.decided, Delivery.objects.get().state) == (None, "waiting")
    apply(change=change, by=hand)
    version = newest(heron)
    assert (version.effective, version.days, version.starts) == (ON, heron.program.days, ["03:00"])
    assert held(version) == [(heron.zones[0].pk, 30, 8, 115), (heron.zones[1].pk, 36, 20, 20)]
    assert held(heron.program)[0] == (heron.zones[0].pk, 30, None, None)  # what ran stays
    assert percent(version, ON) == 100
    change.refresh_from_db()
    assert (change.status, change.applied_on) == ("applied", ON)
    assert Delivery.objects.get().state == "done"


def test_the_service_plans_from_it(heron: Garden, hand: User):
    apply(change=approved(altered.dry_between(heron), heron), by=hand)
    field = load_season([heron.site.pk], on=ON, timezone=TIMEZONE).field
    column = field.programs.index(newest(heron))
    week = field.starts[field.today + 1 : field.today + 8, column]
    assert week.sum() == len(newest(heron).days.split())
    assert field.starts[field.today + 1 :, field.programs.index(heron.program)].sum() == 0


def test_a_percent_that_goes_with_it_is_in_force_with_it(settings):
    heron = altered.heron(settings, days="daily", percent=140)
    for one in heron.zones:
        one.soil_observations.create(date=ON, depletion_share=0.25)
    line = altered.driven(heron)
    waiting = Change.objects.get(kind="percent")
    change = approved(line, heron)
    apply(change=change, by=heron.owner, found_percent=130)
    version = newest(heron)
    setting = version.settings.get()
    assert (setting.percent, setting.effective_from, setting.change) == (change.proposed, ON, change)
    assert percent(heron.program, ON - timedelta(days=1)) == 130  # as it was found
    waiting.refresh_from_db()
    assert waiting.status == "superseded"
    assert waiting.events.last().note == "Its program was changed; the percent is found anew."


def test_a_zone_that_moves_makes_two_versions(heron: Garden, hand: User):
    apply(change=approved(altered.among_lawns(heron), heron), by=hand)
    assert [zone for zone, *_ in held(newest(heron))] == [heron.zones[1].pk]
    own = newest(heron, "B")
    assert (own.effective, [zone for zone, *_ in held(own)]) == (ON, [heron.zones[0].pk])
    assert percent(own, ON) == 100


def test_a_letter_that_ended_is_taken_up_again(heron: Garden, hand: User):
    ended = Program.objects.create(
        controller=heron.controller,
        letter="B",
        days="daily",
        effective=ON - timedelta(days=30),
        ended=ON - timedelta(days=9),
    )
    apply(change=approved(altered.among_lawns(heron), heron), by=hand)
    own = newest(heron, "B")
    assert own != ended
    assert (own.effective, own.ended) == (ON, None)


def test_a_version_that_begins_tonight_is_written_anew(heron: Garden, hand: User):
    line = altered.on_clay(heron)
    tonight = edit_program(program=heron.program, by=heron.owner, effective=ON, starts=["02:00"])
    apply(change=approved(line, heron), by=hand)
    assert newest(heron) == tonight
    assert held(tonight)[0] == (heron.zones[0].pk, 30, 8, 115)


def test_a_night_in_which_it_ran_as_it_was_is_refused(heron: Garden):
    line = altered.on_clay(heron)
    yesterday = ON - timedelta(days=1)
    Program.objects.filter(pk=heron.program.pk).update(effective=yesterday)
    change = approved(line, heron)
    with pytest.raises(Refused, match="ran as it is"):
        apply(change=change, by=heron.owner, applied_on=yesterday)
    change.refresh_from_db()
    assert change.status == "approved"
    assert Program.objects.count() == 1


def test_it_takes_no_value(heron: Garden):
    change = proposed(altered.dry_between(heron), heron).change
    with pytest.raises(Refused, match="approved as proposed, without a value") as refusal:
        approve(change=change, by=heron.owner, value=90)
    assert refusal.value.field == "value"


def test_undone_until_it_is_entered(heron: Garden):
    change = approved(altered.dry_between(heron), heron)
    undo(change=change, by=heron.owner)
    assert change.status == "pending"
    approve(change=change, by=heron.owner)
    apply(change=change, by=heron.owner)
    with pytest.raises(MovedOn):
        undo(change=change, by=heron.owner)


@pytest.mark.parametrize("status", ["pending", "approved"])
def test_an_edit_replaces_it_and_says_why(heron: Garden, status):
    change = proposed(altered.dry_between(heron), heron).change
    if status == "approved":
        approve(change=change, by=heron.owner)
    edit_program(program=heron.program, by=heron.owner, effective=TOMORROW, days="daily")
    change.refresh_from_db()
    assert change.status == "superseded"
    event = change.events.last()
    assert (event.by, event.from_status) == (heron.owner, status)
    assert event.note == "Program A was changed since this was proposed; it no longer fits."
    assert not Delivery.objects.filter(state="waiting").exists()


def test_another_name_or_percent_leaves_it(heron: Garden):
    change = proposed(altered.dry_between(heron), heron).change
    edit_program(program=heron.program, by=heron.owner, name="Front")
    Setting.objects.create(program=heron.program, percent=90, effective_from=ON)
    approve(change=change, by=heron.owner)
    assert change.status == "approved"


def test_an_adopted_plan_replaces_it(heron: Garden):
    MonthlyNormal.objects.bulk_create(
        MonthlyNormal(cell=heron.cell, month=n, reference_et_mm=4.0, days_used=90) for n in range(1, 13)
    )
    change = proposed(altered.on_clay(heron), heron).change
    digest = plan_of(heron.controller, night=ON).digest
    adopt_plan(controller=heron.controller, by=heron.owner, effective=ON, digest=digest)
    change.refresh_from_db()
    assert change.status == "superseded"


def test_a_letter_taken_meanwhile_replaces_it(heron: Garden):
    change = proposed(altered.among_lawns(heron), heron).change
    other = zone(heron.controller, 3)
    enter_program(
        controller=heron.controller, by=heron.owner, letter="B", effective=ON, days="sun", starts=["05:00"],
        runs=[{"zone": other, "minutes": 9}],
    )  # fmt: skip
    change.refresh_from_db()
    assert change.status == "superseded"


def test_a_row_edited_past_the_services_is_seen_when_it_is_approved_and_by_the_night(heron: Garden):
    change = proposed(altered.dry_between(heron), heron).change
    ZoneRun.objects.filter(zone=heron.zones[0]).update(minutes=11)
    with pytest.raises(MovedOn, match="Propose it again"):
        approve(change=change, by=heron.owner)
    run_night(on=ON, timezone=TIMEZONE)
    change.refresh_from_db()
    assert change.status == "expired"
    assert change.events.last().note == "Program A was changed since this was proposed; it no longer fits."


def test_declined_it_comes_back_only_while_it_fits_and_stands_alone(heron: Garden):
    line = altered.dry_between(heron)
    first = decline(change=proposed(line, heron).change, by=heron.owner, note="Later.")
    second = proposed(line, heron).change
    with pytest.raises(MovedOn):
        undo(change=first, by=heron.owner)
    decline(change=second, by=heron.owner, note="No.")
    undo(change=first, by=heron.owner)
    decline(change=first, by=heron.owner, note="No.")
    edit_program(program=heron.program, by=heron.owner, effective=ON, days="daily")
    with pytest.raises(MovedOn, match="no longer fits"):
        undo(change=first, by=heron.owner)


def test_a_tick_taken_back_leaves_everything_as_it_was(heron: Garden, hand: User):
    change = approved(altered.among_lawns(heron), heron)
    enter_change(change=change, by=hand, found_percent=90)
    assert Program.objects.count() == 3
    take_back(entry=FieldEntry.objects.get(), by=hand)
    assert Program.objects.get() == heron.program
    assert [s.percent for s in heron.program.settings.all()] == [100]
    change.refresh_from_db()
    assert (change.status, change.applied_on) == ("approved", None)
    assert Delivery.objects.get().state == "waiting"
    enter_change(change=change, by=hand)
    assert Program.objects.count() == 3


def test_a_version_written_anew_is_taken_back_to_what_it_said(heron: Garden, hand: User):
    line = altered.on_clay(heron)
    tonight = edit_program(program=heron.program, by=heron.owner, effective=ON, starts=["02:00"])
    enter_change(change=approved(line, heron), by=hand)
    take_back(entry=FieldEntry.objects.get(), by=hand)
    assert held(tonight)[0] == (heron.zones[0].pk, 30, None, None)
    assert newest(heron).starts == ["02:00"]


def test_what_was_edited_since_the_tick_stays(heron: Garden, hand: User):
    enter_change(change=approved(altered.dry_between(heron), heron), by=hand)
    edit_program(program=newest(heron), by=heron.owner, effective=ON, days="daily")
    with pytest.raises(MovedOn, match="changed again"):
        take_back(entry=FieldEntry.objects.get(), by=hand)
    assert newest(heron).days == "daily"
    assert Change.objects.get(kind="days").status == "applied"


def test_the_night_leaves_what_waits_and_plans_from_what_was_entered(heron: Garden):
    """The same counts with and without one that waits; its program gets its percent as ever."""
    altered.dry_between(heron)
    _, plain = run_night(on=ON, timezone=TIMEZONE)
    change = proposed(altered.line("too few days"), heron).change
    _, again = run_night(on=ON, timezone=TIMEZONE)
    assert again.counts["unchanged"] == plain.counts["programs"]
    assert (again.counts["expired"], again.counts["superseded"], again.counts["failed"]) == (0, 0, 0)
    change.refresh_from_db()
    assert change.status == "pending"
    approve(change=change, by=heron.owner)
    run_night(on=ON, timezone=TIMEZONE)
    change.refresh_from_db()
    assert change.status == "approved"
    apply(change=change, by=heron.owner)
    _, after = run_night(on=ON, timezone=TIMEZONE)
    assert after.counts["failed"] == 0
    [percent_change] = Change.objects.filter(kind="percent", status="pending")
    assert percent_change.program == newest(heron)
    change.refresh_from_db()
    assert change.status == "applied"


def test_policy_never_approves_it(heron: Garden):
    from tests.night.garden import policy

    policy(heron, auto_skips=True, auto_move_points=500)
    change = proposed(altered.dry_between(heron), heron).change
    run_night(on=ON, timezone=TIMEZONE)
    change.refresh_from_db()
    assert (change.status, change.automatic) == ("pending", False)


def test_a_closed_site_closes_it(heron: Garden):
    change = proposed(altered.dry_between(heron), heron).change
    heron.site.season = "closed"
    heron.site.save()
    run_night(on=ON, timezone=TIMEZONE)
    change.refresh_from_db()
    assert change.status == "expired"
    assert ChangeEvent.objects.filter(change=change).last().note == "The site is closed."
