"""A wall or floor with everything marked in it: each thing numbered, its kind told by stroke or shape."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPen, QPolygonF

from retrofit_desk.desk.pictures.canvas import CENTER, HAIR, HEAVY, LEFT, MIDDLE, RIGHT, THIN, TOP, Canvas
from retrofit_desk.desk.pictures.hatch import Hatch
from retrofit_desk.services.inside import FoundInside, HiddenKind
from retrofit_desk.values.quantity import Units
from retrofit_desk.values.units import FOOT_M

STROKES = {
    HiddenKind.CABLE: Qt.PenStyle.DashLine,
    HiddenKind.GAS_PIPE: Qt.PenStyle.DashDotLine,
    HiddenKind.STUD: Qt.PenStyle.DotLine,
    HiddenKind.BLOCKING: Qt.PenStyle.DotLine,
    HiddenKind.BRIDGE: Qt.PenStyle.DotLine,
}
"""Of a run; every other kind is drawn through."""
STEPS = (1, 2, 5, 10, 20)
FEWEST_EM = 3.0  # between two figures of a ruler


@dataclass(frozen=True)
class _Scale:
    """Where a point of the face stands on the sheet."""

    plot: QRectF
    px_m: float

    def at(self, x_m: float, y_m: float) -> QPointF:
        return QPointF(self.plot.left() + x_m * self.px_m, self.plot.bottom() - y_m * self.px_m)


def draw_inside(canvas: Canvas, found: FoundInside, units: Units) -> None:
    """The face to scale with its rulers, its openings and what lies in it."""
    em, area, tokens = canvas.em, canvas.area, canvas.tokens
    room = area.adjusted(em * 2.4, em * 0.8, -em * 0.8, -em * 3.2)
    px_m = min(room.width() / found.width_m, room.height() / found.height_m)
    plot = QRectF(room.left(), room.top(), found.width_m * px_m, found.height_m * px_m)
    scale = _Scale(plot, px_m)
    _rulers(canvas, scale, units, found.corner)
    for one in found.openings:
        corner = scale.at(one.left_m, one.bottom_m + one.height_m)
        box = QRectF(corner.x(), corner.y(), one.width_m * px_m, one.height_m * px_m)
        canvas.hatch(box, Hatch.SLANT, tokens.hatch, 0.5)
        canvas.box(box, tokens.soft_ink)
        wide = min(canvas.width_of(one.name) + em * 0.6, box.width())
        words = QRectF(box.center().x() - wide / 2, box.center().y() - em * 0.6, wide, em * 1.2)
        canvas.fill(words, tokens.paper)
        canvas.text(words, one.name, CENTER | MIDDLE, color=tokens.soft_ink)
    canvas.box(plot, tokens.ink, HEAVY)
    for number, mark in enumerate(found.marks, start=1):
        _thing(canvas, scale, number, mark.written.kind, mark.written.path)


def _rulers(canvas: Canvas, scale: _Scale, units: Units, corner: str) -> None:
    em, plot, tokens = canvas.em, scale.plot, canvas.tokens
    unit_px = scale.px_m * (FOOT_M if units is Units.US else 1.0)
    step = next((one for one in STEPS if one * unit_px >= FEWEST_EM * em), STEPS[-1])
    for number in _figures(plot.width() / unit_px, step):
        x = plot.left() + number * unit_px
        canvas.pen(tokens.line, HAIR)
        canvas.line(x, plot.top(), x, plot.bottom())
        words = QRectF(x - em, plot.bottom() + em * 0.2, em * 2, em * 1.2)
        canvas.text(words, str(number), CENTER | TOP, color=tokens.soft_ink, scale=0.9)
    for number in _figures(plot.height() / unit_px, step):
        y = plot.bottom() - number * unit_px
        canvas.pen(tokens.line, HAIR)
        canvas.line(plot.left(), y, plot.right(), y)
        words = QRectF(plot.left() - em * 2.4, y - em * 0.6, em * 2.0, em * 1.2)
        canvas.text(words, str(number), RIGHT | MIDDLE, color=tokens.soft_ink, scale=0.9)
    unit = "ft" if units is Units.US else "m"
    below = QRectF(canvas.area.left(), plot.bottom() + em * 1.5, canvas.area.width(), em * 1.3)
    told = f"{unit} from the {corner}"
    canvas.text(below, told, LEFT | TOP, color=tokens.soft_ink, scale=0.9)


def _figures(length: float, step: int) -> Iterator[int]:
    return iter(range(0, int(length + 1e-6) + 1, step))


def _thing(
    canvas: Canvas, scale: _Scale, number: int, kind: HiddenKind, path: tuple[tuple[float, float], ...]
) -> None:
    """A run as a line, a single place as a shape; its number stands by its beginning."""
    points = [scale.at(x, y) for x, y in path]
    if not points:
        return
    em, tokens = canvas.em, canvas.tokens
    canvas.painter.setBrush(Qt.BrushStyle.NoBrush)
    if len(points) > 1:
        style = STROKES.get(kind, Qt.PenStyle.SolidLine)
        canvas.painter.setPen(QPen(QColor(tokens.ink), HEAVY, style))
        canvas.painter.drawPolyline(QPolygonF(points))
    else:
        _shape(canvas, points[0], kind)
    wide = canvas.width_of(str(number), strong=True) + em * 0.3
    # kept within the face, where a run begins at its right edge or its top
    left = min(points[0].x() + em * 0.35, scale.plot.right() - wide)
    top = max(points[0].y() - em * 1.45, scale.plot.top())
    label = QRectF(left, top, wide, em * 1.1)
    canvas.fill(label, tokens.paper, 0.85)
    canvas.text(label, str(number), CENTER | MIDDLE, strong=True)


def _shape(canvas: Canvas, point: QPointF, kind: HiddenKind) -> None:
    size = canvas.em * 0.35
    box = QRectF(point.x() - size, point.y() - size, size * 2, size * 2)
    canvas.pen(canvas.tokens.ink, THIN)
    match kind:
        case HiddenKind.SHUT_OFF:
            canvas.line(box.left(), box.top(), box.right(), box.bottom())
            canvas.line(box.left(), box.bottom(), box.right(), box.top())
        case HiddenKind.BOX:
            canvas.fill(box, canvas.tokens.paper)
            canvas.box(box, canvas.tokens.ink)
        case _:
            canvas.painter.setBrush(QColor(canvas.tokens.paper))
            canvas.painter.drawEllipse(box)
