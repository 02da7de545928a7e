"""Who may do what in a company."""

from common.errors import NotAllowed
from fleet.models import ClientAccess, Membership, User

DECIDE = frozenset({"owner", "office"})
FIELD_WORK = frozenset({"owner", "office", "technician"})


def may_decide(user: User, company_id: int) -> bool:
    """Tell whether a person approves and declines changes."""
    return user.role_in(company_id) in DECIDE


def may_enter(user: User, company_id: int) -> bool:
    """Tell whether a person may say that a change was entered at its controller."""
    return user.role_in(company_id) in FIELD_WORK


def may_manage(user: User, company_id: int) -> bool:
    """Tell whether a person changes who reads a client and by which policy it is planned."""
    return user.role_in(company_id) in DECIDE


def require_manage(user: User, company_id: int) -> None:
    """Raise NotAllowed unless the person runs the company's clients."""
    if not may_manage(user, company_id):
        raise NotAllowed("Only the owner and the office change a client's access and policy.")


def require_decide(user: User, company_id: int) -> None:
    """Raise NotAllowed unless the person decides on changes."""
    if not may_decide(user, company_id):
        raise NotAllowed("Only the owner and the office decide on changes.")


def require_enter(user: User, company_id: int) -> None:
    """Raise NotAllowed unless the person does field work."""
    if not may_enter(user, company_id):
        raise NotAllowed("Only people of the company enter changes.")


def may_set_up(user: User, company_id: int) -> bool:
    """Tell whether a person keeps the company's clients, sites and what stands there."""
    return user.role_in(company_id) in DECIDE


def require_set_up(user: User, company_id: int) -> None:
    """Raise NotAllowed unless the person keeps the company's clients, sites and what stands there."""
    if not may_set_up(user, company_id):
        raise NotAllowed("Only the owner and the office set this up.")


def companies_set_up_by(user: User) -> list[int]:
    """Return the companies a person may set clients up for."""
    return [company for company in user.company_ids() if may_set_up(user, company)]


def unclaimed(user: User, company_id: int) -> bool:
    """Tell whether a link may open an account: nobody ever held it, and all it opens is this company's."""
    if user.has_usable_password() or user.last_login or user.is_staff or user.is_superuser:
        return False
    return not elsewhere(user, company_id)


def elsewhere(user: User, company_id: int) -> bool:
    """Tell whether a person works or reads in another company."""
    works = Membership.objects.filter(user=user).exclude(company=company_id)
    reads = ClientAccess.objects.filter(user=user).exclude(client__company=company_id)
    return works.exists() or reads.exists()
