"""A meter's readings from tables as utilities export them.

Taken as they come: a line for each reading, with one column for the moment or with date and time apart, or
a line for each day with a column for each time; rows of an address above the headings; comma, semicolon or
tab; dates of either order; kWh, Wh, kW or a gas unit, named in a heading or in a column of its own; what is
fed in apart, or as a negative figure; times with or without their offset from UTC.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo
from itertools import pairwise
from pathlib import Path

from retrofit_desk.exchange.clock_text import Dates, offset_of, time_of
from retrofit_desk.exchange.readings_rows import (
    UNITS,
    BadReadings,
    Row,
    Stamped,
    Unit,
    assemble,
    on_one_clock,
)
from retrofit_desk.exchange.table_text import number_in_cell, plain_heading, table_of
from retrofit_desk.physics.meter_readings import HOUR_S, MeterReadings, midnight_s
from retrofit_desk.values.quantity import count_text

HEADINGS_WITHIN_ROWS = 40
FEWEST_CLOCK_COLUMNS = 20
_DATE = re.compile(r"^(usage |read(ing)? |interval |meter )?(date|day)( read| of use)?$")
_START_DATE = re.compile(r"^(start|from|begin) date$")
_END = re.compile(r"\bend(s|ing)?\b|\bto\b")
_STAMP = re.compile(
    r"\b(time|timestamp|start|begin(ning|s)?|from|datetime|interval|hour|period|read on)\b|^date"
)
_USE = re.compile(r"\b(usage|use|used|consumption|energy|quantity|value|delivered|import(ed)?|load|demand)\b")
_FED_IN = re.compile(r"\b(export(ed)?|generat(ed|ion)|received|return(ed)?|fed in|surplus|outflow)\b")
_OTHER = re.compile(
    r"\b(cost|price|charges?|amount due|temp(erature)?|quality|notes?|flag|status|tier|rate|type|method|name|"
    r"number|account|address|direction|id)\b|\$"
)
_UNIT_HEADING = re.compile(r"^(unit|units|uom|unit of measure)$")


@dataclass(frozen=True)
class _Columns:
    """Where things stand in the table. `clock`: (column, minutes after midnight) of a line for each day."""

    date: int | None
    start: int | None
    end: int | None
    use: int | None
    fed_in: int | None
    unit_column: int | None
    unit: str
    clock: tuple[tuple[int, int], ...] = ()
    is_numbered: bool = False


def read_csv(path: Path, content: bytes, zone: tzinfo) -> MeterReadings:
    """All readings of one meter. Times without offset are those of `zone`. Raises `BadReadings`."""
    table = table_of(path, content)
    head, columns = _headings(path, table)
    lines = [(number, row) for number, row in enumerate(table[head + 1 :], start=head + 2) if any(row)]
    if not lines:
        raise BadReadings(path, "there is no line under the headings", "export it again")
    unit = _unit(path, lines, columns)
    if columns.clock:
        return _days(path, lines, columns, unit, zone)
    return _readings(path, lines, columns, unit, zone)


def headings_of(path: Path, content: bytes) -> int:
    """The row that names a time and a use, counted from 0. Raises `BadReadings`."""
    return _headings(path, table_of(path, content))[0]


def _headings(path: Path, table: Sequence[Sequence[str]]) -> tuple[int, _Columns]:
    """The first row that names a time and a use."""
    for number, row in enumerate(table[:HEADINGS_WITHIN_ROWS]):
        columns = _columns(path, row)
        if columns is not None:
            return number, columns
    raise BadReadings(
        path,
        "no row names a time and a use",
        "name the columns, such as 'Start' and 'Usage (kWh)'",
    )


def _columns(path: Path, row: Sequence[str]) -> _Columns | None:
    names = [plain_heading(cell) for cell in row]
    clock, is_numbered = _clock_columns(row)
    date = _first(names, lambda name: bool(_DATE.match(name)))
    unit_column = _first(names, lambda name: bool(_UNIT_HEADING.match(name)))
    if len(clock) >= FEWEST_CLOCK_COLUMNS and date is not None:
        unit = next((unit for unit in map(_unit_in, row) if unit), "")
        return _Columns(date, None, None, None, None, unit_column, unit, clock, is_numbered)
    values = [at for at, name in enumerate(names) if _is_value(row[at], name)]
    taken = {date, *values, unit_column}
    times = [at for at, name in enumerate(names) if at not in taken and _STAMP.search(name)]
    if date is None and any("time" in names[at].split() for at in times):
        date = _first(names, lambda name: bool(_START_DATE.match(name)))
    if date is not None:  # then no other column is a date alone
        times = [at for at in times if at != date and not names[at].endswith(" date")]
    ends = [at for at in times if _END.search(names[at])]
    start = next((at for at in times if at not in ends), None)
    end = ends[0] if ends else None
    if not values or (date is None and start is None and end is None):
        return None
    use, fed_in = _use_columns(path, row, names, values)
    unit = _unit_in(row[use]) or next((one for one in map(_unit_in, row) if one), "")
    return _Columns(date, start, end, use, fed_in, unit_column, unit)


def _unit_in(heading: str) -> str:
    words = re.findall(r"[a-z]+[0-9]?", heading.casefold())
    return next((word for word in words if word in UNITS and word != "w"), "")


def _is_value(heading: str, name: str) -> bool:
    if _OTHER.search(name) or _UNIT_HEADING.match(name) or _DATE.match(name) or "time" in name.split():
        return False
    return bool(_unit_in(heading) or _USE.search(name) or _FED_IN.search(name))


def _use_columns(
    path: Path, row: Sequence[str], names: Sequence[str], values: Sequence[int]
) -> tuple[int, int | None]:
    """The column of what is used, and of what is fed in. Energy goes before power."""
    fed_in = next((at for at in values if _FED_IN.search(names[at])), None)
    use = [at for at in values if at != fed_in]
    with_unit = [at for at in use if _unit_in(row[at])] or use
    energy = [at for at in with_unit if not UNITS[_unit_in(row[at]) or "kwh"].is_power] or with_unit
    if len(energy) != 1:
        told = ", ".join(row[at] for at in energy) or "none"
        raise BadReadings(path, f"cannot tell which column is the use: {told}", "keep one of them")
    return energy[0], fed_in


def _clock_columns(row: Sequence[str]) -> tuple[tuple[tuple[int, int], ...], bool]:
    """Columns that are times of day as (column, minutes), or numbered hours."""
    timed = [
        (at, minutes)
        for at, cell in enumerate(row)
        if (minutes := time_of(cell)) is not None and (":" in cell or cell[-1:] in "mM")
    ]
    if len(timed) >= FEWEST_CLOCK_COLUMNS:
        return tuple(timed), False
    numbered = []
    for at, cell in enumerate(row):
        found = re.fullmatch(r"(?:h|he|hr|hour|hour ending)?\s*0?(\d{1,2})", plain_heading(cell))
        if found and 1 <= int(found[1]) <= 25:
            numbered.append((at, (int(found[1]) - 1) * 60))
    return tuple(numbered), True


def _first(names: Sequence[str], fits: Callable[[str], bool]) -> int | None:
    return next((at for at, name in enumerate(names) if fits(name)), None)


def _unit(path: Path, lines: Sequence[tuple[int, Sequence[str]]], columns: _Columns) -> Unit:
    named = columns.unit
    if columns.unit_column is not None:
        told = {_unit_in(row[columns.unit_column]) for _, row in lines if len(row) > columns.unit_column} - {
            ""
        }
        if len(told) > 1:
            raise BadReadings(
                path, f"it mixes the units {', '.join(sorted(told))}", "export one meter at a time"
            )
        named = told.pop() if told else named
    if named not in UNITS:
        raise BadReadings(
            path,
            "the unit of the readings is not said",
            "write it into the heading of the use, such as 'Usage (kWh)'",
        )
    return UNITS[named]


def _readings(
    path: Path, lines: Sequence[tuple[int, list[str]]], columns: _Columns, unit: Unit, zone: tzinfo
) -> MeterReadings:
    """A line for each reading."""
    assert columns.use is not None
    notes: list[str] = []
    at = columns.start if columns.start is not None else columns.end
    by_end = columns.start is None and columns.end is not None
    dates = Dates.told_by(_cells(lines, columns.date if columns.date is not None else at))
    notes.extend(dates.notes)
    stamped, missing = [], 0
    for number, row in lines:
        used = number_in_cell(path, number, _cell(row, columns.use))
        if used is None:
            missing += 1
            continue
        clock = _clock(path, number, row, columns, at, dates)
        fed_in = number_in_cell(path, number, _cell(row, columns.fed_in)) or 0.0
        offset = offset_of(_cell(row, at if at is not None else columns.date))
        stamped.append(Stamped(clock, offset, max(used, 0.0), fed_in + max(-used, 0.0), number))
    if missing:
        notes.append(f"{count_text(missing, 'line has', 'lines have')} no figure")
    rows, told = on_one_clock(stamped, zone)
    step = _step(path, lines, columns, dates) if columns.end is not None and not by_end else None
    if by_end:
        step = step or _usual_step(rows)
        rows = [Row(row.start_s - step, row.used, row.fed_in, row.number) for row in rows]
    elif columns.end is None:
        notes.append("each time is taken for the start of its reading")
    return assemble(path, rows, unit, step, (*notes, *told))


def _clock(
    path: Path, number: int, row: Sequence[str], columns: _Columns, at: int | None, dates: Dates
) -> datetime:
    told = _cell(row, at)
    day = dates.day(_cell(row, columns.date)) if columns.date is not None else dates.day(told)
    minutes = time_of(told) if at is not None else time_of(_cell(row, columns.date))
    if day is None or minutes is None:
        what = " ".join(part for part in (_cell(row, columns.date), told) if part)
        raise BadReadings(path, f"'{what}' is no date and time", "correct the line", number)
    return datetime(day.year, day.month, day.day) + timedelta(minutes=minutes)


def _step(path: Path, lines: Sequence[tuple[int, list[str]]], columns: _Columns, dates: Dates) -> int | None:
    """From start and end of the first lines; an end one minute short of the next start is common."""
    for _, row in lines[:50]:
        start, end = (time_of(_cell(row, at)) for at in (columns.start, columns.end))
        if start is not None and end is not None:
            minutes = (end - start) % (24 * 60)
            return (minutes + 1 if minutes % 5 == 4 else minutes) * 60 or None
    return None


def _usual_step(rows: Sequence[Row]) -> int:
    starts = sorted({row.start_s for row in rows})
    between = sorted(after - before for before, after in pairwise(starts))
    return between[len(between) // 2] if between else HOUR_S


def _days(
    path: Path, lines: Sequence[tuple[int, list[str]]], columns: _Columns, unit: Unit, zone: tzinfo
) -> MeterReadings:
    """A line for each day."""
    minutes = [minute for _, minute in columns.clock]
    step_min = min(after - before for before, after in pairwise(minutes) if after > before)
    dates = Dates.told_by(_cells(lines, columns.date))
    rows: list[Row] = []
    stamped: list[Stamped] = []
    late = minutes[0] == step_min and not columns.is_numbered
    counted_on = columns.is_numbered and minutes[-1] == 24 * 60
    for number, row in lines:
        day = dates.day(_cell(row, columns.date))
        if day is None:
            if not any(_cell(row, at) for at, _ in columns.clock):
                continue
            raise BadReadings(path, f"'{_cell(row, columns.date)}' is no date", "correct the line", number)
        midnight = datetime(day.year, day.month, day.day)
        first_s = midnight_s(day, zone)
        for place, (at, minute) in enumerate(columns.clock):
            used = number_in_cell(path, number, _cell(row, at))
            if used is None:
                continue
            figures = (max(used, 0.0), max(-used, 0.0), number)
            if counted_on:
                rows.append(Row(first_s + place * HOUR_S, *figures))
            else:
                begins = place * step_min if late else minute
                stamped.append(Stamped(midnight + timedelta(minutes=begins), None, *figures))
    told: tuple[str, ...] = ()
    if not counted_on:
        rows, told = on_one_clock(stamped, zone)
    return assemble(path, rows, unit, step_min * 60, (*dates.notes, *told))


def _cells(lines: Iterable[tuple[int, list[str]]], at: int | None) -> Iterator[str]:
    return (_cell(row, at) for _, row in lines)


def _cell(row: Sequence[str], at: int | None) -> str:
    return row[at] if at is not None and at < len(row) else ""
