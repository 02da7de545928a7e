"""Zones that were run and looked at."""

from typing import Any

from django.db.models import QuerySet
from rest_framework import serializers

from fleet.api.documented import reading, writing
from fleet.api.filters import DayFilter, Filters, IdFilter
from fleet.api.inputs import Input, ModelInput, Number, OwnRow, Word
from fleet.api.rows import Created, Edited, Services
from fleet.models import Zone, ZoneRound, ZoneTest
from fleet.numerics.zone_faults import FAULTS
from fleet.selectors.flow_checks import check_of
from fleet.selectors.people import require_enter
from fleet.services.zone_tests import edit_test, test_zone

EXAMPLE: dict[str, Any] = {
    "zone": 203,
    "round": 12,
    "date": "2026-07-06",
    "flow_l_min": 41.6,
    "pressure_kpa": 310,
    "seen": ["tilted"],
    "note": "Third head from the gate.",
    "not_seen_because": "",
}


class ZoneTestRow(serializers.ModelSerializer):
    """What was measured and seen at one zone; ``flow`` compares it with what was expected then."""

    seen = serializers.ListField(child=serializers.CharField(), read_only=True)
    measured = serializers.DictField(child=serializers.FloatField(), read_only=True, allow_null=True)
    expected_from = serializers.CharField(read_only=True)
    flow = serializers.SerializerMethodField()

    class Meta:
        model = ZoneTest
        fields = (
            "id",
            "zone",
            "round",
            "date",
            "flow_l_min",
            "measured",
            "pressure_kpa",
            "seen",
            "note",
            "not_seen_because",
            "by",
            "expected_l_min",
            "expected_from",
            "flow",
        )
        read_only_fields = fields

    def get_flow(self, test: ZoneTest) -> str | None:
        check = check_of(test)
        return check.verdict if check else None


class MeasuredInput(Input):
    """A bucket (``volume_l``) or a meter read twice (``before_l``, ``after_l``), and the seconds between."""

    volume_l = Number(min_value=0, max_value=100_000, required=False)
    before_l = Number(min_value=0, max_value=1e12, required=False)
    after_l = Number(min_value=0, max_value=1e12, required=False)
    seconds = Number(min_value=0.5, max_value=7_200)

    def validate(self, attrs: dict[str, float]) -> dict[str, float]:
        bucket, meter = "volume_l" in attrs, {"before_l", "after_l"} & set(attrs)
        if bucket == bool(meter) or (meter and len(meter) < 2):
            raise serializers.ValidationError("Give volume_l, or before_l and after_l.")
        return attrs


class ZoneTestInput(ModelInput):
    """What was measured and seen; a flow is given as such or worked out from ``measured``."""

    zone = OwnRow(model=Zone)
    round = OwnRow(model=ZoneRound, required=False, allow_null=True)
    seen = serializers.ListField(
        child=Word(choices=[(key, fault.words) for key, fault in FAULTS.items()]),
        required=False,
        max_length=len(FAULTS),
    )
    measured = MeasuredInput(required=False, allow_null=True)

    class Meta:
        model = ZoneTest
        fields = (
            "zone",
            "round",
            "date",
            "flow_l_min",
            "measured",
            "pressure_kpa",
            "seen",
            "note",
            "not_seen_because",
        )


class ZoneTestFilters(Filters):
    client = IdFilter("zone__controller__site__client")
    site = IdFilter("zone__controller__site")
    controller = IdFilter("zone__controller")
    zone = IdFilter("zone")
    round = IdFilter("round")
    date_after = DayFilter("date", lookup_expr="gte")
    date_before = DayFilter("date", lookup_expr="lte")


@reading("zone tests", many="Zone tests you may see", one="One zone test", row=ZoneTestRow)
@writing(
    "zone tests",
    one="a zone test",
    row=ZoneTestRow,
    body=ZoneTestInput,
    example=EXAMPLE,
    answer={
        "measured": None,
        "by": 4,
        "expected_l_min": 40.0,
        "expected_from": "survey",
        "flow": "as expected",
    },
    edit={"pressure_kpa": 295},
    removed=False,
    notes={
        "create": "One a zone in each round, one a zone and day outside of rounds; another sets it right. "
        "A measured flow goes into the survey of the zone."
    },
)
class ZoneTests(Created, Edited):
    """What was measured and seen, zone by zone."""

    queryset = ZoneTest.objects.none()
    serializer_class = ZoneTestRow
    filterset_class = ZoneTestFilters
    input_class = ZoneTestInput
    row_name = "test"
    services = Services(test_zone, edit_test)
    require = staticmethod(require_enter)

    def get_queryset(self) -> QuerySet[ZoneTest]:
        return ZoneTest.objects.visible_to(self.request.user).select_related(
            "zone__controller__site__client", "round"
        )
