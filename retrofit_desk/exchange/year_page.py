"""Twelve months of dated lines on one printed page (PDF)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

MARGIN, GAP, HEAD, FOOT = 36.0, 14.0, 44.0, 26.0
COLUMNS, ROWS = 3, 4
SIZE, LEADING = 7.0, 8.6
HEAD_LINES = 4
"""What the name of a month and the room below it take, in lines."""


@dataclass(frozen=True)
class YearMonth:
    """A month's name and its lines: day, words, whether the day is fixed."""

    name: str
    lines: tuple[tuple[str, str, bool], ...]


def write_year_page(title: str, months: Sequence[YearMonth], remark: str, path: Path) -> Path:
    """Landscape Letter; a month with room goes on in a second line, one too full says how many more."""
    from reportlab.lib.pagesizes import landscape, letter
    from reportlab.pdfgen.canvas import Canvas

    width, height = landscape(letter)
    canvas = Canvas(str(path), pagesize=(width, height), invariant=1)
    canvas.setTitle(title)
    canvas.setFont("Helvetica-Bold", 14)
    canvas.drawString(MARGIN, height - MARGIN, title)
    box_width = (width - 2 * MARGIN - (COLUMNS - 1) * GAP) / COLUMNS
    top = height - MARGIN - HEAD + 18
    heights = _heights(months, top - MARGIN - FOOT + 18)
    for number, month in enumerate(months):
        row = number // COLUMNS
        left = MARGIN + (number % COLUMNS) * (box_width + GAP)
        _draw_month(canvas, month, left, top - sum(heights[:row]), box_width, heights[row])
    canvas.setFont("Helvetica", 7)
    canvas.drawString(MARGIN, MARGIN - 8, f"{remark} A filled square: booked, agreed, or a last day.")
    canvas.save()
    return path


def _heights(months: Sequence[YearMonth], room: float) -> list[float]:
    """Of each row of months: as tall as its fullest month, the tallest cut down where they do not all fit."""
    capacity = int(room // LEADING)
    wanted = [
        max(len(month.lines) for month in months[row * COLUMNS : (row + 1) * COLUMNS]) + HEAD_LINES
        for row in range(ROWS)
    ]
    while sum(wanted) > capacity:
        wanted[wanted.index(max(wanted))] -= 1
    spare = (room - sum(wanted) * LEADING) / ROWS
    return [lines * LEADING + spare for lines in wanted]


def _draw_month(
    canvas: Canvas, month: YearMonth, left: float, top: float, width: float, height: float
) -> None:
    canvas.setFont("Helvetica-Bold", 9)
    canvas.drawString(left, top - 9, month.name)
    canvas.setLineWidth(0.6)
    canvas.line(left, top - 12, left + width, top - 12)
    room = int((height - 20) // LEADING)
    shown = month.lines if len(month.lines) <= room else month.lines[: room - 1]
    y = top - 12 - LEADING
    canvas.setFont("Helvetica", SIZE)
    for (day, _words, is_fixed), rows in zip(shown, _in_rows(canvas, shown, width - 21, room), strict=True):
        canvas.rect(left, y + 0.4, 4.2, 4.2, stroke=1, fill=1 if is_fixed else 0)
        canvas.drawRightString(left + 17, y, day)
        for row in rows:
            canvas.drawString(left + 21, y, row)
            y -= LEADING
    if len(shown) < len(month.lines):
        canvas.drawString(left + 21, y, f"and {len(month.lines) - len(shown)} more")


def _in_rows(
    canvas: Canvas, lines: Sequence[tuple[str, str, bool]], width: float, room: int
) -> list[list[str]]:
    """The words of each line broken to the width where all of them have room, else cut to one row each."""
    from reportlab.lib.utils import simpleSplit

    whole = [simpleSplit(words, "Helvetica", SIZE, width) for _day, words, _is_fixed in lines]
    if sum(len(rows) for rows in whole) <= room:
        return whole
    return [[_fitted(canvas, words, width)] for _day, words, _is_fixed in lines]


def _fitted(canvas: Canvas, words: str, width: float) -> str:
    if canvas.stringWidth(words, "Helvetica", SIZE) <= width:
        return words
    while words and canvas.stringWidth(f"{words}…", "Helvetica", SIZE) > width:
        words = words[:-1]
    return f"{words.rstrip()}…"
