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
    em, most = canvas.em, box.width() - 8
    name = _name_lines(canvas, room.name, most - em * 0.6)
    if box.height() <= em * (1.2 * len(name) + 1.4):
        name = [room.name] if box.height() > em * 2.6 else []
    lines = [*name, room.value_text]
    widest = max(canvas.width_of(line, strong=line in name) for line in lines) + em * 0.6
    width, height = min(widest, most), em * (1.1 * len(lines) + 0.1)
    patch = QRectF(box.center().x() - width / 2, box.center().y() - height / 2, width, height)
    canvas.fill(patch, canvas.tokens.sheet)
    for at, line in enumerate(lines):
        row = QRectF(patch.left(), patch.top() + em * 1.1 * at, width, em * 1.15)
        canvas.text(row, line, CENTER | MIDDLE, strong=at < len(name))


def _name_lines(canvas: Canvas, name: str, width: float) -> list[str]:
    """In two lines where one is too wide, parted where both are most alike."""
    words = name.split()
    if canvas.width_of(name, strong=True) <= width or len(words) == 1:
        return [name]
    parted = ((" ".join(words[:at]), " ".join(words[at:])) for at in range(1, len(words)))
    return list(min(parted, key=lambda pair: max(canvas.width_of(one, strong=True) for one in pair)))


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
