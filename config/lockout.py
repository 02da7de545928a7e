"""Whose wrong passwords are counted: the address as it is looked up, however it was spelt."""

from typing import Any

from django.http import HttpRequest


def who_signs_in(request: HttpRequest, credentials: dict[str, Any] | None) -> str | None:
    """Return the address somebody tries to sign in with.

    Forms and the token endpoint call it ``username``, the user model ``email``; counting under one of the two
    alone would never lock anybody out.
    """
    said: Any = credentials or request.POST
    address = said.get("username") or said.get("email")
    return str(address).strip().lower() if address else None
