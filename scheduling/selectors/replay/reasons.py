"""What each morning of a replay decided, and why, in plain words."""

from typing import Any

from scheduling.numerics.replay.days import Lived
from scheduling.selectors.replay.living import Season


def decisions(season: Season, lived: Lived) -> list[dict[str, Any]]:
    """Return every decision that changed a percent or left a night out, by date and program."""
    landscape = season.landscape
    held = [100] * landscape.groups
    found = []
    for day in range(season.days):
        if lived.percent[day].max(initial=-1) < 0:
            continue
        for program, group in enumerate(landscape.group_of_program):
            percent = round(100 * float(landscape.percents[lived.percent[day, group]]))
            skip = bool(lived.skip[day, group])
            if percent == held[group] and not skip:
                continue
            found.append(
                {
                    "date": season.day(day).isoformat(),
                    "program": season.program_id(program),
                    "name": season.programs[program],
                    "percent": percent,
                    "skip": skip,
                    "reason": _reason(season, lived, day, int(group), percent=percent, before=held[group]),
                }
            )
        for group in range(landscape.groups):
            held[group] = round(100 * float(landscape.percents[lived.percent[day, group]]))
    return found


def _reason(season: Season, lived: Lived, day: int, group: int, *, percent: int, before: int) -> str:
    said = []
    if lived.skip[day, group]:
        rain = lived.rain_counted_mm[day, group]
        said.append(
            f"{rain:.1f} mm of rain carries every zone past the next watering: the night is left out."
        )
    if percent != before:
        way = "more" if percent > before else "less"
        zone = lived.deciding[day, group]
        hangs = f", and {season.zones[zone]} needs no less than that" if zone >= 0 else ""
        said.append(f"The coming days want {way} than {before} %: {percent} % is the least that does{hangs}.")
    return " ".join(said)
