"""Ruled tables whose cells wrap, whose rows may split over pages, and whose head repeats."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

from reportlab.platypus import CondPageBreak, Flowable, Table, TableStyle

from retrofit_desk.paperwork.layout import (
    CELL,
    HEAD,
    HEIGHT,
    LONG_HEAD,
    NUMBER,
    NUMBER_HEAD,
    SUBSECTION,
    WIDTH,
    text,
)
from retrofit_desk.paperwork.marks import HAIR, INK, LINE, MEDIUM, THIN

Cell: TypeAlias = str | Flowable | list[Flowable]


class _Rows(Table):
    """Breaks between its rows; within one only where a whole sheet does not hold it."""

    def split(self, width: float, height: float) -> list[Flowable]:
        self.splitInRow = 0
        parts: list[Flowable] = super().split(width, height)
        if parts or height < HEIGHT - 1:
            return parts
        self.splitInRow = 1
        whole: list[Flowable] = super().split(width, height)
        return whole


def table(
    heads: Sequence[str],
    rows: Sequence[Sequence[Cell]],
    widths: Sequence[float],
    *,
    numbers: Sequence[int] = (),
    total: bool = False,
) -> Table:
    """`widths` are shares of the sheet; `numbers`: columns set right; `total`: the last row is a sum."""
    share = WIDTH / sum(widths)
    body = [[_head(word, i in numbers) for i, word in enumerate(heads)]]
    body += [[_cell(cell, i in numbers) for i, cell in enumerate(row)] for row in rows]
    made = _Rows(body, [width * share for width in widths], repeatRows=1, hAlign="LEFT")
    made.setStyle(TableStyle(_RULES + (_TOTAL if total else [])))
    made.spaceAfter = 8
    return made


def block(title: str, *under: Flowable) -> list[Flowable]:
    """A small heading kept on one sheet with what stands under it, where a sheet is long enough."""
    for flowable in under[:-1]:
        flowable.keepWithNext = 1
    return [text(title, SUBSECTION), *under]


def long_block(title: str, under: Table) -> list[Flowable]:
    """A small heading over a table that may run over sheets; some rows stay with the heading."""
    return [CondPageBreak(110), text(title, LONG_HEAD), under]


def facts(rows: Sequence[tuple[str, Cell]], *, share: float = 0.28) -> Table:
    """Label and value, one line each."""
    body = [[text(label, HEAD), _cell(cell, False)] for label, cell in rows]
    made = _Rows(body, [WIDTH * share, WIDTH * (1 - share)], hAlign="LEFT")
    made.setStyle(TableStyle([*_PADDING, ("LINEBELOW", (0, 0), (-1, -1), HAIR, LINE)]))
    made.spaceAfter = 8
    return made


def _head(word: str, is_number: bool) -> Flowable:
    return text(word, NUMBER_HEAD if is_number else HEAD)


def _cell(cell: Cell, is_number: bool) -> Flowable | list[Flowable]:
    return text(cell, NUMBER if is_number else CELL) if isinstance(cell, str) else cell


_PADDING = [
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-2, -1), 9),
    ("RIGHTPADDING", (-1, 0), (-1, -1), 0),
    ("TOPPADDING", (0, 0), (-1, -1), 2.5),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 3),
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
]
_RULES = [
    *_PADDING,
    ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
    ("LINEABOVE", (0, 0), (-1, 0), MEDIUM, INK),
    ("LINEBELOW", (0, 0), (-1, 0), THIN, INK),
    ("LINEBELOW", (0, 1), (-1, -1), HAIR, LINE),
]
_TOTAL = [("LINEABOVE", (0, -1), (-1, -1), THIN, INK), ("LINEBELOW", (0, -1), (-1, -1), MEDIUM, INK)]
