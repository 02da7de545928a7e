"""Trims, corrections of sites and cuts multiplied day by day, against a walk over the days."""

from datetime import date, timedelta

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from scheduling.season.need_factors import need_factors

UNHURRIED = settings(
    deadline=None, suppress_health_check=[HealthCheck.too_slow]
)  # a busy machine is no fault
FIRST = date(2026, 5, 1)
days = st.integers(0, 40)
factors = st.sampled_from([0.5, 0.8, 1.0, 1.2])


@UNHURRIED
@given(
    st.dictionaries(days, factors, max_size=4),
    st.lists(st.tuples(days, days, factors), max_size=4),
    st.dictionaries(days, factors, max_size=4),
    days,
)
def test_a_factor_is_the_trim_times_the_correction_times_the_cut_of_the_day(trims, spans, sites, on):
    cuts, free = [], 0
    for start, lasts, factor in spans:  # one after another
        begin = free + start
        free = begin + lasts + 1
        cuts.append((7, FIRST + timedelta(days=begin), FIRST + timedelta(days=free - 1), factor))
    trimmed = [(7, FIRST + timedelta(days=n), f) for n, f in sorted(trims.items())]
    corrections = [(3, FIRST + timedelta(days=n), f) for n, f in sorted(sites.items())]
    today = FIRST + timedelta(days=on)
    marks = need_factors(trimmed, cuts, on=today, corrections=corrections, site_of={7: 3, 8: 4})
    assert all(mark[1] <= today for mark in marks)
    for n in range(on + 1):
        day = FIRST + timedelta(days=n)
        trim = next((f for _, since, f in reversed(trimmed) if since <= day), 1.0)
        site = next((f for _, since, f in reversed(corrections) if since <= day), 1.0)
        cut = next((f for _, a, b, f in cuts if a <= day <= b), 1.0)
        assert next((f for _, since, f in reversed(marks) if since <= day), 1.0) == trim * site * cut


def test_a_correction_reaches_every_zone_of_its_site_and_no_other():
    marks = need_factors([], [], on=FIRST, corrections=[(3, FIRST, 0.8)], site_of={7: 3, 8: 3, 9: 4})
    assert marks == [(7, FIRST, 0.8), (8, FIRST, 0.8)]
