"""Tables brought for a meter, kept until they are taken or forgotten."""

from datetime import timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone

from fleet.models import Meter, MeterFile, User
from fleet.selectors.people import require_enter
from fleet.tenancy import company_id_of

KEPT_FOR = timedelta(days=30)


@transaction.atomic
def bring_file(*, meter: Meter, by: User, name: str, content: bytes, said: dict[str, Any]) -> MeterFile:
    """Keep a table for one meter and person, instead of the one before; old ones are forgotten.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    """
    require_enter(by, company_id_of(meter))
    MeterFile.objects.filter(brought_at__lt=timezone.now() - KEPT_FOR).delete()
    now = {"name": name[:200], "content": content, "said": said, "brought_at": timezone.now()}
    return MeterFile.objects.update_or_create(meter=meter, by=by, defaults=now)[0]


def say_of_file(*, file: MeterFile, said: dict[str, Any]) -> None:
    """Keep what its columns mean."""
    file.said = said
    file.save(update_fields=["said"])


def forget_file(*, file: MeterFile) -> None:
    """Forget a table."""
    file.delete()
