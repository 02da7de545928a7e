"""What a phone sends, made into two plain JPEGs: upright, of bounded size, with nothing of the camera's left.

Every picture is decoded and drawn anew, so nothing that came with it (place, camera, comments, profiles,
whatever hides behind its end) is in what is kept.
"""

import struct
import threading
from dataclasses import dataclass
from io import BytesIO

from PIL import Image

from common.errors import Refused
from fleet.models.photos import SMALL_SIDE, shrunk

FORMATS = ("JPEG", "PNG", "WEBP")
SIDE = 1_600  # px
MOST_PIXELS = 50_000_000  # what the largest ordinary phone takes; decoded, 200 MB at the most
TOO_MANY = f"This picture has over {MOST_PIXELS // 1_000_000} million pixels. Send a smaller one."
QUALITY = 82
HEIC = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1")
ORIENTATION = 0x0112
BROKEN = (OSError, SyntaxError, ValueError, TypeError, KeyError, IndexError, EOFError, OverflowError)
BREAKS = (*BROKEN, struct.error, MemoryError)
BOMBS = (Image.DecompressionBombError, Image.DecompressionBombWarning)
SHRINK_WELL = ("L", "RGB", "RGBA", "CMYK")  # palettes and the like are coloured in first

_one_at_a_time = threading.Lock()  # so that a process never holds more than one decoded picture


@dataclass(frozen=True)
class Picture:
    """Two JPEGs of one picture, and the size of the larger. [px]"""

    full: bytes
    small: bytes
    width: int
    height: int


def picture_of(content: bytes, *, most_bytes: int) -> Picture:
    """Return a picture as it is kept.

    Parameters
    ----------
    content
        A JPEG, PNG or WebP file of 1 to ``most_bytes`` bytes and 50 million pixels at the most. Of moving
        pictures the first is taken; what is see-through becomes white.

    Raises
    ------
    Refused
        If it is none of these, too large, or can't be read to its end.
    """
    if not content:
        raise Refused("This file is empty.", field="image")
    if len(content) > most_bytes:
        raise Refused(too_large(most_bytes), field="image")
    if content[4:8] == b"ftyp" and content[8:12] in HEIC:
        raise Refused(
            "This is a HEIC photo, which can't be taken here. Set the camera to JPEG (many phones call it "
            "“most compatible”), or send a JPEG copy of it.",
            field="image",
        )
    with _one_at_a_time:
        return _made(content)


def too_large(most_bytes: int) -> str:
    """Return what is said of a file over the limit."""
    return f"This photo is over {most_bytes / 1_000_000:g} MB. Send a smaller one."


def _made(content: bytes) -> Picture:
    try:
        opened = Image.open(BytesIO(content), formats=FORMATS)
    except BOMBS:
        raise Refused(TOO_MANY, field="image") from None
    except BREAKS:
        raise Refused("This isn't a photo that can be read: send JPEG, PNG or WebP.", field="image") from None
    with opened as image:
        if image.width * image.height > MOST_PIXELS:
            raise Refused(TOO_MANY, field="image")
        try:
            full = _upright(image)
        except (*BREAKS, *BOMBS):
            raise Refused("This photo is damaged and can't be read to its end.", field="image") from None
    small = full.resize(shrunk(*full.size, SMALL_SIDE), Image.Resampling.LANCZOS)
    return Picture(_jpeg(full), _jpeg(small), *full.size)


def _upright(image: Image.Image) -> Image.Image:
    """Return a picture as it was held, small enough, opaque, without anything that came along with it."""
    turned = _turned(image)
    if image.mode not in SHRINK_WELL:
        image = image.convert("RGBA" if image.has_transparency_data else "RGB")
    image.thumbnail((SIDE, SIDE), Image.Resampling.LANCZOS)
    held = image.transpose(turned) if turned is not None else image
    seen = held.convert("RGBA") if held.has_transparency_data else held.convert("RGB")
    plain = Image.new("RGB", seen.size, "white")
    plain.paste(seen, mask=seen if seen.mode == "RGBA" else None)
    return plain


def _turned(image: Image.Image) -> Image.Transpose | None:
    """Return how the camera was held, None for upright or where it says nothing that can be."""
    ways = {
        2: Image.Transpose.FLIP_LEFT_RIGHT,
        3: Image.Transpose.ROTATE_180,
        4: Image.Transpose.FLIP_TOP_BOTTOM,
        5: Image.Transpose.TRANSPOSE,
        6: Image.Transpose.ROTATE_270,
        7: Image.Transpose.TRANSVERSE,
        8: Image.Transpose.ROTATE_90,
    }
    try:
        return ways.get(image.getexif().get(ORIENTATION, 1))
    except (*BREAKS, *BOMBS):
        return None


def _jpeg(image: Image.Image) -> bytes:
    out = BytesIO()
    image.save(out, "JPEG", quality=QUALITY, optimize=True, progressive=True)
    return out.getvalue()
