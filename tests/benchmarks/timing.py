"""Time a call: the best of a few, since other work on the machine only ever adds."""

from collections.abc import Callable
from time import perf_counter


def best_of(call: Callable[[], object], *, times: int = 5) -> float:
    """Return the shortest of ``times`` runs. [s]"""
    took = []
    for _ in range(times):
        began = perf_counter()
        call()
        took.append(perf_counter() - began)
    return min(took)
