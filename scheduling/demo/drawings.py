"""Invented drawings in the place of photos: made when the demo is loaded, and each says what it is."""

from collections.abc import Callable
from io import BytesIO

from PIL import Image, ImageDraw, ImageFont

from fleet.models import Finding, Photo
from fleet.services.photos import add_photo
from scheduling.demo.rows import Rows

SIZE = (1200, 900)
SKY, LAWN, SOIL, WET, WALK, PIPE, GREY, INK = (
    "#dfe9ee", "#7f9f5f", "#a58763", "#5d7f8f", "#cfcac0", "#3f3f3f", "#77736b", "#26302a",
)  # fmt: skip
MARK = "Invented drawing, not a photo"

Draw = ImageDraw.ImageDraw


def _ground(draw: Draw, colour: str) -> None:
    draw.rectangle((0, 0, 1200, 260), fill=SKY)
    draw.rectangle((0, 260, 1200, 900), fill=colour)


def _lateral(draw: Draw) -> None:
    """Draw three trees on a strip, and wet ground by the third."""
    _ground(draw, LAWN)
    for x in (240, 560, 880):
        draw.rectangle((x - 16, 230, x + 16, 480), fill=SOIL)
        draw.ellipse((x - 110, 60, x + 110, 280), fill="#5f7f4c", outline=INK, width=3)
    draw.ellipse((700, 520, 1120, 720), fill=WET, outline=INK, width=3)
    draw.line((60, 620, 820, 620), fill=PIPE, width=10)
    draw.line((860, 620, 1140, 620), fill=PIPE, width=10)


def _nozzle(draw: Draw) -> None:
    """Draw a head without its nozzle at a walk, and water on the pavement."""
    _ground(draw, LAWN)
    draw.polygon(((700, 260), (1200, 260), (1200, 900), (520, 900)), fill=WALK, outline=INK)
    draw.ellipse((760, 540, 1100, 700), fill=WET)
    draw.rectangle((420, 470, 500, 760), fill=PIPE)
    draw.rectangle((400, 440, 520, 480), fill=GREY, outline=INK, width=3)
    for end in ((820, 420), (900, 520), (860, 620)):
        draw.line((460, 450, *end), fill=WET, width=8)


def _drip(draw: Draw) -> None:
    """Draw a drip line cut through beside a sign."""
    _ground(draw, SOIL)
    draw.rectangle((820, 120, 1080, 300), fill="#f4f1e8", outline=INK, width=4)
    draw.rectangle((935, 300, 965, 560), fill=GREY)
    draw.line((40, 640, 560, 620), fill=PIPE, width=22)
    draw.line((640, 680, 1160, 640), fill=PIPE, width=22)
    draw.ellipse((500, 620, 720, 760), fill=WET)


DRAWN: dict[tuple[str, int], tuple[Callable[[Draw], None], str]] = {
    ("windrow_one_1", 3): (_lateral, "Wet ground by the third tree."),
    ("tule_west_2", 1): (_nozzle, "Water on the pavement."),
    ("care_home_2", 3): (_drip, "Cut next to the sign."),
}


def add_photos(rows: Rows) -> None:
    """Add a drawing to each of three findings; draw nothing that isn't marked."""
    for (controller, number), (what, words) in DRAWN.items():
        finding = Finding.objects.get(zone=rows.zones[controller, number])
        photo = add_photo(by=rows.people["tech"], image=drawn(what), finding=finding, note=f"{MARK}. {words}")
        at = rows.calendar.moment(finding.found_on, "10:20")
        Photo.objects.filter(pk=photo.pk).update(at=at)  # the demo's day, not the real one


def drawn(what: Callable[[Draw], None]) -> bytes:
    """Return a drawing as a PNG, with its mark in it."""
    image = Image.new("RGB", SIZE)
    draw = ImageDraw.Draw(image)
    what(draw)
    draw.rectangle((0, 820, 1200, 900), fill="#f4f1e8")
    draw.text((30, 838), MARK, fill=INK, font=ImageFont.load_default(size=40))
    out = BytesIO()
    image.save(out, "PNG")
    return out.getvalue()
