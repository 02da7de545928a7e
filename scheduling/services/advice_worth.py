"""What following advice would do to a site's water: reckoned as its change is, so that both agree."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date

from common.errors import Refused
from fleet.models import Site
from scheduling.models.detail import Detail
from scheduling.selectors.advice import Found, advice_in
from scheduling.selectors.advice.look import Look, look_at
from scheduling.services.alteration_effect import Judged, judge

FOR_WATER_ALONE = ("unlike zones",)  # nothing speaks for it where it saves none


def advice_with_worth(site: Site, *, on: date) -> list[Found]:
    """Return every advice on a site, with the water each change it becomes would save.

    Parameters
    ----------
    site
        With its client and company, rule, town, tariff and cell.
    on
        Business day.
    """
    look = look_at(site, on=on)
    lines = [] if look is None else list(_weighed(look, advice_in(look)))
    return [_with_others(one, lines) for one in lines]


def _weighed(look: Look, lines: list[Found]) -> Iterator[Found]:
    judged: list[tuple[Detail, Judged | None]] = []
    for found in lines:
        if found.detail is None:
            yield found
            continue
        effect = next((one for detail, one in judged if detail.same_as(found.detail)), None)
        if effect is None:
            effect = _judged(look, found)
            judged.append((found.detail, effect))
        if effect is None:
            yield found
        elif effect.litres < 0 or found.kind not in FOR_WATER_ALONE:
            yield _worth(found, effect)


def _judged(look: Look, found: Found) -> Judged | None:
    """Return what the change would do, or None where that can't be computed; its weight is then unknown."""
    assert found.detail is not None
    zone = found.zone.pk if found.zone is not None else None
    try:
        return judge(look.loaded, found.controller, found.detail, zone=zone)
    except Refused:
        return None


def _worth(found: Found, effect: Judged) -> Found:
    """Return a line with its change's water; where that is more, plants speak for it."""
    saved = round(-effect.litres, 1) + 0.0
    risk = max(found.risk, effect.risk_keep.level) if saved < 0 else found.risk
    return replace(found, litres_week=saved, risk=risk)


def _with_others(found: Found, lines: list[Found]) -> Found:
    """Say which zones' lines are one change with this one: its water stands at each, and counts once."""
    if found.detail is None:
        return found
    same = [one for one in lines if one is not found and one.controller.pk == found.controller.pk]
    zones = [
        one.zone.number
        for one in same
        if one.zone is not None and one.detail is not None and one.detail.same_as(found.detail)
    ]
    return replace(found, facts=found.facts | {"with_zones": sorted(zones)}) if zones else found
