"""Versions of a row: an ETag on what is read, asked for again when it is written."""

from hashlib import sha256
from typing import Any

from django.utils.http import parse_etags
from rest_framework.exceptions import APIException
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response


class NoVersion(APIException):
    """A row is only written by those who say which version of it they have read."""

    status_code = 428
    default_detail = "Say which version you change: If-Match with the ETag you have read."


class OtherVersion(APIException):
    """The row is another by now than the one that was read."""

    status_code = 412
    default_detail = "This has been changed since you read it; nothing was written. Read it again."

    def __init__(self, etag: str) -> None:
        super().__init__()
        self.etag = etag


def etag_of(body: Any) -> str:
    """Return the strong ETag of a row as it is answered."""
    return f'"{sha256(JSONRenderer().render(body)).hexdigest()[:32]}"'


def read(request: Request, body: Any) -> Response:
    """Answer a row, or that it is still the one the reader has."""
    etag = etag_of(body)
    known = parse_etags(request.headers.get("If-None-Match", ""))
    if known and (known == ["*"] or etag in (one.removeprefix("W/") for one in known)):
        return Response(status=304, headers={"ETag": etag})
    return Response(body, headers={"ETag": etag})


def require_version(request: Request, body: Any) -> None:
    """Refuse to write a row unless the request names the version ``body`` is of.

    Raises
    ------
    NoVersion
        If it names none.
    OtherVersion
        If it names others; the current one is told.
    """
    said = request.headers.get("If-Match", "").strip()
    if not said:
        raise NoVersion
    etag = etag_of(body)
    if said != "*" and etag not in parse_etags(said):
        raise OtherVersion(etag)
