"""Write down somebody nobody has written down yet, whoever else does so at the same moment."""

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from fleet.models import User


def written_down(email: str, password: str | None, *, name: str) -> tuple[User, bool]:
    """Return the person of an address and whether they are new; an account that exists stays as it is.

    Two people may write the same address down at once, for two companies too: the second waits for the first
    in the database and is given the first one's row.

    Parameters
    ----------
    email
        The address, lower case, at most 254 characters.
    password
        None for somebody who can't sign in yet.
    name
        At most 120 characters.

    Raises
    ------
    ValidationError
        If the address or the name can't be kept.
    """
    known = User.objects.filter(email=email).first()
    if known is not None:
        return known, False
    try:
        with transaction.atomic():
            return User.objects.create_user(email, password, name=name), True
    except (IntegrityError, ValidationError):
        faster = User.objects.filter(email=email).first()
        if faster is None:
            raise
        return faster, False
