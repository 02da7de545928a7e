"""Time a call by the processor time it takes.

Nothing measured here waits for anything, and all of it runs on one core: on an idle machine processor time
is what the clock shows, and on a busy one it leaves out the turns other programs had.
"""

from collections.abc import Callable
from time import process_time


def best_of(call: Callable[[], object], *, times: int = 5) -> float:
    """Return the shortest of ``times`` runs. [s]"""
    took = []
    for _ in range(times):
        began = process_time()
        call()
        took.append(process_time() - began)
    return min(took)
