"""Opening and closing a client's access, and the people who may read: each step is asked about first."""

from datetime import date
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from common.errors import BluestemError, NotAllowed, Refused
from desk import notices, posted
from desk.access import StaffRequest, staff
from desk.company import today_of
from desk.dates import long_date
from desk.pages.client import client_page, found_client
from fleet.models import Client, ClientAccess
from fleet.selectors.people import may_manage
from fleet.services.client_access import add_reader, remove_reader, seen_access, set_access

GET_OR_POST = ["GET", "HEAD", "POST"]
ACCESS_STEPS = ("open", "later", "close")


@staff
@require_http_methods(GET_OR_POST)
def client_access(request: StaffRequest, pk: int, step: str) -> HttpResponse:
    """Ask, and then open or close a client's access."""
    client = found_client(request, pk)
    _allowed(request, client)
    on = today_of(client.company_id)
    if request.method != "POST":
        return _ask(request, client, step, on=on)
    try:
        changed = _step(request, client, step, on=on)
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    except BluestemError as error:
        client.refresh_from_db()
        return _ask(request, client, step, on=on, error=error)
    notices.say(request, _said(changed, on=on))
    return redirect("desk:client", pk)


def _step(request: StaffRequest, client: Client, step: str, *, on: date) -> Client:
    day = {"open": on, "later": None, "close": None}[step]
    if step == "later":
        try:
            day = posted.day(request.POST.get("on", "")[:40])
        except Refused as error:
            raise Refused(error.message, field="on") from error
        if day is None:
            raise Refused("Type the day from which on the client may read.", field="on")
    return set_access(client=client, by=request.user, access_from=day, seen=request.POST.get("seen", "")[:20])


def _ask(
    request: StaffRequest, client: Client, step: str, *, on: date, error: BluestemError | None = None
) -> HttpResponse:
    context: dict[str, Any] = {
        "client": client,
        "step": step,
        "on": on,
        "seen": seen_access(client),
        "typed": request.POST.get("on", "") if error else "",
        "error": error.message if error else "",
        "readers": client.accesses.count(),
    }
    status = 200 if error is None else 409 if hasattr(error, "current_status") else 422
    return render(request, "desk/client_access.html", context, status=status)


def _said(client: Client, *, on: date) -> str:
    if client.access_from is None:
        return f"{client}: access is closed."
    if client.access_from <= on:
        return f"{client}: access is open."
    return f"{client}: access opens on {long_date(client.access_from, client.company.units)}."


@staff
@require_POST
def client_reader_add(request: StaffRequest, pk: int) -> HttpResponse:
    """Let one more person read."""
    client = found_client(request, pk)
    typed = {name: request.POST.get(name, "").replace("\0", "") for name in ("email", "name")}
    try:
        access, link = add_reader(
            client=client, by=request.user, again=bool(request.POST.get("again")), **typed
        )
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    except Refused as error:
        reader = typed | {"field": error.field, "error": error.message}
        return client_page(request, client, reader=reader, status=422)
    email = access.user.email
    if link is None:
        notices.say(request, f"{email} may read {client} once access is open, and signs in as before.")
    else:
        notices.say(request, f"The link for {email} is ready under Access. Hand it over; it works once.")
    return redirect(f"{reverse('desk:client', args=[pk])}#access")


@staff
@require_http_methods(GET_OR_POST)
def client_reader_remove(request: StaffRequest, pk: int, access_pk: int) -> HttpResponse:
    """Ask, and then take a person's reading away."""
    client = found_client(request, pk)
    _allowed(request, client)
    readers = ClientAccess.objects.filter(client=client).select_related("user", "client")
    access = readers.filter(pk=access_pk).first()
    if access is None and request.method == "POST":
        notices.warn(request, "Somebody has removed this person meanwhile.")
        return redirect("desk:client", pk)
    access = access or get_object_or_404(readers, pk=access_pk)
    if request.method != "POST":
        return render(request, "desk/client_reader.html", {"client": client, "access": access})
    remove_reader(access=access, by=request.user)
    notices.say(request, f"{access.user.email} reads {client} no more.")
    return redirect("desk:client", pk)


def _allowed(request: StaffRequest, client: Client) -> None:
    if not may_manage(request.user, client.company_id):
        raise PermissionDenied
