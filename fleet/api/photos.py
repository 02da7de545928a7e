"""Photos of zone tests and findings: listed, sent, fetched, removed."""

import base64
import binascii
from io import BytesIO
from typing import Any

from django.conf import settings
from django.core.exceptions import RequestDataTooBig
from django.db.models import QuerySet
from django.http import Http404
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema, extend_schema_field, extend_schema_view
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.parsers import BaseParser
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.api.as_it_is import AsItIs
from fleet.api.documented import reading, writing
from fleet.api.filters import Filters, IdFilter
from fleet.api.inputs import ModelInput, OwnRow, Text
from fleet.api.json_body import JSONBody
from fleet.api.rows import Created, Removed, Services
from fleet.models import Finding, Photo, ZoneTest
from fleet.photo_files import FULL, SMALL, read_file
from fleet.selectors.people import require_enter
from fleet.selectors.photos import photos_for
from fleet.services.photos import add_photo, remove_photo
from fleet.services.pictures import too_large

JPEG = "image/jpeg"
PLAIN = {"Cache-Control": "private, no-store", "X-Content-Type-Options": "nosniff"}
EXAMPLE: dict[str, Any] = {"test": 12, "note": "Third head from the gate."}


class Picture(AsItIs):
    """A JPEG as it is."""

    media_type = JPEG
    format = "jpg"


class LongBody(JSONBody):
    """JSON with a photo in it: a third longer than the photo."""

    def most(self) -> int:
        return int(settings.PHOTO_BYTES * 4 / 3) + 10_000


class PhotoBody(BaseParser):
    """Reads such a body from the wire itself: what reads JSON usually stops where other bodies end."""

    media_type = LongBody.media_type

    def parse(self, stream: Any, media_type: Any = None, parser_context: Any = None) -> Any:
        long = LongBody()
        content = stream.read(long.most() + 1)
        if len(content) > long.most():
            raise RequestDataTooBig
        return long.parse(BytesIO(content), media_type, parser_context)


class PhotoRow(serializers.ModelSerializer):
    """A photo of one test or one finding; ``width`` and ``height`` are those of the JPEG kept. [px]"""

    class Meta:
        model = Photo
        fields = ("id", "zone", "test", "finding", "note", "width", "height", "by", "at")
        read_only_fields = fields


@extend_schema_field({"type": "string", "format": "byte", "minLength": 4})
class Base64(Text):
    """The bytes of a file, written in base64 (RFC 4648, section 4)."""

    def to_internal_value(self, data: Any) -> Any:
        text = super().to_internal_value(data)
        if len(text) > settings.PHOTO_BYTES * 4 / 3 + 4:
            raise serializers.ValidationError(too_large(settings.PHOTO_BYTES))
        try:
            return base64.b64decode(text, validate=True)
        except (binascii.Error, ValueError):
            raise serializers.ValidationError("Write the file in base64.") from None


class PhotoInput(ModelInput):
    """A JPEG, PNG or WebP file in base64, and of which test or which finding it is: one of them."""

    test = OwnRow(model=ZoneTest, required=False, allow_null=True)
    finding = OwnRow(model=Finding, required=False, allow_null=True)
    image = Base64()

    class Meta:
        model = Photo
        fields = ("test", "finding", "note", "image")


class PhotoFilters(Filters):
    client = IdFilter("zone__controller__site__client")
    site = IdFilter("zone__controller__site")
    zone = IdFilter("zone")
    test = IdFilter("test")
    finding = IdFilter("finding")
    round = IdFilter("test__round")


@reading("photos", many="Photos you may see", one="What is known of one photo", row=PhotoRow)
@writing(
    "photos",
    one="a photo",
    row=PhotoRow,
    body=PhotoInput,
    example={**EXAMPLE, "image": "/9j/4AAQSkZJRgABAQAAAQABAAD/2w=="},
    answer={
        "zone": 203,
        "finding": None,
        "width": 1600,
        "height": 1200,
        "by": 4,
        "at": "2026-07-06T15:20:00Z",
    },
    notes={
        "create": "It is drawn anew: upright, 1600 px on its longer side at the most, without place, camera "
        "and comments. The same file sent again is the photo that is there. Twelve a test or finding.",
        "destroy": "Its files go with it; this can't be taken back.",
    },
)
@extend_schema_view(
    image=extend_schema(summary="The photo", tags=["photos"], responses={(200, JPEG): OpenApiTypes.BINARY}),
    thumbnail=extend_schema(
        summary="The photo, small", tags=["photos"], responses={(200, JPEG): OpenApiTypes.BINARY}
    ),
)
class Photos(Created, Removed):
    """Photos technicians took; the company's alone."""

    queryset = Photo.objects.none()
    serializer_class = PhotoRow
    filterset_class = PhotoFilters
    input_class = PhotoInput
    row_name = "photo"
    services = Services(add_photo, remove=remove_photo)
    require = staticmethod(require_enter)
    parser_classes = (PhotoBody,)

    def get_queryset(self) -> QuerySet[Photo]:
        return photos_for(self.request.user)

    @action(detail=True, filterset_class=None, pagination_class=None, renderer_classes=[Picture])
    def image(self, request: Request, id: int) -> Response:
        return self._file(FULL)

    @action(detail=True, filterset_class=None, pagination_class=None, renderer_classes=[Picture])
    def thumbnail(self, request: Request, id: int) -> Response:
        return self._file(SMALL)

    def _file(self, size: str) -> Response:
        content = read_file(self.get_object().key, size)
        if content is None:
            raise Http404
        return Response(content, headers=PLAIN)
