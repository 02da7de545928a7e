"""Keeping photos of tests and findings, and removing them."""

from hashlib import sha256
from secrets import token_hex
from typing import Any

from django.conf import settings
from django.db import transaction

from common.errors import MovedOn, Refused
from fleet.models import Finding, Photo, User, Zone, ZoneTest
from fleet.photo_files import forget_files, keep_files
from fleet.selectors.people import require_enter
from fleet.services.pictures import picture_of
from fleet.services.storing import check
from fleet.tenancy import company_id_of

MOST = 12  # photos of one test, or of one finding


def add_photo(
    *, by: User, image: bytes, test: ZoneTest | None = None, finding: Finding | None = None, note: str = ""
) -> Photo:
    """Keep a photo of a test or of a finding; the same file sent again is the photo that is there.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    Refused
        If it isn't said of what the photo is, there are ``MOST`` already, or the file can't be taken.
    ValidationError
        If the note is too long.
    MovedOn
        If the zone, the test or the finding was removed meanwhile.
    """
    place = test or finding
    if place is None or (test is not None and finding is not None):
        raise Refused("Say of which test or which finding the photo is, of one of them.", field="test")
    require_enter(by, company_id_of(place))
    digest = sha256(image).hexdigest()
    if (same := place.photos.filter(digest=digest).first()) is not None:
        return same
    _require_room(place)
    made = picture_of(image, most_bytes=settings.PHOTO_BYTES)
    with transaction.atomic():
        # Holding the zone makes the second of two who send at once wait and find the first one's row.
        if not Zone.objects.order_by().select_for_update(no_key=True).filter(pk=place.zone_id).first():
            raise MovedOn("This zone is gone by now.", current_status="gone")
        if not type(place).objects.filter(pk=place.pk).exists():
            raise MovedOn("What the photo is of is gone by now.", current_status="gone")
        if (same := place.photos.filter(digest=digest).first()) is not None:
            return same
        _require_room(place)
        row = Photo(
            zone=place.zone,
            test=test,
            finding=finding,
            note=note.strip(),
            key=token_hex(16),
            digest=digest,
            width=made.width,
            height=made.height,
            by=by,
        )
        check(row, once="image")
        keep_files(row.key, full=made.full, small=made.small)
        try:
            with transaction.atomic():
                row.save()
        except BaseException:
            forget_files(row.key)
            raise
    return row


def remove_photo(*, photo: Photo, by: User) -> None:
    """Remove a photo and its files.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    MovedOn
        If somebody has removed it already.
    """
    require_enter(by, company_id_of(photo))
    with transaction.atomic():
        held = Photo.objects.order_by().select_for_update(of=("self",)).filter(pk=photo.pk).first()
        if held is None:
            raise MovedOn("This photo was removed already.", current_status="gone")
        held.delete()


def _require_room(place: Any) -> None:
    if place.photos.count() >= MOST:
        raise Refused(f"There are {MOST} photos here already. Remove one first.", field="image")
