"""Permits with their inspections, corrections still open, and holds that were passed with a reason."""

from __future__ import annotations

from reportlab.platypus import Flowable

from retrofit_desk.paperwork.contents import InspectionLine, OverrideLine, PermitLine
from retrofit_desk.paperwork.layout import CELL, NeedsOwner, text
from retrofit_desk.paperwork.show import NONE, day
from retrofit_desk.paperwork.tables import Cell, block, facts, table


def permits(lines: tuple[PermitLine, ...]) -> list[Flowable]:
    """One block per permit."""
    story = [flowable for line in lines for flowable in _permit(line)]
    return story or [text("No permit is on record.")]


def overrides(lines: tuple[OverrideLine, ...]) -> list[Flowable]:
    """Every hold somebody went past; shown to every reader."""
    if not lines:
        return []
    rows: list[list[Cell]] = [
        [NeedsOwner(line.hold, CELL), line.missing or NONE, line.reason, _given(line)] for line in lines
    ]
    heads = ("Hold", "Missing then", "Reason given", "By, on")
    return [table(heads, rows, (32, 22, 28, 18))]


def _given(line: OverrideLine) -> str:
    given = f"{line.by}, {day(line.on)}"
    return given if line.step_on in (None, line.on) else f"{given}, for {day(line.step_on)}"


def _permit(line: PermitLine) -> list[Flowable]:
    number = f"no. {line.number.value}" if line.number.value else f"number {line.number.stated}"
    parts: list[Flowable] = [
        facts(
            [
                ("From", line.authority),
                ("Covers", line.covers),
                ("State", line.state),
                ("Issued", day(line.issued_on)),
                ("Runs out", day(line.runs_out_on)),
            ],
            share=0.18,
        ),
    ]
    if line.inspections:
        rows = [_inspection(one) for one in line.inspections]
        parts.append(table(("Inspection", "Visit", "Result", "Corrections"), rows, (28, 14, 16, 42)))
    return block(f"{line.kind} permit, {number}", *parts)


def _inspection(line: InspectionLine) -> list[Cell]:
    corrections: list[Flowable] = [NeedsOwner(f"open: {words}", CELL) for words in line.open_corrections]
    corrections += [text(f"closed: {words}", CELL) for words in line.closed_corrections]
    return [line.name, day(line.visit_on), line.result, corrections or NONE]
