"""A quote as a strip: its lines to the scale of money, the missing scope hatched at the owner's guess."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from PySide6.QtCore import QRectF

from retrofit_desk.desk.pictures.canvas import CENTER, HAIR, HEAVY, LEFT, MIDDLE, RIGHT, THIN, Canvas, Hot
from retrofit_desk.desk.pictures.hatch import Hatch

STRIP_EM = 3.3


class LineIs(StrEnum):
    """How a quote treats one line of the scope."""

    INCLUDED = "included"
    ALLOWANCE = "allowance"
    NOT_STATED = "not stated"
    EXCLUDED = "excluded"


HATCHES = {
    LineIs.INCLUDED: Hatch.NONE,
    LineIs.ALLOWANCE: Hatch.DOTS,
    LineIs.NOT_STATED: Hatch.SLANT,
    LineIs.EXCLUDED: Hatch.CROSS,
}


@dataclass(frozen=True)
class StripPart:
    """One part of the strip: what it is, how the quote treats it, the cents it counts for like for like."""

    name: str
    line_is: LineIs
    cents: int


@dataclass(frozen=True)
class QuoteStrip:
    """One firm's strip: the parts from the left, the price asked and the like-for-like price in words."""

    key: int
    firm: str
    parts: tuple[StripPart, ...]
    price_text: str
    like_for_like_text: str

    @property
    def cents(self) -> int:
        return sum(part.cents for part in self.parts)


def height_in_lines(strips: Sequence[QuoteStrip]) -> float:
    return len(strips) * STRIP_EM + 1.8


def draw_quote_strips(canvas: Canvas, strips: Sequence[QuoteStrip], chosen: int | None = None) -> None:
    """All firms to one scale, in the order given; the key of hatches at the foot."""
    em, area = canvas.em, canvas.area
    longest = max((strip.cents for strip in strips), default=0) or 1
    y = area.top()
    for strip in strips:
        row = QRectF(area.left(), y, area.width(), em * STRIP_EM)
        if strip.key == chosen:
            canvas.fill(row.adjusted(0, 0, 0, -em * 0.3), canvas.tokens.selection)
        _draw_strip(canvas, strip, row, area.width() / longest)
        canvas.hot.append(Hot(row, strip.key, f"{strip.firm}, {strip.like_for_like_text}"))
        y += em * STRIP_EM
    _draw_key(canvas, y + em * 0.4)


def _draw_strip(canvas: Canvas, strip: QuoteStrip, row: QRectF, px_per_cent: float) -> None:
    em, tokens = canvas.em, canvas.tokens
    head = QRectF(row.left(), row.top(), row.width(), em * 1.2)
    asks = f"asks {strip.price_text} · like for like {strip.like_for_like_text}"
    room = max(head.width() - canvas.width_of(asks) - em, em * 4)
    canvas.text(QRectF(head.left(), head.top(), room, head.height()), strip.firm, LEFT | MIDDLE, strong=True)
    canvas.text(head.adjusted(room + em * 0.5, 0, 0, 0), asks, RIGHT | MIDDLE)
    x = row.left()
    for part in strip.parts:
        bar = QRectF(x, row.top() + em * 1.25, part.cents * px_per_cent, em * 1.45)
        canvas.fill(bar, tokens.sheet)
        canvas.hatch(bar, HATCHES[part.line_is], tokens.hatch, 0.4)
        canvas.box(bar, tokens.ink, THIN if part.line_is is LineIs.INCLUDED else HAIR)
        if bar.width() > em * 2.5:
            width = min(canvas.width_of(part.name, scale=0.85) + em * 0.5, bar.width() - 4)
            patch = QRectF(bar.center().x() - width / 2, bar.top() + em * 0.25, width, em * 0.95)
            if part.line_is is not LineIs.INCLUDED:
                canvas.fill(patch, tokens.sheet)
            canvas.text(patch, part.name, CENTER | MIDDLE, scale=0.85)
        x += bar.width()
    asked = sum(part.cents for part in strip.parts if part.line_is in (LineIs.INCLUDED, LineIs.ALLOWANCE))
    edge = row.left() + asked * px_per_cent
    canvas.pen(tokens.ink, HEAVY)
    canvas.line(edge, row.top() + em * 1.1, edge, row.top() + em * 2.9)


def _draw_key(canvas: Canvas, y: float) -> None:
    em, x = canvas.em, canvas.area.left()
    words = {
        LineIs.INCLUDED: "included",
        LineIs.ALLOWANCE: "allowance",
        LineIs.NOT_STATED: "not stated, at your guess",
        LineIs.EXCLUDED: "excluded, at your guess",
    }
    for line_is, text in words.items():
        box = QRectF(x, y + em * 0.15, em * 1.4, em * 0.85)
        canvas.fill(box, canvas.tokens.sheet)
        canvas.hatch(box, HATCHES[line_is], canvas.tokens.hatch, 0.3)
        canvas.box(box, canvas.tokens.ink, HAIR)
        width = canvas.width_of(text, scale=0.9) + em
        canvas.text(
            QRectF(x + em * 1.7, y, width, em * 1.15),
            text,
            LEFT | MIDDLE,
            color=canvas.tokens.soft_ink,
            scale=0.9,
        )
        x += em * 2.4 + width
