"""Read the rows a season is made from, for some sites, in a fixed number of queries."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from fleet.models import (
    Controller,
    Site,
    SiteCorrection,
    SiteRain,
    SoilObservation,
    Visit,
    Zone,
    ZoneCut,
    ZoneEpisode,
    ZoneTrim,
)
from scheduling.models import Program, Setting, Skip, ZoneRun
from scheduling.season.need_factors import Cut, need_factors


@dataclass(frozen=True)
class Rows:
    """Everything about some sites that bears on their soil water, as it stands on the morning of ``on``."""

    on: date
    sites: list[Site]
    controllers: list[Controller]
    zones: list[Zone]
    programs: list[Program]
    runs: list[ZoneRun]
    settings: list[tuple[int, date, int]]
    skips: list[tuple[int, date, date]]
    observations: list[tuple[int, date, float]]
    trims: list[tuple[int, date, float]]  # with sites' corrections and cuts of towns' stages, multiplied
    corrections: list[SiteCorrection]  # of reference ET, oldest first
    cuts: list[Cut]
    episodes: list[ZoneEpisode]
    visits: list[tuple[int, date]]
    rain: list[tuple[int, date, float, str]]


def read_rows(site_ids: Sequence[int], *, on: date) -> Rows:
    """Read the rows of some sites; nothing dated after ``on`` but skips and planned visits."""
    ids = list(site_ids)
    of_zone = {"zone__controller__site__in": ids}
    of_program = {"program__controller__site__in": ids}
    sites = list(
        Site.objects.filter(pk__in=ids)
        .select_related("client__company", "tariff", "watering_rule", "town", "cell")
        .prefetch_related("town__rules")
        .order_by("cell", "pk")
    )
    order = {site.pk: n for n, site in enumerate(sites)}
    controllers = sorted(
        Controller.objects.filter(site__in=ids).select_related("source"),
        key=lambda c: (order[c.site_id], c.pk),
    )
    place = {controller.pk: n for n, controller in enumerate(controllers)}
    zones = sorted(
        Zone.objects.filter(controller__site__in=ids), key=lambda z: (place[z.controller_id], z.number)
    )
    programs = sorted(
        Program.objects.filter(controller__site__in=ids, effective__lte=on),
        key=lambda p: (place[p.controller_id], p.letter, p.effective),
    )
    rank = {program.pk: n for n, program in enumerate(programs)}
    runs = sorted(
        (run for run in ZoneRun.objects.filter(**of_program) if run.program_id in rank),
        key=lambda r: (rank[r.program_id], r.order, r.pk),
    )
    cuts: list[Cut] = list(
        ZoneCut.objects.filter(**of_zone, effective_from__lte=on)
        .order_by("effective_from")
        .values_list("zone_id", "effective_from", "effective_to", "factor")
    )
    corrections = list(
        SiteCorrection.objects.filter(site__in=ids, effective_from__lte=on).order_by("effective_from")
    )
    site_of = {controller.pk: controller.site_id for controller in controllers}
    return Rows(
        on=on,
        sites=sites,
        controllers=controllers,
        zones=zones,
        programs=programs,
        runs=runs,
        settings=list(
            Setting.objects.filter(**of_program, effective_from__lte=on)
            .order_by("effective_from")
            .values_list("program_id", "effective_from", "percent")
        ),
        skips=list(
            Skip.objects.filter(**of_program).values_list("program_id", "effective_from", "effective_to")
        ),
        observations=list(
            SoilObservation.objects.filter(**of_zone, date__lte=on).values_list(
                "zone_id", "date", "depletion_share"
            )
        ),
        trims=need_factors(
            ZoneTrim.objects.filter(**of_zone, effective_from__lte=on)
            .order_by("effective_from")
            .values_list("zone_id", "effective_from", "factor"),
            cuts,
            on=on,
            corrections=[(one.site_id, one.effective_from, one.factor) for one in corrections],
            site_of={zone.pk: site_of[zone.controller_id] for zone in zones} if corrections else None,
        ),
        corrections=corrections,
        cuts=cuts,
        episodes=list(ZoneEpisode.objects.filter(**of_zone, effective_from__lte=on)),
        visits=list(
            Visit.objects.filter(site__in=ids, date__gte=on, done_at=None)
            .order_by("date")
            .values_list("site_id", "date")
        ),
        rain=list(
            SiteRain.objects.filter(site__in=ids, date__lt=on).values_list(
                "site_id", "date", "rain_mm", "how"
            )
        ),
    )
