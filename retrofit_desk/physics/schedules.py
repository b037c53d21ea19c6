"""Values by the clock, laid out over the year."""

from __future__ import annotations

from collections.abc import Collection

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.elements import HOURS_A_DAY, HOURS_A_YEAR, Schedule, Timed
from retrofit_desk.physics.weather import HOUR_OF_DAY, MONTH_OF_HOUR

Array = NDArray[np.float64]


def on_in(hours: Collection[int], months: Collection[int] = ()) -> Schedule:
    """1 in these hours of the day (0 is 00:00-01:00) of these months (1 to 12; none: all), else 0."""
    day = tuple(float(hour in hours) for hour in range(HOURS_A_DAY))
    if not months:
        return Schedule(hours=day)
    off = (0.0,) * HOURS_A_DAY
    return Schedule(hours=(), by_month=tuple(day if month in months else off for month in range(1, 13)))


def hourly(value: Timed | None, off: float) -> Array:
    """8,760 values; `off` stands where the schedule (or the whole value) is None."""
    if not isinstance(value, Schedule):
        return np.full(HOURS_A_YEAR, off if value is None else value)
    if value.by_month:
        table = np.array([[off if v is None else v for v in row] for row in value.by_month])
        return np.asarray(table[MONTH_OF_HOUR, HOUR_OF_DAY])
    row = np.array([off if v is None else v for v in value.hours], dtype=float)
    return row if len(row) == HOURS_A_YEAR else np.asarray(row[HOUR_OF_DAY])
