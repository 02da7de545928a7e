"""Who works for a company: asked to join, taken in, given another role, removed; the last owner stays."""

from datetime import timedelta

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.signing import BadSignature, Signer
from django.core.validators import validate_email
from django.db import transaction
from django.utils import timezone as real_time

from common.errors import MovedOn, NotAllowed, Refused
from fleet.models import Company, Invitation, Membership, SettingEdit, User
from fleet.selectors.people import unclaimed
from fleet.services.edits import one_at_a_time
from fleet.services.newcomers import written_down

LINK_DAYS = 7
SIGNS_IN = "This address signs in already. Sign in first, then open the link again."
NAME_MAX, PASSWORD_MAX, EMAIL_MAX = 120, 128, 254
OWN_LINK = "You made this link. Hand it to {email}: whoever makes a link can't use it."
Role = Membership.Role


def token_of(invitation: Invitation) -> str:
    """Return what a link carries: the invitation's number, signed."""
    return _signer().sign(str(invitation.pk))


def invitation_of(token: str) -> Invitation | None:
    """Return the invitation a token opens, or None where it opens none (any more)."""
    try:
        pk = int(_signer().unsign(token))
    except (BadSignature, ValueError):
        return None
    now = real_time.now()
    waiting = Invitation.objects.filter(used_at=None, withdrawn_at=None, expires_at__gt=now)
    return waiting.select_related("company", "client", "by").filter(pk=pk).first()


def invite(*, by: User, company_id: int, email: str, role: str) -> Invitation:
    """Ask somebody to join. Asked again while a link is open, the old link stops working.

    Raises
    ------
    NotAllowed
        If the person isn't an owner.
    Refused
        If the address or the role can't be taken, or they work here already.
    """
    email = email.strip().lower()
    if role not in Role.values:
        raise Refused("Pick a role.", field="role")
    try:
        if len(email) > EMAIL_MAX:
            raise ValidationError("too long")
        validate_email(email)
    except ValidationError:
        raise Refused("Type an e-mail address such as kim@example.com.", field="email") from None
    with transaction.atomic():
        _owned(by, company_id)
        if Membership.objects.filter(company=company_id, user__email=email).exists():
            raise Refused("This person works here already; change the role below.", field="email")
        now = real_time.now()
        Invitation.objects.filter(company=company_id, email=email, used_at=None, withdrawn_at=None).update(
            withdrawn_at=now
        )
        row = Invitation(
            company_id=company_id, email=email, role=role, by=by, expires_at=now + timedelta(days=LINK_DAYS)
        )
        row.full_clean()
        row.save()
        _note(company_id, row.pk, email, by=by, what="invited", after={"role": role})
        return row


def withdraw(*, invitation: Invitation, by: User) -> None:
    """Let an invitation's link open nothing any more.

    Raises
    ------
    NotAllowed
        If the person isn't an owner.
    MovedOn
        If it was used before.
    """
    with transaction.atomic():
        _owned(by, invitation.company_id)
        open_ones = Invitation.objects.filter(pk=invitation.pk, used_at=None)
        if not open_ones.exists():
            raise MovedOn("The link was used already; change or remove the person.", current_status="used")
        if open_ones.filter(withdrawn_at=None).update(withdrawn_at=real_time.now()):
            _note(invitation.company_id, invitation.pk, invitation.email, by=by, what="called off")


def join(*, token: str, person: User | None, name: str = "", password: str = "") -> User:
    """Take in whoever an invitation is for: somebody new, by a password they choose, or ``person``.

    Somebody who has signed in before is only taken in signed in: a link never opens an account anybody held.

    Raises
    ------
    MovedOn
        If the link was used, withdrawn or has expired meanwhile.
    NotAllowed
        If it is for somebody else.
    Refused
        If name or password can't be taken.
    """
    found = invitation_of(token)
    with transaction.atomic():
        if found is None or not _used_up(found):
            raise MovedOn("This link opens nothing any more. Ask for a new one.", current_status="used")
        if person is not None and person.pk == found.by_id:
            raise NotAllowed(OWN_LINK.format(email=found.email))
        user = _newcomer(found, name, password) if person is None else person
        if user.email != found.email:
            raise NotAllowed(f"This link is for {found.email}.")
        if found.client_id:
            return user  # what they may read was opened to them when they were added
        Membership.objects.get_or_create(user=user, company=found.company, defaults={"role": found.role})
        _note(found.company_id, found.pk, found.email, by=user, what="joined", after={"role": found.role})
    return user


def change_role(*, member: Membership, by: User, role: str, confirmed: bool = False) -> None:
    """Give somebody another role.

    Raises
    ------
    NotAllowed
        If the person isn't an owner (any more).
    Refused
        If it is the last owner's, or one's own without a confirmation.
    MovedOn
        If the person was removed meanwhile.
    """
    if role not in Role.values:
        raise Refused("Pick a role.", field="role")
    with transaction.atomic():
        row = _held(member, by=by)
        if row.role == role:
            return
        _not_the_last_owner(row, by=by, confirmed=confirmed)
        was, row.role = row.role, role
        row.save(update_fields=["role"])
        _note(row.company_id, row.pk, row.user.email, by=by, before={"role": was}, after={"role": role})


def remove(*, member: Membership, by: User, confirmed: bool = False) -> None:
    """Let somebody no longer work here. What they decided and entered stays, under their name.

    Raises
    ------
    NotAllowed
        If the person isn't an owner (any more).
    Refused
        If it is the last owner, or oneself without a confirmation.
    """
    with transaction.atomic():
        try:
            row = _held(member, by=by)
        except MovedOn:
            return
        _not_the_last_owner(row, by=by, confirmed=confirmed)
        before = {"role": row.role}
        _note(row.company_id, row.pk, row.user.email, by=by, what="removed", before=before)
        row.delete()


def _used_up(invitation: Invitation) -> bool:
    """Use an invitation; False if somebody was faster."""
    one_at_a_time(invitation.company_id)
    still_open = Invitation.objects.filter(pk=invitation.pk, used_at=None, withdrawn_at=None)
    return bool(still_open.update(used_at=real_time.now()))


def _signer() -> Signer:
    return Signer(salt="fleet.invitation")


def _owned(by: User, company_id: int) -> Company:
    """Hold the company and make sure that ``by`` owns it now, not only when the page was opened."""
    company = one_at_a_time(company_id)
    if not Membership.objects.filter(company=company, user=by, role=Role.OWNER).exists():
        raise NotAllowed("Only an owner says who works here.")
    return company


def _held(member: Membership, *, by: User) -> Membership:
    _owned(by, member.company_id)
    row = Membership.objects.select_related("user").filter(pk=member.pk).first()
    if row is None:
        raise MovedOn("This person was removed meanwhile.", current_status="removed")
    return row


def _not_the_last_owner(row: Membership, *, by: User, confirmed: bool) -> None:
    """Refuse to take an owner's role from the last one, or from oneself by accident."""
    if row.role != Role.OWNER:
        return
    others = Membership.objects.filter(company=row.company_id, role=Role.OWNER).exclude(pk=row.pk)
    if not others.filter(user__is_active=True).exists():
        raise Refused(
            "The last owner stays: nobody could keep these pages. Make somebody else owner first.",
            field="role",
        )
    if row.user_id == by.pk and not confirmed:
        raise Refused(
            "That is you. You could no longer say who works here, and couldn't undo it yourself.",
            field="confirmed",
        )


def _newcomer(invitation: Invitation, name: str, password: str) -> User:
    known = User.objects.select_for_update().filter(email=invitation.email).first()
    if known is not None and not unclaimed(known, invitation.company_id):
        raise NotAllowed(SIGNS_IN)
    if "\0" in name + password:
        raise Refused("There is a character in it that can't be kept. Type it anew.", field="name")
    if not name.strip() or len(name.strip()) > NAME_MAX:
        raise Refused(f"Type your name, {NAME_MAX} characters at the most.", field="name")
    if len(password) > PASSWORD_MAX:
        raise Refused(f"{PASSWORD_MAX} characters at the most.", field="password")
    newcomer = known or User(email=invitation.email)
    newcomer.name = name.strip()
    try:
        validate_password(password, newcomer)
    except ValidationError as error:
        raise Refused(" ".join(error.messages), field="password") from error
    if known is None:
        newcomer, new = written_down(invitation.email, password, name=name.strip())
        if not new:
            raise NotAllowed(SIGNS_IN)
        return newcomer
    newcomer.set_password(password)
    newcomer.save()
    return newcomer


def _note(company_id: int, row: int, about: str, *, by: User, **fields: object) -> None:
    SettingEdit.objects.create(
        company_id=company_id, topic=SettingEdit.Topic.PERSON, row=row, about=about, by=by, **fields
    )
