"""What each value of a policy is: its words, what it measures, and its bounds. The one place that says so.

Both forms, the company's and a client's, the services behind them and the back office go by it. Bounds are in
the units a value is stored in, both included: common practice, no source.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

Measure = Literal["yes or no", "points", "percent", "share", "litres a week", "temperature", "wind"]
WHOLE: frozenset[Measure] = frozenset({"points", "percent"})


@dataclass(frozen=True)
class PolicyField:
    """One value of a policy; ``effect`` says in a sentence what it does."""

    name: str
    label: str
    measure: Measure
    effect: str
    low: float = 0
    high: float = 500

    def holds(self, value: Any) -> bool:
        """Tell whether a value, in the units it is stored in, lies within the bounds; None always does."""
        return value is None or self.measure == "yes or no" or self.low - 1e-9 <= value <= self.high + 1e-9


POLICY_FIELDS = (
    PolicyField(
        "auto_skips",
        "Approve skips by themselves",
        "yes or no",
        "A skip for rain, frost or wind is approved without anybody looking at it.",
    ),
    PolicyField(
        "auto_move_points",
        "Approve percent moves by themselves, up to",
        "points",
        "A move of no more than this many points is approved without anybody looking at it; 0 approves none.",
    ),
    PolicyField(
        "percent_min", "Least percent", "percent", "No program is proposed a lower percent than this."
    ),
    PolicyField(
        "percent_max", "Greatest percent", "percent", "No program is proposed a higher percent than this."
    ),
    PolicyField(
        "dead_band_points",
        "Leave moves alone that are smaller than",
        "points",
        "A smaller move is only proposed if it spares plants from drying.",
    ),
    PolicyField(
        "uniformity_margin",
        "Share of the extra water for uneven heads",
        "share",
        "At 100 % the drier parts of a zone get all they need; at 0 % the zone is watered to its average and "
        "they get less.",
        high=1,
    ),
    PolicyField(
        "visit_worth_l",
        "A drive of its own is worth it from",
        "litres a week",
        "A change that needs a drive is proposed from this much water a week on; below that it waits for "
        "the next visit, unless plants would run dry.",
        high=10_000_000,
    ),
    PolicyField(
        "freeze_skip_below_c",
        "Skip a night for frost below",
        "temperature",
        "A skip is proposed where the night is forecast colder than this. Water on walkways freezes.",
        low=-30,
        high=15,
    ),
    PolicyField(
        "wind_skip_above_m_s",
        "Skip a night for wind above",
        "wind",
        "A skip is proposed where heads spray into the air and plants can wait a night; mean wind at 2 m "
        "(7 ft).",
        high=40,
    ),
)
POLICY_FIELD = {field.name: field for field in POLICY_FIELDS}


def out_of_bounds(values: Mapping[str, Any]) -> list[PolicyField]:
    """Return the fields whose value lies out of bounds."""
    return [field for field in POLICY_FIELDS if not field.holds(values.get(field.name))]
