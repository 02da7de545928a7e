"""Taking the photos of a form, and what is told beside its field."""

from dataclasses import dataclass, field
from typing import Any

from django.conf import settings
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest

from common.errors import BluestemError, NotAllowed
from common.uploads import over_the_limit
from desk.access import StaffRequest
from fleet.models import Finding, Photo, ZoneTest
from fleet.services.photos import add_photo
from fleet.services.pictures import too_large

FIELD = "photo"
ACCEPTED = "image/jpeg,image/png,image/webp"
AGAIN = "Photos weren't kept yet. Mend what is marked, then pick them again."
NAME_SHOWN = 40


@dataclass
class Sent:
    """What became of the photos of a form: those that are kept now, and what is wrong with the others."""

    kept: list[Photo] = field(default_factory=list)
    told: list[str] = field(default_factory=list)


def any_sent(request: HttpRequest) -> bool:
    """Tell whether a form came with photos, however large."""
    return bool(request.FILES.getlist(FIELD) or over_the_limit(request, FIELD))


def take_photos(
    request: StaffRequest, *, test: ZoneTest | None = None, finding: Finding | None = None
) -> Sent:
    """Keep each photo of a form that can be kept, and tell by its name what is wrong with each other."""
    sent = Sent([], [_told(name, too_large(settings.PHOTO_BYTES)) for name in over_the_limit(request, FIELD)])
    for file in request.FILES.getlist(FIELD):
        try:
            image = file.read(settings.PHOTO_BYTES + 1)
            sent.kept.append(add_photo(by=request.user, image=image, test=test, finding=finding))
        except NotAllowed as error:
            raise PermissionDenied(error.message) from error
        except BluestemError as error:
            sent.told.append(_told(file.name, error.message))
    return sent


def asked(told: list[str] | None = None) -> dict[str, Any]:
    """Return what the field for photos needs."""
    limit = f"{settings.PHOTO_BYTES / 1_000_000:g}"
    return {"accept": ACCEPTED, "limit": limit, "told": told or []}


def _told(name: str | None, words: str) -> str:
    name = name or "photo"
    short = name if len(name) <= NAME_SHOWN else f"{name[:NAME_SHOWN]}…"
    return f"{short}: {words}"
