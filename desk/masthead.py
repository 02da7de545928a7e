"""What every page shows around its own content: who is here, for which company, and what waits."""

from typing import Any

from django.conf import settings
from django.http import HttpRequest
from django.urls import reverse

from desk.company import memberships, working_membership
from fleet.models import Membership
from fleet.selectors.people import DECIDE
from scheduling.models import Change

STAFF_PAGES = (
    ("desk:morning", "Morning sheet"),
    ("desk:week", "Week sheet"),
    ("desk:field", "Field sheet"),
    ("desk:clients", "Clients"),
    ("desk:sites", "Sites"),
    ("desk:nights", "Run log"),
)
KEEPERS_PAGES = (("desk:summaries", "Summaries"), ("desk:settings", "How we work"))


def masthead(request: HttpRequest) -> dict[str, Any]:
    """Return the context every template can rely on."""
    user: Any = getattr(request, "user", None)
    always = {"demo": settings.DEMO, "invented": settings.WEATHER_SOURCE == "invented"}
    if user is None or not user.is_authenticated:
        return always | {"units": "metric"}
    member = working_membership(request)
    if member is None:
        return always | {"units": "metric", "pages": [], "person": user}
    return always | {
        "person": user,
        "member": member,
        "memberships": memberships(request),
        "company": member.company,
        "units": member.company.units,
        "may_decide": member.role in DECIDE,
        "pages": _pages(request, member),
        "waiting": _waiting(request, member),
    }


def counted(request: HttpRequest, *, pending: int) -> None:
    """Let the masthead show how many changes wait for a decision, where the page has counted them already."""
    request.desk_counted = {"pending": pending}  # type: ignore[attr-defined]


def _pages(request: HttpRequest, member: Membership) -> list[dict[str, Any]]:
    named = STAFF_PAGES + (KEEPERS_PAGES if member.role in DECIDE else ())
    here = getattr(request, "path", "")
    return [
        {"label": label, "url": url, "here": here == url if url == "/" else here.startswith(url)}
        for label, url in ((label, reverse(name)) for name, label in named)
    ]


def _waiting(request: HttpRequest, member: Membership) -> int:
    """Return how many changes wait for a decision, or for being entered if this person enters them."""
    told: dict[str, int] = getattr(request, "desk_counted", {})
    if member.role in DECIDE and "pending" in told:
        return told["pending"]
    status = Change.Status.PENDING if member.role in DECIDE else Change.Status.APPROVED
    return Change.objects.visible_to(request.user).of_company(member.company_id).filter(status=status).count()
