"""What is known about a place before a site is set up there: time zone, height, where a ZIP code lies."""

from typing import Any

from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from fleet.selectors.places import ZIP, height_near, place_of_zip, timezone_at

EXAMPLE = {
    "latitude": 39.2081,
    "longitude": -121.0069,
    "timezone": "America/Los_Angeles",
    "elevation_m": 310.0,
    "elevation_basis": "assumed",
    "elevation_of": "Main grounds",
    "elevation_distance_km": 2.4,
    "about": "about the middle of ZIP 95945 (Grass Valley, CA); correct it",
}


class AskedPlace(serializers.Serializer):
    """A coordinate, or a US ZIP code."""

    latitude = serializers.FloatField(required=False, min_value=-90, max_value=90)
    longitude = serializers.FloatField(required=False, min_value=-180, max_value=180)
    zip = serializers.RegexField(ZIP.pattern, required=False, max_length=10)

    def validate(self, said: dict[str, Any]) -> dict[str, Any]:
        for name in ("latitude", "longitude"):
            if "zip" not in said and name not in said:
                raise serializers.ValidationError({name: "Give latitude and longitude, or a ZIP code."})
            if "zip" in said and name in said:
                raise serializers.ValidationError({"zip": "Give coordinates or a ZIP code, not both."})
        return said


class PlaceRow(serializers.Serializer):
    """A place; height null where nothing near is known, else assumed from what stands nearest."""

    latitude = serializers.FloatField()
    longitude = serializers.FloatField()
    timezone = serializers.CharField()
    elevation_m = serializers.FloatField(allow_null=True)
    elevation_basis = serializers.CharField()
    elevation_of = serializers.CharField()
    elevation_distance_km = serializers.FloatField(allow_null=True)
    about = serializers.CharField()


class Places(APIView):
    """Places, looked up offline."""

    @extend_schema(
        operation_id="places_retrieve",
        summary="Time zone and assumed height of a place",
        tags=["sites"],
        parameters=[
            OpenApiParameter("latitude", {"type": "number", "minimum": -90, "maximum": 90}),
            OpenApiParameter("longitude", {"type": "number", "minimum": -180, "maximum": 180}),
            OpenApiParameter("zip", {"type": "string", "pattern": "^[0-9]{5}(-[0-9]{4})?$"}),
        ],
        responses=PlaceRow,
        examples=[OpenApiExample("of a ZIP code", EXAMPLE, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        said = AskedPlace(data=request.query_params.dict())
        said.is_valid(raise_exception=True)
        return Response(PlaceRow(_place(request.user, **said.validated_data)).data)


def _place(
    user: Any, *, latitude: float = 0.0, longitude: float = 0.0, zip: str | None = None
) -> dict[str, Any]:
    about = ""
    if zip is not None:
        found = place_of_zip(zip)
        if found is None:
            raise serializers.ValidationError({"zip": "There is no such ZIP code in the table."})
        latitude, longitude = found.latitude, found.longitude
        about = f"about the middle of ZIP {found.code} ({found.town}); correct it"
    near = height_near(user.company_ids(), latitude, longitude)
    return {
        "latitude": latitude,
        "longitude": longitude,
        "timezone": timezone_at(latitude, longitude),
        "elevation_m": near.elevation_m if near else None,
        "elevation_basis": "assumed" if near else "",
        "elevation_of": near.of if near else "",
        "elevation_distance_km": round(near.distance_km, 1) if near else None,
        "about": about,
    }
