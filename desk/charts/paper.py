"""A chart for paper: the same definition as on the page, drawn here as SVG in the light colours.

Draw only in a process that has forked its workers already: vl-convert hangs in a child forked after its use.
"""

import copy
import re
from functools import cache
from pathlib import Path
from typing import Any

from desk.charts.look import VEGA_LITE
from reports.paper.press import FAMILY, FONTS

TOKENS = Path(__file__).parent.parent / "static" / "desk" / "tokens.css"
UNCUT = {"labelLimit": 0, "titleLimit": 0}  # measuring whether to cut words takes half of a drawing's time
VARIABLE = re.compile(r"var\(--([a-z-]+)\)")


@cache
def light() -> dict[str, str]:
    """Return the colours of the light page by name."""
    first = TOKENS.read_text().partition("@media")[0]
    return dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", first))


def coloured(part: Any) -> Any:
    """Return a definition, or a part of one, with colours in place of the page's variables."""
    if isinstance(part, dict):
        return {name: coloured(value) for name, value in part.items()}
    if isinstance(part, list):
        return [coloured(value) for value in part]
    return VARIABLE.sub(lambda found: light()[found[1]], part) if isinstance(part, str) else part


def svg(spec: dict[str, Any], *, width: int = 620) -> str:
    """Return the drawing of a definition.

    Parameters
    ----------
    spec
        What ``desk.charts.look.definition`` returned; it isn't changed.
    width
        Of the drawing. [px]

    Raises
    ------
    KeyError
        If it names a colour that ``tokens.css`` doesn't have.
    """
    spec = coloured(copy.deepcopy(spec))
    spec["width"] = width
    spec["config"]["font"] = FAMILY
    spec["config"]["axis"] |= UNCUT
    return str(_drawer().vegalite_to_svg(spec, vl_version=VEGA_LITE, allowed_base_urls=[]))


@cache
def _drawer() -> Any:
    """Return what draws, with the font of our paper, so that no machine needs one."""
    import vl_convert  # here, not above: used before a fork, it hangs in the child

    vl_convert.register_font_directory(FONTS)
    return vl_convert
