"""A client's own policy: which values are its own, and changing them."""

from dataclasses import dataclass
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from common.errors import BluestemError, NotAllowed, Refused
from desk import notices
from desk.access import StaffRequest, staff
from desk.pages.client import found_client
from desk.policy_values import read, shown, unit_of
from fleet.models import Client
from fleet.policy_fields import POLICY_FIELD
from fleet.selectors.client_policy import Line, policy_lines
from fleet.selectors.people import may_manage
from fleet.services.client_policy import seen_policy, set_client_policy


@dataclass(frozen=True)
class Field:
    """One value as the form shows it."""

    line: Line
    effect: str
    unit: str
    without: str
    typed: str
    error: str = ""


@staff
@require_http_methods(["GET", "HEAD", "POST"])
def client_policy(request: StaffRequest, pk: int) -> HttpResponse:
    """Show the form, and store what was typed."""
    client = found_client(request, pk)
    if not may_manage(request.user, client.company_id):
        raise PermissionDenied
    if request.method != "POST":
        return _form(request, client)
    try:
        values = _typed(request, client)
        set_client_policy(
            client=client, by=request.user, values=values, seen=request.POST.get("seen", "")[:400]
        )
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    except BluestemError as error:
        return _form(request, client, error=error)
    notices.say(request, f"{client}: stored. It counts from the next night on.")
    return redirect("desk:client", pk)


def _typed(request: StaffRequest, client: Client) -> dict[str, Any]:
    units = client.company.units
    return {line.name: _read(line, request.POST.get(line.name, ""), units) for line in policy_lines(client)}


def _read(line: Line, text: str, units: str) -> Any:
    """Return what was typed; text nobody touched is the stored value with every digit."""
    return line.own if text.strip() == shown(line.name, line.own, units) else read(line.name, text, units)


def _form(request: StaffRequest, client: Client, *, error: BluestemError | None = None) -> HttpResponse:
    units = client.company.units
    wrong = error.field if isinstance(error, Refused) else ""
    fields = [
        Field(
            line=line,
            effect=POLICY_FIELD[line.name].effect,
            unit=unit_of(line.name, units),
            without=shown(line.name, line.without, units),
            typed=request.POST[line.name][:200].replace("\0", "")
            if error and line.name in request.POST
            else shown(line.name, line.own, units),
            error=error.message if error and line.name == wrong else "",
        )
        for line in policy_lines(client)
    ]
    context = {
        "client": client,
        "fields": fields,
        "seen": seen_policy(client),
        "error": error.message if error and not wrong else "",
    }
    status = 200 if error is None else 409 if hasattr(error, "current_status") else 422
    return render(request, "desk/client_policy.html", context, status=status)
