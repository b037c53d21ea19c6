"""One line of the speed table."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import NamedTuple


class Ratio(NamedTuple):
    """What was compared, how many times, what it should be, and whether it is."""

    name: str
    ratio: float
    goal: float
    ok: bool

    @classmethod
    def at_most(cls, name: str, ratio: float, goal: float) -> Ratio:
        return cls(name, ratio, goal, ratio <= goal)

    @classmethod
    def at_least(cls, name: str, ratio: float, goal: float) -> Ratio:
        return cls(name, ratio, goal, ratio >= goal)


def best_seconds(run: Callable[[], object], times: int = 3) -> float:
    """The shortest of several runs: what the work takes when nothing else disturbs it."""
    taken = []
    for _ in range(times):
        begun = time.perf_counter()
        run()
        taken.append(time.perf_counter() - begun)
    return min(taken)
