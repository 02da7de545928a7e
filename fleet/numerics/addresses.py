"""The number a house has on its street, read from an address."""

import re

# At the front, after "No." or "#" at most; else the last number of the first line, as in "Lindenweg 7".
_FRONT = re.compile(r"\s*(?:no\.?\s*|#\s*)?([0-9]{1,6})(?![0-9])", re.IGNORECASE)
_BEHIND = re.compile(r"[^0-9]+?\s([0-9]{1,6})\s?[a-z]?\s*", re.IGNORECASE)


def house_number(address: str) -> int | None:
    """Return the house number of an address, or None where it gives none.

    Of two, as in 12-14 Main Street, the first.

    Parameters
    ----------
    address
        As people write it, street first, one line or several parts after commas.

    Examples
    --------
    "421 Levee Bend, Corrin" is 421, "Lindenweg 7, Aachen" 7, "Main Street, 95990 Corrin" none.
    """
    street = re.split(r"[,\n]", address, maxsplit=1)[0]
    found = _FRONT.match(street) or _BEHIND.fullmatch(street)
    return int(found[1]) if found else None
