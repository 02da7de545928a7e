"""What is kept of a picture that was sent, and what isn't taken at all."""

import struct
import zlib
from io import BytesIO
from typing import Any

import pytest
from PIL import Image, ImageOps

from common.errors import Refused
from fleet.services.pictures import Picture, picture_of
from tests.pictures import a_photo, encoded, four_corners

LIMIT = 1_000_000
ORIENTATION, GPS, MAKER = 0x0112, 0x8825, 0x010F


def made(content: bytes) -> Picture:
    return picture_of(content, most_bytes=LIMIT)


def opened(content: bytes) -> Image.Image:
    image = Image.open(BytesIO(content))
    image.load()
    return image


def near(pixel: Any, colour: Any) -> bool:
    return all(abs(a - b) < 40 for a, b in zip(pixel, colour, strict=True))


def exif(orientation: int = 1) -> Image.Exif:
    told = Image.Exif()
    told[ORIENTATION], told[MAKER] = orientation, "Inventedcam"
    told.get_ifd(GPS).update({1: "N", 2: (39.0, 12.0, 30.5), 3: "W", 4: (121.0, 3.0, 36.0)})
    return told


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_nothing_that_came_with_the_picture_is_kept(form):
    more = {"comment": b"Inventednote"} if form == "JPEG" else {}
    sent = encoded(four_corners(), form, exif=exif(), icc_profile=b"Inventedprofile", **more)
    assert opened(sent).getexif().get_ifd(GPS)  # it is there to be taken out
    result = made(sent + b"<script>Inventedtail</script>")
    for kept in (result.full, result.small):
        assert b"Invented" not in kept
        assert b"Exif" not in kept
        image = opened(kept)
        assert image.format == "JPEG"
        assert dict(image.getexif()) == {}
        assert all(name.startswith(("jfif", "progressi")) for name in image.info), image.info


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_picture_stands_upright_however_the_camera_was_held(orientation):
    sent = encoded(four_corners(), quality=95, exif=exif(orientation))
    upright = ImageOps.exif_transpose(opened(sent))  # the library's own, as reference
    result = made(sent)
    kept = opened(result.full)
    assert kept.size == upright.size == (result.width, result.height)
    width, height = kept.size
    for at in ((9, 9), (width - 9, 9), (9, height - 9), (width - 9, height - 9)):
        assert near(kept.getpixel(at), upright.getpixel(at))


def test_held_upright_the_top_left_of_the_sensor_is_the_top_right():
    """TIFF 6.0, tag 274, value 6: row 0 is the right side, column 0 the top."""
    kept = opened(made(encoded(four_corners(), quality=95, exif=exif(6))).full)
    assert kept.size == (60, 80)
    assert near(kept.getpixel((50, 9)), (255, 0, 0))


def test_large_ones_are_made_smaller_and_small_ones_stay():
    result = made(a_photo(width=4000, height=3000))
    assert (result.width, result.height) == (1600, 1200)
    assert opened(result.small).size == (320, 240)
    result = made(a_photo(width=90, height=3000))
    assert opened(result.full).size == (48, 1600)
    result = made(a_photo(width=50, height=40))
    assert opened(result.full).size == opened(result.small).size == (50, 40)


def test_what_is_see_through_becomes_white():
    clear = Image.new("RGBA", (40, 40), (255, 0, 0, 0))
    palette = clear.quantize(4)
    for sent in (encoded(clear, "PNG"), encoded(clear, "WEBP"), encoded(palette, "PNG")):
        assert near(opened(made(sent).full).getpixel((20, 20)), (255, 255, 255))


def test_other_colours_and_several_pictures_in_one_are_taken():
    one, two = four_corners(), Image.new("RGB", (80, 60), "black")
    sent = {
        "printers' colours": encoded(one.convert("CMYK"), quality=95),
        "grey": encoded(one.convert("L"), quality=95),
        "two in one": encoded(one, "MPO", save_all=True, append_images=[two], quality=95),
        "moving": encoded(one, "WEBP", save_all=True, append_images=[two], duration=90, lossless=True),
    }
    for name, content in sent.items():
        kept = opened(made(content).full)
        assert (kept.mode, kept.size) == ("RGB", (80, 60)), name
        if name != "grey":
            assert near(kept.getpixel((9, 9)), (255, 0, 0)), name


def chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


def a_png_that_says(width: int, height: int) -> bytes:
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    rows = zlib.compress(bytes(4_000_000))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


@pytest.mark.parametrize(("width", "height"), [(7_100, 7_100), (10_000, 10_000), (60_000, 60_000)])
def test_a_small_file_of_endless_pixels_is_refused_undecoded(width, height, monkeypatch):
    monkeypatch.setattr(Image.Image, "thumbnail", None)
    with pytest.raises(Refused, match="over 50 million pixels"):
        made(a_png_that_says(width, height))


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"),
        (b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic" + bytes(99), "HEIC"),
        (b"\x00\x00\x00\x1cftypmif1\x00\x00\x00\x00mif1heic" + bytes(99), "HEIC"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'><script>1</script></svg>", "JPEG, PNG or WebP"),
        (b"<html><script>1</script></html>", "JPEG, PNG or WebP"),
        (encoded(four_corners(), "GIF"), "JPEG, PNG or WebP"),
        (encoded(four_corners(), "TIFF"), "JPEG, PNG or WebP"),
        (encoded(four_corners(), "PDF"), "JPEG, PNG or WebP"),
        (a_photo(width=900, height=700)[:3000], "damaged"),
        (encoded(four_corners(), "PNG")[:-60], "damaged"),
        (a_png_that_says(3_000, 3_000)[:2000], "damaged"),
        (bytes(LIMIT + 1), "over 1 MB"),
    ],
)  # fmt: skip
def test_what_can_not_be_taken_is_told(content, words):
    with pytest.raises(Refused, match=words) as refused:
        made(content)
    assert refused.value.field == "image"


@pytest.mark.filterwarnings("ignore:Corrupt EXIF data:UserWarning")  # it is for the log
def test_a_broken_note_of_the_camera_does_not_keep_a_photo_out():
    sent = encoded(four_corners(), exif=b"Exif\x00\x00II*\x00\xff\xff\xff\xffnothing of use")
    assert made(sent).width == 80
