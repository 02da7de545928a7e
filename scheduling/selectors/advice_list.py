"""Advice as pages and the API list it."""

from dataclasses import dataclass
from typing import Any

from django.db.models import F
from django.db.models.functions import Coalesce

from fleet.tenancy import TenantQuerySet
from scheduling.models import Advice, Change
from scheduling.selectors.advice import WEEKS_A_YEAR
from scheduling.selectors.search_words import says

STANDING = (Change.Status.PENDING, Change.Status.APPROVED, Change.Status.APPLIED)
SORTS: dict[str, Any] = {
    "water": F("yearly").desc(),
    "money": F("money_year").desc(nulls_last=True),
    "risk": F("risk").desc(),
    "client": F("controller__site__client__name").asc(),
}


@dataclass(frozen=True)
class AdviceChoice:
    """Which advice, in which order."""

    sort: str = "water"
    kind: str = ""
    words: str = ""
    dismissed: bool = False


def advice_rows(user: Any, company_id: int) -> TenantQuerySet[Any]:
    """Return a company's advice with what a row of it shows, ``yearly`` its water in a year [L]."""
    return (
        Advice.objects.visible_to(user)
        .of_company(company_id)
        .filter(gone_on=None)
        .select_related("controller__site__client", "program", "zone", "dismissed_by", "change")
        .defer("change__inputs", "change__detail")
        .annotate(yearly=Coalesce("litres_year", F("litres_week") * WEEKS_A_YEAR, 0.0))
    )


def listed(user: Any, company_id: int, choice: AdviceChoice) -> TenantQuerySet[Any]:
    """Return the advice somebody chose, sorted."""
    rows = advice_rows(user, company_id).filter(dismissed_at__isnull=not choice.dismissed)
    if choice.kind:
        rows = rows.filter(kind=choice.kind)
    for word in choice.words.split()[:8]:
        client, site = "controller__site__client__name", "controller__site__name"
        rows = rows.filter(says(client, word) | says(site, word))
    return rows.order_by(SORTS[choice.sort], "-risk", "-yearly", "pk")


def advice_waiting(user: Any, company_id: int) -> int:
    """Return how many lines of a company wait for somebody: neither put aside nor proposed."""
    lines = Advice.objects.visible_to(user).of_company(company_id).filter(dismissed_at=None, gone_on=None)
    return lines.exclude(change__status__in=STANDING).count()
