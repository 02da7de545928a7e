"""Which company a person works for right now. Most work for one; who works for several picks one."""

from datetime import date
from typing import Any

from django.db.models import Count
from django.http import HttpRequest

from common import clock
from fleet.models import Membership, Site

SESSION_KEY = "company"


def memberships(request: HttpRequest) -> list[Membership]:
    """Return the person's memberships with their companies; read once per request."""
    cached: list[Membership] | None = getattr(request, "desk_memberships", None)
    if cached is None:
        user: Any = request.user
        cached = (
            list(Membership.objects.filter(user=user).select_related("company").order_by("company__name"))
            if user.is_authenticated
            else []
        )
        request.desk_memberships = cached  # type: ignore[attr-defined]
    return cached


def working_membership(request: HttpRequest) -> Membership | None:
    """Return the membership in the company that was picked, else the first one, else None."""
    picked = request.session.get(SESSION_KEY)
    mine = memberships(request)
    return next((m for m in mine if m.company_id == picked), mine[0] if mine else None)


def pick_company(request: HttpRequest, company_id: int) -> bool:
    """Remember a company to work for; False if the person doesn't work there."""
    if not any(m.company_id == company_id for m in memberships(request)):
        return False
    request.session[SESSION_KEY] = company_id
    return True


def timezone_of(company_id: int) -> str:
    """Return the time zone most of a company's sites lie in."""
    most = (
        Site.objects.of_company(company_id)
        .order_by()
        .values_list("timezone")
        .annotate(sites=Count("pk"))
        .order_by("-sites", "timezone")
        .first()
    )
    return most[0] if most else "UTC"


def today_of(company_id: int) -> date:
    """Return the business day of a company."""
    return clock.today(timezone_of(company_id))
