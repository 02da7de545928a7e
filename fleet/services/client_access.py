"""Who may read a client's sites, and from when on. Every row keeps who changed it and when."""

from datetime import date

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import transaction
from django.utils import timezone as real_time

from common.errors import MovedOn, Refused
from fleet.models import Client, ClientAccess, Invitation, User
from fleet.selectors.people import elsewhere, require_manage
from fleet.services.edits import one_at_a_time
from fleet.services.holding import held
from fleet.services.letters.stop import stop_about_access
from fleet.services.newcomers import written_down
from fleet.services.reader_links import reader_link

EARLIEST_YEAR, LATEST_YEAR = 2000, 2100


def seen_access(client: Client) -> str:
    """Return what a person saw of a client's access, to be sent back with what they do about it."""
    return client.access_from.isoformat() if client.access_from else ""


def set_access(*, client: Client, by: User, access_from: date | None, seen: str) -> Client:
    """Open a client's access from a day on, or close it (None); what holds already is left as it is.

    Raises
    ------
    NotAllowed
        If the person is neither owner nor office of the company.
    Refused
        If the day lies out of all reason.
    MovedOn
        If the access isn't what the person saw any more.
    """
    require_manage(by, client.company_id)
    if access_from is not None and not EARLIEST_YEAR <= access_from.year <= LATEST_YEAR:
        raise Refused("Type a day of this century.", field="on")
    with transaction.atomic():
        current = held(client)
        if current.access_from == access_from:
            return current  # the same asked twice
        if seen_access(current) != seen:
            raise MovedOn(_faster(current), current_status=seen_access(current) or "closed")
        current.access_from = access_from
        current._history_user = by  # type: ignore[attr-defined]
        current.save(update_fields=["access_from"])
        stop_about_access(current)
    return current


def add_reader(
    *, client: Client, by: User, email: str, name: str = "", again: bool = False
) -> tuple[ClientAccess, Invitation | None]:
    """Let a person read a client's sites; whoever has no password yet gets a link to choose one.

    ``again`` makes a new link for somebody who reads already and hasn't used theirs; the old one is over.

    Raises
    ------
    NotAllowed
        If the person who does it is neither owner nor office of the company.
    Refused
        If the address isn't one, the person may read already, or another company has asked them in and
        they never signed in: nobody but they may be the first to open that account.
    """
    require_manage(by, client.company_id)
    address = _address(email)
    with transaction.atomic():
        one_at_a_time(client.company_id)
        written, _ = written_down(address, None, name=_name(name))
        user = User.objects.select_for_update().get(pk=written.pk)
        if not user.has_usable_password() and not user.last_login and elsewhere(user, client.company_id):
            raise Refused("This person has to sign in once before more can be opened to them.", field="email")
        access, added = ClientAccess.objects.get_or_create(user=user, client=client)
        if not added and not again:
            raise Refused("This person may read here already.", field="email")
        link = reader_link(client=client, by=by, user=user)
    return access, link


def remove_reader(*, access: ClientAccess, by: User) -> None:
    """Take a person's reading away; the person stays.

    Raises
    ------
    NotAllowed
        If the person who does it is neither owner nor office of the company.
    """
    require_manage(by, access.client.company_id)
    access._history_user = by  # type: ignore[attr-defined]
    with transaction.atomic():
        links = Invitation.objects.filter(client=access.client, email=access.user.email)
        links.filter(used_at=None, withdrawn_at=None).update(withdrawn_at=real_time.now())
        access.delete()


def _address(text: str) -> str:
    address = text.strip().lower()
    try:
        if len(address) > 254:
            raise ValidationError("too long")
        validate_email(address)
    except ValidationError:
        raise Refused("Type an e-mail address, for example name@place.example.", field="email") from None
    return address


def _name(text: str) -> str:
    if len(text.strip()) > 120:
        raise Refused("A name has 120 characters at the most.", field="name")
    return text.strip()


def _faster(client: Client) -> str:
    now = f"opens on {client.access_from.isoformat()}" if client.access_from else "is closed"
    return f"Somebody has changed this meanwhile: access {now}. Nothing of yours was stored."
