"""What a test of a zone showed, and what is too much about it, in words."""

from collections.abc import Callable
from dataclasses import dataclass

from common import units as convert
from desk import figures
from fleet.models import Finding, ZoneTest
from fleet.numerics.zone_faults import FAULTS
from fleet.selectors.flow_checks import MEASURED, TABLE, TEST, FlowCheck, check_of
from scheduling.selectors.zone_warnings import TooMuch

FROM = {
    TEST: "as in its last test",
    MEASURED: "as measured before",
    TABLE: "by the usual rate of its heads and its area",
}


@dataclass(frozen=True)
class Shown:
    """One thing a test showed: its words, what to press to make it a finding, and whether it is one."""

    what: str
    words: str
    found: bool


def flow_words(check: FlowCheck, units: str) -> str:
    """Return how a flow compares with what was expected."""
    measured = figures.flow(check.flow_l_min, units)
    expected = (
        f"{figures.flow(check.expected.flow_l_min, units)} {FROM.get(check.expected.how, 'by its survey')}"
    )
    if check.verdict == "as expected":
        return f"{measured}: as expected ({expected})."
    points = figures.number(abs(check.off) * 100)
    more = "more" if check.verdict == "higher" else "less"
    limit = figures.number(check.expected.tolerance * 100)
    return (
        f"{measured}: {points} % {more} than expected ({expected}). "
        f"Likely {check.causes}. Told from {limit} % on: common practice, no source."
    )


def finding_words(check: FlowCheck, units: str) -> str:
    """Return a flow that is off as the note of a finding."""
    points = f"{'+' if check.off > 0 else figures.MINUS}{figures.number(abs(check.off) * 100)} %"
    measured, expected = (figures.flow(one, units) for one in (check.flow_l_min, check.expected.flow_l_min))
    return f"Flow {measured}, expected {expected} ({points})".replace(figures.NBSP, " ")


def shown_by(test: ZoneTest, findings: list[Finding], units: str) -> list[Shown]:
    """Return what a test showed that somebody should mend; ``findings`` are the open ones of its zone."""
    notes = {(finding.part, finding.note) for finding in findings}
    shown = [
        Shown(key, FAULTS[key].words, (FAULTS[key].part, FAULTS[key].words) in notes)
        for key in test.seen
        if key in FAULTS
    ]
    check = check_of(test)
    if check is not None and check.verdict != "as expected":
        note = finding_words(check, units)
        shown.append(Shown("flow", note, ("something else", note) in notes))
    return shown


def _speed(m_s: float, units: str) -> str:
    if units == "us":
        return f"{m_s / convert.M_PER_FOOT:.1f}{figures.NBSP}ft/s"
    return f"{m_s:.1f}{figures.NBSP}m/s"


def _velocity(one: TooMuch, units: str) -> str:
    return (
        f"Water runs at {_speed(one.has, units)} through {one.pipe} pipe; over {_speed(one.most, units)} it "
        f"wears and hammers. This pipe carries up to {figures.flow(one.flow_l_min, units)}. Inside widths by "
        "ASTM D1785 and D2241, the limit an industry rule, from memory."
    )


def _main(one: TooMuch, units: str) -> str:
    return "Main pipe: " + _velocity(one, units)


def _supply(one: TooMuch, units: str) -> str:
    return (
        f"What runs at once takes {figures.flow(one.has, units)}; {one.names[0]} gives "
        f"{figures.flow(one.most, units)}. Heads will be short of pressure."
    )


def _sharing(one: TooMuch, units: str) -> str:
    return (
        f"{one.names[0]} gives {figures.flow(one.most, units)}; the largest zones of "
        f"{', '.join(one.names[1:])} take {figures.flow(one.has, units)} if they "
        "run at the same time. Keep their starts apart."
    )


def _short(one: TooMuch, units: str) -> str:
    return (
        f"On this slope and soil water runs off after {one.has:.1f} minutes, and under {one.most:.0f} "
        "minutes a zone barely comes up to pressure. Slower heads would help."
    )


def _steep(one: TooMuch, units: str) -> str:
    return (
        f"{figures.rate(one.has, units)} on a slope over 25 %: some ordinances allow "
        f"{figures.rate(one.most, units)} at most (California's model ordinance, from memory). Local codes "
        "decide."
    )


WAYS: dict[str, Callable[[TooMuch, str], str]] = {
    "velocity": _velocity,
    "main velocity": _main,
    "supply": _supply,
    "sharing": _sharing,
    "short cycle": _short,
    "steep": _steep,
}


def warnings_of(found: list[TooMuch], units: str) -> list[str]:
    """Return what is too much, in words."""
    return [WAYS[one.kind](one, units) for one in found]
