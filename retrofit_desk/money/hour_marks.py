"""Which month, weekday and clock hour each hour of a year is, for tariffs that ask."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

HOURS = 8760
Whole = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class HourMarks:
    """Marks of the hours of one year, each (hours,): month 1-12, weekday 0 = Monday, clock hour 0-23."""

    month: Whole
    weekday: Whole
    hour: Whole
    days_in_month: tuple[int, ...]


@lru_cache(maxsize=8)
def hour_marks(year: int = 2026, *, daylight_saving: bool = True) -> HourMarks:
    """Marks of the 8760 hours of `year` in standard time; a February 29 is left out.

    With `daylight_saving` the clock hour runs one ahead from the second Sunday in March, 2:00, to the first
    Sunday in November (Energy Policy Act of 2005, sec. 110): a tariff follows the clock on the wall, weather
    does not.
    """
    days = np.arange(f"{year}-01-01", f"{year + 1}-01-01", dtype="datetime64[D]")
    months = days.astype("datetime64[M]").astype(int) % 12 + 1
    of_month = (days - days.astype("datetime64[M]")).astype(int) + 1
    keep = ~((months == 2) & (of_month == 29))
    days, months, of_month = days[keep], months[keep], of_month[keep]
    weekdays = (days.astype(int) + 3) % 7  # 1970-01-01 was a Thursday
    clock = np.tile(np.arange(24), len(days))
    month, weekday = np.repeat(months, 24), np.repeat(weekdays, 24)
    if daylight_saving:
        first = int(np.flatnonzero((months == 3) & (weekdays == 6))[1]) * 24 + 2
        last = int(np.flatnonzero((months == 11) & (weekdays == 6))[0]) * 24 + 1
        clock[first:last] += 1
        over = clock == 24
        month[over], weekday[over] = np.roll(month, -1)[over], np.roll(weekday, -1)[over]
        clock[over] = 0
    return HourMarks(month, weekday, clock, tuple(int((months == m).sum()) for m in range(1, 13)))
