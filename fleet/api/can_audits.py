"""What was caught in cans."""

from typing import Any

from django.db.models import QuerySet
from rest_framework import serializers

from fleet.api.documented import reading, writing
from fleet.api.filters import DayFilter, Filters, IdFilter
from fleet.api.inputs import ModelInput, Number, OwnRow, YesNo
from fleet.api.rows import Created, Edited, Services
from fleet.models import CanAudit, Zone
from fleet.models.cans import FEWEST, MOST_CANS, MOST_ML
from fleet.selectors.people import require_enter
from fleet.services.cans import audit_cans, edit_audit, in_survey, unuse_audit, use_audit

EXAMPLE: dict[str, Any] = {
    "zone": 203,
    "date": "2026-07-06",
    "minutes": 10,
    "throat_cm2": 106.5,
    "volumes_ml": [24, 21, 30, 18, 26, 22, 25, 19],
    "wind_m_s": 1.2,
    "note": "South half.",
}


class CanAuditRow(serializers.ModelSerializer):
    """The cans of one zone on one day, and what follows: net rate, uniformity by quarter and half."""

    volumes_ml = serializers.ListField(child=serializers.FloatField(), read_only=True)
    precipitation_rate_mm_h = serializers.SerializerMethodField()
    uniformity = serializers.SerializerMethodField()
    uniformity_of_half = serializers.SerializerMethodField()
    cans = serializers.SerializerMethodField()
    enough_cans = serializers.SerializerMethodField()
    in_survey = serializers.SerializerMethodField()

    class Meta:
        model = CanAudit
        fields = (
            "id",
            "zone",
            "date",
            "minutes",
            "throat_cm2",
            "volumes_ml",
            "wind_m_s",
            "note",
            "by",
            "precipitation_rate_mm_h",
            "uniformity",
            "uniformity_of_half",
            "cans",
            "enough_cans",
            "in_survey",
        )
        read_only_fields = fields

    def get_precipitation_rate_mm_h(self, audit: CanAudit) -> float:
        return audit.found.rate_mm_h

    def get_uniformity(self, audit: CanAudit) -> float:
        return audit.found.low_quarter

    def get_uniformity_of_half(self, audit: CanAudit) -> float:
        return audit.found.low_half

    def get_cans(self, audit: CanAudit) -> int:
        return audit.found.cans

    def get_enough_cans(self, audit: CanAudit) -> bool:
        return audit.found.enough

    def get_in_survey(self, audit: CanAudit) -> bool:
        return in_survey(audit)


class CanAuditInput(ModelInput):
    """What the cans held. ``in_survey`` takes rate and uniformity into the zone's survey, or out of it."""

    zone = OwnRow(model=Zone)
    volumes_ml = serializers.ListField(
        child=Number(min_value=0, max_value=MOST_ML), min_length=FEWEST, max_length=MOST_CANS
    )
    in_survey = YesNo(required=False)

    class Meta:
        model = CanAudit
        fields = ("zone", "date", "minutes", "throat_cm2", "volumes_ml", "wind_m_s", "note", "in_survey")


class CanAuditFilters(Filters):
    client = IdFilter("zone__controller__site__client")
    site = IdFilter("zone__controller__site")
    controller = IdFilter("zone__controller")
    zone = IdFilter("zone")
    date_after = DayFilter("date", lookup_expr="gte")
    date_before = DayFilter("date", lookup_expr="lte")


def _noted(*, in_survey: bool = False, **said: Any) -> CanAudit:
    audit = audit_cans(**said)
    return use_audit(audit=audit, by=said["by"]) if in_survey else audit


def _edited(*, audit: CanAudit, by: Any, in_survey: bool | None = None, **fields: Any) -> CanAudit:
    if in_survey is False:
        unuse_audit(audit=audit, by=by)
    if fields:
        audit = edit_audit(audit=audit, by=by, **fields)
    return use_audit(audit=audit, by=by) if in_survey else audit


@reading("catch cans", many="Catch-can audits you may see", one="One catch-can audit", row=CanAuditRow)
@writing(
    "catch cans",
    one="a catch-can audit",
    row=CanAuditRow,
    body=CanAuditInput,
    example=EXAMPLE,
    answer={
        "by": 4,
        "precipitation_rate_mm_h": 13.0282,
        "uniformity": 0.8,
        "uniformity_of_half": 0.8649,
        "cans": 8,
        "enough_cans": False,
        "in_survey": False,
    },
    edit={"in_survey": True},
    removed=False,
    notes={"create": "At least four cans; 24 are enough for a sound audit."},
)
class CanAudits(Created, Edited):
    """What was caught in cans, zone by zone."""

    queryset = CanAudit.objects.none()
    serializer_class = CanAuditRow
    filterset_class = CanAuditFilters
    input_class = CanAuditInput
    row_name = "audit"
    services = Services(_noted, _edited)
    require = staticmethod(require_enter)

    def get_queryset(self) -> QuerySet[CanAudit]:
        return CanAudit.objects.visible_to(self.request.user).select_related("zone__controller__site__client")
