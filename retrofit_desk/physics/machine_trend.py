"""The log of a machine's controller: when it ran, how often it started, and whether it kept its limits."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]

RUNS_ABOVE_SHARE = 0.15
"""Of its usual high power, above which a machine runs; below are pumps and standby: own judgment."""
RUNS_ABOVE_K = 1.0
"""Between supply and return, where no power is logged: own judgment."""
HOUR_S = 3600


class Quantity(StrEnum):
    """What one column of the log tells; each stands once in a log that is compared."""

    SUPPLY = "supply temperature"
    RETURN = "return temperature"
    OUTDOOR = "outdoor temperature"
    ROOM = "room temperature"
    TANK = "tank temperature"
    POWER = "power"
    FLOW = "flow"


TEMPERATURES = (Quantity.SUPPLY, Quantity.RETURN, Quantity.TANK, Quantity.OUTDOOR, Quantity.ROOM)


@dataclass(frozen=True, eq=False)
class TrendLine:
    """One column, (readings,): degrees C, W or m3/s; not a number where nothing was read."""

    quantity: Quantity
    heading: str
    values: Floats


@dataclass(frozen=True, eq=False)
class MachineTrend:
    """Readings at rising moments: `moments_s` whole seconds since 1970 in UTC, (readings,)."""

    moments_s: Ints
    lines: tuple[TrendLine, ...]
    notes: tuple[str, ...] = ()

    def of(self, quantity: Quantity) -> Floats | None:
        return next((line.values for line in self.lines if line.quantity is quantity), None)

    @property
    def step_s(self) -> int:
        """The usual time between two readings."""
        return int(np.median(np.diff(self.moments_s)))

    @property
    def difference_k(self) -> Floats | None:
        """Between supply and return, whichever is warmer."""
        supply, back = self.of(Quantity.SUPPLY), self.of(Quantity.RETURN)
        return None if supply is None or back is None else np.abs(supply - back)


def running(trend: MachineTrend) -> Bools | None:
    """Where the machine ran: by its power, else by supply and return; none where neither tells."""
    power, apart = trend.of(Quantity.POWER), trend.difference_k
    if power is not None and np.isfinite(power).any():
        high = float(np.nanpercentile(power, 95.0))
        return np.nan_to_num(power) > RUNS_ABOVE_SHARE * high if high > 0 else np.zeros(len(power), bool)
    return None if apart is None else np.nan_to_num(apart) > RUNS_ABOVE_K


@dataclass(frozen=True)
class Runs:
    """How a machine ran. `most_starts_in_hour`: over any 60 minutes; `median_minutes` none without a run."""

    starts: int
    most_starts_in_hour: int
    median_minutes: float | None
    share_of_time: float


def runs_of(trend: MachineTrend, ran: Bools) -> Runs:
    """Starts and runs. A run that the log cuts off at its beginning is no start; cut ones have no length."""
    change = np.diff(ran.astype(np.int8))
    starts, ends = np.flatnonzero(change == 1) + 1, np.flatnonzero(change == -1) + 1
    moments = trend.moments_s
    began = moments[starts]
    most = max((int(np.searchsorted(began, one + HOUR_S) - at) for at, one in enumerate(began)), default=0)
    whole = [(start, ends[ends > start][0]) for start in starts if (ends > start).any()]
    minutes = [(moments[end] - moments[start]) / 60.0 for start, end in whole]
    return Runs(len(starts), most, float(np.median(minutes)) if minutes else None, float(ran.mean()))


@dataclass(frozen=True)
class Kept:
    """Readings against limits, in the unit of both. `share_outside` of the readings that count."""

    low: float
    middle: float
    high: float
    readings: int
    share_outside: float | None
    """None without a limit."""


def kept(values: Floats, counted: Bools, low_limit: float | None, high_limit: float | None) -> Kept | None:
    """What the counted readings were; none where nothing was read then."""
    found = values[counted & np.isfinite(values)]
    if not len(found):
        return None
    outside = np.zeros(len(found), bool)
    if low_limit is not None:
        outside |= found < low_limit
    if high_limit is not None:
        outside |= found > high_limit
    has_limit = low_limit is not None or high_limit is not None
    return Kept(
        float(found.min()),
        float(np.median(found)),
        float(found.max()),
        len(found),
        float(outside.mean()) if has_limit else None,
    )
