"""Amounts over the years as lines, told apart by their strokes; the line of nothing is drawn heavy."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPen, QPolygonF

from retrofit_desk.desk.pictures.canvas import CENTER, HAIR, HEAVY, MIDDLE, RIGHT, THIN, TOP, Canvas
from retrofit_desk.desk.pictures.key import draw_key
from retrofit_desk.desk.pictures.month_bars import scale_text, signed_scale

STROKES = (
    (Qt.PenStyle.SolidLine, HEAVY),
    (Qt.PenStyle.DashLine, HEAVY),
    (Qt.PenStyle.DotLine, HEAVY),
    (Qt.PenStyle.DashDotLine, THIN),
)
SHOWN_YEARS = 5


@dataclass(frozen=True)
class YearLine:
    """One line: what it is, and its amount at the end of each year from year 0 on."""

    name: str
    values: tuple[float, ...]


def draw_year_lines(canvas: Canvas, lines: Sequence[YearLine], unit: str) -> None:
    """Lines over years 0 to the last; the scale reaches below nothing where an amount does."""
    em, area, tokens = canvas.em, canvas.area, canvas.tokens
    values = [value for line in lines for value in line.values] or [0.0]
    step, below, above = signed_scale(values)
    marks = range(-below, above + 1)
    left = max(canvas.width_of(scale_text(step * mark, step)) for mark in marks) + em * 0.9
    top = draw_key(canvas, unit, [line.name for line in lines], 2.2, partial(draw_stroke, canvas)) + em * 0.7
    plot = QRectF(
        area.left() + left, area.top() + top, area.width() - left - em, area.height() - top - em * 2.5
    )

    def y_of(value: float) -> float:
        return plot.bottom() - plot.height() * (value / step + below) / (above + below)

    for mark in marks:
        y = y_of(step * mark)
        canvas.pen(tokens.ink if mark == 0 else tokens.line, HEAVY if mark == 0 else HAIR)
        canvas.line(plot.left(), y, plot.right(), y)
        words = QRectF(area.left(), y - em * 0.6, left - em * 0.4, em * 1.2)
        canvas.text(words, scale_text(step * mark, step), RIGHT | MIDDLE, color=tokens.soft_ink, scale=0.9)
    years = max((len(line.values) for line in lines), default=1) - 1
    for line, stroke in zip(lines, STROKES, strict=False):
        points = [
            QPointF(plot.left() + plot.width() * year / max(years, 1), y_of(value))
            for year, value in enumerate(line.values)
        ]
        set_stroke(canvas, stroke)
        canvas.painter.drawPolyline(QPolygonF(points))
    _years(canvas, plot, years)


def _years(canvas: Canvas, plot: QRectF, years: int) -> None:
    em = canvas.em
    for year in range(0, years + 1, SHOWN_YEARS if years > SHOWN_YEARS else 1):
        x = plot.left() + plot.width() * year / max(years, 1)
        canvas.pen(canvas.tokens.ink, HAIR)
        canvas.line(x, plot.bottom(), x, plot.bottom() + em * 0.25)
        words = QRectF(x - em * 2, plot.bottom() + em * 0.3, em * 4, em * 1.2)
        canvas.text(words, str(year), CENTER | TOP, scale=0.9, elide=False)
    below = QRectF(plot.left(), plot.bottom() + em * 1.3, plot.width(), em * 1.2)
    canvas.text(below, "years from now", CENTER | TOP, color=canvas.tokens.soft_ink, scale=0.9)


def draw_stroke(canvas: Canvas, at: QRectF, number: int) -> None:
    set_stroke(canvas, STROKES[number])
    canvas.line(at.left(), at.center().y(), at.right(), at.center().y())


def set_stroke(canvas: Canvas, stroke: tuple[Qt.PenStyle, float]) -> None:
    style, weight = stroke
    canvas.painter.setPen(
        QPen(QColor(canvas.tokens.ink), weight, style, Qt.PenCapStyle.FlatCap, Qt.PenJoinStyle.RoundJoin)
    )
