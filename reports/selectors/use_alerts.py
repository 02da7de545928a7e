"""Alerts about use as pages list them."""

from typing import Any

from fleet.models import Site
from fleet.tenancy import TenantQuerySet
from reports.models import UseAlert


def alert_rows(user: Any, company_id: int) -> TenantQuerySet[UseAlert]:
    """Return a company's alerts with what a row of it shows."""
    rows = UseAlert.objects.visible_to(user).of_company(company_id)
    return rows.select_related("meter__site__client", "zone", "dismissed_by")


def alerts_open(user: Any, company_id: int) -> list[UseAlert]:
    """Return the alerts nobody has answered, the most water first."""
    rows = list(alert_rows(user, company_id).filter(dismissed_at=None))
    return sorted(rows, key=lambda row: (-abs(row.litres), row.pk))


def alerts_of(user: Any, site: Site, *, most: int = 20) -> list[UseAlert]:
    """Return a site's alerts, open ones first, then the latest put aside."""
    rows = alert_rows(user, site.client.company_id).filter(meter__site=site)
    return sorted(rows.order_by("-last", "-pk")[:most], key=lambda row: row.dismissed_at is not None)
