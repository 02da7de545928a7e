"""Programs of one controller share its night: who may raise first where not all raises fit together."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from scheduling.services.coming_days import Coming
from scheduling.services.nights_fit import heads_of_programs, hours_fit, minutes_at_percents


def percents_standing(coming: Coming, held: Sequence[int]) -> NDArray[np.int64]:
    """Return the percent of every program: as ``held`` by its group, else as it is in force. (programs,)"""
    field = coming.field
    percents = field.percents[field.today + 1].copy()
    for group, percent in zip(coming.groups, held, strict=True):
        percents[group.columns] = percent
    return percents


def turns_in_shared_nights(
    coming: Coming, chosen: Mapping[int, int | None], thirst: Mapping[int, float]
) -> Iterator[list[int]]:
    """Yield groups to search, the thirstiest of every crowded controller first, then the next ones.

    A controller is crowded if several of its groups are raised and together overrun its night.
    """
    queues = [sorted(raised, key=lambda n: thirst[n], reverse=True) for raised in _crowded(coming, chosen)]
    for place in range(max(map(len, queues), default=0)):
        yield [queue[place] for queue in queues if place < len(queue)]


def _crowded(coming: Coming, chosen: Mapping[int, int | None]) -> Iterator[list[int]]:
    of_controller: dict[int, list[int]] = defaultdict(list)
    for n, group in enumerate(coming.groups):
        if (chosen[n] or 0) > group.current:
            of_controller[group.controller.pk].append(n)
    several = [raised for raised in of_controller.values() if len(raised) > 1]
    if not several:
        return
    then = [max(group.current, chosen[n] or 0) for n, group in enumerate(coming.groups)]
    field = coming.field
    took = minutes_at_percents(field, percents_standing(coming, then))
    starts = field.starts[field.today :]
    heads = heads_of_programs(field)
    for raised in several:
        first = coming.groups[raised[0]]
        columns = field.columns_of_controller[first.controller.pk]
        fit = hours_fit(
            {c: field.programs[c] for c in columns},
            starts,
            took={c: took[c] for c in columns},
            site=first.site,
            on=field.rows.on,
            heads=heads,
        )
        if not fit.fits.all():
            yield raised
