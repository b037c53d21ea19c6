"""The schedule as bars on a ruler of weeks: the critical path in heavy lines, days to spare as thin ones."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

from PySide6.QtCore import QRectF

from retrofit_desk.desk.pictures.canvas import HAIR, HEAVY, LEFT, MIDDLE, RIGHT, THIN, TOP, Canvas, Hot
from retrofit_desk.desk.pictures.hatch import Hatch
from retrofit_desk.desk.widgets.notch import Notch
from retrofit_desk.values.dates import day_of_year_text, month_text, short_month
from retrofit_desk.values.quantity import count_text

ROW_EM = 1.5


@dataclass(frozen=True)
class ScheduleBar:
    """One task: first and last day, days to spare, what it waits for outside the house if anything."""

    key: int
    name: str
    start: date
    end: date
    spare_days: int
    is_critical: bool
    is_outside_wait: bool = False
    is_done: bool = False
    needs_owner: bool = False

    @cached_property
    def told(self) -> str:
        """The bar in words; once, for it is asked for at every look."""
        spare = (
            "on the critical path" if self.is_critical else f"{count_text(self.spare_days, 'day')} to spare"
        )
        return f"{self.name}, {day_of_year_text(self.start)} to {day_of_year_text(self.end)}, {spare}"


def height_in_lines(bars: Sequence[ScheduleBar]) -> float:
    return 2.2 + len(bars) * ROW_EM


def draw_schedule(canvas: Canvas, bars: Sequence[ScheduleBar], today: date) -> None:
    """One row per task in the order given; a line for today."""
    if not bars:
        return
    em, area = canvas.em, canvas.area
    first = min(today, *(bar.start for bar in bars))
    last = max(today, *(bar.end + timedelta(days=max(bar.spare_days, 0)) for bar in bars))
    names = min(max(canvas.width_of(bar.name) for bar in bars) + em * 2.2, area.width() * 0.4)
    plot = QRectF(
        area.left() + names, area.top() + em * 1.8, area.width() - names - em, len(bars) * em * ROW_EM
    )
    px_per_day = plot.width() / max((last - first).days + 1, 1)

    def at(day: date) -> float:
        return plot.left() + (day - first).days * px_per_day

    _draw_months(canvas, plot, first, last, px_per_day)
    for number, bar in enumerate(bars):
        y = plot.top() + number * em * ROW_EM
        row = QRectF(area.left(), y, area.width(), em * ROW_EM)
        canvas.hot.append(Hot(row, bar.key, bar.told))
        if canvas.is_seen(row):
            body = QRectF(at(bar.start), y, at(bar.end) + px_per_day - at(bar.start), em * ROW_EM)
            _draw_bar(canvas, bar, body, px_per_day)
            _draw_name(canvas, bar, QRectF(area.left(), y, names - em * 0.6, em * ROW_EM))
    canvas.pen(canvas.tokens.ink, THIN, dashed=True)
    canvas.line(at(today), plot.top() - em * 0.4, at(today), plot.bottom())
    tag = QRectF(at(today) - em * 4, area.top() + em * 0.9, em * 3.8, em)
    near_left = at(today) - em * 3 < plot.left()
    spot = QRectF(at(today) + em * 0.2, tag.top(), em * 4, em) if near_left else tag
    canvas.text(spot, "today", (LEFT if near_left else RIGHT) | MIDDLE, scale=0.85)


def _draw_months(canvas: Canvas, plot: QRectF, first: date, last: date, px_per_day: float) -> None:
    em, tokens = canvas.em, canvas.tokens
    canvas.pen(tokens.ink, THIN)
    canvas.line(plot.left(), plot.top(), plot.right(), plot.top())
    day = first.replace(day=1)
    shown_to = -1e9
    while day <= last:
        x = plot.left() + (day - first).days * px_per_day
        if x >= plot.left() - 1:
            canvas.pen(tokens.line, HAIR)
            canvas.line(x, plot.top() - em * 0.4, x, plot.bottom())
        words = month_text(day) if day.month == 1 or shown_to < 0 else short_month(day)
        left = max(x, plot.left())
        if left > shown_to:
            width = canvas.width_of(words, scale=0.9) + em * 0.5
            canvas.text(
                QRectF(left + 2, canvas.area.top(), width, em * 1.1),
                words,
                LEFT | TOP,
                scale=0.9,
                color=tokens.soft_ink,
            )
            shown_to = left + width
        day = (day + timedelta(days=32)).replace(day=1)


def _draw_name(canvas: Canvas, bar: ScheduleBar, area: QRectF) -> None:
    em, tokens = canvas.em, canvas.tokens
    indent = em * 1.2 if bar.needs_owner else 0.0
    if bar.needs_owner:
        Notch.draw(canvas.painter, QRectF(area.left(), area.top() + em * 0.35, em * 0.75, em * 0.75), tokens)
    color = tokens.copper if bar.needs_owner else tokens.soft_ink if bar.is_done else ""
    words = area.adjusted(indent, 0, 0, 0)
    canvas.text(words, bar.name, LEFT | MIDDLE, strong=bar.is_critical, color=color)


def _draw_bar(canvas: Canvas, bar: ScheduleBar, area: QRectF, px_per_day: float) -> None:
    em, tokens = canvas.em, canvas.tokens
    body = QRectF(area.left(), area.top() + em * 0.35, max(area.width(), 2.0), em * 0.8)
    canvas.fill(body, tokens.sheet)
    if bar.is_done:
        canvas.fill(body, tokens.ink, 0.18)
    elif bar.is_outside_wait:
        canvas.hatch(body, Hatch.DOTS, tokens.ink, 0.25)
    else:
        canvas.hatch(body, Hatch.SLANT, tokens.hatch, 0.3)
    canvas.box(body, tokens.ink, HEAVY if bar.is_critical else HAIR)
    if bar.spare_days > 0 and not bar.is_done:
        end = body.right() + bar.spare_days * px_per_day
        middle = body.center().y()
        canvas.pen(tokens.ink, HAIR)
        canvas.line(body.right(), middle, end, middle)
        canvas.line(end, middle - em * 0.2, end, middle + em * 0.2)
