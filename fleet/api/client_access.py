"""Opening a client's access over REST: the day, and who may read. To look, never to touch."""

from typing import Any

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from fleet.api.documented import ONCE, REPLAY
from fleet.api.inputs import Day, Input
from fleet.api.once import once
from fleet.models import Client
from fleet.services.client_opening import MOST_READERS, open_access

EXAMPLE = {"access_from": "2026-05-01", "readers": ["grounds@example.com"]}


class AccessInput(Input):
    """``access_from`` null closes access. Readers are added; who may read already stays."""

    access_from = Day(allow_null=True)
    readers = serializers.ListField(
        child=serializers.EmailField(max_length=254), required=False, max_length=MOST_READERS
    )


class AccessRow(serializers.Serializer):
    """From when on a client reads its own sites, and who."""

    client = serializers.IntegerField()
    access_from = serializers.DateField(allow_null=True)
    readers = serializers.ListField(child=serializers.EmailField())


class ClientAccessOpening(APIView):
    """A client's access."""

    @extend_schema(
        operation_id="clients_access_create",
        summary="Open or close a client's access",
        tags=["clients"],
        parameters=[ONCE, REPLAY],
        request=AccessInput,
        responses={200: AccessRow},
        examples=[
            OpenApiExample("open", EXAMPLE, request_only=True),
            OpenApiExample("open", {"client": 7, **EXAMPLE}, response_only=True),
        ],
    )
    @once
    def post(self, request: Request, id: int) -> Response:
        user: Any = request.user
        client = get_object_or_404(Client.objects.filter(company__in=user.company_ids()), pk=id)
        said = AccessInput(data=request.data)
        said.is_valid(raise_exception=True)
        opened = open_access(client=client, by=user, **said.validated_data)
        readers = opened.accesses.order_by("user__email").values_list("user__email", flat=True)
        row = {"client": opened.pk, "access_from": opened.access_from, "readers": list(readers)}
        return Response(AccessRow(row).data)
