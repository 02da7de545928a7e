"""What a percent does if a month's weather lasted, against the balance of one day at a time."""

import numpy as np
import pytest

from scheduling.numerics.lasting_stress import lasting_stress
from scheduling.numerics.soil_water import one_day

DAYS = 84


def slowly(net, starts, et, taw, raw, *, margin=0.9, judged=28):
    """Return the same for one unit with one run, day by day."""
    depletion, stress = margin * raw, []
    for day in range(len(starts)):
        depletion = float(
            one_day(
                depletion, irrigation_mm=net * starts[day], rain_mm=0.0, et_mm=et, taw_mm=taw, raw_mm=raw
            ).depletion_mm
        )
        stress.append(max(0.0, depletion - margin * raw) / raw)
    return sum(stress[-judged:]) / judged


def test_it_is_the_balance_of_every_day():
    random = np.random.default_rng(3)
    units = 12
    starts = random.integers(0, 3, (DAYS, units))
    net = np.sort(random.uniform(0, 12, (5, units)), axis=0)
    taw = random.uniform(20, 90, units)
    raw, et = taw * random.uniform(0.3, 0.7, units), random.uniform(0, 8, units)
    found = lasting_stress(
        net_mm=net, starts=starts, unit_of_run=np.arange(units), et_mm_day=et, taw_mm=taw, raw_mm=raw
    )
    for p in range(5):
        for u in range(units):
            slow = slowly(net[p, u], starts[:, u], et[u], taw[u], raw[u])
            assert found[p, u] == pytest.approx(slow, abs=1e-9)
    assert (np.diff(found, axis=0) <= 1e-12).all()  # more water, no more stress


def test_what_is_needed_every_day_is_enough_and_a_tenth_less_is_not():
    for taw in (20.0, 200.0):  # also where the soil would hide it for weeks
        stress = lasting_stress(
            net_mm=np.array([[4.5], [5.0]]),
            starts=np.ones((364, 1), int),
            unit_of_run=np.array([0]),
            et_mm_day=np.array([5.0]),
            taw_mm=np.array([taw]),
            raw_mm=np.array([taw / 2]),
        )
        assert stress[1, 0] == 0
        assert stress[0, 0] > 0.05


def test_runs_of_one_unit_add_up_in_any_order():
    one = lasting_stress(
        net_mm=np.array([[3.0, 1.0, 2.0]]),
        starts=np.ones((60, 3), int),
        unit_of_run=np.array([1, 0, 1]),
        et_mm_day=np.array([2.0, 5.0]),
        taw_mm=np.array([40.0, 40.0]),
        raw_mm=np.array([20.0, 20.0]),
    )
    assert one[0, 0] > 0
    assert one[0, 1] == 0


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"raw_mm": np.array([50.0])}, "raw_mm"),
        ({"et_mm_day": np.array([-1.0])}, "et_mm_day"),
        ({"margin": 1.5}, "margin"),
        ({"judged_days": 60}, "judged_days"),
        ({"starts": np.ones((60, 2), int)}, "shape"),
    ],
)
def test_what_is_out_of_range(change, message):
    right = {
        "net_mm": np.array([[3.0]]),
        "starts": np.ones((60, 1), int),
        "unit_of_run": np.array([0]),
        "et_mm_day": np.array([2.0]),
        "taw_mm": np.array([40.0]),
        "raw_mm": np.array([20.0]),
    }
    with pytest.raises(ValueError, match=message):
        lasting_stress(**(right | change))
