"""Letters that need a person."""

from typing import Any

from fleet.models import Letter
from fleet.selectors.people import may_manage


def letters_open(user: Any, company_id: int) -> int:
    """Return how many letters of a company weren't sent or nobody knows about; 0 for who may not decide."""
    if not may_manage(user, company_id):
        return 0
    states = [Letter.State.UNSURE, Letter.State.FAILED]
    return Letter.objects.of_company(company_id).filter(state__in=states).count()
