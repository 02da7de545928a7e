"""The zones as they were walked, out of the list's customary units, with how each figure was found."""

from common.units import L_PER_GALLON, M2_PER_SQUARE_FOOT, MM_PER_INCH
from fleet.models import Zone
from fleet.numerics.heads import HEADS
from fleet.numerics.plants import PLANTS
from scheduling.demo.rows import Rows
from scheduling.demo.tables import Row, number, zone_rows

# How the water of a zone was looked at, and what that makes of rate, uniformity and flow.
SURVEYS = {
    "cans": ("measured", "measured", "measured"),
    # A rate from the meter still loses in the air what a chart's loses.
    "meter": ("table", "table", "measured"),
    "chart": ("table", "table", "table"),
    "guess": ("assumed", "assumed", "assumed"),
}
SOIL_FOUND = {"probed": "measured", "map": "table", "assumed": "assumed", "": "assumed"}
# Share of the root zone that drip and bubblers wet in this contractor's plantings: invented.
WETTED_SHARE = {"drip": 0.6, "bubbler": 0.5}
WETTED_SHARE_OF_CLOSE_ROWS = 0.9
CLOSE_ROWS = ("ground_cover", "flowers", "vegetables")


def add_zones(rows: Rows) -> None:
    listed = list(zone_rows())
    made = Zone.objects.bulk_create(_zone(row, rows) for row in listed)
    rows.zones = {
        (row["controller"], int(row["number"])): zone for row, zone in zip(listed, made, strict=True)
    }


def _zone(row: Row, rows: Rows) -> Zone:
    area, flow = number(row["area_ft2"]), number(row["flow_gpm"])
    zone = Zone(
        controller=rows.controllers[row["controller"]],
        number=int(row["number"]),
        name=row["name"],
        plant=row["plant"],
        head=row["head"],
        soil=row["soil"],
        slope_percent=number(row["slope_percent"]),
        sun=row["sun"],
        area_m2=round(area * M2_PER_SQUARE_FOOT, 1) if area else None,
        root_depth_mm=_root_depth_mm(row),
        wetted_share=_wetted_share(row),
        precipitation_rate_mm_h=_rate_mm_h(row),
        uniformity=number(row["uniformity"]) or HEADS[row["head"]].uniformity.value,
        flow_l_min=round(flow * L_PER_GALLON, 1) if flow else None,
    )
    zone.basis = _basis(row, zone)
    return zone


def _root_depth_mm(row: Row) -> float:
    if row["root_in"]:
        return round(float(row["root_in"]) * MM_PER_INCH)
    return PLANTS[row["plant"]].root_depth_mm.value


def _rate_mm_h(row: Row) -> float:
    if row["rate_in_h"]:
        return round(float(row["rate_in_h"]) * MM_PER_INCH, 1)
    return round(HEADS[row["head"]].rate_mm_h.value, 1)


def _wetted_share(row: Row) -> float:
    if row["head"] == "drip" and row["plant"] in CLOSE_ROWS:
        return WETTED_SHARE_OF_CLOSE_ROWS
    return WETTED_SHARE.get(row["head"], 1.0)


def _basis(row: Row, zone: Zone) -> dict[str, str]:
    """Say for each figure that is there whether it was measured, taken from a table or assumed."""
    rate, uniformity, flow = SURVEYS[row["survey"]]
    found = {
        "plant": "measured",
        "head": "measured",
        "soil": SOIL_FOUND[row["soil_from"]],
        "slope_percent": "measured",
        "sun": "measured",
        "area_m2": "measured",
        "root_depth_mm": "measured" if row["root_in"] else "table",
        "wetted_share": "assumed",
        "precipitation_rate_mm_h": rate,
        "uniformity": uniformity,
        "flow_l_min": flow,
    }
    return {field: word for field, word in found.items() if getattr(zone, field) not in (None, "")}
