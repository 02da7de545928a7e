"""Signing in for scripts: a token for an e-mail address and password."""

from typing import Any

from django.contrib.auth import authenticate
from django.contrib.auth.signals import user_logged_in
from django.http import HttpRequest
from drf_spectacular.utils import OpenApiExample, extend_schema
from knox.models import get_token_model
from rest_framework import serializers
from rest_framework.authentication import BaseAuthentication
from rest_framework.exceptions import AuthenticationFailed, Throttled
from rest_framework.permissions import AllowAny, BasePermission, IsAuthenticated
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.throttling import BaseThrottle, SimpleRateThrottle
from rest_framework.views import APIView

from common.errors import Refused
from fleet.api.inputs import Input, Text
from fleet.models import User


class TokenInput(Input):
    """Who is asking."""

    email = serializers.EmailField(max_length=254)
    password = Text(max_length=1024)


class TokenOutput(serializers.Serializer):
    """A token, shown this once."""

    token = serializers.CharField()
    expires_at = serializers.DateTimeField(allow_null=True)


class TokenRequests(SimpleRateThrottle):
    """So many requests for a token a minute from one address, whatever headers say about where it is."""

    scope = "token"
    rate = "60/min"

    def get_cache_key(self, request: Request, view: APIView) -> str:
        return self.cache_format % {"scope": self.scope, "ident": request.META.get("REMOTE_ADDR", "")}


class Token(APIView):
    """Tokens are sent as ``Authorization: Bearer <token>``."""

    def get_authenticators(self) -> list[BaseAuthentication]:
        # Asking for a token must work with an old token still in the header.
        return [] if self._asks_for_token() else super().get_authenticators()

    def get_permissions(self) -> list[BasePermission]:
        return [AllowAny()] if self._asks_for_token() else [IsAuthenticated()]

    def get_throttles(self) -> list[BaseThrottle]:
        return [TokenRequests()] if self._asks_for_token() else []

    def get_authenticate_header(self, request: Request) -> str:
        return "Bearer"

    @extend_schema(
        summary="Get a token",
        description="Eight wrong passwords lock an address out for a quarter of an hour.",
        tags=["token"],
        auth=[],
        request=TokenInput,
        responses={200: TokenOutput},
        examples=[
            OpenApiExample("ask", {"email": "office@example.com", "password": "…"}, request_only=True),
            OpenApiExample(
                "answer",
                {"token": "6a4f…", "expires_at": "2026-09-30T06:00:00Z"},
                response_only=True,
                status_codes=["200"],
            ),
        ],
    )
    def post(self, request: Request) -> Response:
        asked = TokenInput(data=request.data)
        asked.is_valid(raise_exception=True)
        user = _signed_in(request._request, asked.validated_data)
        row, token = get_token_model().objects.create(user=user)
        return Response(TokenOutput({"token": token, "expires_at": row.expiry}).data)

    @extend_schema(summary="Give this token up", tags=["token"], request=None, responses={204: None})
    def delete(self, request: Request) -> Response:
        if not isinstance(request.auth, get_token_model()):
            raise Refused("This request was not signed with a token.")
        request.auth.delete()
        return Response(status=204)

    def _asks_for_token(self) -> bool:
        return getattr(self.request, "method", "") == "POST"


def _signed_in(request: HttpRequest, asked: dict[str, Any]) -> User:
    user = authenticate(request, username=asked["email"].lower(), password=asked["password"])
    if getattr(request, "axes_locked_out", False):
        request.axes_locked_out = False  # type: ignore[attr-defined]  # answered here, not by its page
        raise Throttled(wait=900, detail="Too many wrong passwords; try again later.")
    if not isinstance(user, User):
        raise AuthenticationFailed("The e-mail address or the password is wrong.")
    user_logged_in.send(sender=User, request=request, user=user)
    return user
