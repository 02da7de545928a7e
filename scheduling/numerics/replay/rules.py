"""How a replay decides: the rules of the nightly run, and how often word reaches the controller."""

from dataclasses import dataclass, replace

from scheduling.numerics.percent_search import BEARABLE, BEARABLE_UNSEEN, MARGIN, TOLERANCE
from scheduling.numerics.replay.foresight import FORECAST_DAYS

RAIN_SHARE = 0.8
NORMAL_DAYS = 7
WORTH_IT_STRESS = 0.05
RAIN_COUNTS_FROM_MM = 2.0
LONGEST_HOLD_DAYS = 120


@dataclass(frozen=True, slots=True)
class Rules:
    """The rules of a replay.

    ``every`` days from one decision to the next, 1 or more; ``judged`` days of the horizon a percent is
    judged on, from the first its water lands on, at least ``every``; ``skips`` whether a coming night can be
    left out; ``margin``, ``tolerance``, ``bearable`` as in ``percent_search.search``; ``rain_share`` of the
    rain that reaches the roots [-]; ``dead_band`` a smaller move is left undone, as a ratio, unless it
    spares stress; ``rain_credit`` of forecast rain, None for what its source has earned [-].
    """

    every: int = 1
    judged: int = FORECAST_DAYS
    skips: bool = True
    margin: float = MARGIN
    tolerance: float = TOLERANCE
    bearable: float = BEARABLE
    rain_share: float = RAIN_SHARE
    rain_counts_from_mm: float = RAIN_COUNTS_FROM_MM
    dead_band: float = 0.0
    rain_credit: float | None = None

    def __post_init__(self) -> None:
        """Check what can be."""
        if not 1 <= self.every <= LONGEST_HOLD_DAYS:
            raise ValueError(f"every is {self.every}, accepted range 1 to {LONGEST_HOLD_DAYS}")
        if self.judged < self.every:
            raise ValueError(f"judged is {self.judged}, accepted range {self.every} and more")


NIGHTLY = Rules()


def delivered(word: str, rules: Rules = NIGHTLY) -> Rules:
    """Return the rules where word arrives ``nightly``, ``weekly`` or every N days (``visit:N``).

    What stays for longer is judged for longer: to the decision after the next, or the last day a forecast
    and as many normal days reach. Without word every night no night can be left out.

    Raises
    ------
    ValueError
        If the word is none of these.
    """
    if word == "nightly":
        return rules
    if word == "weekly":
        return replace(rules, every=7, judged=FORECAST_DAYS + NORMAL_DAYS - 1, skips=False)
    kind, _, days = word.partition(":")
    if kind == "visit" and days.isascii() and days.isdigit() and 1 <= int(days) <= LONGEST_HOLD_DAYS:
        held = int(days)
        return replace(
            rules,
            every=held,
            judged=max(held, FORECAST_DAYS + NORMAL_DAYS - 1),
            skips=False,
            bearable=BEARABLE_UNSEEN,
        )
    raise ValueError(
        f"delivery is {word!r}, accepted are nightly, weekly and visit:N, N 1 to {LONGEST_HOLD_DAYS}"
    )
