"""The business day of a company, whose sites may lie in several time zones."""

from datetime import date

from django.db.models import Count

from common import clock
from fleet.models import Site


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
