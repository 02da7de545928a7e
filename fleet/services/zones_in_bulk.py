"""Setting all zones of a controller up at once: all of them, or none and each row told what is wrong."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.db import transaction

from common.errors import BluestemError, Refused
from fleet.models import Controller, User, Zone
from fleet.selectors.people import require_set_up
from fleet.services.zones import set_up_zone

Row = Mapping[str, Any]
MOST_ZONES = 999


class RowsRefused(BluestemError):
    """Some rows can't be taken; ``errors`` is (row, field, message), rows counted from 0."""

    def __init__(self, errors: list[tuple[int, str, str]]) -> None:
        super().__init__(
            "Nothing was stored: " + "; ".join(f"row {n + 1}, {f}: {m}" for n, f, m in errors[:3])
        )
        self.errors = errors


@transaction.atomic
def set_up_zones(*, controller: Controller, by: User, rows: Sequence[Row]) -> list[Zone]:
    """Store new zones of a controller, all or none.

    Raises
    ------
    NotAllowed
        If the person is neither owner nor office.
    RowsRefused
        If any row can't be; it names every such row and field.
    """
    require_set_up(by, controller.site.client.company_id)
    Controller.objects.select_for_update().get(pk=controller.pk)
    made: list[Zone] = []
    errors: list[tuple[int, str, str]] = []
    for n, row in enumerate(rows[:MOST_ZONES]):
        try:
            with transaction.atomic():
                made.append(set_up_zone(controller=controller, by=by, **row))
        except Refused as refused:
            errors.append((n, refused.field, refused.message))
        except ValidationError as error:
            errors += [
                (n, "" if field == NON_FIELD_ERRORS else field, message)
                for field, messages in error.message_dict.items()
                for message in messages
            ]
    if errors:
        raise RowsRefused(errors)
    return made
