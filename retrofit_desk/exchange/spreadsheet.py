"""Tables out to a workbook or a CSV file that no spreadsheet mistakes for formulas."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from pathlib import Path

Cell = str | int | float | Decimal | date | None


@dataclass(frozen=True)
class Sheet:
    """One table: a title, headings with their units, rows as long as the headings."""

    title: str
    headings: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]

    def __post_init__(self) -> None:
        for row in self.rows:
            if len(row) != len(self.headings):
                raise ValueError(f"{self.title}: a row of {len(row)} under {len(self.headings)} headings")


def safe_text(cell: Cell) -> Cell:
    """Text that would start a formula gets an apostrophe in front; numbers stay numbers (CWE-1236)."""
    if isinstance(cell, str) and cell[:1] in {"=", "+", "-", "@", "\t", "\r", "\0"}:
        return "'" + cell
    return cell


def write_workbook(path: Path, sheets: Sequence[Sheet]) -> Path:
    from openpyxl import Workbook
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    book = Workbook()
    book.remove(book.worksheets[0])
    for sheet in sheets:
        page = book.create_sheet(sheet.title[:31])
        page.append(list(sheet.headings))
        for cell in page[1]:
            cell.font = Font(bold=True)
        page.freeze_panes = "A2"
        for row in sheet.rows:
            page.append([safe_text(cell) for cell in row])
        for column, heading in enumerate(sheet.headings, start=1):
            longest = max((len(str(row[column - 1] or "")) for row in sheet.rows), default=0)
            page.column_dimensions[get_column_letter(column)].width = min(60, max(len(heading), longest) + 2)
    book.save(path)
    return path


def write_csv(path: Path, sheet: Sheet) -> Path:
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(sheet.headings)
        writer.writerows([safe_text(cell) for cell in row] for row in sheet.rows)
    return path
