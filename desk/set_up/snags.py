"""What stands in the way of creating a site, and what will be missing or assumed once it is there."""

from desk.figures import flow
from desk.set_up.form import Form
from desk.set_up.whole import Box, Snag, Whole
from desk.set_up.zone_rows import ZoneRow

FOUND_PARTS = {
    "days": "days",
    "starts": "starts",
    "percent": "percent",
    "cycle": "longest cycle",
    "soak": "soak",
}
MORE_THAN_IT_GIVES = 1.1  # a tenth lies within what areas and rates are known by: our own choice


def snags(whole: Whole) -> list[Snag]:
    """Return everything to mend before the site can be created."""
    found = [*_unread("client", whole.client), *_unread("place", whole.place), *_unread("water", whole.water)]
    if not whole.client_row and not str(whole.client.texts.get("name", "")).strip():
        found.append(Snag("client", "Name the client, or pick one."))
    found += [Snag("place", f"{label} is empty.") for label in whole.place.missing]
    place = whole.found_place
    if place.latitude is None and "place" not in whole.place.errors:
        found.append(
            Snag(
                "place", "Say where the site is: coordinates, or a US ZIP code in its address.", field="place"
            )
        )
    elif place.elevation_m is None and "elevation" not in whole.place.errors:
        found.append(
            Snag(
                "place",
                "Say how high the site lies; no site of yours is near to take it from.",
                field="elevation",
            )
        )
    for box in whole.boxes:
        found += _of_box(box)
    return [*found, *_unread("plan", whole.peak), *_unread("access", whole.access)]


def _unread(step: str, form: Form, box: str = "") -> list[Snag]:
    return [Snag(step, f"{label}: {message}", box, name) for name, label, message in form.problems]


def _of_box(box: Box) -> list[Snag]:
    found = _unread("controllers", box.form, box.key)
    found += [Snag("controllers", f"{label} is empty.", box.key) for label in box.form.missing]
    for n, row in enumerate(box.zones, start=1):
        label = f"zone {row.number}" if row.number else f"row {n}"
        found += [Snag("zones", f"{box.name}, {label}: {words}", box.key) for words in row.errors.values()]
    found += [
        Snag("found", f"{box.name}{_where(box, name)}: {words}", box.key, name)
        for name, words in box.found.errors.items()
    ]
    return found


def _where(box: Box, name: str) -> str:
    """Return which field of the settings found is meant: of the page, a program or a zone."""
    key, _, part = name.rpartition("-")
    numbers = {f"z{row.texts['k']}": row.number for row in box.zones}
    if key in numbers:
        what = FOUND_PARTS.get(part, f"minutes in {part}")
        return f", zone {numbers[key] or '?'}, {what}"
    if key:
        return f", program {key}" + (f", {FOUND_PARTS[part]}" if part in FOUND_PARTS else "")
    return ", found on"


def gaps(whole: Whole) -> list[Snag]:
    """Return what may be missing for now, but keeps programs from being decided on."""
    found = []
    if whole.said.source is None:
        found.append(Snag("water", "No water source: nights are not checked against the flow it gives."))
    elif not whole.water.values["existing"] and whole.flow_l_min is None:
        found.append(
            Snag("water", "The flow of the water source isn't known: nights are not checked against it.")
        )
    for box in whole.boxes:
        if not box.zones:
            found.append(Snag("zones", f"{box.name} has no zones yet.", box.key))
        for row in box.incomplete:
            found.append(
                Snag("zones", f"{box.name}, zone {row.number}: {', '.join(row.lacks)} missing.", box.key)
            )
        found += [Snag("zones", words, box.key) for row in box.zones if (words := _thirsty(whole, box, row))]
        if not box.found.programs:
            words = f"{box.name}: no settings found, so savings have no baseline of their own."
            found.append(Snag("found", words, box.key))
    return found


def _thirsty(whole: Whole, box: Box, row: ZoneRow) -> str:
    """Return that a zone takes more than its water source gives, empty where it doesn't or isn't known."""
    gives = whole.source_l_min
    if not gives or row.flow_l_min is None or row.flow_l_min <= gives * MORE_THAN_IT_GIVES:
        return ""
    return (
        f"{box.name}, zone {row.number}: takes {flow(row.flow_l_min, whole.units)} by its "
        f"{'flow' if row.cells['flow'].value else 'area and rate'}, and the water source gives "
        f"{flow(gives, whole.units)}. Look at {'both' if row.cells['flow'].value else 'all three'} again."
    )


def assumptions(whole: Whole) -> list[Snag]:
    """Return what is assumed, to be looked at when there is time."""
    found = []
    place = whole.found_place
    if place.about:
        found.append(Snag("place", f"The place is {place.about}."))
    if place.near:
        far = "far off, so no more than a guess: " if place.near.far else ""
        words = f"Height is {far}that of {place.near.of}, {place.distance_words(whole.units)} away."
        found.append(Snag("place", words))
    for box in whole.boxes:
        by_words: dict[str, list[str]] = {}
        for row in box.zones:
            for words in row.assumed:
                by_words.setdefault(words, []).append(str(row.number or "?"))
        found += [
            Snag(
                "zones",
                f"{box.name}: {words} of zone{'s' if len(rows) > 1 else ''} {', '.join(rows)}",
                box.key,
            )
            for words, rows in by_words.items()
        ]
    return found


def by_step(found: list[Snag]) -> dict[str, int]:
    """Return how many things are to mend on each step."""
    count: dict[str, int] = {}
    for snag in found:
        count[snag.step] = count.get(snag.step, 0) + 1
    return count
