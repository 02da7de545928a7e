"""Small drawings and marks inside a line: the rail of a percent, states, soil bars, hints."""

from collections.abc import Sequence
from typing import Any

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from desk.figures import DASH, depth
from desk.glossary import TERMS
from desk.notices import Notice, collect

register = template.Library()

STATES = (("fine", "●"), ("need", "◆"), ("stop", "■"))
RAIL_PX = 136
RAIL_INSET_PX = 5
BAR_PX = 160


@register.filter
def get(mapping: dict[Any, Any], key: Any) -> Any:
    """Return an entry of a mapping, or None."""
    return mapping.get(key)


@register.filter
def visit_told(hints: list[str]) -> bool:
    """Tell whether the hints already speak of a visit."""
    return any("visit" in words for words in hints)


@register.simple_tag
def state(level: int | str, words: str) -> SafeString | str:
    """Return a state in shape and word; the level is 0 to 2 or the state's own name."""
    if not words:
        return ""
    names = [name for name, _ in STATES]
    place = names.index(level) if isinstance(level, str) else min(max(level, 0), 2)
    name, shape = STATES[place]
    return format_html(
        '<span class="state {}"><span class="shape" aria-hidden="true">{}</span>{}</span>', name, shape, words
    )


@register.simple_tag
def rail(now: int | None, to: int | None, cap: int) -> SafeString | str:
    """Return the rail of a percent: where it is, where it goes, 100 marked."""
    if now is None or to is None:
        return ""
    top = max(cap, now, to, 100)

    def x(percent: int) -> str:
        return f"{RAIL_INSET_PX + (RAIL_PX - 2 * RAIL_INSET_PX) * percent / top:.1f}"

    return format_html(
        '<svg class="rail" viewBox="0 0 {px} 12" role="img" aria-label="from {now} to {to} percent of {top}">'
        '<line class="track" x1="{left}" y1="6" x2="{right}" y2="6"/>'
        '<line class="track" x1="{hundred}" y1="2" x2="{hundred}" y2="10"/>'
        '<line class="moved" x1="{low}" y1="6" x2="{high}" y2="6"/>'
        '<circle class="was" cx="{at}" cy="6" r="3"/><circle class="to" cx="{then}" cy="6" r="4"/></svg>',
        px=RAIL_PX,
        now=now,
        to=to,
        top=top,
        left=x(0),
        right=x(top),
        hundred=x(100),
        low=x(min(now, to)),
        high=x(max(now, to)),
        at=x(now),
        then=x(to),
    )


@register.simple_tag
def soil_bar(depletion_mm: float | None, raw_mm: float | None, taw_mm: float | None, label: str) -> Any:
    """Return how full a zone's soil is: water left, and the limit below which plants slow down."""
    if depletion_mm is None or raw_mm is None or not taw_mm:
        return ""
    left = min(max(taw_mm - depletion_mm, 0.0), taw_mm) / taw_mm
    limit = min(max(taw_mm - raw_mm, 0.0), taw_mm) / taw_mm
    return format_html(
        '<svg class="soil" viewBox="0 0 {px} 16" role="img" aria-label="{label}">'
        '<rect class="held" x="0.5" y="2.5" width="{whole}" height="11"/>'
        '<rect class="left{low}" x="0.5" y="2.5" width="{left}" height="11"/>'
        '<line class="limit" x1="{limit}" y1="0" x2="{limit}" y2="16"/></svg>',
        px=BAR_PX,
        whole=BAR_PX - 1,
        left=f"{left * (BAR_PX - 1):.1f}",
        limit=f"{limit * (BAR_PX - 1):.1f}",
        low=" low" if depletion_mm > raw_mm else "",
        label=label,
    )


@register.inclusion_tag("desk/_hint.html")
def hint(term: str) -> dict[str, str]:
    """Return the sentence behind a piece of jargon, to be opened beside it."""
    return {"term": term, "words": TERMS[term]}


@register.simple_tag(takes_context=True)
def waiting_notices(context: template.Context) -> list[Notice]:
    """Return the messages that wait for this person; each is shown once."""
    request = context.get("request")
    return collect(request) if request is not None else []


@register.simple_tag
def known(zone: Any, field: str, shown: str) -> SafeString:
    """Return a surveyed value with how it is known: measured, from a table, or assumed."""
    if getattr(zone, field) in (None, ""):
        return format_html('<span class="sub">{}</span>', DASH)
    basis = zone.basis.get(field, "assumed")
    return format_html('{}<div class="basis {}">{}</div>', shown, basis, basis)


@register.simple_tag
def soil_words(zone_state: Any, units: str) -> str:
    """Return a soil bar in words."""
    if zone_state.depletion_mm is None:
        return ""
    left, most, limit = (
        depth(mm, units)
        for mm in (zone_state.taw_mm - zone_state.depletion_mm, zone_state.taw_mm, zone_state.raw_mm)
    )
    return f"{left} left of {most}; the limit is at {limit} missing"


@register.inclusion_tag("desk/_morning_more.html")
def more_than(rows: Sequence[Any], shown: int, words: str, address: str) -> dict[str, Any]:
    """Return a line that says how many more there are than were shown."""
    return {"more": max(len(rows) - shown, 0), "words": words, "address": address}
