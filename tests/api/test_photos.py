"""Photos over REST: sent in base64, listed, fetched as JPEG, removed; the company's alone."""

import base64
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from fleet.models import Photo
from tests.api.test_fleet_writing import fields, post, write
from tests.cast import TODAY, Cast
from tests.pictures import a_photo

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]  # asks nothing that databases answer differently


@pytest.fixture(autouse=True)
def media(settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path


def written(content: bytes) -> str:
    return base64.b64encode(content).decode()


@pytest.fixture
def body(cast: Cast) -> dict[str, Any]:
    test = cast.zone.tests.create(date=TODAY)
    return {"test": test.pk, "note": "Gate.", "image": written(a_photo(width=2000, height=1000))}


def test_a_photo_is_sent_listed_fetched_and_removed(api, cast: Cast, stranger, body):
    answer = post(api, cast.technician, "photos", body)
    assert answer.status_code == 201, answer.content
    row = answer.json()
    assert {name: row[name] for name in ("zone", "test", "finding", "note", "width", "height", "by")} == {
        "zone": cast.zone.pk, "test": body["test"], "finding": None, "note": "Gate.", "width": 1600,
        "height": 800, "by": cast.technician.pk,
    }  # fmt: skip
    listed = api.get(f"/api/v1/photos/?test={body['test']}&site={cast.site.pk}").json()["results"]
    assert listed == [row]
    assert api.get("/api/v1/photos/?finding=1").json()["results"] == []
    for part, size in (("image", (1600, 800)), ("thumbnail", (320, 160))):
        file = api.get(f"{answer['Location']}{part}/")
        assert (file["Content-Type"], file["Cache-Control"]) == ("image/jpeg", "private, no-store")
        assert file["X-Content-Type-Options"] == "nosniff"
        assert Image.open(BytesIO(file.content)).size == size
    assert api.get(f"{answer['Location']}image/", headers={"Accept": "text/html"}).status_code == 406
    for who in (stranger, cast.client_person):
        api.force_authenticate(who)
        for path in ("", "image/", "thumbnail/"):
            assert api.get(f"{answer['Location']}{path}").status_code == 404
        assert api.get("/api/v1/photos/").json()["results"] == []
    assert api.delete(answer["Location"]).status_code in (403, 404)
    assert post(api, cast.client_person, "photos", body).status_code == 403
    assert fields(post(api, stranger, "photos", body)) == {"test"}
    assert write(api, cast.office, "delete", answer["Location"]).status_code == 204
    assert not Photo.objects.exists()


def test_a_photo_sent_twice_under_one_key_or_none_is_one(api, cast: Cast, body):
    first = post(api, cast.technician, "photos", body, **{"Idempotency-Key": "gate-1"})
    again = post(api, cast.technician, "photos", body, **{"Idempotency-Key": "gate-1"})
    third = post(api, cast.technician, "photos", body)
    assert again["Idempotent-Replay"] == "true"
    assert {one.json()["id"] for one in (first, again, third)} == {Photo.objects.get().pk}


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"image": "not base64!"}, "image"),
        ({"image": ""}, "image"),
        ({"image": written(b"\x00\x00\x00\x18ftypheic" + bytes(40))}, "image"),
        ({"image": written(b"GIF89a")}, "image"),
        ({"test": None}, "test"),
        ({"finding": 999_999}, "finding"),
        ({"width": 90}, "width"),
        ({"note": "x" * 201}, "note"),
    ],
)
def test_what_can_not_be_is_told_by_its_field(api, cast: Cast, body, change, field):
    assert fields(post(api, cast.technician, "photos", body | change)) == {field}
    assert not Photo.objects.exists()


def test_a_body_may_be_as_long_as_a_photo_and_no_longer(api, cast: Cast, body, settings):
    large = Image.effect_noise((1500, 1500), 90).convert("RGB")
    out = BytesIO()
    large.save(out, "PNG")
    body["image"] = written(out.getvalue())
    assert len(body["image"]) > settings.DATA_UPLOAD_MAX_MEMORY_SIZE
    assert post(api, cast.technician, "photos", body).status_code == 201
    settings.PHOTO_BYTES = 1_000_000
    assert post(api, cast.technician, "photos", body).status_code == 413
    body["image"] = written(bytes(1_000_100))
    assert fields(post(api, cast.technician, "photos", body)) == {"image"}
