"""Reading coordinates as people write them: decimal degrees, degrees and minutes, degrees minutes seconds."""

import re

_NUMBER = r"[0-9]{1,3}(?:\.[0-9]{1,12})?"
_PART = re.compile(
    rf"""^\s*(?P<before>[NSEWnsew])?\s*(?P<sign>[-+\u2212])?\s*
    (?P<degrees>{_NUMBER})\s*[°ºd]?\s*
    (?:(?P<minutes>[0-9]{{1,2}}(?:\.[0-9]{{1,10}})?)\s*['′’m]?\s*
    (?:(?P<seconds>[0-9]{{1,2}}(?:\.[0-9]{{1,8}})?)\s*(?:["″”s]|'')?\s*)?)?
    (?P<after>[NSEWnsew])?\s*$""",
    re.VERBOSE,
)
_LETTERS = re.compile(r"^([^NSns]*[NSns])[\s,;]+([^EWew]*[EWew])$")
_LETTERS_FIRST = re.compile(r"^([NSns][^EWew]*?)[\s,;]+([EWew].*)$")
_LONGEST = 80


def read_coordinates(text: str) -> tuple[float, float]:
    """Return latitude and longitude. [deg]

    Parameters
    ----------
    text : str
        Such as ``39.21, -121.06``, ``39 12 36 N, 121 3 36 W`` or ``39°12'36"N 121°3'36"W``.

    Returns
    -------
    tuple of float
        Latitude, -90 to 90, and longitude, -180 to 180, north and east positive.

    Raises
    ------
    ValueError
        If it can't be read, or lies outside the globe; the message is fit for a person.
    """
    parts = _split(text.strip())
    latitude, longitude = (_read(part) for part in parts)
    if latitude[1] in "EW" and latitude[1] and longitude[1] in "NS" and longitude[1]:
        latitude, longitude = longitude, latitude
    if (latitude[1] and latitude[1] in "EW") or (longitude[1] and longitude[1] in "NS"):
        raise ValueError("One of the two must be north or south, the other east or west.")
    if abs(latitude[0]) > 90:
        raise ValueError("Latitude goes from −90 to 90; it comes first, longitude after it.")
    if abs(longitude[0]) > 180:
        raise ValueError("Longitude goes from −180 to 180.")
    return round(latitude[0], 7), round(longitude[0], 7)


def _split(text: str) -> list[str]:
    how = "Type latitude, then longitude, such as 39.21, -121.06 or 39°12'36\"N 121°3'36\"W."
    if not text or len(text) > _LONGEST:
        raise ValueError(how)
    for pattern in (_LETTERS, _LETTERS_FIRST):
        if found := pattern.match(text):
            return [found[1], found[2]]
    parts = [part for part in re.split(r"[,;]", text) if part.strip()]
    parts = parts if len(parts) > 1 else text.split()
    if len(parts) == 4 and all("," not in part for part in parts) and re.search(r"[,;]", text):
        raise ValueError("Type decimals with a point, such as 39.21, -121.06.")
    if len(parts) != 2:
        raise ValueError(how)
    return parts


def _read(part: str) -> tuple[float, str]:
    found = _PART.match(part)
    if found is None or (found["before"] and found["after"]):
        raise ValueError(f"This can't be read: {part.strip()[:30]}")
    minutes, seconds = float(found["minutes"] or 0), float(found["seconds"] or 0)
    if minutes >= 60 or seconds >= 60:
        raise ValueError("Minutes and seconds go from 0 to 59.")
    letter = (found["before"] or found["after"] or "").upper()
    degrees = float(found["degrees"]) + minutes / 60 + seconds / 3600
    minus = found["sign"] in ("-", "\u2212")
    if minus and letter:
        raise ValueError("Write a sign or a letter, not both.")
    return (-degrees if minus or (letter and letter in "SW") else degrees), letter
