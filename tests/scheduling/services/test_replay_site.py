"""A site's past lived through again: its own programs and weather, and the nightly run's own decision."""

import json
from datetime import date, timedelta
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from fleet.models import Site
from scheduling.models import Change
from scheduling.numerics.replay.foresight import Errors
from scheduling.numerics.replay.rules import NIGHTLY
from scheduling.selectors.replay.living import replayed
from scheduling.services.nightly import run_night
from scheduling.services.replay_site import season_of_site
from tests.night.garden import ON, TIMEZONE, Garden, garden, policy, weather
from tests.scheduling.selectors.replay.rescored import rescored, unbalanced

pytestmark = pytest.mark.django_db
FIRST, LAST = ON - timedelta(days=50), ON - timedelta(days=1)


@pytest.fixture
def heron(settings) -> Garden:
    settings.AS_OF = ON
    settings.WEATHER_SOURCE = "invented"
    made = garden(minutes=40.0, zones=2)
    weather(made.cell)
    return made


def copied(site: Site, *, name: str) -> Site:
    other = Site.objects.get(pk=site.pk)
    other.pk, other.name = None, name
    other._state.adding = True
    other.save()
    return other


def laid(heron: Garden, **changes):
    told: dict[str, Any] = {"first": FIRST, "last": LAST, "on": ON, "errors": Errors(), "seed": 1}
    return season_of_site(heron.site, **(told | changes))


def printed(capsys, *words: str):
    call_command("replay", "--site", *words, "--from", str(FIRST), "--to", str(LAST), "--json")
    return json.loads(capsys.readouterr().out)


def test_water_lands_on_the_days_the_program_waters(heron):
    season = laid(heron).season
    wet = {season.day(n).weekday() for n in range(season.days) if season.starts[n, 0]}
    assert wet == {0, 2, 4}
    assert season.starts[0, 0] == 0
    assert season.zones == ["1 Lawn 1", "2 Lawn 2"]
    assert season.programs == ["A Lawns"]


def test_the_json_adds_up(heron, capsys):
    told = printed(capsys, str(heron.site.pk))
    assert len(told["zones"]) == 2
    for zone in told["zones"]:
        assert len(zone["days"]) == 50
        assert unbalanced(zone) == []
        assert rescored(zone)["adequacy"] == pytest.approx(zone["season"]["adequacy"])


def test_the_last_morning_decides_what_the_nightly_run_decides_from_the_same(heron):
    """With policy that lets moves happen by themselves, both judge the seven days a forecast sees."""
    policy(heron, auto_move_points=500)
    run_night(on=ON, timezone=TIMEZONE)
    change = Change.objects.get(program=heron.program, kind="percent")
    inputs = change.inputs
    assert (inputs["first_day"], inputs["last_day"]) == (1, 7)
    assert inputs["bearable"] == NIGHTLY.bearable
    assert inputs["margin"] == NIGHTLY.margin
    assert inputs["tolerance"] == NIGHTLY.tolerance
    season = laid(heron).season
    row = [int(p) for p in inputs["percents"]].index(change.proposed)
    run = inputs["units"][0]["runs"][0]
    assert season.landscape.depths.net_mm[change.proposed, 0] == pytest.approx(run["net_mm"][row])
    assert season.landscape.ground.raw_mm[0] == pytest.approx(inputs["units"][0]["raw_mm"])


def test_decided_each_morning_it_gives_less_than_left_at_100(heron):
    season = laid(heron)
    found = replayed(
        season.season, rules=NIGHTLY, forecasts=season.forecasts, first_percent=season.first_percent
    )
    assert found.decided.worst > 0.97
    assert found.decided.score.gross_mm.sum() != found.at_100.score.gross_mm.sum()


@pytest.mark.parametrize(
    ("first", "last", "told"),
    [
        (ON, ON, "must end before"),
        (LAST, FIRST, "lies before"),
        (FIRST - timedelta(400), LAST, "never observed"),
    ],
)
def test_a_stretch_that_cannot_be_is_refused(heron, first, last, told):
    with pytest.raises(CommandError, match=told):
        call_command("replay", "--site", str(heron.site.pk), "--from", str(first), "--to", str(last))


def test_a_site_can_be_lived_through_on_the_weather_of_a_file(heron, capsys, tmp_path):
    """Its own zones, by their ids, and the file's days, which may be any."""
    days = [date(2024, 2, 20) + timedelta(days=n) for n in range(30)]
    file = tmp_path / "weather.csv"
    file.write_text("Date, t_min_c, t_max_c, rain_mm\n" + "\n".join(f"{day}, 9, 24, 0" for day in days))
    words = ["--site", str(heron.site.pk), "--weather", str(file), "--programs", "6", "--json"]
    call_command("replay", *words, "--from", str(days[0]), "--to", str(days[-1]))
    told = json.loads(capsys.readouterr().out)
    assert [zone["id"] for zone in told["zones"]] == [zone.pk for zone in heron.zones]
    assert told["zones"][0]["days"][9]["date"] == "2024-02-29"
    assert any("--programs" in note for note in told["notes"])
    assert any("the file's" in note for note in told["notes"])


def test_what_a_season_leaves_out_is_said(heron, capsys):
    heron.controller.rain_sensor = True
    heron.controller.save()
    notes = " ".join(printed(capsys, str(heron.site.pk), "--delivery", "weekly")["notes"])
    assert "Rain and freeze sensors are left out" in notes
    assert "Delivered weekly: no night is left out for rain." in notes


def test_a_company_is_lived_through_as_one_and_what_cannot_be_is_named(heron, capsys):
    bare = copied(heron.site, name="Bare ground")
    words = ["--company", str(heron.company.pk), "--from", str(FIRST), "--to", str(LAST)]
    call_command("replay", *words, "--json")
    told = json.loads(capsys.readouterr().out)
    alone = printed(capsys, str(heron.site.pk))
    assert [{**zone, "site": heron.site.pk} for zone in alone["zones"]] == told["zones"]
    assert told["landscape"] == alone["landscape"]
    assert [(one["id"], "complete enough" in one["reason"]) for one in told["left_out"]] == [(bare.pk, True)]
    call_command("replay", *words)
    assert "Bare ground is left out" in capsys.readouterr().out
    with pytest.raises(CommandError, match="no such company"):
        call_command("replay", "--company", "987654", *words[2:])


def test_a_single_day_is_a_table_without_ratios(capsys, tmp_path):
    file = tmp_path / "weather.csv"
    file.write_text("date,t_min_c,t_max_c\n2026-05-01,9,24\n")
    words = ["--weather", str(file), "--latitude", "36", "--elevation", "2"]
    call_command("replay", *words, "--from", "2026-05-01", "--to", "2026-05-01")
    told = capsys.readouterr().out
    assert "nan" not in told
    assert "Protocol: 0 windows" in told


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--site", "987654"], "no site"),
        ([], "needs --weather"),
        (["--delivery", "pigeon"], "delivery"),
        (["--delivery", "visit:²"], "accepted are"),
        (["--seed", "-1"], "seed"),
        (["--site", "x"], "invalid int"),
        (["--weather", "nowhere.csv", "--latitude", "36", "--elevation", "2"], "nowhere.csv"),
        (["--weather", "nowhere.csv", "--latitude", "96", "--elevation", "2"], "latitude is 96"),
    ],
)
def test_words_that_cannot_be_are_refused(words, told):
    with pytest.raises(CommandError, match=told):
        call_command("replay", *words, "--from", "2026-05-01", "--to", "2026-06-01")


def test_a_file_that_is_no_table_is_refused(tmp_path):
    broken = tmp_path / "weather.csv"
    broken.write_text("date,t_min_c,t_max_c\n" + "9" * 200_000)  # longer than any cell may be
    words = ["--weather", str(broken), "--latitude", "36", "--elevation", "2"]
    with pytest.raises(CommandError, match="field larger"):
        call_command("replay", *words, "--from", "2026-05-01", "--to", "2026-06-01")
