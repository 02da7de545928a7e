"""The columns of the zone grid: their words, how a text is read, what fills an empty cell."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from common.errors import Refused
from desk.set_up.amounts import AREA, RATE, ROOT, SLOPE, UNIFORMITY, WETTED, ZONE_FLOW, Amount
from fleet.numerics.heads import HEADS
from fleet.numerics.plants import PLANTS
from fleet.numerics.soils import SOILS
from fleet.numerics.sun import SUNS

Table = Mapping[str, Any]


@dataclass(frozen=True)
class Column:
    """One surveyed field of a zone."""

    key: str
    field: str
    label: str
    amount: Amount | None = None
    table: Table | None = None

    def unit(self, units: str) -> str:
        """Return the unit of its numbers."""
        return self.amount.unit(units) if self.amount else ""

    def head(self, units: str) -> str:
        """Return its label with the unit."""
        unit = self.unit(units)
        return f"{self.label}, {unit}" if unit else self.label

    @property
    def choices(self) -> list[tuple[str, str]]:
        """Return what may be picked."""
        return [(key, row.name) for key, row in (self.table or {}).items()]

    def read(self, text: str, units: str) -> Any:
        """Return the value in SI, None where nothing was typed; Refused if it can't be read."""
        text = text.strip()
        if not text:
            return None
        if self.table is not None:
            return self._picked(text)
        assert self.amount is not None
        return self.amount.read(text.removesuffix("%").strip() if self.unit(units) == "%" else text, units)

    def text(self, value: Any, units: str) -> str:
        """Return a value as it is typed."""
        if value in (None, ""):
            return ""
        return self.amount.text(value, units) if self.amount else str(value)

    def shown(self, value: Any, units: str) -> str:
        """Return a value in words."""
        if value in (None, ""):
            return ""
        if self.table is not None:
            return str(self.table[value].name) if value in self.table else ""
        return self.text(value, units)

    def _picked(self, text: str) -> str:
        assert self.table is not None
        wanted = simple(text)
        for key, row in self.table.items():
            if wanted in (simple(key), simple(row.name), *SAID.get(key, ())):
                return key
        raise Refused(f"“{text[:30]}” is not one of: {', '.join(row.name for row in self.table.values())}.")


def simple(text: str) -> str:
    """Return letters and figures alone, in lower case, so that spelling matters less."""
    return "".join(letter for letter in text.casefold() if letter.isalnum())


# Other words people write for the rows of our tables, letters and figures alone.
SAID: dict[str, tuple[str, ...]] = {
    "cool_turf": ("lawn", "turf", "grass", "coolseasonlawn", "coolseasongrass", "fescue", "bluegrass"),
    "warm_turf": ("warmseasonlawn", "warmseasongrass", "bermuda", "bermudagrass", "zoysia"),
    "shrubs": ("shrub", "shrubbed", "bushes", "hedge"),
    "trees": ("tree",),
    "ground_cover": ("groundcovers", "cover"),
    "flowers": ("flower", "flowerbed", "annuals", "perennials"),
    "vegetables": ("vegetable", "kitchengarden", "garden"),
    "native": ("natives", "nativeplants", "desert"),
    "spray": ("sprays", "popup", "popups", "popupspray", "popupsprays", "sprayhead"),
    "rotor": ("rotors", "gearrotor"),
    "impact": ("impacts", "impactrotor"),
    "rotary_nozzle": ("rotarynozzles", "multistream", "rotatingnozzle"),
    "micro_spray": ("microsprays",),
    "bubbler": ("bubblers",),
    "drip": ("dripline", "dripper", "emitters", "pointdrip"),
    "full": ("sun", "sunny"),
    "part_shade": ("partial", "partsun", "halfshade"),
    "shade": ("shady", "fullshade"),
}

COLUMNS = (
    Column("area", "area_m2", "Area", AREA),
    Column("plant", "plant", "Plants", table=PLANTS),
    Column("head", "head", "Heads", table=HEADS),
    Column("soil", "soil", "Soil", table=SOILS),
    Column("sun", "sun", "Sun", table=SUNS),
    Column("slope", "slope_percent", "Slope", SLOPE),
    Column("root", "root_depth_mm", "Root depth", ROOT),
    Column("rate", "precipitation_rate_mm_h", "Rate", RATE),
    Column("uniformity", "uniformity", "Uniformity", UNIFORMITY),
    Column("wetted", "wetted_share", "Ground wetted", WETTED),
    Column("flow", "flow_l_min", "Flow", ZONE_FLOW),
)
BY_KEY = {column.key: column for column in COLUMNS}
BY_FIELD = {column.field: column for column in COLUMNS}
