"""The line-up as steps: each measure takes the total one step down (or up), with its likely range."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF

from retrofit_desk.desk.pictures.canvas import HAIR, HEAVY, LEFT, MIDDLE, RIGHT, THIN, Canvas, Hot
from retrofit_desk.desk.pictures.hatch import Hatch

STEP_EM = 2.0


@dataclass(frozen=True)
class Step:
    """One measure at its place: its change in the unit of the drawing, its likely range, its text."""

    name: str
    change: float
    low: float
    high: float
    change_text: str


def height_in_lines(steps: Sequence[Step]) -> float:
    return (len(steps) + 2) * STEP_EM + 0.5


def draw_line_up_steps(
    canvas: Canvas, start: float, start_text: str, steps: Sequence[Step], end_text: str
) -> None:
    """From the whole of today at the top, step by step, to what is left at the bottom."""
    em, area, tokens = canvas.em, canvas.area, canvas.tokens
    names = min(max((canvas.width_of(step.name) for step in steps), default=0.0) + em, area.width() * 0.45)
    texts = max((canvas.width_of(step.change_text) for step in steps), default=0.0) + em
    totals = [start]
    for step in steps:
        totals.append(totals[-1] + step.change)
    edges = [*totals, 0.0, *(total + step.low for total, step in zip(totals, steps, strict=False))]
    edges += [total + step.high for total, step in zip(totals, steps, strict=False)]
    low, high = min(edges), max(edges)
    plot = QRectF(area.left() + names, area.top(), area.width() - names - texts, area.height())

    def at(value: float) -> float:
        return plot.left() + plot.width() * (value - low) / ((high - low) or 1.0)

    y = area.top()
    _whole(canvas, (at(0), at(start), y), ("today", start_text), names)
    for number, step in enumerate(steps):
        y += em * STEP_EM
        _step(canvas, step, (at(totals[number]), at(totals[number + 1])), y, names)
        _range(canvas, at(totals[number] + step.low), at(totals[number] + step.high), y)
        words = QRectF(area.right() - texts, y, texts, em * 1.3)
        canvas.text(words, step.change_text, RIGHT | MIDDLE)
        canvas.hot.append(
            Hot(QRectF(area.left(), y, area.width(), em * 1.6), number, f"{step.name}: {step.change_text}")
        )
    y += em * STEP_EM
    _whole(canvas, (at(0), at(totals[-1]), y), ("with all of them", end_text), names)
    canvas.pen(tokens.ink, THIN)
    canvas.line(at(0), area.top(), at(0), y + em * 1.4)


def _whole(canvas: Canvas, span: tuple[float, float, float], words: tuple[str, str], names: float) -> None:
    em, tokens = canvas.em, canvas.tokens
    zero, end, y = span
    bar = QRectF(min(zero, end), y + em * 0.15, abs(end - zero), em)
    canvas.fill(bar, tokens.ink, 0.12)
    canvas.box(bar, tokens.ink, HEAVY)
    canvas.text(
        QRectF(canvas.area.left(), y, names - em * 0.5, em * 1.3), words[0], LEFT | MIDDLE, strong=True
    )
    after = QRectF(canvas.area.right() - em * 14, y, em * 14, em * 1.3)
    canvas.text(after, words[1], RIGHT | MIDDLE, strong=True)


def _step(canvas: Canvas, step: Step, span: tuple[float, float], y: float, names: float) -> None:
    """A step down is hatched one way, a step up the other way."""
    em, tokens = canvas.em, canvas.tokens
    before, after = span
    bar = QRectF(min(before, after), y + em * 0.15, max(abs(after - before), 1.5), em)
    canvas.hatch(bar, Hatch.SLANT if after <= before else Hatch.BACK_SLANT, tokens.ink, 0.28)
    canvas.box(bar, tokens.ink, THIN)
    canvas.pen(tokens.hatch, HAIR)
    canvas.line(before, y - em * 0.85, before, y + em * 0.15)
    canvas.wrapped(QRectF(canvas.area.left(), y - em * 0.2, names - em * 0.5, em * 1.7), step.name)


def _range(canvas: Canvas, low: float, high: float, y: float) -> None:
    """The likely range as a dimension line under the step."""
    em = canvas.em
    canvas.pen(canvas.tokens.ink, HAIR)
    line = y + em * 1.4
    canvas.line(low, line, high, line)
    for x in (low, high):
        canvas.line(x, line - em * 0.15, x, line + em * 0.15)
