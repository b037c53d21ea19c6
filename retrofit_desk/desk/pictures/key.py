"""The key over a drawing: the unit, then each mark with its name."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QRectF

from retrofit_desk.desk.pictures.canvas import LEFT, MIDDLE, Canvas

LINE_EM = 1.3
DrawMark = Callable[[QRectF, int], None]
"""Draws the mark of a number into its place."""


def draw_key(canvas: Canvas, unit: str, names: Sequence[str], mark_em: float, draw_mark: DrawMark) -> float:
    """Goes on in a further line where there is no room; returns the height that it takes."""
    em, area = canvas.em, canvas.area
    x, y = area.left(), area.top()
    width = canvas.width_of(unit) + em * 0.5
    canvas.text(QRectF(x, y, width, em * 1.2), unit, LEFT | MIDDLE, color=canvas.tokens.soft_ink)
    x += width + em
    for number, name in enumerate(names):
        width = em * (mark_em + 0.4) + canvas.width_of(name) + em * 0.5
        if x > area.left() and x + width > area.right():
            x, y = area.left(), y + em * LINE_EM
        draw_mark(QRectF(x, y + em * 0.2, em * mark_em, em * 0.8), number)
        words = QRectF(x + em * (mark_em + 0.4), y, width - em * (mark_em + 0.4), em * 1.2)
        canvas.text(words, name, LEFT | MIDDLE)
        x += width + em * 0.8
    return y - area.top() + em * 1.2
