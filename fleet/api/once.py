"""The ``Idempotency-Key`` header: a request sent twice is done once."""

import json
import re
from collections.abc import Callable
from functools import wraps
from hashlib import sha256
from typing import Any

from rest_framework.exceptions import APIException
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from common.errors import Refused
from fleet.services.repeats import OtherRequest, Said
from fleet.services.repeats import once as done_once

HEADER = "Idempotency-Key"
KEY = re.compile(r"[!-~]{1,200}")
KEPT_HEADERS = ("ETag", "Location")
Handler = Callable[..., Response]


class KeyTaken(APIException):
    """The key names another request."""

    status_code = 422


def once(handler: Handler) -> Handler:
    """Let a POST be repeated: the same key and body give the first answer again, for a day.

    Only what was done is kept. An error did nothing, so its request may be mended and sent with the same key.
    """

    @wraps(handler)
    def answer(view: Any, request: Request, *args: Any, **kwargs: Any) -> Response:
        user: Any = request.user
        companies = user.company_ids() or user.read_company_ids() if HEADER in request.headers else []
        if not companies:  # whoever works for none and reads nowhere writes nothing
            return handler(view, request, *args, **kwargs)
        try:
            said = done_once(
                by=user,
                company_id=min(companies),
                key=_key(request),
                request=_digest(request),
                do=lambda: _said(handler(view, request, *args, **kwargs)),
            )
        except OtherRequest as error:
            raise KeyTaken(error.message) from error
        again = {"Idempotent-Replay": "true"} if said.again else {}
        return Response(said.body, status=said.status, headers=said.headers | again)

    return answer


def _key(request: Request) -> str:
    key = str(request.headers[HEADER])
    if not KEY.fullmatch(key):
        raise Refused("Write a key of 1 to 200 plain characters, without spaces.", field=HEADER)
    return key


def _digest(request: Request) -> str:
    body = json.dumps(request.data, sort_keys=True)
    return sha256("\n".join((request.method or "", request.get_full_path(), body)).encode()).hexdigest()


def _said(response: Response) -> Said:
    headers = {name: response[name] for name in KEPT_HEADERS if name in response}
    return Said(response.status_code, json.loads(JSONRenderer().render(response.data)), headers)
