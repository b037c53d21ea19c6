"""Readings of a meter in equal steps, such as every 15 minutes: one clock, gaps, days and hours."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta, tzinfo

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
HOUR_S, DAY_S = 3600, 86400
_EPOCH = date(1970, 1, 1)


@dataclass(frozen=True, eq=False)
class MeterReadings:
    """What a meter counted in equal steps.

    `starts_s`: whole seconds since 1970 in UTC, rising, (readings,); `used` and `fed_in` in `unit`,
    (readings,). `notes`: what was found in the file and how it was taken, in words.
    """

    fuel: str
    unit: str
    step_s: int
    starts_s: Ints
    used: Floats
    fed_in: Floats
    notes: tuple[str, ...] = ()

    def __len__(self) -> int:
        return len(self.starts_s)

    @property
    def ends_s(self) -> int:
        """The end of the last reading."""
        return int(self.starts_s[-1]) + self.step_s

    @property
    def gaps(self) -> tuple[tuple[int, int], ...]:
        """Where readings are missing in between: start in seconds since 1970, and how many."""
        missing = np.diff(self.starts_s) // self.step_s - 1
        at = np.flatnonzero(missing > 0)
        return tuple((int(self.starts_s[one]) + self.step_s, int(missing[one])) for one in at)


def merged(parts: Sequence[MeterReadings]) -> MeterReadings:
    """Several files of one meter; where they overlap the later one counts. Steps may differ: the longest.

    Needs one part or more, all in one unit.
    """
    step = max(one.step_s for one in parts)
    even = [_in_steps(one, step) for one in parts]
    starts = np.concatenate([one.starts_s for one in even])
    order = np.argsort(starts, kind="stable")
    last = np.append(np.diff(starts[order]) > 0, True)
    chosen = order[last]
    return MeterReadings(
        parts[-1].fuel,
        parts[-1].unit,
        step,
        starts[chosen],
        np.concatenate([one.used for one in even])[chosen],
        np.concatenate([one.fed_in for one in even])[chosen],
        tuple(dict.fromkeys(note for one in parts for note in one.notes)),
    )


def _in_steps(one: MeterReadings, step_s: int) -> MeterReadings:
    """Added up to longer steps; a step of which a part is missing is left out."""
    if one.step_s == step_s:
        return one
    slots, counts = np.unique(one.starts_s // step_s, return_counts=True)
    whole = counts == step_s // one.step_s
    at = np.searchsorted(slots, one.starts_s // step_s)
    used, fed_in = (_sums(at, values, len(slots))[whole] for values in (one.used, one.fed_in))
    return MeterReadings(one.fuel, one.unit, step_s, slots[whole] * step_s, used, fed_in, one.notes)


def _sums(at: NDArray[np.intp], values: Floats, slots: int) -> Floats:
    return np.asarray(np.bincount(at, values, slots), float)


@dataclass(frozen=True, eq=False)
class ReadDays:
    """Local days: use in the meter's unit, the hours that each has (23, 24 or 25), the hours read."""

    days: tuple[date, ...]
    used: Floats
    fed_in: Floats
    hours: Floats
    hours_read: Floats

    @property
    def is_whole(self) -> NDArray[np.bool_]:
        return np.asarray(self.hours_read >= self.hours - 1e-6)


def by_day(readings: MeterReadings, zone: tzinfo) -> ReadDays:
    """Sums of the days of a place, each with the hours that the day really has."""
    first = datetime.fromtimestamp(int(readings.starts_s[0]), zone).date()
    last = datetime.fromtimestamp(readings.ends_s - 1, zone).date()
    days = tuple(first + timedelta(days=number) for number in range((last - first).days + 1))
    edges = np.array([midnight_s(day, zone) for day in (*days, last + timedelta(days=1))])
    at = np.searchsorted(edges, readings.starts_s, side="right") - 1
    count = np.bincount(at, minlength=len(days))
    return ReadDays(
        days,
        _sums(at, readings.used, len(days)),
        _sums(at, readings.fed_in, len(days)),
        np.diff(edges) / HOUR_S,
        np.asarray(count * (readings.step_s / HOUR_S), float),
    )


def midnight_s(day: date, zone: tzinfo) -> int:
    """The first moment of a local day, in seconds since 1970."""
    return int(datetime.combine(day, time(), zone).timestamp())


@dataclass(frozen=True, eq=False)
class HourTable:
    """Hours of standard time: `used` (days, 24), not a number where an hour was not read whole.

    `largest`: the largest single reading of each hour, brought to one hour, (days, 24).
    """

    days: tuple[date, ...]
    used: Floats
    largest: Floats


def by_hour(readings: MeterReadings, utc_offset_h: float) -> HourTable:
    """Sums of the hours in standard time of a place, which knows no daylight saving."""
    local = readings.starts_s + round(utc_offset_h * HOUR_S)
    first, last = int(local[0] // DAY_S), int(local[-1] // DAY_S)
    slots = (last - first + 1) * 24
    at = local // HOUR_S - first * 24
    count = np.bincount(at, minlength=slots)
    used = _sums(at, readings.used, slots)
    largest = np.full(slots, -np.inf)
    np.maximum.at(largest, at, readings.used * (HOUR_S / readings.step_s))
    missing = count < HOUR_S // readings.step_s
    used[missing], largest[missing] = np.nan, np.nan
    days = tuple(_EPOCH + timedelta(days=number) for number in range(first, last + 1))
    return HourTable(days, used.reshape(-1, 24), largest.reshape(-1, 24))
