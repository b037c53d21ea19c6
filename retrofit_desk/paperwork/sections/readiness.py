"""What the packet needs, and whether it is had, missing, out of date or does not match."""

from __future__ import annotations

from reportlab.platypus import Flowable

from retrofit_desk.paperwork.contents import ReadinessLine
from retrofit_desk.paperwork.layout import BOLD, CELL, NOTE, text
from retrofit_desk.paperwork.marks import ReadinessMark
from retrofit_desk.paperwork.tables import Cell, table


def readiness(lines: tuple[ReadinessLine, ...], left_out: tuple[str, ...]) -> list[Flowable]:
    """The table of needs, then what was withheld on purpose."""
    story: list[Flowable] = [readiness_table(lines)] if lines else []
    if left_out:
        story.append(text("Left out on purpose, not missing:", CELL))
        story += [text(line, NOTE) for line in left_out]
    return story


def readiness_table(lines: tuple[ReadinessLine, ...]) -> Flowable:
    return table(("What is needed", "", "Seen, and what to do"), [_row(line) for line in lines], (30, 20, 50))


def _row(line: ReadinessLine) -> list[Cell]:
    told = [text(part, CELL) for part in line.told]
    return [line.need, ReadinessMark(line.word, BOLD, 8.5), told or "–"]
