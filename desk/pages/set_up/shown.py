"""What each step shows beside its own fields."""

from typing import Any

from desk import figures
from desk.set_up.against_rule import against_rule
from desk.set_up.boxes import box_hints
from desk.set_up.columns import COLUMNS
from desk.set_up.planned import planned
from desk.set_up.snags import assumptions, gaps
from desk.set_up.steps import Step
from desk.set_up.whole import Box, Whole
from desk.set_up.zone_rows import HOW, TEXTS, read_row
from fleet.models import ZonePreset


def shown(whole: Whole, step: Step, box: Box, *, work: bool = True) -> dict[str, Any]:
    """Return what a step's template needs; ``work`` says whether the long work is wanted too."""
    match step.key:
        case "client":
            return {"form": whole.client}
        case "place":
            return {"form": whole.place, "spot": whole.found_place, "near": _near(whole)}
        case "water":
            flow = figures.flow(whole.bucket_l_min, whole.units) if whole.bucket_l_min else ""
            return {"form": whole.water, "bucket_flow": flow}
        case "controllers":
            hints = {one.key: box_hints(str(one.form.values.get("kind") or "")) for one in whole.boxes}
            return {"boxes": whole.boxes, "hints": hints}
        case "zones":
            return _zones(whole, box)
        case "found":
            return {
                "found": box.found,
                "runs": _runs(box),
                "against": [one for one in against_rule(whole) if one.box == box.key],
            }
        case "plan":
            return {"planned": planned(whole, work=work)}
        case "check":
            return {
                "gaps": gaps(whole),
                "assumptions": assumptions(whole),
                "against": against_rule(whole),
                "boxes": whole.boxes,
            }
    return {"form": whole.access}


def _near(whole: Whole) -> dict[str, str]:
    spot = whole.found_place
    return {"height": spot.height_text(whole.units), "away": spot.distance_words(whole.units)}


def _zones(whole: Whole, box: Box) -> dict[str, Any]:
    heads = [
        {"key": column.key, "words": column.head(whole.units), "label": column.label} for column in COLUMNS
    ]
    rows = [grid_row(whole, row, str(place)) for place, row in enumerate(box.zones)]
    fresh = read_row(dict.fromkeys(TEXTS, ""), units=whole.units, kinds=whole.kinds)
    kinds = {key: kind_texts(kind, whole.units) for key, kind in whole.kinds.items()}
    return {
        "heads": heads,
        "rows": rows,
        "fresh": grid_row(whole, fresh, "NEW"),
        "kinds": list(whole.kinds.values()),
        "how": HOW,
        "kind_texts": kinds,
        "capacity": box.fields["zone_capacity"],
    }


def kind_texts(kind: ZonePreset, units: str) -> dict[str, str]:
    """Return what a kind of zone fills in, as it is shown in the grid."""
    fields = kind.as_zone()
    return {
        column.key: column.shown(fields[column.field], units) for column in COLUMNS if column.field in fields
    }


def grid_row(whole: Whole, row: Any, place: str) -> dict[str, Any]:
    """Return one row of the grid for its template."""
    cells = [
        {
            "key": column.key,
            "name": f"{place}-{column.key}",
            "label": column.label,
            "head": column.head(whole.units),
            "text": row.texts.get(column.key, ""),
            "picked": row.cells[column.key].value
            if column.table and not row.cells[column.key].filled
            else "",
            "choices": column.choices,
            "fills": row.cells[column.key].placeholder(whole.units),
            "basis": row.cells[column.key].basis,
            "known": row.cells[column.key].known,
            "error": row.errors.get(column.key, ""),
        }
        for column in COLUMNS
    ]
    plain = {
        key: {"name": f"{place}-{key}", "text": row.texts.get(key, ""), "error": row.errors.get(key, "")}
        for key in ("number", "name", "kind", "how")
    }
    return {"place": place, "k": row.texts.get("k", ""), "row": row, "cells": cells, "plain": plain}


def _runs(box: Box) -> list[dict[str, Any]]:
    return [
        {
            "row": row,
            "cells": [
                {
                    "name": name,
                    "label": words,
                    "text": box.found.texts.get(name, ""),
                    "error": box.found.errors.get(name, ""),
                }
                for name, words in (
                    *((f"z{row.texts['k']}-{letter}", f"program {letter}") for letter in box.found.letters),
                    (f"z{row.texts['k']}-cycle", "longest cycle"),
                    (f"z{row.texts['k']}-soak", "soak"),
                )
            ],
        }
        for row in box.zones
    ]
