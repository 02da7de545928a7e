"""Which column of a table means what: guessed from its head, units included, and correctable."""

from dataclasses import dataclass
from typing import Any

from common.errors import Refused
from desk.blanks import plain
from desk.set_up.columns import BY_KEY, COLUMNS, simple
from desk.set_up.tables import Table
from desk.set_up.zone_rows import TEXTS, Texts
from fleet.models import ZonePreset

IGNORED = ""
HEADS: dict[str, tuple[str, ...]] = {
    "number": ("number", "no", "nr", "zone", "zonenumber", "zoneno", "#", "valve", "valvenumber"),
    "name": ("name", "zonename", "description", "location", "where"),
    "kind": ("kind", "kindofzone", "preset"),
    "plant": ("plant", "plants", "planttype", "vegetation", "landscape", "crop"),
    "head": (
        "head",
        "heads",
        "headtype",
        "sprinkler",
        "sprinklers",
        "sprinklertype",
        "emitter",
        "irrigationtype",
    ),
    "soil": ("soil", "soiltype", "soiltexture", "texture"),
    "sun": ("sun", "exposure", "sunexposure", "shade", "light"),
    "slope": ("slope", "grade", "slopepercent"),
    "area": (
        "area",
        "size",
        "squarefeet",
        "squarefootage",
        "sqft",
        "sqm",
        "squaremetres",
        "squaremeters",
        "surface",
    ),
    "root": ("root", "rootdepth", "roots", "rootzone", "rootzonedepth"),
    "rate": ("rate", "precipitationrate", "pr", "preciprate", "precip", "applicationrate"),
    "uniformity": ("uniformity", "du", "dulq", "distributionuniformity", "efficiency"),
    "wetted": ("groundwetted", "wetted", "wettedshare", "wettedarea"),
    "flow": ("flow", "flowrate", "gpm", "gallonsperminute", "lmin", "litresperminute"),
}
UNITS: dict[str, dict[str, tuple[str, ...]]] = {
    "area": {"us": ("ft", "sqft", "feet", "foot", "squarefeet"), "metric": ("m2", "sqm", "metre", "meter")},
    "root": {"us": ("in", "inch", "inches"), "metric": ("cm",)},
    "rate": {"us": ("inh", "inchesperhour", "inhr", "iph"), "metric": ("mmh", "mmhr", "mm")},
    "flow": {"us": ("gpm", "gal"), "metric": ("lmin", "lpm", "litre", "liter")},
}


@dataclass(frozen=True)
class Meaning:
    """What a column may mean, with its unit."""

    key: str
    words: str


def meanings(units: str) -> list[Meaning]:
    """Return everything a column may mean; amounts in both systems, the draft's own first."""
    found = [
        Meaning(IGNORED, "left out"),
        Meaning("number", "Number"),
        Meaning("name", "Name"),
        Meaning("kind", "Kind"),
    ]
    other = "metric" if units == "us" else "us"
    for column in COLUMNS:
        found.append(Meaning(f"{column.key}:{units}", column.head(units)))
        if column.unit(units) != column.unit(other):
            found.append(Meaning(f"{column.key}:{other}", column.head(other)))
    return found


def guess(head: list[str], units: str) -> list[str]:
    """Return what each column means by its head, each meaning once; what isn't known is left out."""
    guessed: list[str] = []
    for words in head:
        key = _guess(words, units)
        guessed.append(key if key not in guessed else IGNORED)
    return guessed


def _guess(words: str, units: str) -> str:
    bare, unit = _split(words.replace("²", "2"))
    for key, names in HEADS.items():
        if bare in names or simple(words) in names:
            return f"{key}:{_system(key, unit or bare, units)}" if key in BY_KEY else key
        for name in names if key in UNITS else ():
            if bare.startswith(name) and _names_unit(key, bare.removeprefix(name)):
                return f"{key}:{_system(key, bare.removeprefix(name), units)}"
    return IGNORED


def _names_unit(key: str, text: str) -> bool:
    return any(text.startswith(unit) for names in UNITS[key].values() for unit in names)


def _split(words: str) -> tuple[str, str]:
    for opens in ("(", "[", ",", " in "):
        if opens in words:
            bare, _, unit = words.partition(opens)
            return simple(bare), simple(unit.replace("²", "2"))
    return simple(words), ""


def _system(key: str, unit: str, units: str) -> str:
    for system, names in UNITS.get(key, {}).items():
        if any(unit.endswith(name) or unit.startswith(name) for name in names):
            return system
    return units


def rows_of(
    table: Table, columns: list[str], *, head: bool, units: str, kinds: dict[str, ZonePreset]
) -> tuple[list[Texts], dict[tuple[int, int], str]]:
    """Return the rows of a table as the grid keeps them, and errors by row and column of the table."""
    rows: list[Texts] = []
    errors: dict[tuple[int, int], str] = {}
    for n, line in enumerate(table[1:] if head else table):
        row: Texts = dict.fromkeys(TEXTS, "") | {"how": "measured"}
        for m, meaning in enumerate(columns[: len(line)]):
            try:
                row |= _said(line[m], meaning, units, kinds)
            except Refused as refused:
                errors[n, m] = refused.message
        row["number"] = row["number"] or str(n + 1)
        rows.append(row)
    return rows, errors


def _said(text: str, meaning: str, units: str, kinds: dict[str, ZonePreset]) -> dict[str, Any]:
    key, _, system = meaning.partition(":")
    if not key or not text:
        return {}
    if key == "kind":
        return {"kind": _kind(text, kinds)}
    if key == "number":
        return {"number": text.removesuffix(".0")}
    column = BY_KEY.get(key)
    if column is None:
        return {key: text}
    if column.amount is None:
        return {key: column.read(text, units)}
    bare = text.replace("%", "").strip()
    value = column.amount.read(bare, system or units)
    same = column.unit(units) == column.unit(system or units)
    return {key: plain(column.amount.typed(bare, units), 6) if same else column.amount.text(value, units)}


def _kind(text: str, kinds: dict[str, ZonePreset]) -> str:
    for key, kind in kinds.items():
        if simple(kind.name) == simple(text):
            return key
    raise Refused(f"There is no kind of zone called “{text[:40]}”.")
