"""Every error under ``/api/`` as problem details (RFC 9457): one shape, whoever raised it.

``{type, title, status, detail, errors: [{field, message}]}``; a conflict adds ``current_status``.
"""

from http import HTTPStatus
from typing import Any

from django.core.exceptions import PermissionDenied, RequestDataTooBig
from django.core.exceptions import ValidationError as ModelValidationError
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect, JsonResponse
from django.urls import resolve
from django.views import defaults
from django.views.decorators.csrf import csrf_exempt
from rest_framework.exceptions import APIException, ValidationError
from rest_framework.renderers import JSONRenderer
from rest_framework.response import Response
from rest_framework.serializers import as_serializer_error
from rest_framework.views import set_rollback

from common.errors import MovedOn, NotAllowed, Refused

MEDIA_TYPE = "application/problem+json"
PREFIX = "/api/"


def problem(
    status: int, detail: str, *, errors: list[dict[str, str]] | None = None, **more: Any
) -> dict[str, Any]:
    """Return the body of an error."""
    return {
        "type": "about:blank",
        "title": HTTPStatus(status).phrase,
        "status": status,
        "detail": detail,
        "errors": errors or [],
        **more,
    }


def problem_details(exc: Exception, context: dict[str, Any]) -> Response | None:
    """Answer whatever was raised inside an endpoint; None lets a real fault become a 500."""
    body = _body(exc)
    if body is None:
        return None
    set_rollback()
    if request := context.get("request"):
        request.accepted_renderer = JSONRenderer()  # also where the page itself would be HTML
        request.accepted_media_type = MEDIA_TYPE
    return Response(body, status=body["status"], headers=_headers(exc), content_type=MEDIA_TYPE)


def _body(exc: Exception) -> dict[str, Any] | None:
    match exc:
        case MovedOn():
            return problem(409, exc.message, current_status=exc.current_status)
        case Refused():
            return problem(400, exc.message, errors=[{"field": exc.field, "message": exc.message}])
        case NotAllowed():
            return problem(403, exc.message)
        case Http404():
            return problem(404, "There is nothing here that you may see.")
        case PermissionDenied():
            return problem(403, "This isn't yours to do.")
        case RequestDataTooBig():
            return problem(413, "This body is too long.")
        case ModelValidationError():
            return _invalid(ValidationError(as_serializer_error(exc)))
        case ValidationError():
            return _invalid(exc)
        case APIException():
            return problem(exc.status_code, str(exc.detail))
    return None


def _invalid(exc: ValidationError) -> dict[str, Any]:
    errors = _flat(exc.detail)
    said = " ".join(f"{e['field']}: {e['message']}" if e["field"] else e["message"] for e in errors[:3])
    return problem(400, said, errors=errors)


def _flat(detail: Any, field: str = "") -> list[dict[str, str]]:
    if isinstance(detail, dict):
        named = [(key if key != "non_field_errors" else "", value) for key, value in detail.items()]
        return [e for key, value in named for e in _flat(value, ".".join(filter(None, (field, str(key)))))]
    if isinstance(detail, list):
        return [e for value in detail for e in _flat(value, field)]
    return [{"field": field, "message": str(detail)}]


def _headers(exc: Exception) -> dict[str, str]:
    headers = {}
    if challenge := getattr(exc, "auth_header", None):
        headers["WWW-Authenticate"] = str(challenge)
    if etag := getattr(exc, "etag", None):
        headers["ETag"] = etag
    if wait := getattr(exc, "wait", None):
        headers["Retry-After"] = str(int(wait))
    return headers


def _answer(status: int, detail: str) -> JsonResponse:
    return JsonResponse(problem(status, detail), status=status, content_type=MEDIA_TYPE)


@csrf_exempt  # whatever is sent to it, nothing is done
def unknown_address(request: HttpRequest) -> HttpResponse:
    """Answer an address under ``/api/`` that doesn't exist, or lead a reader to the one with the slash."""
    if not request.path.endswith("/") and _known(f"{request.path_info}/"):
        if request.method in ("GET", "HEAD"):
            return HttpResponseRedirect(request.get_full_path(force_append_slash=True))
        return _answer(404, "Addresses here end with a slash.")
    return _answer(404, "There is no such address here.")


def _known(path: str) -> bool:
    return resolve(path).func is not unknown_address


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    if request.path.startswith(PREFIX):
        return _answer(400, "This request can't be understood.")
    return defaults.bad_request(request, exception)


def not_allowed(request: HttpRequest, exception: Exception) -> HttpResponse:
    if request.path.startswith(PREFIX):
        return _answer(403, "This isn't yours to do.")
    return defaults.permission_denied(request, exception)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    if request.path.startswith(PREFIX):
        return _answer(404, "There is no such address here.")
    return defaults.page_not_found(request, exception)


def fault(request: HttpRequest) -> HttpResponse:
    if request.path.startswith(PREFIX):
        return _answer(500, "Something went wrong here; nothing was changed.")
    return defaults.server_error(request)
