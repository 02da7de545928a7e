"""Amounts as they are typed while a site is set up: in the draft's units, SI inside."""

from collections.abc import Callable
from dataclasses import dataclass

from common import units as convert
from common.errors import Refused
from desk.blanks import may_be_decimal, number, plain, whole, without_thousands

CM_IN_MM = 10.0
SPELT = {"ft²": ("sq ft", "sq. ft.", "sqft", "ft2", "sf"), "m²": ("m2", "sqm", "sq m")}


@dataclass(frozen=True)
class Amount:
    """One kind of amount: its unit and factor in each system, how many decimals, and the SI range allowed."""

    us: str
    us_si: float
    metric: str
    metric_si: float
    decimals: tuple[int, int]
    low: float
    high: float

    def unit(self, units: str) -> str:
        """Return the word beside the number."""
        return self.us if units == "us" else self.metric

    def factor(self, units: str) -> float:
        """Return how much SI one unit is."""
        return self.us_si if units == "us" else self.metric_si

    def text(self, si: float | None, units: str) -> str:
        """Return an amount as it is typed."""
        if si is None:
            return ""
        return plain(si / self.factor(units), self.decimals[units != "us"])

    def read(self, text: str, units: str) -> float | None:
        """Return what was typed in SI, None where nothing was.

        Raises
        ------
        Refused
            If it isn't a number, or lies outside the range.
        """
        if not text.strip():
            return None
        value = round(self.typed(text, units) * self.factor(units), 6)
        if not self.low - 1e-9 <= value <= self.high + 1e-9:
            low, high = self.text(self.low, units), self.text(self.high, units)
            raise Refused(f"Between {low or 0} and {high} {self.unit(units)}.")
        return min(max(value, self.low), self.high)

    def typed(self, text: str, units: str) -> float:
        """Return a typed number in its own unit, which may stand behind it; thousands may be parted.

        Where units are metric, a comma stands before decimals as often as between thousands: that is asked
        back.
        """
        text, unit = text.strip(), self.unit(units)
        for spelt in (unit, *SPELT.get(unit, ())):
            if text.lower().endswith(spelt.lower()):
                text = text[: -len(spelt)].strip()
                break
        if units != "us" and may_be_decimal(text):
            either = f"{without_thousands(text)}, or {text.replace(',', '.')}"
            raise Refused(f"Type {either} if the comma stands before decimals.")
        return number(without_thousands(text))


AREA = Amount("ft²", convert.M2_PER_SQUARE_FOOT, "m²", 1.0, (0, 1), 0.1, 1_000_000)
ROOT = Amount("in", convert.MM_PER_INCH, "cm", CM_IN_MM, (1, 1), 10, 3_000)
RATE = Amount("in/h", convert.MM_PER_INCH, "mm/h", 1.0, (2, 1), 0.1, 500)
ZONE_FLOW = Amount("gpm", convert.L_PER_GALLON, "L/min", 1.0, (1, 1), 0.1, 10_000)
SOURCE_FLOW = Amount("gpm", convert.L_PER_GALLON, "L/min", 1.0, (1, 1), 0.1, 100_000)
PRESSURE = Amount("psi", convert.KPA_PER_PSI, "kPa", 1.0, (0, 0), 10, 2_500)
HEIGHT = Amount("ft", convert.M_PER_FOOT, "m", 1.0, (0, 0), -430, 6_000)
SLOPE = Amount("%", 1.0, "%", 1.0, (1, 1), 0, 100)
UNIFORMITY = Amount("%", 0.01, "%", 0.01, (0, 0), 0.1, 1)
WETTED = Amount("%", 0.01, "%", 0.01, (0, 0), 0.05, 1)
BUCKET = Amount("gal", convert.L_PER_GALLON, "L", 1.0, (1, 1), 0.1, 2_000)
SECONDS = Amount("s", 1.0, "s", 1.0, (1, 1), 0.5, 7_200)
LENGTH = Amount("ft", convert.M_PER_FOOT, "m", 1.0, (1, 1), 0.05, 5_000)
MINUTES = Amount("min", 1.0, "min", 1.0, (1, 1), 0, 1440)
CYCLE = Amount("min", 1.0, "min", 1.0, (1, 1), 1, 1440)
EMITTER = Amount("gph", convert.L_PER_GALLON, "L/h", 1.0, (2, 1), 0.1, 500)
PEAK_NEED = Amount("in", convert.MM_PER_INCH, "mm", 1.0, (2, 1), 1, 15)  # a day
SPACING = Amount("in", convert.MM_PER_INCH / 1000, "cm", 0.01, (1, 1), 0.02, 50)


def whole_between(low: int, high: int) -> Callable[[str], int | None]:
    """Return a reader of whole numbers in a range, None where nothing was typed."""

    def read(text: str) -> int | None:
        if not text.strip():
            return None
        value = whole(text.strip())
        if not low <= value <= high:
            raise Refused(f"Between {low} and {high}.")
        return value

    return read
