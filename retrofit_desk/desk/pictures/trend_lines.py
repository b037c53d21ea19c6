"""Temperatures of a machine's log over its days, told apart by their strokes; a gap stays a gap."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import partial

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPolygonF

from retrofit_desk.desk.pictures.canvas import CENTER, HAIR, LEFT, MIDDLE, RIGHT, TOP, Canvas
from retrofit_desk.desk.pictures.key import draw_key
from retrofit_desk.desk.pictures.year_lines import STROKES, draw_stroke, set_stroke
from retrofit_desk.services.machine_trend import TrendLineDrawn

STEPS = (1, 2, 5, 10, 20, 50, 100)
MARKS = 6


def draw_trend(canvas: Canvas, lines: Sequence[TrendLineDrawn], unit: str, begins: str, ends: str) -> None:
    """`begins` and `ends` stand below the two ends of the time."""
    em, area, tokens = canvas.em, canvas.area, canvas.tokens
    lines = lines[: len(STROKES)]  # a fifth could not be told apart
    known = [value for line in lines for value in line.values if value is not None] or [0.0, 1.0]
    step = next((one for one in STEPS if (max(known) - min(known)) / one <= MARKS), STEPS[-1])
    low, high = math.floor(min(known) / step) * step, math.ceil(max(known) / step) * step
    high = max(high, low + step)
    left = max(canvas.width_of(str(mark)) for mark in (low, high)) + em
    top = draw_key(canvas, unit, [line.name for line in lines], 2.2, partial(draw_stroke, canvas)) + em * 0.7
    plot = QRectF(
        area.left() + left, area.top() + top, area.width() - left - em, area.height() - top - em * 1.8
    )
    for mark in range(low, high + 1, step):
        y = plot.bottom() - plot.height() * (mark - low) / (high - low)
        canvas.pen(tokens.line, HAIR)
        canvas.line(plot.left(), y, plot.right(), y)
        words = QRectF(area.left(), y - em * 0.6, left - em * 0.4, em * 1.2)
        canvas.text(words, str(mark), RIGHT | MIDDLE, color=tokens.soft_ink, scale=0.9)
    for line, stroke in zip(lines, STROKES, strict=False):
        set_stroke(canvas, stroke)
        for piece in _pieces(line.values):
            points = [
                QPointF(
                    plot.left() + plot.width() * at / max(len(line.values) - 1, 1),
                    plot.bottom() - plot.height() * (value - low) / (high - low),
                )
                for at, value in piece
            ]
            canvas.painter.drawPolyline(QPolygonF(points))
    below = QRectF(plot.left(), plot.bottom() + em * 0.3, plot.width(), em * 1.2)
    for text, side in ((begins, LEFT), (ends, RIGHT)):
        canvas.text(below, text, side | TOP, color=tokens.soft_ink, scale=0.9)
    if not lines:
        canvas.text(plot, "no temperature was logged", CENTER | MIDDLE, color=tokens.soft_ink)


def _pieces(values: Sequence[float | None]) -> Iterator[list[tuple[int, float]]]:
    """Stretches without a gap, as (place, value)."""
    piece: list[tuple[int, float]] = []
    for at, value in enumerate(values):
        if value is not None:
            piece.append((at, value))
        elif piece:
            yield piece
            piece = []
    if piece:
        yield piece
