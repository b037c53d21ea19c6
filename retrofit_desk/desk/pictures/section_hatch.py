"""Section hatches of drawing practice: what a cut layer is made of.

After the common conventions of ISO 128-3 and of building drawings (common practice): insulation as loops or
crosses, wood with its grain, masonry slanted, concrete with stones, gypsum dotted, air left empty.
"""

from __future__ import annotations

import random
from enum import StrEnum

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainterPath

from retrofit_desk.desk.pictures.canvas import HAIR, Canvas
from retrofit_desk.desk.pictures.hatch import Hatch


class Section(StrEnum):
    """The kinds of material that a section tells apart."""

    WOOD = "wood"
    BOARD = "board"
    SOFT_INSULATION = "soft insulation"
    RIGID_INSULATION = "rigid insulation"
    MASONRY = "masonry"
    CONCRETE = "concrete"
    GYPSUM = "gypsum"
    AIR = "air"
    METAL = "metal"
    GROUND = "ground"
    OTHER = "other"


def draw_section(canvas: Canvas, area: QRectF, section: Section) -> None:
    """Fill a cut layer (layers stand upright, heat flows across) with its hatch."""
    canvas.painter.save()
    canvas.painter.setClipRect(area)
    plain = {
        Section.BOARD: (Hatch.LEVEL, 0.3),
        Section.MASONRY: (Hatch.SLANT, 0.5),
        Section.GYPSUM: (Hatch.DOTS, 0.22),
        Section.RIGID_INSULATION: (Hatch.CROSS, 0.5),
        Section.GROUND: (Hatch.BACK_SLANT, 0.35),
        Section.OTHER: (Hatch.UPRIGHT, 0.4),
    }
    if section in plain:
        hatch, step = plain[section]
        canvas.hatch(area, hatch, canvas.tokens.hatch, step)
    elif section is Section.METAL:
        canvas.fill(area, canvas.tokens.ink)
    elif section is Section.SOFT_INSULATION:
        _loops(canvas, area)
    elif section is Section.WOOD:
        _grain(canvas, area)
    elif section is Section.CONCRETE:
        _stones(canvas, area)
    canvas.painter.restore()


def _loops(canvas: Canvas, area: QRectF) -> None:
    """The long S-curve of soft insulation, from face to face."""
    canvas.pen(canvas.tokens.hatch, HAIR)
    canvas.painter.setBrush(Qt.BrushStyle.NoBrush)
    step = max(min(area.width() * 0.6, area.height() / 2), 4.0)
    path = QPainterPath(QPointF(area.left(), area.top()))
    y, to_right = area.top(), True
    while y < area.bottom() + step:
        side, other = (area.right(), area.left()) if to_right else (area.left(), area.right())
        path.cubicTo(
            QPointF(other, y + step * 0.6), QPointF(side, y - step * 0.1), QPointF(side, y + step * 0.5)
        )
        y, to_right = y + step * 0.5, not to_right
    canvas.painter.drawPath(path)


def _grain(canvas: Canvas, area: QRectF) -> None:
    """Grain of a piece cut along: slightly bent upright lines."""
    canvas.pen(canvas.tokens.hatch, HAIR)
    canvas.painter.setBrush(Qt.BrushStyle.NoBrush)
    step, x, number = canvas.em * 0.32, area.left() + canvas.em * 0.15, 0
    while x < area.right():
        bend = canvas.em * (0.25 if number % 2 else -0.2)
        path = QPainterPath(QPointF(x, area.top()))
        third = area.height() / 3
        path.cubicTo(
            QPointF(x + bend, area.top() + third),
            QPointF(x - bend, area.top() + 2 * third),
            QPointF(x, area.bottom()),
        )
        canvas.painter.drawPath(path)
        x, number = x + step, number + 1


def _stones(canvas: Canvas, area: QRectF) -> None:
    """Sand dots and a few three-cornered stones, the same on every redraw."""
    canvas.hatch(area, Hatch.DOTS, canvas.tokens.hatch, 0.4)
    canvas.pen(canvas.tokens.hatch, HAIR)
    canvas.painter.setBrush(Qt.BrushStyle.NoBrush)
    chance = random.Random(7)
    for _ in range(int(area.width() * area.height() / (canvas.em * canvas.em * 2.2)) + 1):
        x = area.left() + chance.random() * area.width()
        y = area.top() + chance.random() * area.height()
        size = canvas.em * (0.16 + 0.14 * chance.random())
        points = [
            QPointF(x, y - size),
            QPointF(x + size, y + size * 0.7),
            QPointF(x - size * 0.9, y + size * 0.5),
        ]
        canvas.painter.drawPolygon(points)
