"""Several landscapes as one: small ones are lived through together in the time of one."""

from collections.abc import Callable, Sequence
from dataclasses import fields
from typing import Any

import numpy as np

from fleet.numerics.ranges import Floats
from scheduling.numerics.gross_to_net import Application
from scheduling.numerics.replay.landscape import Ground, Landscape, Runs


def joined(landscapes: Sequence[Landscape]) -> Landscape:
    """Put landscapes one after the other; nothing of one bears on another.

    Parameters
    ----------
    landscapes
        One or more, all with the same candidates and under the same weather cells.

    Raises
    ------
    ValueError
        If the candidates differ.
    """
    percents = landscapes[0].percents
    if any(not np.array_equal(one.percents, percents) for one in landscapes):
        raise ValueError("percents differ, accepted are landscapes with the same candidates")
    return Landscape(
        ground=Ground(**_together([one.ground for one in landscapes], Ground)),
        runs=Runs(
            **_together([one.runs for one in landscapes], Runs)
            | {
                "zone": _numbered(landscapes, lambda one: one.runs.zone, lambda one: one.zones),
                "program": _numbered(landscapes, lambda one: one.runs.program, lambda one: one.programs),
                "application": Application(
                    **_together([_wide(one) for one in landscapes], Application),
                ),
            }
        ),
        group_of_program=_numbered(landscapes, lambda one: one.group_of_program, lambda one: one.groups),
        percents=percents,
        allowed=np.concatenate([one.allowed for one in landscapes], axis=1),
    )


def _together(parts: Sequence[Any], kind: type) -> dict[str, Any]:
    """Return the fields of several, one after the other along their last axis."""
    names = [field.name for field in fields(kind) if field.name != "application"]
    return {name: np.concatenate([getattr(part, name) for part in parts], axis=-1) for name in names}


def _numbered(
    landscapes: Sequence[Landscape],
    of: Callable[[Landscape], Any],
    count: Callable[[Landscape], int],
) -> Any:
    """Return numbers of several, those of each counted on from the one before."""
    ahead = np.cumsum([0, *(count(one) for one in landscapes[:-1])])
    return np.concatenate([of(one) + n for one, n in zip(landscapes, ahead, strict=True)])


def _wide(landscape: Landscape) -> Application:
    """Return the application with one value a run."""
    runs = landscape.runs

    def wide(name: str) -> Floats:
        return np.broadcast_to(np.asarray(getattr(runs.application, name)), runs.zone.shape)

    return Application(**{field.name: wide(field.name) for field in fields(Application)})
