"""Photos on a round and of findings: added, shown to the company alone, removed with their files."""

import json
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from desk.shown_files import NOTHING
from fleet.models import Finding, Photo, ZoneRound, ZoneTest
from fleet.services.photos import MOST, add_photo
from scheduling.models import FieldEntry
from tests.cast import TODAY, Cast
from tests.pictures import a_photo

pytestmark = pytest.mark.django_db
HEIC = b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic" + bytes(99)


@pytest.fixture(autouse=True)
def media(settings: Any, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path / "media"
    return tmp_path / "media"


def files(media: Path) -> int:
    return sum(one.is_file() for one in media.rglob("*"))


def upload(content: bytes, name: str = "gate.jpg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content, "image/jpeg")


def text(answer: Any) -> str:
    return " ".join(unescape(answer.content.decode()).replace("\u00a0", " ").split())


def tell(browser: Client, row: ZoneRound, cast: Cast, *, htmx: bool = False, **typed: Any) -> Any:
    address = f"/rounds/{row.pk}/zones/{cast.zone.pk}/"
    sheet = browser.get(address).context["sheet"]
    was = json.loads(sheet.was)
    was["seen"] = was["seen"].split()
    headers = {"HX-Request": "true"} if htmx else {}
    return browser.post(address, {**was, "was": sheet.was, **typed}, headers=headers)


@pytest.fixture
def row(cast: Cast) -> ZoneRound:
    return ZoneRound.objects.create(site=cast.site, began_on=TODAY, by=cast.technician)


@pytest.fixture
def finding(cast: Cast) -> Finding:
    return Finding.objects.create(zone=cast.zone, found_on=TODAY, part="head")


def test_photos_of_a_round_are_kept_shown_and_sent(
    cast: Cast, technician: Client, row: ZoneRound, media: Path
):
    two = [upload(a_photo(1)), upload(a_photo(2), "tap.png")]
    assert tell(technician, row, cast, note="Gate.", photo=two).status_code == 302
    test = ZoneTest.objects.get()
    assert (test.note, test.photos.count(), files(media)) == ("Gate.", 2, 4)
    photo = test.photos.first()
    assert (photo.zone, photo.by, photo.finding) == (cast.zone, cast.technician, None)
    small = f'src="/photos/{photo.pk}/small.jpg"'
    for page in (f"/rounds/{row.pk}/zones/{cast.zone.pk}/", f"/rounds/{row.pk}/", f"/sites/{cast.site.pk}/"):
        assert small in text(technician.get(page)), page
    assert f'src="/photos/{photo.pk}/full.jpg"' in text(technician.get(f"/photos/{photo.pk}/"))
    for size in ("small", "full"):
        answer = technician.get(f"/photos/{photo.pk}/{size}.jpg")
        assert answer.status_code == 200
        assert answer.content.startswith(b"\xff\xd8")
        assert answer["Content-Type"] == "image/jpeg"
        assert answer["X-Content-Type-Options"] == "nosniff"
        assert answer["Content-Security-Policy"] == f"{NOTHING}; sandbox"
        assert {"private", "no-store"} <= set(answer["Cache-Control"].split(", "))


def test_the_client_and_strangers_are_sent_none(cast: Cast, stranger, signed_in, finding: Finding):
    photo = add_photo(by=cast.technician, image=a_photo(), finding=finding)
    paths = (f"/photos/{photo.pk}/full.jpg", f"/photos/{photo.pk}/small.jpg", f"/photos/{photo.pk}/",
             f"/photos/{photo.pk}/remove/", f"/findings/{finding.pk}/")  # fmt: skip
    for who, status in ((cast.client_person, 404), (stranger, 404), (cast.office, 200)):
        browser = signed_in(who)
        assert [browser.get(path).status_code for path in paths] == [status] * len(paths)
    assert Client().get(paths[0])["Location"].startswith("/sign-in/")
    page = text(signed_in(cast.client_person).get(f"/sites/{cast.site.pk}/"))
    assert cast.site.name in page
    assert "/photos/" not in page


def test_a_bad_photo_is_told_by_its_name_and_loses_nothing(cast: Cast, technician: Client, row: ZoneRound):
    both = [upload(HEIC, "IMG_7.heic"), upload(a_photo())]
    answer = tell(technician, row, cast, note="Third head.", photo=both)
    assert answer.status_code == 422
    assert "IMG_7.heic: This is a HEIC photo" in text(answer)
    assert 'value="Third head."' in text(answer) or "> Third head.<" in text(answer)
    test = ZoneTest.objects.get()
    assert (test.note, test.photos.count()) == ("Third head.", 1)


def test_photos_wait_while_the_rest_of_their_form_is_not_kept(cast: Cast, technician: Client, row: ZoneRound):
    answer = tell(technician, row, cast, note="Mine.", pressure_kpa="lots", photo=upload(a_photo()))
    assert answer.status_code == 422
    assert "pick them again" in text(answer)
    assert "Mine." in text(answer)
    assert not Photo.objects.exists()
    part = tell(technician, row, cast, htmx=True, pressure_kpa="lots", photo=upload(a_photo()))
    assert "The photos wait until that is mended." in text(part)
    assert 'id="photos"' not in text(part)  # the field isn't drawn anew, so they stay picked in it


def test_while_typing_a_photo_goes_up_at_once_and_its_field_is_drawn_anew(
    cast: Cast, technician: Client, row: ZoneRound
):
    part = text(tell(technician, row, cast, htmx=True, photo=upload(a_photo())))
    assert '<section id="photos" hx-swap-oob="true">' in part
    assert f"/photos/{Photo.objects.get().pk}/small.jpg" in part
    assert 'id="photos"' not in text(tell(technician, row, cast, htmx=True, note="Words alone."))
    part = text(tell(technician, row, cast, htmx=True, photo=upload(b"words", "list.jpg")))
    assert "list.jpg: This isn't a photo that can be read" in part
    assert Photo.objects.count() == 1


def test_a_round_that_is_over_takes_no_more(cast: Cast, technician: Client, row: ZoneRound):
    ZoneRound.objects.filter(pk=row.pk).update(done_on=TODAY)
    assert tell(technician, row, cast, photo=upload(a_photo())).status_code == 422
    assert not Photo.objects.exists()
    assert 'type="file"' not in text(technician.get(f"/rounds/{row.pk}/zones/{cast.zone.pk}/"))


def test_something_broken_is_reported_with_a_photo(cast: Cast, technician: Client):
    typed = {"part": "head", "note": "By the gate.", "photo": upload(a_photo())}
    technician.post(f"/field/zones/{cast.zone.pk}/broken/", typed)
    finding = Finding.objects.get()
    photo = finding.photos.get()
    again = technician.post(f"/findings/{finding.pk}/photos/", {"photo": upload(a_photo(5))})
    assert again["Location"] == f"/findings/{finding.pk}/"
    page = text(technician.get(f"/findings/{finding.pk}/"))
    assert page.count("/small.jpg") == 2
    assert f"/photos/{photo.pk}/small.jpg" in page
    site = text(technician.get(f"/sites/{cast.site.pk}/"))
    assert f"/findings/{finding.pk}/" in site
    assert f"/photos/{photo.pk}/small.jpg" in site
    refused = technician.post(f"/field/zones/{cast.zone.pk}/broken/", {**typed, "lost": "lots"})
    assert refused.status_code == 422
    assert Finding.objects.count() == 1


def test_a_bad_photo_of_something_broken_leaves_the_finding_and_asks_there(cast: Cast, technician: Client):
    typed = {"part": "valve", "note": "Weeps.", "photo": upload(HEIC, "IMG_8.heic")}
    answer = technician.post(f"/field/zones/{cast.zone.pk}/broken/", typed)
    assert answer.status_code == 422
    assert "IMG_8.heic: This is a HEIC photo" in text(answer)
    assert Finding.objects.get().note == "Weeps."
    nothing = technician.post(f"/findings/{Finding.objects.get().pk}/photos/", {})
    assert (nothing.status_code, "Pick a photo first." in text(nothing)) == (422, True)


def test_a_file_over_the_limit_is_dropped_on_its_way_and_told(
    cast: Cast, technician: Client, finding: Finding, settings: Any
):
    settings.PHOTO_BYTES = settings.UPLOAD_BYTES = 100_000
    sent = [upload(bytes(300_000), "huge.jpg"), upload(a_photo())]
    answer = technician.post(f"/findings/{finding.pk}/photos/", {"photo": sent})
    assert answer.status_code == 422
    assert "huge.jpg: This photo is over 0.1 MB. Send a smaller one." in text(answer)
    assert [one.name for one in answer.wsgi_request.FILES.getlist("photo")] == ["gate.jpg"]
    assert finding.photos.count() == 1


def test_the_same_photo_is_kept_once_and_there_is_a_most(cast: Cast, technician: Client, finding: Finding):
    for _ in range(2):
        technician.post(f"/findings/{finding.pk}/photos/", {"photo": upload(a_photo())})
    assert finding.photos.count() == 1
    rest = [upload(a_photo(n)) for n in range(1, MOST + 1)]
    answer = technician.post(f"/findings/{finding.pk}/photos/", {"photo": rest})
    assert "There are 12 photos here already" in text(answer)
    assert finding.photos.count() == MOST


def test_a_photo_is_removed_for_good_after_asking(
    cast: Cast, technician: Client, finding: Finding, media: Path, django_capture_on_commit_callbacks
):
    photo = add_photo(by=cast.technician, image=a_photo(), finding=finding)
    address = f"/photos/{photo.pk}/remove/"
    assert "can't be taken back" in text(technician.get(address))
    assert Photo.objects.exists()
    with django_capture_on_commit_callbacks(execute=True):
        assert technician.post(address)["Location"] == f"/findings/{finding.pk}/"
    assert (Photo.objects.count(), files(media)) == (0, 0)
    assert Photo.history.filter(history_type="-", history_user=cast.technician).count() == 1
    assert technician.post(address).status_code == 404


def test_files_go_with_whatever_takes_their_row_along(
    cast: Cast, finding: Finding, media: Path, django_capture_on_commit_callbacks
):
    add_photo(by=cast.technician, image=a_photo(), finding=finding)
    assert files(media) == 2
    with django_capture_on_commit_callbacks(execute=True):
        cast.company.delete()
    assert files(media) == 0


def test_files_stay_when_taking_their_row_away_is_undone(cast: Cast, finding: Finding, media: Path):
    from django.db import transaction

    photo = add_photo(by=cast.technician, image=a_photo(), finding=finding)
    with pytest.raises(RuntimeError), transaction.atomic():
        photo.delete()
        raise RuntimeError
    assert files(media) == 2


def test_a_photo_that_is_not_stored_leaves_no_file(
    cast: Cast, finding: Finding, media: Path, monkeypatch: pytest.MonkeyPatch
):
    def breaks(self: Photo, **kwargs: Any) -> None:
        raise RuntimeError

    monkeypatch.setattr(Photo, "save", breaks)
    with pytest.raises(RuntimeError):
        add_photo(by=cast.technician, image=a_photo(), finding=finding)
    assert files(media) == 0


def test_a_finding_taken_back_takes_its_own_photos_but_not_somebody_elses(cast: Cast, technician: Client):
    report = f"/field/zones/{cast.zone.pk}/broken/"
    technician.post(report, {"part": "head", "photo": upload(a_photo())})
    entry = FieldEntry.objects.get()
    theirs = add_photo(by=cast.office, image=a_photo(7), finding=Finding.objects.get())
    answer = technician.post(f"/field/entries/{entry.pk}/undo/", follow=True)
    assert "Somebody else added photos since" in text(answer)
    assert Finding.objects.exists()
    theirs.delete()
    technician.post(f"/field/entries/{entry.pk}/undo/")
    assert (Finding.objects.count(), Photo.objects.count()) == (0, 0)


def test_a_photo_whose_file_is_lost_is_not_there_and_its_page_stands(
    cast: Cast, technician: Client, finding: Finding, media: Path
):
    photo = add_photo(by=cast.technician, image=a_photo(), finding=finding)
    for one in media.rglob("*.jpg"):
        one.unlink()
    assert technician.get(f"/photos/{photo.pk}/full.jpg").status_code == 404
    assert technician.get(f"/photos/{photo.pk}/").status_code == 200


def test_files_are_for_the_service_alone_and_no_address_leads_to_them(
    cast: Cast, technician: Client, finding: Finding, media: Path
):
    photo = add_photo(by=cast.technician, image=a_photo(), finding=finding)
    for one in media.rglob("*"):
        assert one.stat().st_mode & 0o077 == 0, one
    name = next(media.rglob("*-full.jpg")).relative_to(media)
    assert photo.key in str(name)
    for address in (f"/{name}", f"/media/{name}", f"/static/{name}"):
        assert technician.get(address).status_code == 404
