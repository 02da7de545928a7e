"""Nightly runs as the people of one company read them: only their own part."""

from typing import Any

from django.db.models import Exists, OuterRef, Prefetch, QuerySet

from scheduling.models import NightlyRun, NightlyRunCompany


def nightly_runs_for(user: Any) -> QuerySet[NightlyRun]:
    """Return the runs that concerned a person's company, with that company's part alone in ``own_parts``."""
    parts = NightlyRunCompany.objects.visible_to(user)
    return (
        NightlyRun.objects.filter(Exists(parts.filter(run=OuterRef("pk"))))
        .defer("counts", "failures", "weather")
        .prefetch_related(Prefetch("companies", queryset=parts.order_by("company"), to_attr="own_parts"))
    )
