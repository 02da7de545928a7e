"""How the endpoints of rows are described: headers, examples, summaries."""

from collections.abc import Callable
from typing import Any

from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema, extend_schema_view

ONCE = OpenApiParameter(
    "Idempotency-Key",
    {"type": "string", "minLength": 1, "maxLength": 200, "pattern": "^[!-~]+$"},
    OpenApiParameter.HEADER,
    description="A key of your own. Sent again within a day with the same body it gives the first answer "
    "again, with `Idempotent-Replay: true`, and nothing is done twice.",
)
IF_MATCH = OpenApiParameter(
    "If-Match",
    str,
    OpenApiParameter.HEADER,
    required=True,
    description="The `ETag` you have read; if the row is another by now nothing is written.",
)
IF_NONE_MATCH = OpenApiParameter(
    "If-None-Match",
    str,
    OpenApiParameter.HEADER,
    description="An `ETag` you have; 304 if the row is still the same.",
)
REPLAY = OpenApiParameter(
    "Idempotent-Replay",
    str,
    OpenApiParameter.HEADER,
    response=True,
    description="`true` on an answer given again.",
)
LOCATION = OpenApiParameter(
    "Location", str, OpenApiParameter.HEADER, response=[201], description="Where the new row is read."
)


def etag(*statuses: int) -> OpenApiParameter:
    """Describe the version that comes with an answer."""
    return OpenApiParameter(
        "ETag", str, OpenApiParameter.HEADER, response=list(statuses), description="The version of the row."
    )


def reading(tag: str, *, many: str, one: str, row: Any = None) -> Callable[[type[Any]], type[Any]]:
    """Describe a list and its rows."""
    responses = {200: row, 304: None} if row else None
    return extend_schema_view(
        list=extend_schema(summary=many, tags=[tag]),
        retrieve=extend_schema(
            summary=one, tags=[tag], parameters=[IF_NONE_MATCH, etag(200, 304)], responses=responses
        ),
    )


def writing(
    tag: str,
    *,
    one: str,
    row: Any,
    body: Any,
    example: dict[str, Any],
    edit: dict[str, Any] | None = None,
    **more: Any,
) -> Callable[[type[Any]], type[Any]]:
    """Describe how a row is set up, edited and removed; ``edit`` is an example of a PATCH."""
    answer = {"id": 52, **example, **more.pop("answer", {})}
    notes: dict[str, str] = more.pop("notes", {})
    edit_body = more.pop("edit_body", None) or body
    described: dict[str, Any] = {
        "create": extend_schema(
            summary=f"Set up {one}",
            description=notes.get("create"),
            tags=[tag],
            parameters=[ONCE, REPLAY, LOCATION, etag(201)],
            request=body,
            responses={201: row},
            examples=[
                OpenApiExample("set up", example, request_only=True),
                OpenApiExample("as stored", answer, response_only=True, status_codes=["201"]),
            ],
        )
    }
    if edit is not None:
        described["partial_update"] = extend_schema(
            summary=f"Edit {one}",
            description=notes.get("partial_update"),
            tags=[tag],
            parameters=[IF_MATCH, etag(200)],
            request=edit_body,
            responses={200: row},
            examples=[
                OpenApiExample("edit", edit, request_only=True),
                OpenApiExample("as stored", answer | edit, response_only=True, status_codes=["200"]),
            ],
        )
    if more.pop("removed", True):
        described["destroy"] = extend_schema(
            summary=f"Remove {one}",
            description=notes.get("destroy", "Only while nothing hangs on it."),
            tags=[tag],
            parameters=[IF_MATCH],
            responses={204: None},
        )
    return extend_schema_view(**described)
