"""Pictures of the savings sum: fuel by month and the line-up as steps, told by hatch and number."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from reportlab.lib.utils import simpleSplit
from reportlab.platypus import Flowable

from retrofit_desk.paperwork.contents import LineUpStep
from retrofit_desk.paperwork.layout import BOLD, TEXT
from retrofit_desk.paperwork.marks import HAIR, INK, LINE, MEDIUM, SOFT_INK, THIN, hatch
from retrofit_desk.paperwork.show import number_alone
from retrofit_desk.values.quantity import Dimension, Units, in_unit, unit_word

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
NAME_SIZES = (8.0, 7.0, 6.0)


def nice_top(largest: float) -> float:
    """The next 1, 2, 2.5 or 5 times a power of ten at or above `largest`."""
    if largest <= 0:
        return 1.0
    power = 1.0
    while power * 10 <= largest:
        power *= 10
    while power > largest:
        power /= 10
    return next(step * power for step in (1, 2, 2.5, 5, 10) if step * power >= largest * 0.9999)


class MonthBars(Flowable):
    """Two bars a month, before (hatched) and after (solid), for one kind of energy."""

    def __init__(
        self,
        title: str,
        before_kwh: Sequence[float],
        after_kwh: Sequence[float],
        dimension: Dimension,
        units: Units,
    ) -> None:
        super().__init__()
        self.title, self.unit = title, unit_word(dimension, units)
        self.before = [in_unit(value, dimension, units) for value in before_kwh]
        self.after = [in_unit(value, dimension, units) for value in after_kwh]
        self.spaceBefore, self.spaceAfter = 6.0, 8.0

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.width, self.height = width, 128.0
        return self.width, self.height

    def draw(self) -> None:
        canvas, left, bottom, tall = self.canv, 38.0, 15.0, 82.0
        top = nice_top(max([*self.before, *self.after, 0.0]))
        self._head(canvas)
        self._scale(canvas, left, bottom, tall, top)
        pitch = (self.width - left) / 12
        bar = pitch * 0.34
        for month, (before, after) in enumerate(zip(self.before, self.after, strict=True)):
            x = left + month * pitch + pitch * 0.13
            _hatched_bar(canvas, x, bottom, bar, tall * max(before, 0.0) / top)
            canvas.setFillColor(INK)
            canvas.rect(x + bar + 1.5, bottom, bar, tall * max(after, 0.0) / top, stroke=0, fill=1)
            canvas.setFillColor(SOFT_INK)
            canvas.setFont(TEXT, 7.5)
            canvas.drawCentredString(x + bar, 4, MONTHS[month])
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(MEDIUM)
        canvas.line(left, bottom, self.width, bottom)

    def _head(self, canvas: Any) -> None:
        y = self.height - 10
        canvas.setFillColor(INK)
        canvas.setFont(BOLD, 9)
        canvas.drawString(0, y, f"{self.title}, {self.unit} a month")
        canvas.setFont(TEXT, 8)
        sums = [f"{sum(values):,.0f} {self.unit} a year" for values in (self.before, self.after)]
        x = self.width
        canvas.drawRightString(x, y, f"after, {sums[1]}")
        x -= canvas.stringWidth(f"after, {sums[1]}", TEXT, 8) + 11
        canvas.rect(x, y, 7, 7, stroke=0, fill=1)
        canvas.drawRightString(x - 10, y, f"before, {sums[0]}")
        x -= 10 + canvas.stringWidth(f"before, {sums[0]}", TEXT, 8) + 11
        _hatched_bar(canvas, x, y, 7, 7)

    def _scale(self, canvas: Any, left: float, bottom: float, tall: float, top: float) -> None:
        canvas.setStrokeColor(LINE)
        canvas.setLineWidth(HAIR)
        canvas.setFillColor(SOFT_INK)
        canvas.setFont(TEXT, 7.5)
        for share in (0.0, 0.5, 1.0):
            y = bottom + tall * share
            canvas.line(left, y, self.width, y)
            canvas.drawRightString(left - 5, y - 2.5, f"{top * share:,.{0 if top >= 4 else 1}f}")


def _hatched_bar(canvas: Any, x: float, y: float, width: float, height: float) -> None:
    hatch(canvas, x, y, width, height, step=2.6)
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(THIN)
    canvas.rect(x, y, width, height, stroke=1, fill=0)


class StepsOfLineUp(Flowable):
    """Each measure's fuel removed as a step from where the one before ended, with its likely range."""

    ROW, LABEL = 17.0, 178.0

    def __init__(self, steps: Sequence[LineUpStep], fuel: Dimension, units: Units) -> None:
        super().__init__()
        self.steps, self.fuel, self.units = steps, fuel, units
        self.spaceAfter = 8.0

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.width, self.height = width, 30 + self.ROW * len(self.steps)
        return self.width, self.height

    def draw(self) -> None:
        canvas = self.canv
        values = [tuple(in_unit(part, self.fuel, self.units) for part in (step.fuel_removed.value,
                  step.fuel_removed.low, step.fuel_removed.high)) for step in self.steps]  # fmt: skip
        low, high = _reach(values)
        scale = (self.width - self.LABEL - 46) / max(high - low, 1e-9)
        self._head(canvas)
        size = self._name_size()
        y, start, zero = self.height - 30, 0.0, self.LABEL - low * scale
        for step, (value, least, most) in zip(self.steps, values, strict=True):
            ends = [zero + (start + part) * scale for part in (0.0, value, least, most)]
            self._step(canvas, step, y, ends, size)
            y -= self.ROW
            start += value
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(MEDIUM)
        canvas.line(zero, 0, zero, self.height - 16)

    def _head(self, canvas: Any) -> None:
        unit = unit_word(self.fuel, self.units)
        canvas.setFillColor(INK)
        canvas.setFont(BOLD, 9)
        canvas.drawString(0, self.height - 10, f"Fuel removed step by step, {unit} a year")
        canvas.setFont(TEXT, 8)
        canvas.drawRightString(
            self.width, self.height - 10, "bar: likeliest; thin line: likely range (10 to 90%)"
        )

    def _step(self, canvas: Any, step: LineUpStep, y: float, ends: Sequence[float], size: float) -> None:
        start, end, least, most = ends
        canvas.setFillColor(INK)
        self._name(canvas, step.title, y, size)
        _hatched_bar(canvas, min(start, end), y - 2, abs(end - start), 9)
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(MEDIUM)
        canvas.line(least, y + 2.5, most, y + 2.5)
        canvas.setLineWidth(THIN)
        for x in (least, most):
            canvas.line(x, y - 0.5, x, y + 5.5)
        canvas.setFont(TEXT, 8)
        words = number_alone(step.fuel_removed, self.fuel, self.units)
        canvas.drawString(max(most, end, start) + 5, y, words)

    def _name_size(self) -> float:
        """One size for all names: the largest at which none needs a third line."""
        for size in NAME_SIZES:
            if all(len(self._lines(step.title, size)) <= 2 for step in self.steps):
                return size
        return NAME_SIZES[-1]

    def _lines(self, title: str, size: float) -> list[str]:
        return list(simpleSplit(title, TEXT, size, self.LABEL - 12))

    def _name(self, canvas: Any, title: str, y: float, size: float) -> None:
        lines = self._lines(title, size)
        canvas.setFont(TEXT, size)
        top = y + (len(lines) - 1) * size / 2
        for number, line in enumerate(lines):
            canvas.drawString(0, top - number * size, line)


def _reach(values: Sequence[tuple[float, ...]]) -> tuple[float, float]:
    low = high = start = 0.0
    for value, least, most in values:
        low, high = min(low, start + least), max(high, start + most)
        start += value
    return low, high
