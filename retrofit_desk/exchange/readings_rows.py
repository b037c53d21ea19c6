"""From rows of a meter's file to readings in equal steps: units, duplicates, gaps, one clock."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, tzinfo
from pathlib import Path

import numpy as np

from retrofit_desk.physics.meter_readings import HOUR_S, MeterReadings
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.quantity import count_text

LARGEST_FILE_BYTES = 64 * 1024 * 1024
SHORTEST_STEP_S = 300
_EPOCH = datetime(1970, 1, 1)
MOST_IN_AN_HOUR = 1000.0
"""kWh, therms or CCF in an hour that no house uses: own judgment."""


class BadReadings(DeskError):
    """A file of readings that cannot be taken as it stands."""

    def __init__(self, path: Path, what: str, do: str, row: int | None = None) -> None:
        where = path.name if row is None else f"{path.name}, row {row}"
        super().__init__(what, where=where, kept="nothing was read in", do=do)


@dataclass(frozen=True)
class Unit:
    """A unit of a file: what it is kept in, how many of those it is. Power counts over the step."""

    fuel: str
    kept_in: str
    factor: float
    is_power: bool = False


UNITS: dict[str, Unit] = {
    "kwh": Unit("electricity", "kWh", 1.0),
    "wh": Unit("electricity", "kWh", 1e-3),
    "kw": Unit("electricity", "kWh", 1.0, is_power=True),
    "w": Unit("electricity", "kWh", 1e-3, is_power=True),
    "therm": Unit("natural gas", "therm", 1.0),
    "therms": Unit("natural gas", "therm", 1.0),
    "btu": Unit("natural gas", "therm", 1e-5),
    "ccf": Unit("natural gas", "CCF", 1.0),
    "mcf": Unit("natural gas", "CCF", 10.0),
    "cf": Unit("natural gas", "CCF", 0.01),
    "ft3": Unit("natural gas", "CCF", 0.01),
    "m3": Unit("natural gas", "CCF", 0.353146667),
}
"""ISO 80000 prefixes; 1 m3 = 35.3146667 ft3 (NIST SP 811, B.8); a CCF is 100 ft3, an MCF 1,000."""


@dataclass(frozen=True)
class Row:
    """One reading as the file has it: its start in seconds since 1970, and its number in the file."""

    start_s: int
    used: float
    fed_in: float
    number: int


def assemble(
    path: Path, rows: Sequence[Row], unit: Unit, step_s: int | None, notes: Sequence[str]
) -> MeterReadings:
    """Sorts the rows, drops what stands twice, turns power into energy. Raises `BadReadings`."""
    if len(rows) < 2:
        raise BadReadings(path, "it holds fewer than two readings", "export a longer time")
    starts = np.array([row.start_s for row in rows], np.int64)
    order = np.argsort(starts, kind="stable")
    found_step = step_s or _step_of(path, starts[order])
    _check_step(path, found_step)
    kept, twice = _once([rows[at] for at in order])
    scale = unit.factor * (found_step / HOUR_S if unit.is_power else 1.0)
    kept_starts = np.array([row.start_s for row in kept], np.int64)
    off = np.flatnonzero((kept_starts - kept_starts[0]) % found_step)
    if len(off):
        raise BadReadings(
            path,
            f"this reading does not lie on the steps of {found_step // 60} minutes",
            "export readings of one length",
            kept[off[0]].number,
        )
    used = np.array([row.used for row in kept]) * scale
    fed_in = np.array([row.fed_in for row in kept]) * scale
    high = np.flatnonzero(np.maximum(used, fed_in) * HOUR_S / found_step > MOST_IN_AN_HOUR)
    if len(high):
        number = kept[high[0]].number
        raise BadReadings(path, "this is more than a house can use", "check the unit and the row", number)
    return MeterReadings(
        unit.fuel, unit.kept_in, found_step, kept_starts, used, fed_in, (*notes, *_about(twice))
    )


def _step_of(path: Path, starts: np.ndarray) -> int:
    between = np.diff(starts)
    between = between[between > 0]
    if not len(between):
        raise BadReadings(path, "all readings stand at one time", "export a longer time")
    (step, _), *_ = Counter(between.tolist()).most_common(1)
    return int(step)


def _check_step(path: Path, step_s: int) -> None:
    if step_s < SHORTEST_STEP_S or HOUR_S % step_s:
        raise BadReadings(
            path,
            f"readings every {step_s / 60:g} minutes cannot be taken",
            "export readings of 15, 30 or 60 minutes",
        )


def _once(rows: Sequence[Row]) -> tuple[list[Row], tuple[int, int]]:
    """Rows by time, of one time the last in the file; how many stood twice alike, and how many differed."""
    kept: list[Row] = []
    alike = different = 0
    for row in rows:
        if kept and kept[-1].start_s == row.start_s:
            last = kept.pop()
            is_alike = abs(last.used - row.used) < 1e-9 and abs(last.fed_in - row.fed_in) < 1e-9
            alike, different = alike + is_alike, different + (not is_alike)
        kept.append(row)
    return kept, (alike, different)


def _about(twice: tuple[int, int]) -> tuple[str, ...]:
    alike, different = twice
    notes = []
    if alike:
        notes.append(f"{count_text(alike, 'reading')} stood twice alike; one of each counts")
    if different:
        notes.append(f"{count_text(different, 'time')} stood twice with other figures; the later row counts")
    return tuple(notes)


@dataclass(frozen=True)
class Stamped:
    """A reading by the clock on the wall; `offset_s` from UTC where the file says it."""

    clock: datetime
    offset_s: int | None
    used: float
    fed_in: float
    number: int


def on_one_clock(stamped: Sequence[Stamped], zone: tzinfo) -> tuple[list[Row], tuple[str, ...]]:
    """Clock times of a place to moments.

    Of an hour that the clocks go through twice, the first reading is the first. An hour that the clocks leave
    out says, where something was used in it, that the file keeps standard time all year.
    """
    rising = list(stamped)
    if len(rising) > 1 and rising[0].clock > rising[-1].clock:
        rising.reverse()
    hours = {one.clock.replace(minute=0, second=0) for one in rising if one.offset_s is None}
    left_out = {hour for hour in hours if _is_left_out(hour, zone)}
    skipped = [one for one in rising if one.offset_s is None and _hour(one) in left_out]
    if any(one.used or one.fed_in for one in skipped):
        notes = ("the file keeps standard time all year",)
        offsets = {hour: _standard_s(hour, zone) for hour in hours}
        return [_row(one, offsets.get(_hour(one), 0)) for one in rising], notes
    first, second = ({hour: _offset_s(hour, zone, fold) for hour in hours} for fold in (0, 1))
    seen: set[datetime] = set()
    rows = []
    for one in rising:
        hour = _hour(one)
        if one.offset_s is None and hour in left_out:
            continue
        offsets = second if one.clock in seen else first
        seen.add(one.clock)
        rows.append(_row(one, offsets.get(hour, 0)))
    return rows, ()


def _hour(one: Stamped) -> datetime:
    return one.clock.replace(minute=0, second=0)


def _row(one: Stamped, offset_s: int) -> Row:
    from_utc = offset_s if one.offset_s is None else one.offset_s
    start = round((one.clock - _EPOCH).total_seconds()) - from_utc
    return Row(start, one.used, one.fed_in, one.number)


def _is_left_out(clock: datetime, zone: tzinfo) -> bool:
    there = clock.replace(tzinfo=zone)
    return there.astimezone(UTC).astimezone(zone).replace(tzinfo=None) != clock


def _offset_s(clock: datetime, zone: tzinfo, fold: int) -> int:
    return _seconds(clock.replace(tzinfo=zone, fold=fold).utcoffset())


def _standard_s(clock: datetime, zone: tzinfo) -> int:
    there = clock.replace(tzinfo=zone)
    return _seconds(there.utcoffset()) - _seconds(there.dst())


def _seconds(offset: timedelta | None) -> int:
    return 0 if offset is None else round(offset.total_seconds())
