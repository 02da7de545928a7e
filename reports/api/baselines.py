"""Baselines of meters, as they were fitted."""

from django.db.models import QuerySet
from rest_framework import serializers

from fleet.api.documented import reading
from fleet.api.filters import Filters, IdFilter
from fleet.api.rows import Rows
from reports.models import MeterBaseline


class BilledPoint(serializers.Serializer):
    """One bill a baseline rests on: litres used, for reasons of their own, and needed; both days included."""

    first = serializers.DateField()
    last = serializers.DateField()
    used_l = serializers.FloatField()
    apart_l = serializers.FloatField()
    need_l = serializers.FloatField()


class FitFigures(serializers.Serializer):
    """How good a fit is: CV(RMSE), R2, NMBE, how bills follow each other, how many they are worth."""

    cv_rmse = serializers.FloatField()
    r2 = serializers.FloatField()
    nmbe = serializers.FloatField()
    rho = serializers.FloatField()
    effective = serializers.FloatField()


class MeterBaselineRow(serializers.ModelSerializer):
    """A fit of a meter's use; ``refused`` says why it isn't used, ``replaced_at`` when another took over."""

    terms = serializers.ListField(child=serializers.CharField())
    coefficients = serializers.ListField(child=serializers.FloatField())
    points = BilledPoint(many=True)
    figures = FitFigures()

    class Meta:
        model = MeterBaseline
        fields = (
            "id", "meter", "first", "last", "terms", "coefficients", "points", "figures", "refused",
            "fitted_at", "by", "replaced_at",
        )  # fmt: skip
        read_only_fields = fields


class MeterBaselineFilters(Filters):
    client = IdFilter("meter__site__client")
    site = IdFilter("meter__site")
    meter = IdFilter("meter")


@reading("meter-baselines", many="Baselines of meters you may see", one="One baseline", row=MeterBaselineRow)
class MeterBaselines(Rows):
    """What meters would have used, as fitted on their earlier bills; earlier fits are kept."""

    queryset = MeterBaseline.objects.none()
    serializer_class = MeterBaselineRow
    filterset_class = MeterBaselineFilters

    def get_queryset(self) -> QuerySet[MeterBaseline]:
        return MeterBaseline.objects.visible_to(self.request.user)
