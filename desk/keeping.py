"""Storing a form: what comes of it, or what is wrong put into the form by its field."""

from collections.abc import Callable
from typing import TypeVar

from django.core.exceptions import PermissionDenied, ValidationError

from common.errors import BluestemError, NotAllowed, Refused
from desk.blanks import Sheet, Stale

T = TypeVar("T")
CONFLICT, REFUSED = 409, 422


def keep(sheet: Sheet, write: Callable[[], T], *, who: str = "Somebody") -> tuple[T | None, int]:
    """Read a form and store it.

    Parameters
    ----------
    sheet
        The form, as it was posted.
    write
        Stores what was read, and returns what came of it.
    who
        Who saved meanwhile, where the row has moved on.

    Returns
    -------
    tuple
        What ``write`` returned and 200, or None and the status of the answer: 409 where somebody was faster,
        422 where something can't be.

    Raises
    ------
    PermissionDenied
        If the person may not.
    """
    if not sheet.read():
        return None, REFUSED
    try:
        return write(), 200
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    except Stale as stale:
        sheet.errors[""] = stale.message
        sheet.stale |= dict.fromkeys(stale.fields, who)
        return None, CONFLICT
    except (Refused, ValidationError) as error:
        sheet.refuse(error)
        return None, REFUSED
    except BluestemError as error:
        sheet.errors[""] = error.message
        return None, CONFLICT
