"""The budget ladder: one rung per budget, marks for its best set of measures, what it does in two bars."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF

from retrofit_desk.desk.pictures.canvas import (
    BOTTOM,
    CENTER,
    HAIR,
    HEAVY,
    LEFT,
    MIDDLE,
    RIGHT,
    THIN,
    Canvas,
    Hot,
)
from retrofit_desk.desk.pictures.hatch import Hatch

RUNG_EM = 2.1


@dataclass(frozen=True)
class Rung:
    """One budget: its text, the measures of its best set by their column, and two bars with their texts."""

    budget_text: str
    measures: frozenset[int]
    upper_share: float  # 0..1 of the longest bar
    upper_text: str
    lower_share: float
    lower_text: str


@dataclass(frozen=True)
class Ladder:
    """All rungs, lowest budget first; `measures` names the columns."""

    measures: tuple[str, ...]
    rungs: tuple[Rung, ...]
    upper_title: str
    lower_title: str

    def told(self) -> str:
        """The ladder in words, rung by rung."""
        return "; ".join(
            f"{rung.budget_text}: " + ", ".join(self.measures[i] for i in sorted(rung.measures))
            for rung in self.rungs
        )


def height_in_lines(ladder: Ladder) -> float:
    return 2.2 + len(ladder.rungs) * RUNG_EM + len(ladder.measures) * 1.05


def draw_budget_ladder(canvas: Canvas, ladder: Ladder) -> None:
    """The lowest budget stands on the bottom rung, as on a ladder; the measures are named by number below."""
    em, area, tokens = canvas.em, canvas.area, canvas.tokens
    left = max((canvas.width_of(rung.budget_text, strong=True) for rung in ladder.rungs), default=0.0) + em
    bars = area.width() * 0.42
    rail_left, rail_right = area.left() + left, area.right() - bars - em
    top, count = area.top() + em * 1.9, len(ladder.rungs)
    columns = max(len(ladder.measures), 1)
    _draw_titles(canvas, ladder, rail_left, rail_right, bars)
    for number, rung in enumerate(ladder.rungs):
        y = top + em * RUNG_EM * (count - number) - em * 0.6
        canvas.pen(tokens.ink, HEAVY)
        canvas.line(rail_left, y, rail_right, y)
        words = QRectF(area.left(), y - em * 0.7, left - em * 0.5, em * 1.2)
        canvas.text(words, rung.budget_text, RIGHT | MIDDLE, strong=True)
        for column in range(columns):
            x = rail_left + (rail_right - rail_left) * (column + 0.5) / columns
            _mark(canvas, x, y, column in rung.measures)
        bar_left = area.right() - bars
        _bars(canvas, rung, QRectF(bar_left, y - em * 1.15, bars, em * 1.3))
        canvas.hot.append(
            Hot(QRectF(area.left(), y - em * 1.3, area.width(), em * 1.7), number, rung.budget_text)
        )
    rails_bottom = top + em * RUNG_EM * count
    canvas.pen(tokens.ink, THIN)
    canvas.line(rail_left, top, rail_left, rails_bottom)
    canvas.line(rail_right, top, rail_right, rails_bottom)
    for column, name in enumerate(ladder.measures):
        line = QRectF(rail_left, rails_bottom + em * (0.3 + column * 1.05), area.width() - left, em * 1.05)
        canvas.text(line, f"{column + 1}  {name}", LEFT | MIDDLE, color=tokens.soft_ink, scale=0.9)


def _draw_titles(canvas: Canvas, ladder: Ladder, rail_left: float, rail_right: float, bars: float) -> None:
    em, area, tokens = canvas.em, canvas.area, canvas.tokens
    columns = max(len(ladder.measures), 1)
    for column in range(len(ladder.measures)):
        x = rail_left + (rail_right - rail_left) * (column + 0.5) / columns
        spot = QRectF(x - em, area.top(), em * 2, em * 1.4)
        canvas.text(spot, str(column + 1), BOTTOM | CENTER, color=tokens.soft_ink, scale=0.9)
    key = f"{ladder.upper_title} above, {ladder.lower_title} below"
    canvas.text(
        QRectF(area.right() - bars, area.top(), bars, em * 1.4),
        key,
        LEFT | BOTTOM,
        color=tokens.soft_ink,
        scale=0.9,
    )


def _mark(canvas: Canvas, x: float, y: float, is_in: bool) -> None:
    """A peg on the rung for a measure in the set; a hairline tick for one that is not."""
    em, tokens = canvas.em, canvas.tokens
    if not is_in:
        canvas.pen(tokens.line, HAIR)
        canvas.line(x, y - em * 0.3, x, y)
        return
    peg = [
        QPointF(x - em * 0.3, y),
        QPointF(x - em * 0.3, y - em * 0.7),
        QPointF(x + em * 0.3, y - em * 0.7),
        QPointF(x + em * 0.3, y),
    ]
    canvas.pen(tokens.ink, THIN)
    canvas.painter.setBrush(canvas.hatch_brush(Hatch.SLANT, tokens.ink, 0.2))
    canvas.painter.drawPolygon(peg)


def _bars(canvas: Canvas, rung: Rung, area: QRectF) -> None:
    em, tokens = canvas.em, canvas.tokens
    text_width = (
        max(canvas.width_of(rung.upper_text, scale=0.85), canvas.width_of(rung.lower_text, scale=0.85)) + em
    )
    longest = max(area.width() - text_width, em)
    for row, (share, words, hatch) in enumerate(
        ((rung.upper_share, rung.upper_text, Hatch.SLANT), (rung.lower_share, rung.lower_text, Hatch.DOTS))
    ):
        bar = QRectF(
            area.left(), area.top() + row * em * 0.75, longest * min(max(share, 0.0), 1.0), em * 0.55
        )
        canvas.hatch(bar, hatch, tokens.ink, 0.25)
        canvas.box(bar, tokens.ink, HAIR)
        spot = QRectF(bar.right() + em * 0.4, bar.top() - em * 0.2, text_width, em * 0.95)
        canvas.text(spot, words, LEFT | MIDDLE, scale=0.85)
