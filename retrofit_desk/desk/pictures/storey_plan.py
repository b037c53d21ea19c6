"""The plan of a storey, drawn from its rooms: a tint in one hue, a hatch, and the number."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPolygonF

from retrofit_desk.desk.pictures.canvas import CENTER, HAIR, HEAVY, LEFT, MIDDLE, Canvas, Hot
from retrofit_desk.desk.pictures.hatch import Hatch

STEPS = 4
HATCHES = (Hatch.NONE, Hatch.DOTS, Hatch.SLANT, Hatch.CROSS)
OPACITIES = (0.05, 0.16, 0.3, 0.46)


@dataclass(frozen=True)
class PlanRoom:
    """One room: outline in meters (x to the east, y to the north), its number in words, its share.

    `share` 0..1 places the value between the lowest and the highest; None when it cannot be said.
    """

    key: int
    name: str
    outline_m: tuple[tuple[float, float], ...]
    value_text: str
    share: float | None
    is_conditioned: bool = True


def draw_storey_plan(
    canvas: Canvas,
    rooms: Sequence[PlanRoom],
    chosen: int | None = None,
    meter_text: str = "1 m",
    meter_m: float = 1.0,
) -> None:
    """All rooms to one scale, walls heavy, a scale bar and north below. Rooms become choosable."""
    if not rooms:
        return
    to_px, scale = _fit(canvas, rooms)
    for room in rooms:
        _draw_room(canvas, room, QPolygonF([to_px(x, y) for x, y in room.outline_m]), room.key == chosen)
    _draw_scale(canvas, scale * meter_m, meter_text)


def step_of(share: float) -> int:
    """Which of the four tints and hatches a share of the scale gets."""
    return min(int(min(max(share, 0.0), 1.0) * STEPS), STEPS - 1)


def _fit(canvas: Canvas, rooms: Sequence[PlanRoom]) -> tuple[Callable[[float, float], QPointF], float]:
    xs = [x for room in rooms for x, _ in room.outline_m]
    ys = [y for room in rooms for _, y in room.outline_m]
    area = canvas.area.adjusted(4, 4, -4, -canvas.em * 1.8)
    scale = min(area.width() / max(max(xs) - min(xs), 0.1), area.height() / max(max(ys) - min(ys), 0.1))
    left = area.left() + (area.width() - (max(xs) - min(xs)) * scale) / 2
    low, high = min(xs), max(ys)

    def to_px(x: float, y: float) -> QPointF:
        return QPointF(left + (x - low) * scale, area.top() + (high - y) * scale)

    return to_px, scale


def _draw_room(canvas: Canvas, room: PlanRoom, shape: QPolygonF, is_chosen: bool) -> None:
    tokens, painter = canvas.tokens, canvas.painter
    step = None if room.share is None else step_of(room.share)
    tint = QColor(tokens.ink)
    tint.setAlphaF(0.0 if step is None else OPACITIES[step])
    canvas.no_pen()
    painter.setBrush(QColor(tokens.sheet))
    painter.drawPolygon(shape)
    painter.setBrush(tint)
    painter.drawPolygon(shape)
    if step is not None:
        painter.setBrush(canvas.hatch_brush(HATCHES[step], tokens.hatch, 0.55))
        painter.drawPolygon(shape)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    canvas.pen(tokens.ink, HEAVY if room.is_conditioned else HAIR, dashed=not room.is_conditioned)
    painter.drawPolygon(shape)
    box = shape.boundingRect()
    if is_chosen:
        canvas.pen(tokens.spruce, HEAVY * 2)
        inner = QPolygonF([_toward(point, box.center(), HEAVY * 2.5) for point in shape.toList()])
        painter.drawPolygon(inner)
    _draw_words(canvas, room, box)
    canvas.hot.append(Hot(box, room.key, f"{room.name}, {room.value_text}"))


def _draw_words(canvas: Canvas, room: PlanRoom, box: QRectF) -> None:
    """Name and number on a patch of paper, so that the hatch never runs through them."""
    em = canvas.em
    width = min(
        max(canvas.width_of(room.name, strong=True), canvas.width_of(room.value_text)) + em * 0.6,
        box.width() - 8,
    )
    two_lines = box.height() > em * 2.6
    height = em * (2.3 if two_lines else 1.2)
    patch = QRectF(box.center().x() - width / 2, box.center().y() - height / 2, width, height)
    canvas.fill(patch, canvas.tokens.sheet)
    if two_lines:
        canvas.text(
            QRectF(patch.left(), patch.top(), width, em * 1.15), room.name, CENTER | MIDDLE, strong=True
        )
        canvas.text(
            QRectF(patch.left(), patch.top() + em * 1.1, width, em * 1.15), room.value_text, CENTER | MIDDLE
        )
    else:
        canvas.text(patch, room.value_text, CENTER | MIDDLE)


def _draw_scale(canvas: Canvas, length_px: float, text: str) -> None:
    em, area = canvas.em, canvas.area
    y = area.bottom() - em * 0.5
    canvas.pen(canvas.tokens.ink, HEAVY)
    canvas.line(area.left() + 4, y, area.left() + 4 + length_px, y)
    for x in (area.left() + 4, area.left() + 4 + length_px):
        canvas.line(x, y - em * 0.25, x, y + em * 0.25)
    words = QRectF(area.left() + length_px + em * 0.6, y - em * 0.6, em * 6, em * 1.2)
    canvas.text(words, text, LEFT | MIDDLE, color=canvas.tokens.soft_ink)
    north = area.right() - em
    canvas.pen(canvas.tokens.ink, HAIR)
    canvas.line(north, y + em * 0.4, north, y - em * 0.9)
    canvas.painter.setBrush(QColor(canvas.tokens.ink))
    tip = [
        QPointF(north, y - em * 1.1),
        QPointF(north - em * 0.2, y - em * 0.5),
        QPointF(north, y - em * 0.65),
    ]
    canvas.painter.drawPolygon(QPolygonF(tip))
    canvas.text(
        QRectF(north - em * 2, y - em * 0.6, em * 1.7, em * 1.2), "N", Qt.AlignmentFlag.AlignRight | MIDDLE
    )


def _toward(point: QPointF, center: QPointF, by_px: float) -> QPointF:
    def step(value: float, middle: float) -> float:
        return value + (by_px if middle > value else -by_px)

    return QPointF(step(point.x(), center.x()), step(point.y(), center.y()))
