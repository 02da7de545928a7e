"""What a reason says where figures are zero, and where its zone isn't the one at risk."""

from typing import Any

import pytest

from scheduling.services.wording import WeekFigures, percent_reason, two_zones


def reason(
    soil_gives_mm: float, units: str, *, proposed: int = 85, given_mm: float = 23.0, **more: Any
) -> str:
    usual: dict[str, Any] = {"enough": True, "night_full": False}
    tonight = {"without_tonight": more.pop("without_tonight", False)}
    return percent_reason(
        current=90,
        proposed=proposed,
        zone_number=4,
        plant="ground cover",
        figures=WeekFigures(
            uses_mm=21.0, rain_mm=4.0, soil_gives_mm=soil_gives_mm, given_now_mm=given_mm, **tonight
        ),
        units=units,
        **(usual | more),
    )


NOTHING = pytest.mark.parametrize(
    ("gives_mm", "units"), [(0.0, "us"), (0.12, "us"), (0.0, "metric"), (0.49, "metric")]
)


@NOTHING
def test_what_would_be_written_as_zero_is_said_in_words(gives_mm: float, units: str):
    told = reason(gives_mm, units, proposed=95, given_mm=12.0)
    assert told.endswith("; the soil has nothing left to give.")


@NOTHING
def test_less_water_is_never_explained_by_a_dry_soil(gives_mm: float, units: str):
    assert reason(gives_mm, units).endswith("; over all the days looked at plants live well with 85 %.")


def test_a_week_that_would_not_add_up_at_the_new_percent_is_told_what_it_rests_on():
    # At 85 % it gets 18 x 85 / 90 = 17.0 mm; with 4 of rain 21.0 and what the soil gives it uses 21: enough.
    assert reason(0.6, "metric", given_mm=18.0).endswith("; the soil can still give 1 mm.")
    # Of 16 mm 15.1 are left; with 4 of rain and 1 of the soil that is 20.1 of 21.
    assert reason(1.0, "metric", given_mm=16.0).endswith(
        "; the soil can still give 1 mm, and over all the days looked at plants live well with 85 %."
    )


@pytest.mark.parametrize(
    ("gives_mm", "units", "told"), [(0.13, "us", "0.01 inches"), (0.51, "metric", "1 mm")]
)
def test_what_there_is_is_told(gives_mm: float, units: str, told: str):
    assert reason(gives_mm, units).endswith(f"; the soil can still give {told}.")


def test_a_night_proposed_to_be_left_out_is_said_with_the_figures_that_leave_it_out():
    told = reason(9.0, "metric", proposed=95, given_mm=12.0, without_tonight=True)
    assert told.startswith(
        "Zone 4 (ground cover) uses 21 mm this week but gets only 12 mm at 90 % with tonight left out"
    )


@pytest.mark.parametrize(("proposed", "told"), [(85, "90 %"), (95, "more")])
def test_a_night_too_short_for_what_is_set_is_told_apart_from_one_too_short_for_more(
    proposed: int, told: str
):
    words = reason(0.0, "metric", proposed=proposed, enough=False, night_full=True)
    assert words.startswith(f"The night has no room for {told}: zone 4")


def test_another_zone_at_risk_is_explained():
    assert two_zones(2, 2) == ""
    assert two_zones(2, 1) == (
        " Zone 2 is short the most over all these days, zone 1 is the driest on one of them."
    )
