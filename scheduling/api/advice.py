"""What would be worth doing, as it was last computed. Read only."""

from django.db.models import QuerySet
from django_filters.rest_framework import ChoiceFilter
from drf_spectacular.utils import OpenApiExample, extend_schema_serializer
from rest_framework import serializers

from fleet.api.documented import reading
from fleet.api.filters import Filters, IdFilter
from fleet.api.rows import Rows
from scheduling.models import Advice

EXAMPLE = {
    "id": 7,
    "controller": 3,
    "client": 1,
    "kind": "unlike zones",
    "program": 52,
    "zone": 14,
    "words": "Zone 4 Side shrubs is watered with zones whose soil lasts about 3 days; its own lasts 13 days.",
    "litres_week": 1537.0,
    "litres_year": None,
    "money_year": "61.20",
    "currency": "USD",
    "risk": 0,
    "facts": {"lasts_days": 13.2, "others_days": 3.1},
    "found_on": "2026-07-06",
    "dismissed_at": None,
    "dismissed_why": "",
}


@extend_schema_serializer(examples=[OpenApiExample("a zone among unlike ones", EXAMPLE)])
class AdviceRow(serializers.ModelSerializer):
    """One line; ``risk`` 0 none, 1 now and then, 2 plants suffer or a rule is broken."""

    client = serializers.IntegerField(source="controller.site.client_id")

    class Meta:
        model = Advice
        fields = tuple(EXAMPLE)
        read_only_fields = fields


class AdviceFilters(Filters):
    """Whose, and of which kind."""

    client = IdFilter("controller__site__client")
    site = IdFilter("controller__site")
    controller = IdFilter("controller")
    kind = ChoiceFilter(choices=Advice.Kind.choices)


@reading("advice", many="Advice", one="One line of advice", row=AdviceRow)
class AdviceLines(Rows):
    """What would save water or plants; made anew each night."""

    queryset = Advice.objects.none()
    serializer_class = AdviceRow
    filterset_class = AdviceFilters

    def get_queryset(self) -> QuerySet[Advice]:
        return Advice.objects.visible_to(self.request.user).select_related("controller__site")
