"""Corrections of sites' reference ET."""

from django.db.models import QuerySet
from rest_framework import serializers

from fleet.api.documented import reading, writing
from fleet.api.filters import DayFilter, Filters, IdFilter
from fleet.api.inputs import ModelInput, OwnRow
from fleet.api.rows import Created, Edited, Services
from fleet.models import Site, SiteCorrection
from fleet.selectors.people import require_enter
from fleet.services.site_corrections import correct_site, edit_correction

EXAMPLE = {
    "site": 9,
    "factor": 0.85,
    "reason": "Courtyard between tall walls, no wind.",
    "effective_from": "2026-07-06",
}


class SiteCorrectionRow(serializers.ModelSerializer):
    """By what a site's reference ET is multiplied from a day on, until the next one."""

    class Meta:
        model = SiteCorrection
        fields = ("id", "site", "factor", "reason", "effective_from", "by")
        read_only_fields = fields


class SiteCorrectionInput(ModelInput):
    """By what a site's reference ET is multiplied from a day on, and why; 1 takes an earlier one back."""

    site = OwnRow(model=Site)

    class Meta:
        model = SiteCorrection
        fields = ("site", "factor", "reason", "effective_from")


class SiteCorrectionFilters(Filters):
    client = IdFilter("site__client")
    site = IdFilter("site")
    effective_from_after = DayFilter("effective_from", lookup_expr="gte")
    effective_from_before = DayFilter("effective_from", lookup_expr="lte")


@reading(
    "site-corrections",
    many="Site corrections you may see",
    one="One site correction",
    row=SiteCorrectionRow,
)
@writing(
    "site-corrections",
    one="a site correction",
    row=SiteCorrectionRow,
    body=SiteCorrectionInput,
    example=EXAMPLE,
    answer={"by": 4},
    edit={"factor": 0.9},
    removed=False,
    notes={"create": "One a site and day; another opinion is an edit of the first."},
)
class SiteCorrections(Created, Edited):
    """By what people corrected the weather of a place, site by site."""

    queryset = SiteCorrection.objects.none()
    serializer_class = SiteCorrectionRow
    filterset_class = SiteCorrectionFilters
    input_class = SiteCorrectionInput
    row_name = "correction"
    services = Services(correct_site, edit_correction)
    require = staticmethod(require_enter)

    def get_queryset(self) -> QuerySet[SiteCorrection]:
        return SiteCorrection.objects.visible_to(self.request.user).select_related("site__client")
