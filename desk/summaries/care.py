"""The cautions that go with a month: short, deferring to local code and licensed practice."""

from typing import Any

ALWAYS = (
    "Water from an irrigation system isn't for drinking. Leave the backflow preventer in place and have it "
    "tested as local code asks, by a licensed tester."
)
FROST = (
    "Frost is near: keep off wet walkways in the morning. Blowing pipes out with compressed air can burst "
    "them and hurt people; leave it to somebody trained."
)
DIG = "Before anybody digs, have buried lines marked; in the US a call to 811 does that."
COLD_MONTHS = {"north": (10, 11, 12, 1, 2, 3), "south": (4, 5, 6, 7, 8, 9)}


def cautions_for(kept: dict[str, Any]) -> list[str]:
    """Return what to take care of: always the water; frost where it was skipped for; digging in a repair."""
    lines = [ALWAYS]
    skipped = any(one["kind"] == "freeze" for one in kept["done"].get("weather", []))
    if skipped or kept.get("cold"):
        lines.append(FROST)
    if any(one["kind"] in ("broken", "mended") for one in [*kept["next"], *kept["done"].get("repairs", [])]):
        lines.append(DIG)
    return lines
