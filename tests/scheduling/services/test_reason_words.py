"""What a reason says where figures are zero, and where its zone isn't the one at risk."""

import pytest

from scheduling.services.wording import WeekFigures, percent_reason, two_zones


def reason(soil_gives_mm: float, units: str) -> str:
    return percent_reason(
        current=90,
        proposed=85,
        zone_number=4,
        plant="ground cover",
        figures=WeekFigures(uses_mm=21.0, rain_mm=4.0, soil_gives_mm=soil_gives_mm, given_now_mm=23.0),
        enough=True,
        night_full=False,
        units=units,
    )


@pytest.mark.parametrize(
    ("gives_mm", "units"), [(0.0, "us"), (0.12, "us"), (0.0, "metric"), (0.49, "metric")]
)
def test_what_would_be_written_as_zero_is_said_in_words(gives_mm: float, units: str):
    assert reason(gives_mm, units).endswith("; the soil has nothing left to give.")


@pytest.mark.parametrize(
    ("gives_mm", "units", "told"), [(0.13, "us", "0.01 inches"), (0.51, "metric", "1 mm")]
)
def test_what_there_is_is_told(gives_mm: float, units: str, told: str):
    assert reason(gives_mm, units).endswith(f"; the soil can still give {told}.")


def test_another_zone_at_risk_is_explained():
    assert two_zones(2, 2) == ""
    assert two_zones(2, 1) == (
        " Zone 2 is short the most over all these days, zone 1 is the driest on one of them."
    )
