"""Pictures to send, drawn here."""

from io import BytesIO
from typing import Any

from PIL import Image

CORNERS = ("red", "lime", "blue", "yellow")  # top left, top right, bottom left, bottom right


def four_corners(width: int = 80, height: int = 60) -> Image.Image:
    """Return a picture with another colour in each quarter, so that it shows how it is turned."""
    image = Image.new("RGB", (width, height))
    for n, colour in enumerate(CORNERS):
        x, y = (n % 2) * width // 2, (n // 2) * height // 2
        image.paste(colour, (x, y, x + width // 2, y + height // 2))
    return image


def encoded(image: Image.Image, form: str = "JPEG", **how: Any) -> bytes:
    out = BytesIO()
    image.save(out, form, **how)
    return out.getvalue()


def a_photo(n: int = 0, *, width: int = 80, height: int = 60) -> bytes:
    """Return a JPEG, another one for each number."""
    return encoded(Image.new("RGB", (width, height), (n * 20 % 256, 90, 40)))
