"""Signing requests with ``Authorization: Bearer <token>``."""

import re
from typing import Any

from knox.auth import TokenAuthentication
from rest_framework.exceptions import AuthenticationFailed

TOKEN = re.compile(rb"[0-9A-Za-z]{15,200}")


class BearerTokens(TokenAuthentication):
    """Tokens given by ``POST /api/v1/token/``.

    What can't be a token is refused before it is looked up: bytes that are no text must not reach a database.
    """

    def authenticate_credentials(self, token: bytes) -> tuple[Any, Any]:
        if not TOKEN.fullmatch(token):
            raise AuthenticationFailed("Invalid token.")
        return super().authenticate_credentials(token)
