"""What comes next for a client, in words."""

from datetime import date
from typing import Any

from desk import dates, figures

STEADY = 0.03


def next_words(kept: dict[str, Any]) -> list[str]:
    """Return what is coming: the usual weather, visits, what is broken, what waits to be entered."""
    units = kept["units"]
    lines = _usual(kept)
    for one in kept["next"]:
        on = dates.long_date(date.fromisoformat(one["on"]), units) if one.get("on") else ""
        if one["kind"] == "visit":
            lines.append(f"{one['site']}: visit on {on}, {one['what']}")
        elif one["kind"] == "broken":
            lost = (
                f", losing about {figures.water(one['lost_l_day'], units)} a day"
                if one.get("lost_l_day")
                else ""
            )
            lines.append(
                f"{one['site']}, zone {one['zone']}: {one['what']}, found on {on}, not mended yet{lost}"
            )
        else:
            many = "one change" if one["count"] == 1 else f"{one['count']} changes"
            lines.append(f"{one['site']}: {many} decided and still to be entered at the controller")
    return lines


def _usual(kept: dict[str, Any]) -> list[str]:
    share = next((sky["next_et_share"] for sky in kept["weather"] if sky.get("next_et_share")), None)
    if share is None:
        return []
    month = int(kept["month"][5:])
    this, following = f"{date(2001, month, 1):%B}", f"{date(2001, month % 12 + 1, 1):%B}"
    if abs(share - 1) < STEADY:
        return [f"A day in {following} usually asks for about as much water as one in {this}"]
    word = "more" if share > 1 else "less"
    return [f"A day in {following} usually asks for {abs(share - 1):.0%} {word} water than one in {this}"]
