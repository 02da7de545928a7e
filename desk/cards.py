"""Controller cards in words, the same on the page and on paper."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from common import clock
from desk import cautions, dates, figures
from desk.apart import Apart
from fleet.models import Company, Controller, SiteCorrection, Zone
from scheduling.selectors.card import Card, Keyed, Line
from scheduling.selectors.year_card import MonthPercent, YearCard, YearGroup

MONTHS = [f"{date(2001, month, 1):%B}" for month in range(1, 13)]


def minutes(value: float) -> str:
    """Return minutes as they are keyed in."""
    return f"{value:g}{figures.NBSP}min"


def letterhead(company: Company) -> dict[str, Any]:
    """Return a company's name and how to reach it."""
    address = [line.strip() for line in company.postal_address.splitlines() if line.strip()]
    lines = [", ".join(address), " · ".join(word for word in (company.phone, company.email) if word)]
    return {"name": company.name, "lines": [line for line in lines if line] or [" "]}


def paper_of(units: str) -> str:
    """Return the size of a sheet where these units are used."""
    return "us-letter" if units == "us" else "a4"


def corrected_words(correction: SiteCorrection | None, *, units: str) -> list[str]:
    """Return by what a site is corrected, since when and why; nothing where it isn't."""
    if correction is None:
        return []
    since = f"{dates.long_date(correction.effective_from, units)} {correction.effective_from.year}"
    counts = f"counts at {figures.share(correction.factor)} of reference ET since {since}"
    reason = correction.reason.strip().rstrip(".")
    return [f"This site {counts}: {reason}. Its percents and plans are found so."]


def card_words(
    card: Card, *, units: str, apart: Apart | None = None, corrected: Sequence[str] = ()
) -> dict[str, Any]:
    """Return what a card says.

    ``apart`` are the zones whose minutes aren't by need, ``corrected`` what the whole site is corrected by.
    """
    controller = card.controller
    apart = apart or Apart(units)
    return {
        "title": f"{controller.site}, {controller}",
        "client": controller.site.client.name,
        "address": controller.site.address,
        "as_of": dates.long_day(card.night, units),
        "facts": _facts(controller),
        "facts_line": ". ".join(f"{word}: {value}" for word, value in _facts(controller)) + ".",
        "programs": [_program(one, apart.of_zone, units=units) for one in card.programs],
        "by_starts": card.by_starts,
        "warnings": card.warnings,
        "apart": [*corrected, *apart.for_staff],
        "cautions": list(cautions.CONTROLLER),
    }


def _facts(controller: Controller) -> list[list[str]]:
    fitted = [
        word
        for word, there in (
            ("rain sensor", controller.rain_sensor),
            ("freeze sensor", controller.freeze_sensor),
            ("flow sensor", controller.flow_sensor),
            ("master valve", controller.master_valve),
        )
        if there
    ]
    facts = [
        ["Seasonal percent", "one for all programs" if _whole(controller) else "one for each program"],
        ["Cycle and soak", "at the controller" if controller.cycle_and_soak else "by several starts"],
        ["Fitted", ", ".join(fitted) or "no sensors"],
    ]
    return [["Serial number", controller.serial_number], *facts] if controller.serial_number else facts


def _whole(controller: Controller) -> bool:
    return controller.percent_scope == Controller.PercentScope.CONTROLLER


def _program(keyed: Keyed, apart: dict[int, list[str]], *, units: str) -> dict[str, Any]:
    name = keyed.program.name
    title = f"Program {keyed.letter}" + (f", {name}" if name else "")
    if keyed.instead_of:
        title += f" (last start of {keyed.instead_of})"
    return {
        "title": title,
        "days": dates.watering_days(keyed.days),
        "starts": [dates.clock_time(start, units) for start in keyed.starts],
        "percent": figures.percent(keyed.percent),
        "lines": [_line(line, apart.get(line.zone.pk, [])) for line in keyed.lines],
        "total": minutes(sum(line.runs_minutes for line in keyed.lines)),
    }


def _line(line: Line, apart: list[str]) -> dict[str, Any]:
    cycles = ""
    if line.cycle:
        cycles = f"{line.cycles} cycles of at most {minutes(line.cycle)}"
        cycles += f", {minutes(line.soak)} to soak in between" if line.soak else ""
    return {
        "number": line.zone.number,
        "name": line.zone.name,
        "minutes": minutes(line.minutes),
        "runs": minutes(line.runs_minutes),
        "cycles": cycles,
        "apart": "; ".join(apart),
    }


def year_words(card: YearCard, *, units: str, corrected: Sequence[str] = ()) -> dict[str, Any]:
    """Return what a twelve-month card says; ``rows`` one a month, a cell for each group."""
    watered = [group for group in card.groups if group.months]
    return {
        "lacks": card.lacks or ("" if watered else "a zone with a complete survey"),
        "heads": [_head(group) for group in watered],
        "rows": [
            {
                "month": MONTHS[m],
                "et": f"{figures.depth(card.et_mm_day[m], units)} a day",
                "cells": [
                    {"percent": figures.percent(g.months[m].percent), "mark": _mark(g.months[m])}
                    for g in watered
                ],
            }
            for m in range(12)
        ]
        if watered
        else [],
        "notes": [*_year_notes(card, watered), *corrected],
    }


def _head(group: YearGroup) -> dict[str, str]:
    letters = ", ".join(program.letter for program in group.programs)
    if len(group.programs) > 1:
        return {"letters": letters, "name": "all programs"}
    return {"letters": letters, "name": group.programs[0].name}


def _mark(month: MonthPercent) -> str:
    return "*" * bool(month.shortened) + "†" * bool(month.dry_zone)


def _year_notes(card: YearCard, groups: list[YearGroup]) -> list[str]:
    notes = [
        "From usual evapotranspiration of each month here, without rain. Set the month's percent on its "
        "first day; a rain sensor, or you, holds the controller back when it rains."
    ]
    if any(month.shortened for group in groups for month in group.months):
        notes.append("* The night is too short for more: water on more days, or start earlier.")
    dry = {month.dry_zone for group in groups for month in group.months if month.dry_zone}
    if dry:
        notes.append(
            f"† Whatever the percent, {_named(dry)} dries out between waterings: it needs more watering days."
        )
    left = {zone for group in card.groups for zone in group.left_out}
    if left:
        notes.append(
            "Not counted, because its survey has gaps or it isn't watered by need now: " + _named(left) + "."
        )
    return notes


def _named(zones: set[Zone]) -> str:
    ordered = sorted(zones, key=lambda zone: zone.number)
    return ", ".join(f"zone {zone.number} {zone.name}" for zone in ordered)


def dated(controller: Controller) -> date:
    """Return the day a card of this controller is made on."""
    return clock.today(controller.site.timezone)
