"""Who gets to a page: strangers and clients are told that a staff page does not exist."""

from collections.abc import Callable
from functools import wraps
from typing import Any, Concatenate, ParamSpec, cast

from django.contrib.auth.views import redirect_to_login
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.cache import add_never_cache_headers
from django_htmx.http import HttpResponseClientRedirect
from django_htmx.middleware import HtmxDetails

from common.errors import Gone
from desk.company import working_membership
from fleet.models import Membership, User

P = ParamSpec("P")


class PersonRequest(HttpRequest):
    """A request of somebody who is signed in."""

    user: User
    htmx: HtmxDetails


class StaffRequest(PersonRequest):
    """A request of somebody who works for a company."""

    member: Membership


PersonPage = Callable[Concatenate[PersonRequest, P], HttpResponse]
StaffPage = Callable[Concatenate[StaffRequest, P], HttpResponse]
AnyPage = Callable[Concatenate[HttpRequest, P], HttpResponse]


def signed_in(page: PersonPage[P]) -> AnyPage[P]:
    """Let only people in who are signed in; nothing they see is kept by a shared computer's cache."""

    @wraps(page)
    def guarded(request: HttpRequest, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
        if not request.user.is_authenticated:
            return _to_sign_in(request)
        try:
            response = page(cast(PersonRequest, request), *args, **kwargs)
        except Gone as gone:  # removed by somebody else in the very moment it was written
            raise Http404(gone.message) from gone
        add_never_cache_headers(response)
        return response

    return guarded


def staff(page: StaffPage[P]) -> AnyPage[P]:
    """Let only people in who work for a company; for everyone else the page does not exist."""

    @signed_in
    @wraps(page)
    def guarded(request: PersonRequest, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
        member = working_membership(request)
        if member is None:
            raise Http404
        request.member = member  # type: ignore[attr-defined]
        return page(cast(StaffRequest, request), *args, **kwargs)

    return guarded


def _to_sign_in(request: HttpRequest) -> HttpResponse:
    if getattr(cast(Any, request), "htmx", False):
        return HttpResponseClientRedirect(f"{reverse('desk:sign-in')}?signed-out=1")
    return redirect_to_login(request.get_full_path(), reverse("desk:sign-in"))
