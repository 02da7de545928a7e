"""The names a controller's ``delivery`` may have. Whoever brings a channel says so here at the start."""

from collections.abc import Iterable

from django.core.exceptions import ValidationError

_known: list[str] = []


def bring(names: Iterable[str]) -> None:
    """Make channels known by name."""
    _known.extend(name for name in names if name not in _known)


def known_channel(name: str) -> None:
    """Refuse a name that no channel has."""
    if name not in _known:
        raise ValidationError(f"Changes reach a controller by {' or '.join(_known)}.")
