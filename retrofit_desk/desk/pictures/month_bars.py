"""Bars in groups over months, or over anything that comes in an order, told apart by hatch."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from math import ceil, floor, log10

from PySide6.QtCore import QRectF

from retrofit_desk.desk.pictures.canvas import CENTER, HAIR, MIDDLE, RIGHT, THIN, TOP, Canvas
from retrofit_desk.desk.pictures.hatch import Hatch
from retrofit_desk.desk.pictures.key import draw_key

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
HATCHES = (Hatch.NONE, Hatch.SLANT, Hatch.CROSS, Hatch.DOTS)


@dataclass(frozen=True)
class MonthSeries:
    """One series: what it is, and a number for each group in the unit of the drawing (None: not known)."""

    name: str
    values: tuple[float | None, ...]


def scale_of(highest: float) -> tuple[float, int]:
    """A round step and how many of them reach the highest value; one step of 1 when there is nothing."""
    if highest <= 0:
        return 1.0, 1
    power = 10.0 ** floor(log10(highest / 5))
    step = next(part * power for part in (1, 2, 2.5, 5, 10) if part * power * 5 >= highest * 0.999999)
    return step, max(ceil(highest / step - 1e-6), 1)


def signed_scale(values: Sequence[float]) -> tuple[float, int, int]:
    """A round step, and how many of them reach below and above nothing; one above when all is nothing."""
    step, _ = scale_of(max(abs(value) for value in values))
    below, above = (max(ceil(end / step - 1e-6), 0) for end in (-min(values), max(values)))
    return step, below, above or int(below == 0)


def draw_month_bars(canvas: Canvas, series: Sequence[MonthSeries], unit: str) -> None:
    """Bars of twelve months."""
    draw_bars(canvas, MONTHS, series, unit)


def draw_bars(canvas: Canvas, groups: Sequence[str], series: Sequence[MonthSeries], unit: str) -> None:
    """Bars in groups over a scale that reaches below nothing where needed; what is unknown leaves a dash."""
    em, area, tokens = canvas.em, canvas.area, canvas.tokens
    known = [value for one in series for value in one.values if value is not None] or [0.0]
    step_value, below, above = signed_scale(known)
    marks = range(-below, above + 1)
    left = max(canvas.width_of(scale_text(step_value * mark, step_value)) for mark in marks) + em * 0.9
    top = draw_key(canvas, unit, [one.name for one in series], 1.4, partial(_bar, canvas)) + em * 0.7
    plot = QRectF(area.left() + left, area.top() + top, area.width() - left, area.height() - top - em * 1.3)
    line_height = plot.height() / (above + below)
    nothing = plot.bottom() - line_height * below
    for number in marks:
        y = nothing - line_height * number
        canvas.pen(tokens.ink if number == 0 else tokens.line, THIN if number == 0 else HAIR)
        canvas.line(plot.left(), y, plot.right(), y)
        words = QRectF(area.left(), y - em * 0.6, left - em * 0.4, em * 1.2)
        canvas.text(
            words,
            scale_text(step_value * number, step_value),
            RIGHT | MIDDLE,
            color=tokens.soft_ink,
            scale=0.9,
        )
    step = plot.width() / max(len(groups), 1)
    every = max(ceil(max((canvas.width_of(word) for word in groups), default=0.0) * 1.2 / step), 1)
    width = step * 0.78 / max(len(series), 1)
    is_short = every > 1 and groups is MONTHS
    for group, word in enumerate(groups):
        start = plot.left() + step * group + step * 0.11
        for number, one in enumerate(series):
            value = one.values[group]
            x = start + width * number
            if value is None:
                canvas.pen(tokens.hatch, THIN, dashed=True)
                canvas.line(x, nothing - 3, x + width * 0.9, nothing - 3)
                continue
            height = line_height * value / step_value
            _bar(canvas, QRectF(x, nothing - max(height, 0.0), width * 0.9, abs(height)), number)
        if is_short or group % every == 0:
            names = QRectF(plot.left() + step * group, plot.bottom() + em * 0.1, step, em * 1.2)
            canvas.text(names, word[0] if is_short else word, CENTER | TOP, scale=0.9, elide=False)


def scale_text(value: float, step: float) -> str:
    """A number beside the scale, with as many digits as its step needs."""
    digits = 0 if step >= 1 and step == int(step) else max(ceil(-log10(step)), 0) + 1
    return f"{value:,.{digits}f}".replace("-", "−")


def _bar(canvas: Canvas, area: QRectF, number: int) -> None:
    tokens = canvas.tokens
    canvas.fill(area, tokens.sheet)
    if number == 0:
        canvas.fill(area, tokens.ink, 0.12)
    canvas.hatch(area, HATCHES[number % len(HATCHES)], tokens.ink, 0.3)
    canvas.box(area, tokens.ink, HAIR)
