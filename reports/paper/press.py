"""Print plain data with one of our templates: tagged PDF, the same bytes for the same data."""

import json
from collections.abc import Mapping
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any, Literal

import font_source_sans_pro

SHEETS = Path(__file__).parent / "sheets"
FONTS = font_source_sans_pro.font_directory
FAMILY = "Source Sans Pro"
PARTS = ("house", "picture")  # no documents of their own
STANDARD: Literal["ua-1"] = "ua-1"  # PDF/UA-1: readable by screen readers


def pdf(sheet: str, data: Mapping[str, Any], *, on: date) -> bytes:
    """Return a document.

    Signs that our font lacks are set in a font of the machine's; where it has none either, they show as
    boxes and the file is tagged without claiming PDF/UA. Print only in a process that has forked its workers
    already: typst hangs in a child forked after its use.

    Parameters
    ----------
    sheet
        Name of a template in ``reports/paper/sheets``, without ``.typ``.
    data
        What it shows, as JSON can hold it. Text is set as it is, whatever signs it holds.
    on
        Day the document is dated, also inside the file.

    Raises
    ------
    ValueError
        If there is no such template.
    typst.TypstError
        If the template doesn't find what it needs in ``data``.
    """
    source = SHEETS / f"{sheet}.typ"
    if not source.is_file():
        raise ValueError(f"sheet holds {sheet!r}, accepted are {', '.join(sheets())}")
    text = json.dumps(data)
    ways: list[tuple[bool, Literal["ua-1"] | None]] = [(True, STANDARD), (False, STANDARD), (False, None)]
    for own_fonts, standard in ways:
        try:
            return _compile(source, text, on=on, own_fonts=own_fonts, standard=standard)
        except RuntimeError as refused:  # typst.TypstError
            if standard is None or "could not be displayed" not in str(refused):
                raise
    raise AssertionError("the last of them returns or raises")


def _compile(
    source: Path, text: str, *, on: date, own_fonts: bool, standard: Literal["ua-1"] | None
) -> bytes:
    import typst  # here, not above: used before a fork, it hangs in the child

    made = typst.compile(
        source,
        root=SHEETS,
        font_paths=[FONTS],
        ignore_system_fonts=own_fonts,
        sys_inputs={"data": text, "family": FAMILY},
        pdf_standards=standard or [],
        timestamp=datetime(on.year, on.month, on.day, tzinfo=UTC),
    )
    assert isinstance(made, bytes)
    return made


def picture(drawing: str, *, width: int, sharper: float = 1.0) -> bytes:
    """Return a drawing as PNG on white, its words in our font.

    Print only in a process that has forked its workers already, as ``pdf`` says.

    Parameters
    ----------
    drawing
        SVG.
    width
        As it is shown. [px]
    sharper
        Points of the picture for each of those, 0.5 to 4.
    """
    import typst  # here, not above: used before a fork, it hangs in the child

    made = typst.compile(
        SHEETS / "picture.typ",
        root=SHEETS,
        font_paths=[FONTS],
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps({"svg": drawing, "width": width})},
        format="png",
        ppi=72.0 * sharper,
    )
    assert isinstance(made, bytes)
    return made


def sheets() -> list[str]:
    """Return the names of the templates that are documents of their own."""
    return sorted(path.stem for path in SHEETS.glob("*.typ") if path.stem not in PARTS)
