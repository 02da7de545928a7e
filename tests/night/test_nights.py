"""What a night does and leaves alone: idempotence, supersede, expire, policy, episodes, seasons, visits."""

from datetime import timedelta

import pytest
from django.utils import timezone

from fleet.models import KeptAnswer, Site, SoilObservation, Visit, ZoneEpisode, ZoneTrim
from scheduling.models import Change, NightlyRun, NightlyRunCompany, Setting, Skip
from scheduling.selectors.site_state import site_state
from scheduling.services.decisions import approve, decline
from scheduling.services.entering import apply
from scheduling.services.nightly import NightAlreadyRunning, run_night
from scheduling.services.skip_check import check_skips
from tests.night.conftest import SkySource
from tests.night.garden import ON, TIMEZONE, Garden, garden, policy

pytestmark = pytest.mark.django_db
NEXT = ON + timedelta(days=1)


def night(on=ON):
    return run_night(on=on, timezone=TIMEZONE)[1].counts


def percent(of: Garden) -> Change:
    return Change.objects.filter(program=of.program, kind="percent").latest("id")


def test_a_second_run_changes_nothing(sky: SkySource) -> None:
    garden(minutes=25)
    assert night()["proposed"] == 1
    before = list(Change.objects.values())
    again = night()
    assert (again["proposed"], again["superseded"], again["unchanged"]) == (0, 0, 1)
    assert list(Change.objects.values()) == before
    assert NightlyRun.objects.get().counts["proposed"] == 1


def test_a_decision_stands_when_the_night_is_run_again(sky: SkySource) -> None:
    place = garden(minutes=25)
    night()
    approve(change=percent(place), by=place.owner, value=115)
    assert night()["proposed"] == 0
    assert percent(place).decided == 115


def test_what_was_declined_is_not_asked_again_for_a_week(sky: SkySource) -> None:
    place = garden(minutes=25)
    night()
    decline(change=percent(place), by=place.owner, note="New sod, leave it.")
    assert night()["proposed"] == 0
    assert percent(place).status == "declined"


def test_a_pending_change_is_replaced_when_the_need_moves(sky: SkySource) -> None:
    place = garden(minutes=95)
    night()
    first = percent(place)
    ZoneTrim.objects.create(zone=place.zones[0], factor=0.6, reason="New shade tree", effective_from=NEXT)
    counts = night(NEXT)
    assert percent(place).proposed < first.proposed
    first.refresh_from_db()
    assert first.status == "superseded"
    assert counts["superseded"] >= 1
    assert first.events.last().note


def test_a_pending_change_no_longer_needed_is_withdrawn(sky: SkySource) -> None:
    place = garden(minutes=95)
    night()
    first = percent(place)
    Setting.objects.create(program=place.program, percent=first.proposed, effective_from=NEXT)
    night(NEXT)
    first.refresh_from_db()
    assert first.status == "superseded"


def test_a_skip_of_a_night_gone_by_expires(sky: SkySource) -> None:
    sky.rain = {ON: 20.0}
    place = garden(minutes=40, days="daily")
    night()
    skip = Change.objects.get(kind="rain_skip")
    assert (skip.effective_from, skip.effective_to) == (ON, ON)
    sky.rain = {}
    assert night(ON + timedelta(days=2))["expired"] == 1
    skip.refresh_from_db()
    assert skip.status == "expired"
    assert place.program.pk == skip.program_id


def test_rain_tonight_is_a_skip_and_frees_its_water(sky: SkySource) -> None:
    sky.rain = {ON: 20.0}
    place = garden(minutes=40, days="daily")
    night()
    skip = Change.objects.get(kind="rain_skip")
    assert skip.deciding_zone_id == place.zones[0].pk
    assert skip.effect_litres == pytest.approx(-40 * 12.0 / 60 * 200.0)
    assert skip.risk_change == "unharmed"
    assert float(skip.effect_money) == pytest.approx(skip.effect_litres / 1000 * 1.5, abs=0.01)
    approve(change=skip, by=place.owner)
    apply(change=skip, by=place.owner)
    row = Skip.objects.get()
    assert (row.program_id, row.effective_from, row.effective_to) == (place.program.pk, ON, ON)


def test_no_skip_without_rain(sky: SkySource) -> None:
    garden(minutes=40, days="daily")
    night()
    assert not Change.objects.exclude(kind="percent").exists()


def test_a_controller_that_needs_a_visit_gets_no_skip(sky: SkySource) -> None:
    sky.rain = {ON: 20.0}
    garden(minutes=40, days="daily", controller={"delivery": "on_site"})
    night()
    assert not Change.objects.exclude(kind="percent").exists()


def test_a_visit_decides_when_a_change_takes_effect(sky: SkySource) -> None:
    place = garden(minutes=20, controller={"delivery": "on_site"})
    Visit.objects.create(site=place.site, date=ON + timedelta(days=3))
    night()
    assert percent(place).effective_from == ON + timedelta(days=3)
    assert "rides along with a visit" in percent(place).hints


def test_a_small_move_is_not_worth_a_trip(sky: SkySource) -> None:
    place = garden(minutes=40, controller={"delivery": "on_site"})
    policy(place, visit_worth_l=1e9)
    Setting.objects.update(percent=200)
    night()
    assert not Change.objects.exists()


def test_a_skip_comes_only_while_it_can_still_arrive(sky: SkySource) -> None:
    """The check runs at 16:00; with two hours' lead a start at 17:00 can't be reached, one at 3:00 can."""
    early = garden("Early", minutes=40, days="daily", starts=("17:00",))
    late = garden("Late", minutes=40, days="daily", starts=("03:00",), place=(39.5, -121.5, 300.0))
    night()
    sky.rain = {ON: 20.0}
    check_skips(on=ON, timezone=TIMEZONE)
    assert list(Change.objects.exclude(kind="percent").values_list("program", flat=True)) == [late.program.pk]
    assert early.program.pk != late.program.pk


def test_the_afternoon_withdraws_a_skip_when_the_rain_is_called_off(sky: SkySource) -> None:
    sky.rain = {ON: 20.0}
    garden(minutes=40, days="daily")
    night()
    assert Change.objects.filter(kind="rain_skip", status="pending").count() == 1
    percent_before = list(Change.objects.filter(kind="percent").values())
    sky.rain = {}
    check_skips(on=ON, timezone=TIMEZONE)
    assert Change.objects.get(kind="rain_skip").status == "superseded"
    assert list(Change.objects.filter(kind="percent").values()) == percent_before
    assert NightlyRunCompany.objects.get().skip_words


def test_policy_approves_small_moves_and_skips_and_says_so(sky: SkySource) -> None:
    sky.rain = {ON: 20.0}
    place = garden(minutes=40, days="daily")
    policy(place, auto_skips=True, auto_move_points=500)
    counts = night()
    changes = Change.objects.all()
    assert counts["auto_approved"] == len(changes) >= 1
    assert all(c.automatic and c.status == "approved" and c.decided_by is None for c in changes)
    assert "approved by policy" in " ".join(NightlyRunCompany.objects.get().words)


def test_policy_bounds_hold(sky: SkySource) -> None:
    place = garden(minutes=15)
    policy(place, percent_max=120)
    night()
    assert percent(place).proposed == 120


def test_the_dead_band_leaves_small_moves_alone(sky: SkySource) -> None:
    place = garden(minutes=95)
    night()
    needed = percent(place).proposed
    Change.objects.all().delete()
    Setting.objects.create(program=place.program, percent=needed + 5, effective_from=ON)
    policy(place, dead_band_points=10)
    night()
    assert not Change.objects.exists()


@pytest.mark.parametrize("season", ["closed", "opening", "closing"])
def test_a_site_that_is_not_open_gets_no_percent(sky: SkySource, season: str) -> None:
    place = garden(minutes=25)
    Site.objects.filter(pk=place.site.pk).update(season=season)
    night()
    assert not Change.objects.filter(kind="percent").exists()


def test_closing_a_site_closes_what_was_open(sky: SkySource) -> None:
    place = garden(minutes=25)
    night()
    Site.objects.filter(pk=place.site.pk).update(season="closed")
    assert night(NEXT)["expired"] == 1
    assert percent(place).status == "expired"


def test_a_zone_in_an_episode_leaves_the_search(sky: SkySource) -> None:
    place = garden(minutes=25, zones=2)
    ZoneEpisode.objects.create(zone=place.zones[1], kind="grow-in", effective_from=ON - timedelta(days=3))
    night()
    assert [unit["zone"] for unit in percent(place).inputs["units"]] == [place.zones[0].pk]


def test_an_episode_ends_by_its_date_and_its_soil_is_unknown_until_somebody_looks(sky: SkySource) -> None:
    place = garden(minutes=25, zones=2)
    away = {
        "kind": "grow-in",
        "effective_from": ON - timedelta(days=20),
        "effective_to": ON - timedelta(days=1),
    }
    ZoneEpisode.objects.create(zone=place.zones[1], **away)
    night()
    assert {unit["zone"] for unit in percent(place).inputs["units"]} == {zone.pk for zone in place.zones}
    settled = [zone.settled for zone in site_state(place.site, on=ON).zones]
    assert settled == [True, False]
    SoilObservation.objects.create(zone=place.zones[1], date=ON, depletion_share=0.3)
    told = site_state(place.site, on=ON).zones[1]
    assert told.settled
    assert told.depletion_mm == pytest.approx(0.3 * (told.taw_mm or 0))


def test_a_program_that_runs_no_minutes_is_left_alone(sky: SkySource) -> None:
    garden(minutes=0)
    counts = night()
    assert (counts["proposed"], counts["unchanged"], counts["failed"]) == (0, 1, 0)


def test_one_percent_serves_the_whole_controller_where_it_holds_only_one(sky: SkySource) -> None:
    from scheduling.models import Program, ZoneRun
    from tests.night.garden import zone

    place = garden(minutes=25, controller={"percent_scope": "controller"})
    beds = Program.objects.create(
        controller=place.controller,
        letter="B",
        name="Beds",
        days="tue",
        starts=["02:00"],
        effective=place.program.effective,
    )
    ZoneRun.objects.create(program=beds, zone=zone(place.controller, 2, plant="shrubs"), minutes=20)
    night()
    change = Change.objects.get()
    assert change.whole_controller and change.program == place.program
    assert len(change.inputs["units"]) == 2
    approve(change=change, by=place.owner)
    apply(change=change, by=place.owner, applied_on=ON)
    assert set(Setting.objects.filter(effective_from=ON).values_list("program", "percent")) == {
        (place.program.pk, change.proposed),
        (beds.pk, change.proposed),
    }


def test_percents_of_one_controller_never_overrun_the_night_together(sky: SkySource) -> None:
    from datetime import time

    from fleet.models import WateringRule
    from scheduling.models import Program, ZoneRun
    from tests.night.garden import zone

    place = garden(minutes=60, days="daily", starts=("03:00",))
    rule = WateringRule.objects.create(
        company=place.company, name="mornings", hours_from=time(3), hours_to=time(6)
    )
    Site.objects.filter(pk=place.site.pk).update(watering_rule=rule)
    second = Program.objects.create(
        controller=place.controller,
        letter="B",
        name="More",
        days="daily",
        starts=["03:00"],
        effective=place.program.effective,
    )
    ZoneRun.objects.create(
        program=second, zone=zone(place.controller, 2, precipitation_rate_mm_h=3.0), minutes=60
    )
    Setting.objects.create(program=second, percent=100, effective_from=place.program.effective)
    night()
    after = {p.pk: 100 for p in (place.program, second)}
    for change in Change.objects.filter(kind="percent"):
        after[change.program_id] = max(100, change.proposed)
        assert change.inputs["night"]["change_over_min"] <= change.inputs["night"]["ends_min"]
    assert max(after.values()) > 100
    minutes = 60 * (after[place.program.pk] + after[second.pk]) / 100
    assert minutes + 40 >= minutes > 120  # both raised as far as they fit
    assert minutes <= 180


def test_two_nights_at_once_are_one(sky: SkySource) -> None:
    from django.utils import timezone

    garden(minutes=25)
    now = timezone.now()
    NightlyRun.objects.create(date=ON, timezone=TIMEZONE, started_at=now, heartbeat_at=now)
    with pytest.raises(NightAlreadyRunning):
        night()
    NightlyRun.objects.update(heartbeat_at=now - timedelta(hours=1))
    assert night()["proposed"] == 1


def test_each_company_reads_only_its_own_part(sky: SkySource) -> None:
    from fleet.models import Zone

    one = garden("Heron", minutes=25)
    other = garden("Ibis", minutes=25, place=(39.5, -121.5, 300.0))
    Zone.objects.filter(pk=other.zones[0].pk).update(soil="")
    night()
    mine = NightlyRunCompany.objects.get(company=one.company)
    theirs = NightlyRunCompany.objects.get(company=other.company)
    assert (mine.counts["proposed"], mine.failures) == (1, [])
    assert theirs.counts["incomplete"] == 1
    assert "soil" in theirs.failures[0]["message"]


def test_answers_older_than_a_day_are_forgotten_by_the_night(sky: SkySource) -> None:
    place = garden()
    now = timezone.now()
    for key, age in (("old", 25), ("new", 23)):
        KeptAnswer.objects.create(
            company=place.company,
            by=place.owner,
            key=key,
            request="0" * 64,
            kept_at=now - timedelta(hours=age),
        )
    night()
    assert KeptAnswer.objects.get().key == "new"
