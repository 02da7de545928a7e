"""Velocity and friction against printed pipe figures."""

import numpy as np
import pytest

from fleet.numerics.hydraulics import PIPES, flow_at_velocity, friction_kpa, velocity_m_s

L_PER_GALLON, M_PER_FT, KPA_PER_PSI = 3.785411784, 0.3048, 6.894757
SCHEDULE_40 = [pipe.inside_mm for pipe in PIPES if pipe.name.startswith("Schedule 40")]
CLASS_200 = [pipe.inside_mm for pipe in PIPES if pipe.name.startswith("Class 200")]


def test_velocity_is_the_customary_formula():
    # v = 0.4085 Q / d2 in ft/s, gpm and in: fire-protection reference. 13 gpm in 1.029 in.
    v = velocity_m_s(13.0 * L_PER_GALLON, 1.029 * 25.4)
    assert float(v) / M_PER_FT == pytest.approx(0.4085 * 13.0 / 1.029**2, rel=3e-4)


def test_flows_at_five_feet_a_second():
    # Computed from the same formula for schedule 40 and class 200 pipe, in gpm.
    assert flow_at_velocity(SCHEDULE_40) / L_PER_GALLON == pytest.approx(
        [4.4, 7.9, 13.0, 22.6, 30.9, 51.3], abs=0.06
    )
    assert flow_at_velocity(CLASS_200) / L_PER_GALLON == pytest.approx(
        [10.6, 17.3, 27.6, 36.2, 56.5], abs=0.06
    )


def test_friction_is_the_customary_formula():
    # p = 4.52 Q^1.85 / (C^1.85 d^4.87) psi/ft, fire-protection reference: 7.9, 5.7 ... psi per 100 ft.
    per_100_ft = friction_kpa(flow_at_velocity(SCHEDULE_40), SCHEDULE_40, 100 * M_PER_FT) / KPA_PER_PSI
    assert per_100_ft == pytest.approx([7.9, 5.7, 4.2, 3.1, 2.6, 1.9], abs=0.08)


def test_nothing_flows_nothing_is_lost_and_nan_stays():
    assert friction_kpa(0, 20, 10) == 0
    assert np.isnan(velocity_m_s([1.0, np.nan], 20.0)).tolist() == [False, True]


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: velocity_m_s(-1, 20), "flow_l_min"),
        (lambda: velocity_m_s(1, 0), "inside_mm"),
        (lambda: flow_at_velocity(20, velocity_m_s=-1), "velocity_m_s"),
        (lambda: friction_kpa(1, 20, -1), "length_m"),
        (lambda: friction_kpa(1, 20, 1, smoothness=0), "smoothness"),
    ],
)
def test_impossible_pipes_are_refused(call, message):
    with pytest.raises(ValueError, match=message):
        call()
