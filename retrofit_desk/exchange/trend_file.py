"""The log of a machine's controller from a plain table: a moment, and columns that say what they are.

Taken: date and time in one column or in two, with or without their offset from UTC; temperatures in degrees
F or C, power in W or kW, flow in gpm, l/min, l/s or m3/h, each named in its heading. Other columns are left.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta, tzinfo
from pathlib import Path

import numpy as np

from retrofit_desk.exchange.clock_text import Dates, offset_of, time_of
from retrofit_desk.exchange.readings_rows import (
    LARGEST_FILE_BYTES,
    BadReadings,
    Stamped,
    on_one_clock,
)
from retrofit_desk.exchange.table_text import number_in_cell, table_of
from retrofit_desk.physics.machine_trend import TEMPERATURES, MachineTrend, Quantity, TrendLine

HEADINGS_WITHIN_ROWS, FEWEST_READINGS = 40, 10
_WORDS: tuple[tuple[Quantity, re.Pattern[str]], ...] = (
    (Quantity.SUPPLY, re.compile(r"\b(supply|leaving|flow temp(erature)?|lwt|outlet)\b")),
    (Quantity.RETURN, re.compile(r"\b(return|entering|ewt|inlet)\b")),
    (Quantity.OUTDOOR, re.compile(r"\b(outdoors?|outside|ambient)\b")),
    (Quantity.TANK, re.compile(r"\b(tank|cylinder|buffer|dhw|hot water)\b")),
    (Quantity.ROOM, re.compile(r"\b(room|indoors?|inside)\b")),
    (Quantity.POWER, re.compile(r"\b(power|watts?|electric(ity)?|input)\b")),
    (Quantity.FLOW, re.compile(r"\bflow( rate)?\b")),
)
"""The first that fits; "flow temperature" is the supply as some controllers call it."""
_SET = re.compile(r"\b(set ?point|target|setting|calculated|demand)\b")
_UNITS: dict[str, tuple[str, Callable[[float], float]]] = {
    "f": ("degC", lambda value: (value - 32.0) / 1.8),
    "degf": ("degC", lambda value: (value - 32.0) / 1.8),
    "c": ("degC", lambda value: value),
    "degc": ("degC", lambda value: value),
    "w": ("W", lambda value: value),
    "kw": ("W", lambda value: value * 1000.0),
    "gpm": ("m3/s", lambda value: value * 3.785411784e-3 / 60.0),
    "l/min": ("m3/s", lambda value: value / 60_000.0),
    "lpm": ("m3/s", lambda value: value / 60_000.0),
    "l/s": ("m3/s", lambda value: value / 1000.0),
    "m3/h": ("m3/s", lambda value: value / 3600.0),
}
"""NIST SP 811, B.8: a US gallon is 3.785411784 liters; F to C by definition."""
_OF_WATER = frozenset({Quantity.SUPPLY, Quantity.RETURN, Quantity.TANK, Quantity.FLOW})
"""A meter's readings may stand beside power and the air outdoors; water they do not know."""
_KEPT_IN = {one: "degC" for one in TEMPERATURES} | {Quantity.POWER: "W", Quantity.FLOW: "m3/s"}
_LIMITS = {"degC": (-60.0, 150.0), "W": (-100.0, 100_000.0), "m3/s": (-0.001, 0.02)}
"""Outside of these a reading is a fault of the file or of a sensor: own judgment."""


def read_trend(path: Path, zone: tzinfo, name: str = "") -> MachineTrend:
    """Times without an offset are those of the clock on the wall in `zone`. Raises `BadReadings`."""
    called = Path(name or path.name)
    if path.stat().st_size > LARGEST_FILE_BYTES:
        raise BadReadings(called, "it is larger than any log", "export it in parts")
    table = table_of(called, path.read_bytes())
    head, columns = _headings(called, table)
    at_date, at_time = _moment_columns(called, table[head])
    body = [(number, row) for number, row in enumerate(table[head + 1 :], start=head + 2) if any(row)]
    if len(body) < FEWEST_READINGS:
        raise BadReadings(
            called, f"it holds fewer than {FEWEST_READINGS} readings", "log at least some hours"
        )
    dates = Dates.told_by(_cell(row, at_date) for _, row in body)
    stamped = [
        Stamped(_clock(called, one, dates, at_date, at_time), _offset(one[1], at_date, at_time), 1.0, 0.0, at)
        for at, one in enumerate(body)
    ]
    rows, told = on_one_clock(stamped, zone)
    rows = sorted(rows, key=lambda row: row.start_s)
    moments = np.array([row.start_s for row in rows], np.int64)
    keep = np.append(np.diff(moments) > 0, True)  # of a moment that stands twice the later row counts
    order = [row.number for row, is_kept in zip(rows, keep, strict=True) if is_kept]
    lines = tuple(
        TrendLine(quantity, table[head][at], _values(called, body, at, quantity, table[head][at])[order])
        for quantity, at in columns.items()
    )
    twice = int(len(keep) - keep.sum())
    notes = (
        *dates.notes,
        *told,
        *((f"{twice:,} moments stood twice; the later row counts",) if twice else ()),
    )
    return MachineTrend(moments[keep], lines, notes)


def names_trend(head: bytes) -> bool:
    """Whether a table begins as a controller's log: a time, two quantities in units, one of them of water."""
    try:
        table = table_of(Path("log"), head)
        at, columns = _headings(Path("log"), table)
        _moment_columns(Path("log"), table[at])
    except BadReadings:
        return False
    told = {one for one, place in columns.items() if _unit(table[at][place])}
    return len(told) > 1 and bool(told & _OF_WATER)


def _headings(path: Path, table: Sequence[Sequence[str]]) -> tuple[int, dict[Quantity, int]]:
    """The first row that names two quantities or more."""
    for number, row in enumerate(table[:HEADINGS_WITHIN_ROWS]):
        named = [(quantity, at) for at, cell in enumerate(row) if (quantity := _quantity(cell)) is not None]
        if len(named) < 2:
            continue
        twice = [quantity for quantity, count in Counter(one for one, _ in named).items() if count > 1]
        if twice:
            cells = ", ".join(f"'{row[at]}'" for quantity, at in named if quantity is twice[0])
            raise BadReadings(path, f"{cells} are each a {twice[0]}", "keep one of them, or rename the other")
        return number, dict(named)
    raise BadReadings(
        path,
        "no row names what was logged",
        "name the columns, such as 'Time', 'Supply (F)', 'Return (F)' and 'Power (W)'",
    )


def _quantity(cell: str) -> Quantity | None:
    words = re.sub(r"[^a-z0-9]+", " ", re.sub(r"\(.*?\)|\[.*?\]", " ", cell.casefold())).strip()
    if _SET.search(words):
        return None
    found = next((quantity for quantity, fits in _WORDS if fits.search(words)), None)
    if found is Quantity.SUPPLY and _unit(cell) in ("gpm", "l/min", "lpm", "l/s", "m3/h"):
        return Quantity.FLOW
    return found


def _unit(cell: str) -> str:
    """The unit that stands in brackets or last in a heading."""
    inside = re.findall(r"[(\[](.*?)[)\]]", cell) or cell.replace("°", " ").split()[-1:]
    text = (inside[-1] if inside else "").casefold().replace("°", "").replace("³", "3").replace(" ", "")
    return text if text in _UNITS else ""


def _moment_columns(path: Path, row: Sequence[str]) -> tuple[int, int | None]:
    """The columns of date and of time; one alone holds both."""
    names = [re.sub(r"[^a-z]+", " ", cell.casefold()).strip() for cell in row]
    date_at = next((at for at, one in enumerate(names) if one in ("date", "day", "reading date")), None)
    time_at = next(
        (at for at, one in enumerate(names) if re.search(r"\b(time|timestamp|datetime|moment)\b", one)), None
    )
    if date_at is None and time_at is None:
        raise BadReadings(path, "no column tells the time", "name it 'Time', or 'Date' and 'Time'")
    return (date_at, time_at) if date_at is not None else (time_at or 0, None)


def _clock(
    path: Path, line: tuple[int, Sequence[str]], dates: Dates, at_date: int, at_time: int | None
) -> datetime:
    number, row = line
    told = _cell(row, at_date)
    day, minutes = dates.day(told), time_of(_cell(row, at_time) if at_time is not None else told)
    if day is None or minutes is None:
        what = " ".join(part for part in (told, _cell(row, at_time)) if part)
        raise BadReadings(path, f"'{what}' is no date and time", "correct the line", number)
    seconds = re.search(r":\d{2}:(\d{2})", _cell(row, at_time) if at_time is not None else told)
    after = timedelta(minutes=minutes, seconds=int(seconds[1]) if seconds else 0)
    return datetime(day.year, day.month, day.day) + after


def _offset(row: Sequence[str], at_date: int, at_time: int | None) -> int | None:
    return offset_of(_cell(row, at_time if at_time is not None else at_date))


def _values(
    path: Path, body: Sequence[tuple[int, Sequence[str]]], at: int, quantity: Quantity, heading: str
) -> np.ndarray:
    unit = _unit(heading)
    kept_in, to_si = _UNITS.get(unit, ("", lambda value: value))
    if kept_in != _KEPT_IN[quantity]:
        told = f"in {unit}" if unit else "without its unit"
        do = {"degC": "'(F)' or '(C)'", "W": "'(W)' or '(kW)'", "m3/s": "'(gpm)' or '(l/min)'"}
        raise BadReadings(
            path, f"'{heading}' stands {told}", f"write {do[_KEPT_IN[quantity]]} into the heading"
        )
    low, high = _LIMITS[kept_in]
    found = np.full(len(body), np.nan)
    for place, (number, row) in enumerate(body):
        read = number_in_cell(path, number, _cell(row, at))
        if read is None:
            continue
        found[place] = to_si(read)
        if not low <= found[place] <= high:
            raise BadReadings(
                path,
                f"'{_cell(row, at)}' in '{heading}' cannot be",
                "empty the cell where a sensor failed",
                number,
            )
    return found


def _cell(row: Sequence[str], at: int | None) -> str:
    return row[at] if at is not None and at < len(row) else ""
