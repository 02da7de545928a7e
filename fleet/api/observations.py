"""How the soil was found."""

from django.db.models import QuerySet
from rest_framework import serializers

from fleet.api.documented import reading, writing
from fleet.api.filters import DayFilter, Filters, IdFilter
from fleet.api.inputs import ModelInput, OwnRow
from fleet.api.rows import Created, Edited, Services
from fleet.models import SoilObservation, Zone
from fleet.selectors.people import require_enter
from fleet.services.observing import edit_observation, observe_soil

EXAMPLE = {
    "zone": 203,
    "date": "2026-07-06",
    "depletion_share": 0.55,
    "how": "probe: dry on top, moist below",
}


class ObservationRow(serializers.ModelSerializer):
    """How dry a root zone was on a morning: 0 full, 1 nothing left that plants can use."""

    class Meta:
        model = SoilObservation
        fields = ("id", "zone", "date", "depletion_share", "how", "by")
        read_only_fields = fields


class ObservationInput(ModelInput):
    """How dry a root zone was found; the account of soil water goes on from there."""

    zone = OwnRow(model=Zone)

    class Meta:
        model = SoilObservation
        fields = ("zone", "date", "depletion_share", "how")


class ObservationFilters(Filters):
    client = IdFilter("zone__controller__site__client")
    site = IdFilter("zone__controller__site")
    controller = IdFilter("zone__controller")
    zone = IdFilter("zone")
    date_after = DayFilter("date", lookup_expr="gte")
    date_before = DayFilter("date", lookup_expr="lte")


@reading("observations", many="Soil observations you may see", one="One soil observation", row=ObservationRow)
@writing(
    "observations",
    one="a soil observation",
    row=ObservationRow,
    body=ObservationInput,
    example=EXAMPLE,
    answer={"by": 4},
    edit={"depletion_share": 0.6},
    removed=False,
    notes={"create": "One a zone and day; a second look is an edit of the first."},
)
class Observations(Created, Edited):
    """What a probe said, zone by zone."""

    queryset = SoilObservation.objects.none()
    serializer_class = ObservationRow
    filterset_class = ObservationFilters
    input_class = ObservationInput
    row_name = "observation"
    services = Services(observe_soil, edit_observation)
    require = staticmethod(require_enter)

    def get_queryset(self) -> QuerySet[SoilObservation]:
        visible = SoilObservation.objects.visible_to(self.request.user)
        return visible.select_related("zone__controller__site__client")
