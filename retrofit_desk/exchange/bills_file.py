"""Utility bills from a plain CSV table."""

from __future__ import annotations

import csv
import itertools
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation
from pathlib import Path

from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.stated import Stated, StatedValue

HEADINGS = ("period_start", "period_end", "quantity", "unit", "cost")
MORE_THAN_A_BILL = 10**9
UNITS = ("kWh", "therm", "CCF", "gal", "cord", "lb")


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


def read_bills(path: Path) -> tuple[BillLine, ...]:
    """Bills in the order of their periods. An empty cell is not stated, `unknown` is unknown; 0 is zero.

    Raises `BadBillsFile` naming the row for a missing column, a wrong unit, a bad date or number,
    periods that overlap or end before they start.
    """
    try:
        lines = _lines(path)
    except (UnicodeDecodeError, csv.Error) as cause:
        raise BadBillsFile(path, 1, "this is no table of bills", "save it as CSV in UTF-8") from cause
    for (before, _), (after, number) in itertools.pairwise(lines):
        if after.period_start < before.period_end:
            raise BadBillsFile(
                path,
                number,
                f"starts on {after.period_start}, inside the bill before it",
                "correct the dates",
            )
    return tuple(line for line, _ in lines)


def _lines(path: Path) -> list[tuple[BillLine, int]]:
    """The bills in the order of their periods, each with its row in the file."""
    with path.open(newline="", encoding="utf-8-sig") as file:
        table = csv.DictReader(file, restval="")  # a row cut short has empty cells
        missing = [name for name in HEADINGS if name not in (table.fieldnames or ())]
        if missing:
            raise BadBillsFile(
                path, 1, f"no column {', '.join(missing)}", f"name the columns {', '.join(HEADINGS)}"
            )
        lines = [(_line(path, number, row), number) for number, row in enumerate(table, start=2)]
    return sorted(lines, key=lambda pair: pair[0].period_start)


def _line(path: Path, number: int, row: dict[str, str]) -> BillLine:
    start, end = (_date(path, number, row[name]) for name in ("period_start", "period_end"))
    if end <= start:
        raise BadBillsFile(path, number, f"ends on {end}, not after its start {start}", "correct the dates")
    unit = row["unit"].strip()
    if unit not in UNITS:
        raise BadBillsFile(path, number, f"unit '{unit}' is not known", f"use one of {', '.join(UNITS)}")
    quantity = _number(path, number, row["quantity"])
    cost = _number(path, number, row["cost"].replace("$", "").replace(",", ""))
    if cost.value is not None and cost.value != cost.value.quantize(Decimal("0.01")):
        raise BadBillsFile(path, number, f"cost '{row['cost']}' has parts of a cent", "use two decimals")
    return BillLine(
        start,
        end,
        StatedValue.of(None if quantity.value is None else float(quantity.value), quantity.stated),
        unit,
        StatedValue.of(None if cost.value is None else int(cost.value * 100), cost.stated),
    )


def _date(path: Path, number: int, text: str) -> date:
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise BadBillsFile(path, number, f"'{text}' is not a date", "write it like 2026-03-14") from None


def _number(path: Path, number: int, text: str) -> StatedValue[Decimal]:
    match text.strip().casefold():
        case "":
            return StatedValue(None, Stated.NOT_STATED)
        case "unknown":
            return StatedValue(None, Stated.UNKNOWN)
        case written:
            try:
                value = Decimal(written)
            except InvalidOperation:
                raise BadBillsFile(path, number, f"'{text}' is not a number", "correct the cell") from None
            if not value.is_finite() or abs(value) >= MORE_THAN_A_BILL:
                raise BadBillsFile(path, number, f"'{text}' is no figure of a bill", "correct the cell")
            return StatedValue(value)
