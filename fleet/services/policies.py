"""The company's own policy, made on first use."""

from django.db import transaction

from fleet.models import Policy, User
from fleet.selectors.people import require_decide
from fleet.services.edits import one_at_a_time


def policy_row(*, by: User, company_id: int) -> Policy:
    """Return a company's policy; an empty one, in which every usual value holds, if it had none.

    Raises
    ------
    NotAllowed
        If the person decides nothing in this company.
    """
    require_decide(by, company_id)
    with transaction.atomic():
        one_at_a_time(company_id)
        row, _ = Policy.objects.get_or_create(company_id=company_id, client=None)
    return row
