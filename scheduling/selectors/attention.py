"""What stands in the way of watering well: gaps in surveys, weather that is late, things that are broken."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db.models import OuterRef, Q, Subquery

from fleet.models import Finding, Site, Zone
from scheduling.models import Change, Program, ZoneRun
from scheduling.season.survey import NEEDED, missing_of
from weather.models import ObservedDay, WeatherCell

FALLBACK_DAYS = 3  # so long the last forecast and then normals stand in; beyond it nothing is proposed


@dataclass(frozen=True)
class Gap:
    """A zone that keeps its program out of the night, with what its survey lacks."""

    zone: Zone
    missing: Sequence[str]


@dataclass(frozen=True)
class LateWeather:
    """A site whose observed weather ends before yesterday; ``through`` is None where there is none at all."""

    site: Site
    through: date | None
    days: int

    @property
    def stops(self) -> bool:
        """Tell whether nothing is proposed any more."""
        return self.through is None or self.days > FALLBACK_DAYS


def gaps(company_id: int, *, on: date) -> list[Gap]:
    """Return the zones in use whose survey is incomplete, by site."""
    text = {field.name for field in Zone._meta.get_fields() if getattr(field, "choices", None)}
    lacking = Q(precipitation_rate_mm_h=None) & (Q(flow_l_min=None) | Q(area_m2=None))
    for name, _ in NEEDED:
        lacking |= Q(**{name: ""}) if name in text else Q(**{name: None})
    away = Q(episodes__effective_from__lte=on) & (
        Q(episodes__effective_to=None) | Q(episodes__effective_to__gte=on)
    )
    current = Program.objects.filter(effective__lte=on).filter(Q(ended=None) | Q(ended__gt=on))
    used = ZoneRun.objects.of_company(company_id).filter(program__in=current).values("zone")
    zones = (
        Zone.objects.of_company(company_id)
        .filter(lacking, pk__in=used)
        .exclude(controller__site__season=Site.Season.CLOSED)
        .exclude(pk__in=Zone.objects.filter(away).values("pk"))
        .select_related("controller__site__client")
        .order_by("controller__site__client__name", "controller__site__name", "controller__name", "number")
    )
    return [Gap(zone, missing) for zone in zones if (missing := missing_of(zone))]


def late_weather(company_id: int, *, on: date) -> list[LateWeather]:
    """Return the open sites whose weather isn't known up to yesterday."""
    watered = Site.objects.of_company(company_id).exclude(season=Site.Season.CLOSED)
    known = ObservedDay.objects.filter(cell=OuterRef("pk"), date__lt=on, reference_et_mm__isnull=False)
    cells = WeatherCell.objects.filter(pk__in=watered.values("cell")).annotate(
        through=Subquery(known.order_by("-date").values("date")[:1])
    )
    through: dict[int | None, date | None] = dict(cells.values_list("pk", "through"))
    yesterday = on - timedelta(days=1)
    fresh = [cell for cell, day in through.items() if day is not None and day >= yesterday]
    late = watered.exclude(cell__in=fresh, cell__isnull=False).select_related("client")
    rows = [(site, through.get(site.cell_id)) for site in late.order_by("client__name", "name")]
    return [
        LateWeather(site, known_to, days=(yesterday - known_to).days if known_to else 0)
        for site, known_to in rows
    ]


def open_findings(user: Any, company_id: int) -> list[Finding]:
    """Return what was found broken and not mended yet, the most water lost first."""
    found = Finding.objects.visible_to(user).of_company(company_id).filter(status=Finding.Status.OPEN)
    rows = list(found.select_related("zone__controller__site__client").order_by("found_on", "pk"))
    return sorted(rows, key=lambda finding: -(finding.lost_l_day or 0.0))


def not_entered(user: Any, company_id: int, *, lately: Q) -> list[Change]:
    """Return the approved changes nobody has entered, decided before ``lately``, oldest first."""
    approved = Change.objects.visible_to(user).of_company(company_id).filter(status=Change.Status.APPROVED)
    return list(
        approved.exclude(lately)
        .select_related("program__controller__site__client")
        .defer("inputs")
        .order_by("decided_at")
    )
