"""Which company a person works for right now. Most work for one; who works for several picks one."""

from typing import Any

from django.http import HttpRequest

from fleet.models import Membership
from fleet.selectors.business_day import timezone_of, today_of

__all__ = ["memberships", "pick_company", "timezone_of", "today_of", "working_membership"]
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
