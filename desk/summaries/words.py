"""What a summary says, in plain words and the company's units: one text for e-mail, paper and page."""

from datetime import date
from decimal import Decimal
from typing import Any

from desk import dates, figures
from desk.summaries.care import cautions_for
from desk.summaries.done_words import done_words
from desk.summaries.next_words import next_words
from reports.selectors.baselines import NAMES

Words = dict[str, Any]
NEAR = 0.05  # a saving of less than this share is told as about the same


def summary_words(kept: dict[str, Any], *, remark: str = "") -> Words:
    """Return everything a summary says.

    Parameters
    ----------
    kept
        The figures as ``month_figures`` returned them, also after JSON.
    remark
        The contractor's own words to the client.

    Raises
    ------
    ValueError
        If there is nothing to tell (``empty`` says why).
    """
    if kept.get("empty") or kept.get("applied_l") is None:
        raise ValueError(f"nothing to tell: {kept.get('empty')}")
    units = kept["units"]
    first = date.fromisoformat(f"{kept['month']}-01")
    through = date.fromisoformat(kept["through"])
    return {
        "title": f"Your watering in {first:%B %Y}",
        "client": kept["name"],
        "month": f"{first:%B %Y}",
        "span": _span(kept, first, through),
        "lead": lead(kept),
        "remark": [part.strip() for part in remark.splitlines() if part.strip()],
        "facts": facts(kept),
        "kind": _kind(kept),
        "measured": _measured(kept),
        "sites": _sites(kept),
        "sky": sky_words(kept),
        "done": done_words(kept["done"], units=units),
        "next": next_words(kept),
        "assumed": _assumed(kept),
        "left_out": kept["left_out"],
        "cautions": cautions_for(kept),
    }


def shown(kept: dict[str, Any]) -> dict[str, str]:
    """Return the main figures exactly as they are printed, by name."""
    units = kept["units"]
    told = {
        "applied": figures.exact_water(kept["applied_l"], units),
        "baseline": figures.exact_water(kept["baseline_l"], units),
        "withheld": figures.exact_water(kept["withheld_l"], units),
        "saved": figures.exact_water(kept["saved_l"], units),
        "money": figures.exact_money(_decimal(kept["money"]), kept["currency"]),
        "adequacy": figures.share(kept["adequacy"]),
    }
    return {name: text.replace(figures.NBSP, " ") for name, text in told.items()}


def _decimal(amount: str | None) -> Decimal | None:
    return None if amount is None else Decimal(amount)


def lead(kept: dict[str, Any]) -> str:
    """Return the month in a sentence or two."""
    units, month = kept["units"], date.fromisoformat(f"{kept['month']}-01")
    used = figures.water(kept["applied_l"], units)
    begin = f"About {used} went onto your ground in {month:%B}"
    if kept["baseline_l"] is None or kept["saved_l"] is None:
        return f"{begin}. What it would have been without us isn't known."
    saved, base = kept["saved_l"], kept["baseline_l"]
    as_found = "the settings we found when we took over"
    if base > 0 and abs(saved) < NEAR * base:
        text = f"{begin}, about what {as_found} would have used."
    elif saved > 0:
        text = f"{begin}. That is {figures.water(saved, units)} less than {as_found} would have used"
        text += f", worth {figures.money(float(kept['money']), kept['currency'])}." if _worth(kept) else "."
    else:
        text = f"{begin}. That is {figures.water(-saved, units)} more than {as_found} would have given."
        text += " Plants would have gone short with those." if _short(kept) else ""
    return f"{text} {_health(kept['adequacy'])}".strip()


def _worth(kept: dict[str, Any]) -> bool:
    return kept["money"] is not None and Decimal(kept["money"]) > 0


def _short(kept: dict[str, Any]) -> bool:
    return (kept["adequacy"] or 0.0) >= 0.98


def _health(adequacy: float | None) -> str:
    if adequacy is None:
        return ""
    if adequacy >= 0.98:
        return "The plants had what they need."
    return f"The plants had {figures.share(adequacy)} of the water they need."


def facts(kept: dict[str, Any]) -> list[list[str]]:
    """Return the main figures, each a word and a value as printed."""
    told = shown(kept)
    lines = [
        ["Without us, as settings were found", told["baseline"]],
        ["Used", told["applied"]],
    ]
    if kept["withheld_l"] and figures.number(kept["withheld_l"] / 3.785411784) != "0":
        lines.append(["Kept from thirsty plants, not counted as saved", told["withheld"]])
    lines.append(["Saved", told["saved"]])
    if kept["money"] is not None:
        lines.append(["Worth", told["money"]])
    lines.append(["Plants' need met", told["adequacy"]])
    return lines


def _span(kept: dict[str, Any], first: date, through: date) -> str:
    units, begin = kept["units"], date.fromisoformat(kept["from"])
    whole = kept["complete"] and begin == first
    days = f"{dates.long_date(begin, units)} to {dates.long_date(through, units)}"
    return days if whole else f"{days}, not the whole month"


def _kind(kept: dict[str, Any]) -> str:
    beside = kept["beside"]
    text = (
        "These amounts are estimated: from what your controllers were set to each night, how fast your heads "
        f"apply water, and the weather. The comparison is with {NAMES[kept['baseline']]}."
    )
    if beside["saved_l"] is not None:
        saved = beside["saved_l"]
        amount = figures.exact_water(abs(saved), kept["units"])
        text += (
            f" Beside a controller adjusted once a month by the usual climate it is {amount} "
            f"{'saved' if saved >= 0 else 'more'}."
        )
    return text


def _measured(kept: dict[str, Any]) -> list[str]:
    """Return what meters say, apart from what is estimated."""
    lines, units = [], kept["units"]
    metered, measured, budget = kept.get("metered"), kept.get("measured"), kept.get("budget_l")
    if metered:
        some = "" if metered["known_days"] == metered["days"] else _some_days(metered)
        indoors = ", water used indoors included" if metered["mixed"] else ""
        used = figures.exact_water(metered["used_l"], units)
        where, beside = _where_metered(kept, metered)
        lines.append(f"Metered: {used} went through your meters{where}{some}{indoors}.{beside}")
    if measured:
        lines.append(_against_bills(measured, units))
    if budget and kept["applied_l"] is not None:
        share, whole = figures.share(kept["applied_l"] / budget), figures.exact_water(budget, units)
        lines.append(
            f"For comparison: {share} of the water budget for this ground and weather, {whole}. "
            "That budget is a measure, not a permit."
        )
    return lines


def _where_metered(kept: dict[str, Any], metered: dict[str, Any]) -> tuple[str, str]:
    """Return where meters stand that don't count all of the ground, and what is estimated there.

    The estimate stands beside only what counts the same water on the same days.
    """
    own = [site for site in kept["sites"] if site["site"] in metered.get("sites", [])]
    some = bool(own) and len(own) < len(kept["sites"])
    where = f" at {' and '.join(site['name'] for site in own)}" if some else ""
    if metered.get("in_part"):
        return where, f" They count only part of {'that' if some else 'your'} ground."
    if not some:
        return "", ""
    alike = metered["known_days"] == metered["days"] and not metered["mixed"]
    alike = alike and kept["from"] == f"{kept['month']}-01"
    estimated = [site["applied_l"] for site in own if site["applied_l"] is not None]
    beside = f" The estimate there is {figures.exact_water(sum(estimated), kept['units'])}."
    return where, beside if alike and len(estimated) == len(own) else ""


def _some_days(metered: dict[str, Any]) -> str:
    return f" on the {metered['known_days']} of {metered['days']} days they are known for"


def _against_bills(measured: dict[str, Any], units: str) -> str:
    first, last = (date.fromisoformat(measured[end]) for end in ("from", "through"))
    days = f"{dates.long_date(first, units)} to {dates.long_date(last, units)}"
    saved = figures.exact_water(measured["saved_l"], units)
    around = f"give or take {figures.exact_water(measured['uncertainty_l'], units)} (nine times in ten)."
    if measured["detected"]:
        return f"Measured, bills of {days} against your earlier ones: {saved} saved, {around}"
    return (
        f"Measured, bills of {days} against your earlier ones: no saving can be told from the bills' own ups "
        f"and downs, {saved}, {around}"
    )


def _sites(kept: dict[str, Any]) -> list[list[str]]:
    """Return a line for each site where there are several."""
    if len(kept["sites"]) < 2:
        return []
    units = kept["units"]
    lines = [
        [
            site["name"] + (", closed for the season" if site["closed"] else ""),
            figures.exact_water(site["baseline_l"], units),
            figures.exact_water(site["applied_l"], units),
            figures.exact_water(site["saved_l"], units),
            figures.share(site["adequacy"]),
        ]
        for site in kept["sites"]
    ]
    return [[cell.replace(figures.NBSP, " ") for cell in line] for line in lines]  # a phone may wrap them


def sky_words(kept: dict[str, Any]) -> list[str]:
    """Return the month's weather in a sentence for each place."""
    return [
        _sky(sky, kept["units"], several=len(kept["weather"]) > 1) for sky in kept["weather"] if sky["days"]
    ]


def _sky(sky: dict[str, Any], units: str, *, several: bool) -> str:
    where = f"{sky['site']}: " if several else ""
    rain, usual = sky["rain_mm"], sky["usual_rain_mm"]
    text = f"{where}{figures.depth(rain, units)} of rain"
    if usual is not None:
        text += f" (a whole month usually brings {figures.depth(usual, units)})"
    text += f", and sun and wind asked for {figures.depth(sky['et0_mm'], units)} from a lawn kept short"
    if sky["usual_et0_mm"] and sky["et0_mm"] is not None:
        more = sky["et0_mm"] / sky["usual_et0_mm"] - 1
        size = (
            "about as much as usual"
            if abs(more) < 0.03
            else f"{abs(more):.0%} {'more' if more > 0 else 'less'} than usual"
        )
        text += f", {size} for these days"
    return f"{text[:1].upper()}{text[1:]}."


def _assumed(kept: dict[str, Any]) -> list[str]:
    return [f"{line['what']} of {_zones(line['zones'])}" for line in kept["assumed"]]


def _zones(count: int) -> str:
    return "one zone" if count == 1 else f"{count} zones"
