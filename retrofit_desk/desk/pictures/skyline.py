"""What stands around the house, seen from it: hills, trees, and the sun's course on three days."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPolygonF

from retrofit_desk.desk.pictures.canvas import BOTTOM, CENTER, HAIR, HEAVY, MIDDLE, RIGHT, THIN, TOP, Canvas
from retrofit_desk.desk.pictures.hatch import Hatch

POINTS = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")
ALTITUDES_DEG = (0, 30, 60, 90)
WHOLE_TURN_DEG = 360.0


@dataclass(frozen=True)
class Stand:
    """Trees from one direction clockwise to another, in degrees from north."""

    name: str
    from_deg: float
    to_deg: float
    altitude_deg: float


@dataclass(frozen=True)
class SkylinePicture:
    """Directions in degrees from north. `middle_deg`: the way that is looked at, where the noon sun is."""

    middle_deg: float
    heights: tuple[tuple[float, float], ...]
    stands: tuple[Stand, ...]
    courses: tuple[tuple[str, tuple[tuple[float, float], ...]], ...]


def draw_skyline(canvas: Canvas, picture: SkylinePicture) -> None:
    """All around from left to right, level at the foot, the point overhead at the top."""
    em, area = canvas.em, canvas.area
    frame = QRectF(area.left() + em * 2.4, area.top() + em, area.width() - em * 3.4, area.height() - em * 2.6)
    scale = _Scale(frame, picture.middle_deg)
    for stand in picture.stands:
        for part in scale.boxes(stand):
            canvas.fill(part, canvas.tokens.sheet)
            canvas.hatch(part, Hatch.UPRIGHT, canvas.tokens.hatch, 0.4)
            canvas.box(part, canvas.tokens.ink, HAIR)
    _draw_hills(canvas, scale, picture.heights)
    for day, points in picture.courses:
        _draw_course(canvas, scale, day, points)
    _draw_scales(canvas, scale)
    for stand in picture.stands:
        _name(canvas, scale.frame, max(scale.boxes(stand), key=QRectF.width), stand.name)


class _Scale:
    """From directions and heights to places in the drawing."""

    def __init__(self, frame: QRectF, middle_deg: float) -> None:
        self.frame, self._left_deg = frame, middle_deg - WHOLE_TURN_DEG / 2.0

    def x(self, azimuth_deg: float) -> float:
        turned = (azimuth_deg - self._left_deg) % WHOLE_TURN_DEG
        return self.frame.left() + self.frame.width() * turned / WHOLE_TURN_DEG

    def y(self, altitude_deg: float) -> float:
        return self.frame.bottom() - self.frame.height() * altitude_deg / 90.0

    def boxes(self, stand: Stand) -> list[QRectF]:
        """One box, or two where the stand goes over the drawing's edge."""
        if stand.to_deg - stand.from_deg == WHOLE_TURN_DEG:
            return [QRectF(QPointF(self.frame.left(), self.y(stand.altitude_deg)), self.frame.bottomRight())]
        begins, ends, top = self.x(stand.from_deg), self.x(stand.to_deg), self.y(stand.altitude_deg)
        spans = [(begins, ends)]
        if ends < begins:
            spans = [(begins, self.frame.right()), (self.frame.left(), ends)]
        return [QRectF(QPointF(a, top), QPointF(b, self.frame.bottom())) for a, b in spans]


def _draw_hills(canvas: Canvas, scale: _Scale, heights: tuple[tuple[float, float], ...]) -> None:
    if not heights:
        return
    line = sorted((scale.x(azimuth), scale.y(altitude)) for azimuth, altitude in heights)
    frame = scale.frame
    # the edges of the drawing are one direction: the line meets itself there
    (x1, y1), (x2, y2) = line[-1], line[0]
    share = (frame.right() - x1) / max(frame.right() - x1 + x2 - frame.left(), 1e-9)
    edge = y1 + (y2 - y1) * share
    top = [(frame.left(), edge), *line, (frame.right(), edge)]
    foot = [(frame.right(), frame.bottom()), (frame.left(), frame.bottom())]
    canvas.no_pen()
    canvas.painter.setBrush(canvas.hatch_brush(Hatch.SLANT, canvas.tokens.hatch, 0.4))
    canvas.painter.drawPolygon(QPolygonF([QPointF(*point) for point in (*top, *foot)]))
    canvas.pen(canvas.tokens.ink, HEAVY)
    canvas.painter.drawPolyline(QPolygonF([QPointF(*point) for point in top]))


def _draw_course(canvas: Canvas, scale: _Scale, day: str, points: tuple[tuple[float, float], ...]) -> None:
    placed = sorted((scale.x(azimuth), scale.y(altitude)) for azimuth, altitude in points)
    if not placed:
        return
    canvas.pen(canvas.tokens.ink, THIN)
    canvas.painter.drawPolyline(QPolygonF([QPointF(*point) for point in placed]))
    x, y = min(placed, key=lambda point: point[1])
    width = canvas.width_of(day, scale=0.9) + canvas.em * 0.4
    label = QRectF(x - width / 2.0, y - canvas.em * 1.05, width, canvas.em)
    canvas.fill(label, canvas.tokens.paper, 0.85)
    canvas.text(label, day, CENTER | MIDDLE, scale=0.9)


def _draw_scales(canvas: Canvas, scale: _Scale) -> None:
    em, frame = canvas.em, scale.frame
    canvas.pen(canvas.tokens.ink, HEAVY)
    canvas.line(frame.left(), frame.bottom(), frame.right(), frame.bottom())
    for altitude in ALTITUDES_DEG:
        y = scale.y(float(altitude))
        canvas.pen(canvas.tokens.ink, HAIR)
        canvas.line(frame.left() - em * 0.3, y, frame.left(), y)
        words = QRectF(frame.left() - em * 2.4, y - em * 0.5, em * 2.0, em)
        canvas.text(words, f"{altitude}°", RIGHT | MIDDLE, scale=0.9)
    for number, name in enumerate(POINTS):
        x = scale.x(WHOLE_TURN_DEG / len(POINTS) * number)
        canvas.pen(canvas.tokens.ink, HAIR)
        canvas.line(x, frame.bottom(), x, frame.bottom() + em * 0.3)
        canvas.text(QRectF(x - em, frame.bottom() + em * 0.35, em * 2, em), name, CENTER | TOP, scale=0.9)


def _name(canvas: Canvas, frame: QRectF, box: QRectF, words: str) -> None:
    """At the foot of the trees, moved in from the drawing's edges."""
    width = min(canvas.width_of(words, scale=0.9) + canvas.em * 0.4, frame.width())
    left = min(max(box.center().x() - width / 2.0, frame.left()), frame.right() - width)
    label = QRectF(left, box.bottom() - canvas.em * 1.3, width, canvas.em)
    canvas.fill(label, canvas.tokens.paper, 0.85)
    canvas.text(label, words, CENTER | BOTTOM, scale=0.9)
