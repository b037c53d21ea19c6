"""Bills from a table: the plain one of this program, and those that utilities and dealers export.

Taken as they come: a start and an end, both in one cell, or the day of each reading; rows of an address
above the headings; comma, semicolon or tab; dates of either order; a unit in a column or in a heading; the
cost left out; the last day of a period counted in it or not.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal, InvalidOperation
from pathlib import Path
from statistics import median

from retrofit_desk.exchange.clock_text import Dates
from retrofit_desk.exchange.readings_rows import BadReadings
from retrofit_desk.exchange.table_text import plain_heading, plain_number, table_of
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.stated import Stated, StatedValue

HEADINGS = ("period_start", "period_end", "quantity", "unit", "cost")
"""Of the plain table; in it a period runs up to, not including, its end."""
HEADINGS_WITHIN_ROWS = 40
MORE_THAN_A_BILL = 10**9
FEWEST_DAYS = 20
"""Readings that stand closer together are no bills."""
UNITS: dict[str, tuple[str, Decimal]] = {
    "kwh": ("kWh", Decimal(1)),
    "therm": ("therm", Decimal(1)),
    "therms": ("therm", Decimal(1)),
    "ccf": ("CCF", Decimal(1)),
    "mcf": ("CCF", Decimal(10)),
    "gal": ("gal", Decimal(1)),
    "gallon": ("gal", Decimal(1)),
    "gallons": ("gal", Decimal(1)),
    "cord": ("cord", Decimal(1)),
    "cords": ("cord", Decimal(1)),
    "lb": ("lb", Decimal(1)),
    "lbs": ("lb", Decimal(1)),
}
"""The unit of the record, and how many of it make one; an MCF is 1,000 cubic feet, a CCF 100."""
_START = re.compile(r"\b(start(s|ing)?|from|begin(s|ning)?|previous)\b")
_END = re.compile(r"\b(end(s|ing)?|to|through|until|current read)\b")
_PERIOD = re.compile(r"\b(period|service dates|dates of service)\b")
_READ_ON = re.compile(
    r"^((meter |bill(ing)? |statement |delivery )?(read(ing)? )?(date|day)( of reading)?|read on)$"
)
_DAYS = re.compile(r"^(number of |billing |service )?days( in period| billed)?$")
_COSTS = tuple(
    re.compile(rf"\b{word}\b") for word in ("total", "cost", "amount", "charges?", "bill", "price")
)
_NO_COST = re.compile(r"\b(due date|balance|previous|paid|per|rate|number|average)\b")
_USE = re.compile(r"\b(usage|use|used|consumption|consumed|quantity|delivered|billed use)\b")
_NO_USE = re.compile(r"\b(average|per day|daily|peak|cost|charges?|rate|price)\b|\$")
_UNIT = re.compile(r"^(unit|units|uom|unit of measure)$")
_BETWEEN = re.compile(r"\s+(?:-|–|to|through)\s+|\s*–\s*")


class BadBillsFile(DeskError):
    """A table of bills that cannot be read as it stands."""

    def __init__(self, path: Path, row: int, what: str, do: str) -> None:
        super().__init__(what, where=f"{path.name}, row {row}", kept="nothing was read in", do=do)


@dataclass(frozen=True)
class BillLine:
    """One bill. The period runs up to, not including, `period_end`; `quantity` is in `unit` as billed."""

    period_start: date
    period_end: date
    quantity: StatedValue[float]
    unit: str
    cost_cents: StatedValue[int]


@dataclass(frozen=True)
class BillsTable:
    """Bills in the order of their periods, their unit empty where the table names none.

    `notes`: what was taken that the table does not say.
    """

    lines: tuple[BillLine, ...]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Columns:
    """Where things stand. Of start and end, period, and read_on one way of telling the period is there."""

    start: int | None
    end: int | None
    period: int | None
    read_on: int | None
    days: int | None
    use: int
    unit_column: int | None
    unit: str
    cost: int | None
    is_plain: bool


def read_bills(path: Path) -> BillsTable:
    """An empty cell is not stated, `unknown` is unknown; 0 is zero.

    Raises `BadBillsFile` naming the row for a missing column, a wrong unit, a bad date or number,
    periods that overlap or end before they start.
    """
    table, head, columns = _table(path, path.read_bytes())
    rows = [(number, row) for number, row in enumerate(table[head + 1 :], start=head + 2) if any(row)]
    dates = _dates(rows, columns)
    periods = list(_periods(path, rows, columns, dates))
    lines = [(_line(path, number, start, end, row, columns), number) for number, row, start, end in periods]
    lines.sort(key=lambda pair: pair[0].period_start)
    notes = list(dates.notes)
    if columns.read_on is not None and columns.days is None:
        notes.append("each bill is taken to run from the reading before it; the first reading only begins")
    if not columns.is_plain and _ends_are_last_days(lines):
        lines = [(replace(one, period_end=one.period_end + timedelta(days=1)), row) for one, row in lines]
        notes.append("the last day is taken to belong to its bill")
    for (before, _), (after, number) in itertools.pairwise(lines):
        if after.period_start < before.period_end:
            what = f"starts on {after.period_start}, inside the bill before it"
            raise BadBillsFile(path, number, what, "correct the dates")
    if columns.cost is None:
        notes.append("no cost is stated")
    return BillsTable(tuple(line for line, _ in lines), tuple(notes))


def names_bills(head: bytes) -> bool:
    """Whether the beginning of a table holds bills: headings of a period and a use, weeks apart."""
    path = Path("table")
    try:
        table, at, columns = _table(path, head[: head.rfind(b"\n") + 1] or head)  # the last line may be cut
        if columns.is_plain:
            return True
        rows = [(number, row) for number, row in enumerate(table[at + 1 :]) if any(row)]
        periods = _periods(path, rows, columns, _dates(rows, columns))
        days = [(end - start).days for _, _, start, end in periods]
    except BadBillsFile:
        return False
    return bool(days) and median(days) >= FEWEST_DAYS


def _table(path: Path, content: bytes) -> tuple[list[list[str]], int, _Columns]:
    try:
        table = table_of(path, content)
    except BadReadings as cause:
        raise BadBillsFile(path, 1, "this is no table of bills", "save it as CSV in UTF-8") from cause
    for number, row in enumerate(table[:HEADINGS_WITHIN_ROWS]):
        if (columns := _columns(row)) is not None:
            return table, number, columns
    first = table[0] if table else []
    missing = [name for name in HEADINGS if name not in first] if set(first) & set(HEADINGS) else []
    what = f"no column {', '.join(missing)}" if missing else "no row names a period and a use"
    raise BadBillsFile(path, 1, what, f"name the columns {', '.join(HEADINGS)}")


def _columns(row: Sequence[str]) -> _Columns | None:
    """None where the row names no period or no use."""
    names = [plain_heading(cell) for cell in row]
    start, end = _first(names, _START), _first(names, _END)
    period = _first(names, _PERIOD) if start is None or end is None else None
    read_on = _first(names, _READ_ON) if period is None and (start is None or end is None) else None
    units = [_unit_in(cell) for cell in row]
    uses = [
        at
        for at, name in enumerate(names)
        if (units[at] or _USE.search(name)) and not _NO_USE.search(name) and not _UNIT.match(name)
    ]
    use = next((at for at in uses if units[at]), uses[0] if uses else None)
    told = (start is not None and end is not None) or period is not None or read_on is not None
    if use is None or not told:
        return None
    whole = start is not None and end is not None
    return _Columns(
        start=start if whole else None,
        end=end if whole else None,
        period=period,
        read_on=read_on,
        days=_first(names, _DAYS),
        use=use,
        unit_column=_first(names, _UNIT),
        unit=units[use] or next((one for one in units if one), ""),
        cost=_cost_column(names, use),
        is_plain=set(HEADINGS[:3]) <= set(row),
    )


def _cost_column(names: Sequence[str], use: int) -> int | None:
    """The sum of the bill before one of its parts."""
    fits = [at for at, name in enumerate(names) if at != use and not _NO_COST.search(name)]
    for word in _COSTS:
        found = next((at for at in fits if word.search(names[at]) and not _READ_ON.match(names[at])), None)
        if found is not None:
            return found
    return next((at for at in fits if "$" in names[at]), None)


def _first(names: Sequence[str], pattern: re.Pattern[str]) -> int | None:
    return next((at for at, name in enumerate(names) if pattern.search(name)), None)


def _unit_in(heading: str) -> str:
    return next((word for word in re.findall(r"[a-z]+", heading.casefold()) if word in UNITS), "")


def _cell(row: Sequence[str], at: int | None) -> str:
    """A row cut short has empty cells."""
    return row[at] if at is not None and at < len(row) else ""


def _dates(rows: Sequence[tuple[int, Sequence[str]]], columns: _Columns) -> Dates:
    kept = [at for at in (columns.start, columns.end, columns.period, columns.read_on) if at is not None]
    return Dates.told_by(part for _, row in rows for at in kept for part in _BETWEEN.split(_cell(row, at)))


def _periods(
    path: Path, rows: Sequence[tuple[int, Sequence[str]]], columns: _Columns, dates: Dates
) -> Iterator[tuple[int, Sequence[str], date, date]]:
    """Row number, row, start and end as written."""
    if columns.read_on is not None:
        yield from _between_readings(path, rows, columns, dates)
        return
    for number, row in rows:
        if columns.period is not None:
            first, *last = _BETWEEN.split(_cell(row, columns.period), maxsplit=1)
            texts = (first, last[0] if last else "")
        else:
            texts = (_cell(row, columns.start), _cell(row, columns.end))
        start, end = (_date(path, number, text, dates) for text in texts)
        if end <= start:
            what = f"ends on {end}, not after its start {start}"
            raise BadBillsFile(path, number, what, "correct the dates")
        yield number, row, start, end


def _between_readings(
    path: Path, rows: Sequence[tuple[int, Sequence[str]]], columns: _Columns, dates: Dates
) -> Iterator[tuple[int, Sequence[str], date, date]]:
    read = [(_date(path, number, _cell(row, columns.read_on), dates), number, row) for number, row in rows]
    read.sort(key=lambda one: one[0])
    before: date | None = None
    for day, number, row in read:
        days = _number(path, number, _cell(row, columns.days)).value if columns.days is not None else None
        start = day - timedelta(days=int(days)) if days else before
        before = day
        if start is not None and start < day:
            yield number, row, start, day


def _ends_are_last_days(lines: Sequence[tuple[BillLine, int]]) -> bool:
    """Each bill begins on the day after the one before it ended."""
    gaps = [
        (after.period_start - before.period_end).days for (before, _), (after, _) in itertools.pairwise(lines)
    ]
    return bool(gaps) and median(gaps) == 1


def _line(path: Path, number: int, start: date, end: date, row: Sequence[str], columns: _Columns) -> BillLine:
    written = _cell(row, columns.unit_column)
    word = _unit_in(written) if written else columns.unit
    if written and not word:
        known = ", ".join(dict.fromkeys(unit for unit, _ in UNITS.values()))
        raise BadBillsFile(path, number, f"unit '{written}' is not known", f"use one of {known}")
    unit, each = UNITS[word] if word else ("", Decimal(1))
    quantity = _number(path, number, _cell(row, columns.use))
    cost = _number(path, number, _cell(row, columns.cost).replace("$", ""))
    if cost.value is not None and cost.value != cost.value.quantize(Decimal("0.01")):
        what = f"cost '{_cell(row, columns.cost)}' has parts of a cent"
        raise BadBillsFile(path, number, what, "use two decimals")
    return BillLine(
        start,
        end,
        StatedValue.of(None if quantity.value is None else float(quantity.value * each), quantity.stated),
        unit,
        StatedValue.of(None if cost.value is None else int(cost.value * 100), cost.stated),
    )


def _date(path: Path, number: int, text: str, dates: Dates) -> date:
    found = dates.day(text.strip())
    if found is None:
        raise BadBillsFile(path, number, f"'{text}' is not a date", "write it like 2026-03-14")
    return found


def _number(path: Path, number: int, text: str) -> StatedValue[Decimal]:
    match text.strip().casefold():
        case "":
            return StatedValue(None, Stated.NOT_STATED)
        case "unknown":
            return StatedValue(None, Stated.UNKNOWN)
        case written:
            try:
                value = Decimal(plain_number(written))
            except InvalidOperation:
                raise BadBillsFile(path, number, f"'{text}' is not a number", "correct the cell") from None
            if not value.is_finite() or abs(value) >= MORE_THAN_A_BILL:
                raise BadBillsFile(path, number, f"'{text}' is no figure of a bill", "correct the cell")
            return StatedValue(value)
