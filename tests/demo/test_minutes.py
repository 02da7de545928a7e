"""The minutes the invented contractor once entered."""

import pytest

from fleet.models import Controller, Zone
from scheduling.demo.minutes import days_between, entered


def lawn(number: int = 1) -> Zone:
    """Return grass on loam, roots 178 mm deep, under sprays of 40.6 mm/h at DU 0.65, nearly level."""
    return Zone(
        controller=Controller(serial_number="a", cycle_and_soak=True),
        number=number,
        plant="cool_turf",
        head="spray",
        soil="loam",
        slope_percent=2.0,
        sun="full",
        root_depth_mm=178.0,
        wetted_share=1.0,
        precipitation_rate_mm_h=40.6,
        uniformity=0.65,
    )


@pytest.mark.parametrize(
    ("days", "between"), [("daily", 1.0), ("odd", 2.0), ("mon thu", 3.5), ("mon wed fri sun", 1.75)]
)
def test_days_between_waterings_follow_from_the_pattern(days, between):
    assert days_between(days) == between


def test_minutes_are_those_of_the_handbook_give_or_take_15_percent():
    # By hand: 7.6 x 0.94 x 1.75 = 12.50 mm, under 0.9 RAW of 13.62 mm; 60 x 12.50 / 40.6 = 18.48 min;
    # x RTM 1 / (0.4 + 0.6 x 0.65) = 1.2658: 23.39 min. Formulas: IA (2005), lower and upper run time.
    minutes = [
        entered(z, z.controller, days="mon wed fri sun", starts=1, share=1.0).minutes
        for z in map(lawn, range(1, 60))
    ]

    assert 19 < min(minutes) < 22  # 23.39 less 15 percent is 19.9
    assert 25 < max(minutes) < 28  # and 26.9 with 15 percent more
    assert all(m == round(m) for m in minutes)


def test_a_depth_never_exceeds_what_the_roots_can_hold():
    # 0.9 x 0.17 x 178 x 0.5 = 13.62 mm; 60 x 13.62 / 40.6 x 1.2658 = 25.47 min, and 15 percent on top.
    minutes = [
        entered(z, z.controller, days="mon", starts=1, share=1.0).minutes for z in map(lawn, range(1, 60))
    ]

    assert max(minutes) <= 29


def test_a_run_that_would_run_off_is_split():
    # 60 x 7.62 / (40.6 - 8.89) = 14.4 min; after 14 min the soil needs 14 x (40.6 / 8.89 - 1) = 49.9 min.
    zone = lawn()
    run = entered(zone, zone.controller, days="mon wed fri sun", starts=1, share=1.0)

    assert (run.cycle, run.soak) == (14, 50)


def test_a_controller_without_cycles_gets_two_starts_of_half_the_minutes():
    zone = lawn()
    zone.controller.cycle_and_soak = False
    run = entered(zone, zone.controller, days="mon wed fri sun", starts=2, share=1.0)

    assert 9 <= run.minutes <= 14
    assert (run.cycle, run.soak) == (None, None)
