"""What the OpenAPI document says beyond the endpoints themselves: every error, and how to sign a request."""

from typing import Any

from drf_spectacular.extensions import OpenApiAuthenticationExtension, OpenApiSerializerFieldExtension

from config.problems import MEDIA_TYPE, problem

WORDS = {
    "400": ("What was sent can't be taken; ``errors`` says why.", "note: Say why, for the next person."),
    "401": ("Not signed in.", "Authentication credentials were not provided."),
    "403": ("Not yours to do.", "Only the owner and the office decide on changes."),
    "404": ("Nothing here that you may see.", "There is nothing here that you may see."),
    "406": ("Answers are JSON only.", "Could not satisfy the request Accept header."),
    "409": (
        "Somebody or something was faster; nothing was overwritten.",
        "This change is entered by now; nothing was overwritten.",
    ),
    "412": (
        "Changed since it was read; nothing was written, and ``ETag`` tells the version it has now.",
        "This has been changed since you read it; nothing was written. Read it again.",
    ),
    "413": ("Too long.", "This body is too long."),
    "415": ("Send JSON in UTF-8.", 'Unsupported media type "text/plain" in request.'),
    "422": (
        "The ``Idempotency-Key`` was used for another request.",
        "This Idempotency-Key was used for another request; nothing was done.",
    ),
    "428": (
        "Not said which version is changed.",
        "Say which version you change: If-Match with the ETag you have read.",
    ),
    "429": ("Too many requests; see ``Retry-After``.", "Too many wrong passwords; try again later."),
}
TEXT = {"type": "string"}
PROBLEM: dict[str, Any] = {
    "type": "object",
    "description": "Problem details, RFC 9457.",
    "required": ["type", "title", "status", "detail", "errors"],
    "properties": {
        "type": {"type": "string", "format": "uri-reference"},
        "title": TEXT,
        "status": {"type": "integer"},
        "detail": TEXT,
        "errors": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["field", "message"],
                "properties": {"field": TEXT, "message": TEXT},
            },
        },
    },
}
CONFLICT: dict[str, Any] = {
    "allOf": [
        {"$ref": "#/components/schemas/Problem"},
        {"type": "object", "required": ["current_status"], "properties": {"current_status": TEXT}},
    ]
}


class BearerScheme(OpenApiAuthenticationExtension):
    """``Authorization: Bearer <token>``."""

    target_class = "fleet.api.bearer.BearerTokens"
    name = "token"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        return {"type": "http", "scheme": "bearer"}


def with_problems(result: dict[str, Any], **kwargs: Any) -> dict[str, Any]:
    """Add to every operation the errors it can answer with, and close the bodies against unknown fields."""
    schemas = result["components"]["schemas"]
    schemas |= {"Problem": PROBLEM, "Conflict": CONFLICT}
    for name, schema in schemas.items():
        if name.endswith("Input"):
            schema["additionalProperties"] = False
    for path, operations in result["paths"].items():
        for method, operation in operations.items():
            for status in _statuses(path, method, operation):
                operation["responses"].setdefault(status, _response(status))
    return result


def _statuses(path: str, method: str, operation: dict[str, Any]) -> list[str]:
    statuses = ["401", "406"]
    on_row = "{id}" in path
    places = {parameter["in"] for parameter in operation.get("parameters", [])}
    headers = {p["name"] for p in operation.get("parameters", []) if p["in"] == "header"}
    spoken = "requestBody" in operation or "query" in places or "Idempotency-Key" in headers
    if spoken or method == "delete":
        statuses.append("400")
    if on_row:
        statuses.append("404")
    if method != "get":
        statuses += ["403", "413", "415"]
    if "Idempotency-Key" in headers:
        statuses += ["409", "422"]
    elif method == "post":
        statuses.append("429")
    if "If-Match" in headers:
        statuses += ["409", "412", "428"]
    return sorted(statuses)


def _response(status: str) -> dict[str, Any]:
    description, said = WORDS[status]
    conflict = status == "409"
    example = problem(int(status), said) | ({"current_status": "applied"} if conflict else {})
    if status == "400":
        field, message = said.split(": ")
        example["errors"] = [{"field": field, "message": message}]
    schema = "Conflict" if conflict else "Problem"
    content = {"schema": {"$ref": f"#/components/schemas/{schema}"}, "example": example}
    return {"description": description, "content": {MEDIA_TYPE: content}}


class LocalTime(OpenApiSerializerFieldExtension):
    """A time of day at a site. The format "time" means one with an offset, which these have none of."""

    target_class = "rest_framework.fields.TimeField"
    match_subclasses = True

    def map_serializer_field(self, auto_schema: Any, direction: Any) -> dict[str, Any]:
        return {"type": "string", "pattern": r"^([01]\d|2[0-3]):[0-5]\d(:[0-5]\d)?$", "example": "22:30"}
