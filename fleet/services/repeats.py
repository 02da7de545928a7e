"""Doing a request once: the same key and the same request give the answer of the first time."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Any

from django.db import IntegrityError, transaction
from django.utils import timezone

from common.errors import BluestemError
from fleet.models import KeptAnswer, User

KEPT_FOR = timedelta(hours=24)


@dataclass(frozen=True)
class Said:
    """An answer: its status, its body, and the headers that belong to it."""

    status: int
    body: Any
    headers: dict[str, str] = field(default_factory=dict)
    again: bool = False


class OtherRequest(BluestemError):
    """The key was used for another request before."""


def once(*, by: User, company_id: int, key: str, request: str, do: Callable[[], Said]) -> Said:
    """Do a request and keep its answer, or return the answer kept under its key.

    The key is taken in the transaction that does the work: of two at once the second waits for the first,
    and finds its answer; where the first failed nothing was done, no key was taken, and the second does it.

    Raises
    ------
    OtherRequest
        If the key was used for another request in the last 24 hours.
    """
    mine = KeptAnswer.objects.filter(company=company_id, by=by, key=key)
    with transaction.atomic():
        mine.filter(kept_at__lte=timezone.now() - KEPT_FOR).delete()
        try:
            with transaction.atomic():
                kept = KeptAnswer.objects.create(
                    company_id=company_id, by=by, key=key, request=request, kept_at=timezone.now()
                )
        except IntegrityError:
            return _kept(mine.get(), request)
        said = do()
        mine.filter(pk=kept.pk).update(status=said.status, headers=said.headers, body=said.body)
    return said


def _kept(kept: KeptAnswer, request: str) -> Said:
    if kept.request != request:
        raise OtherRequest("This Idempotency-Key was used for another request; nothing was done.")
    return Said(kept.status, kept.body, kept.headers, again=True)


def forget_old_answers() -> int:
    """Delete the answers nobody may ask for again; return how many."""
    return KeptAnswer.objects.filter(kept_at__lte=timezone.now() - KEPT_FOR).delete()[0]
