"""Hatches of drawing practice, as brushes of one ink."""

from __future__ import annotations

from enum import StrEnum
from functools import lru_cache

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPen, QPixmap


class Hatch(StrEnum):
    """What a section is made of, or how a bar is told apart from its neighbor."""

    SLANT = "slant"  # generic, filled share
    BACK_SLANT = "back slant"
    CROSS = "cross"
    DOTS = "dots"
    LEVEL = "level"
    UPRIGHT = "upright"
    NONE = "none"


@lru_cache(maxsize=256)
def hatch_brush(color: str, step_px: float, hatch: Hatch = Hatch.SLANT, weight_px: float = 1.0) -> QBrush:
    """A seamless hatch with lines `step_px` apart."""
    side = max(round(step_px * 1.5), 4)
    tile = QPixmap(side, side)
    tile.fill(Qt.GlobalColor.transparent)
    painter = QPainter(tile)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor(color), weight_px))
    for start, end in _strokes(hatch, float(side)):
        painter.drawLine(start, end)
    if hatch is Hatch.DOTS:
        painter.setPen(QPen(QColor(color), weight_px * 1.8, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
        painter.drawPoint(QPointF(side * 0.25, side * 0.25))
        painter.drawPoint(QPointF(side * 0.75, side * 0.75))
    painter.end()
    return QBrush(tile)


def _strokes(hatch: Hatch, side: float) -> list[tuple[QPointF, QPointF]]:
    slant = [
        (QPointF(-1, side + 1), QPointF(side + 1, -1)),
        (QPointF(-1, 1), QPointF(1, -1)),
        (QPointF(side - 1, side + 1), QPointF(side + 1, side - 1)),
    ]
    back = [(QPointF(side - a.x(), a.y()), QPointF(side - b.x(), b.y())) for a, b in slant]
    level = [(QPointF(0, side / 2), QPointF(side, side / 2))]
    upright = [(QPointF(side / 2, 0), QPointF(side / 2, side))]
    return {
        Hatch.SLANT: slant,
        Hatch.BACK_SLANT: back,
        Hatch.CROSS: slant + back,
        Hatch.LEVEL: level,
        Hatch.UPRIGHT: upright,
        Hatch.DOTS: [],
        Hatch.NONE: [],
    }[hatch]
