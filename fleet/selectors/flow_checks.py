"""Whether a zone takes the water it should: what was expected, how far off it is, and what that may mean."""

from dataclasses import dataclass

from fleet.models import Zone, ZoneTest
from fleet.numerics.flow_check import OFF_FROM_SURVEY, OFF_FROM_TEST, Against, against, flow_expected, off_by
from fleet.numerics.heads import HEADS

TEST, MEASURED, SURVEY, TABLE = "test", "measured", "survey", "table"

# Common practice, no source.
CAUSES: dict[Against, str] = {
    "higher": "a broken head, a leak in a pipe, or another valve that is open too",
    "lower": "clogged nozzles or a clogged filter, a valve not fully open, or too little pressure",
    "as expected": "",
}


@dataclass(frozen=True)
class Expected:
    """A flow to compare with, and where it is from."""

    flow_l_min: float
    how: str

    @property
    def tolerance(self) -> float:
        """Return how far off a flow may be."""
        return OFF_FROM_TEST if self.how in (TEST, MEASURED) else OFF_FROM_SURVEY


@dataclass(frozen=True)
class FlowCheck:
    """A measured flow beside the expected one; ``off`` is a share, above 0 where more flows than expected."""

    flow_l_min: float
    expected: Expected
    off: float
    verdict: Against

    @property
    def causes(self) -> str:
        """Return what the difference may mean, "" where there is none."""
        return CAUSES[self.verdict]


def expectation_of(zone: Zone, *, before: ZoneTest | None = None) -> Expected | None:
    """Return what a zone should take: as in its last test, else as surveyed, else its rate times its area.

    Parameters
    ----------
    zone
        The zone.
    before
        The test that is asked about; only earlier ones count.
    """
    tests = ZoneTest.objects.filter(zone=zone, flow_l_min__gt=0)
    if before is not None and before.pk is not None:
        tests = tests.filter(pk__lt=before.pk)
    last = tests.order_by("-date", "-pk").first()
    return Expected(last.flow_l_min, TEST) if last is not None and last.flow_l_min else _by_survey(zone)


def check_of(test: ZoneTest) -> FlowCheck | None:
    """Return how a test's flow compares with what was expected then; None where one of them isn't known."""
    if test.flow_l_min is None or not test.expected_l_min:
        return None
    expected = Expected(test.expected_l_min, test.expected_from)
    return FlowCheck(
        flow_l_min=test.flow_l_min,
        expected=expected,
        off=off_by(test.flow_l_min, expected.flow_l_min),
        verdict=against(test.flow_l_min, expected.flow_l_min, tolerance=expected.tolerance),
    )


def _by_survey(zone: Zone) -> Expected | None:
    if zone.flow_l_min:
        measured = zone.basis.get("flow_l_min") == "measured"
        return Expected(zone.flow_l_min, MEASURED if measured else SURVEY)
    if not zone.area_m2:
        return None
    if zone.precipitation_rate_mm_h:
        return Expected(float(flow_expected(zone.precipitation_rate_mm_h, zone.area_m2)), SURVEY)
    if zone.head in HEADS:
        return Expected(float(flow_expected(HEADS[zone.head].rate_mm_h.value, zone.area_m2)), TABLE)
    return None
