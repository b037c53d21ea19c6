"""What every drawing needs: a painter with text measured in the font's own size, and ways onto images."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QBrush,
    QColor,
    QFont,
    QFontMetricsF,
    QImage,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from retrofit_desk.desk.pictures.hatch import Hatch, hatch_brush
from retrofit_desk.desk.theme import Tokens, base_font

LEFT = Qt.AlignmentFlag.AlignLeft
RIGHT = Qt.AlignmentFlag.AlignRight
CENTER = Qt.AlignmentFlag.AlignHCenter
MIDDLE = Qt.AlignmentFlag.AlignVCenter
TOP = Qt.AlignmentFlag.AlignTop
BOTTOM = Qt.AlignmentFlag.AlignBottom
HAIR, THIN, HEAVY = 0.8, 1.2, 2.0  # drafting line weights, px at 96 dpi


@dataclass(frozen=True)
class Hot:
    """A part of a drawing that can be chosen, with what it is called aloud."""

    area: QRectF
    key: int
    name: str


class Canvas:
    """A painter and the theme; sizes follow the font, so a drawing scales with the owner's text size.

    `seen`: the part of the area that is wanted now; a long drawing leaves out the rest.
    """

    def __init__(
        self, painter: QPainter, area: QRectF, tokens: Tokens, *, seen: QRectF | None = None
    ) -> None:
        self.painter, self.area, self.tokens = painter, area, tokens
        self._seen = area if seen is None else seen
        self.hot: list[Hot] = []
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self.font = QFont(painter.font())
        self.metrics = QFontMetricsF(self.font)
        self.em = self.metrics.height()

    def is_seen(self, part: QRectF) -> bool:
        return self._seen.intersects(part)

    def pen(self, color: str, weight: float = THIN, *, dashed: bool = False) -> None:
        style = Qt.PenStyle.DashLine if dashed else Qt.PenStyle.SolidLine
        self.painter.setPen(QPen(QColor(color), weight, style, Qt.PenCapStyle.FlatCap))

    def no_pen(self) -> None:
        self.painter.setPen(Qt.PenStyle.NoPen)

    def line(self, x1: float, y1: float, x2: float, y2: float) -> None:
        self.painter.drawLine(QPointF(x1, y1), QPointF(x2, y2))

    def box(self, area: QRectF, color: str, weight: float = THIN) -> None:
        self.painter.setBrush(Qt.BrushStyle.NoBrush)
        self.pen(color, weight)
        self.painter.drawRect(area)

    def fill(self, area: QRectF, color: str, opacity: float = 1.0) -> None:
        tint = QColor(color)
        tint.setAlphaF(opacity)
        self.painter.fillRect(area, tint)

    def hatch(self, area: QRectF, hatch: Hatch, color: str = "", step: float = 0.35) -> None:
        self.painter.fillRect(area, self.hatch_brush(hatch, color, step))

    def hatch_brush(self, hatch: Hatch, color: str = "", step: float = 0.35) -> QBrush:
        return hatch_brush(color or self.tokens.ink, round(self.em * step, 1), hatch)

    def text(
        self,
        area: QRectF,
        words: str,
        align: Qt.AlignmentFlag | Qt.TextFlag | int = LEFT | MIDDLE,
        *,
        color: str = "",
        strong: bool = False,
        scale: float = 1.0,
        elide: bool = True,
    ) -> None:
        """Words in one line, shortened with "…" when the area is too narrow."""
        font = QFont(self.font)
        font.setPointSizeF(self.font.pointSizeF() * scale)
        if strong:
            font.setWeight(QFont.Weight.DemiBold)
        shown = (
            QFontMetricsF(font).elidedText(words, Qt.TextElideMode.ElideRight, area.width())
            if elide
            else words
        )
        self.painter.setFont(font)
        self.painter.setPen(QColor(color or self.tokens.ink))
        self.painter.drawText(area, int(align) | int(Qt.TextFlag.TextDontClip), shown)
        self.painter.setFont(self.font)

    def wrapped(self, area: QRectF, words: str) -> None:
        """Words in one line, or smaller in two where the area is too narrow for one."""
        if self.width_of(words) <= area.width():
            self.text(area, words, LEFT | MIDDLE)
        else:
            wrap = int(LEFT | MIDDLE) | int(Qt.TextFlag.TextWordWrap)
            self.text(area, words, wrap, scale=0.82, elide=False)

    def width_of(self, words: str, *, strong: bool = False, scale: float = 1.0) -> float:
        if not strong and scale == 1.0:
            return self.metrics.horizontalAdvance(words)
        font = QFont(self.font)
        font.setPointSizeF(self.font.pointSizeF() * scale)
        if strong:
            font.setWeight(QFont.Weight.DemiBold)
        return QFontMetricsF(font).horizontalAdvance(words)


Draw = Callable[[Canvas], None]


class Picture(QWidget):
    """A drawing on the window: `set_drawing` gives what to draw and its size in lines and columns of text."""

    def __init__(self, tokens_of: Callable[[], Tokens], name: str) -> None:
        super().__init__()
        self._tokens_of = tokens_of
        self._draw: Draw | None = None
        self._columns, self._lines = 40.0, 10.0
        self.hot: list[Hot] = []
        self.setAccessibleName(name)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def set_drawing(self, draw: Draw, *, lines: float, columns: float = 40.0, told: str = "") -> None:
        """`told` says the drawing in words, for those who do not see it."""
        self._draw, self._lines, self._columns = draw, lines, columns
        self.setAccessibleDescription(told)
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        metrics = QFontMetricsF(self.font())
        return QSize(round(metrics.averageCharWidth() * self._columns), round(metrics.height() * self._lines))

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._draw is None:
            return
        painter = QPainter(self)
        painter.setFont(self.font())
        whole, seen = QRectF(self.rect()).adjusted(1, 1, -1, -1), QRectF(event.rect())
        canvas = Canvas(painter, whole, self._tokens_of(), seen=seen)
        self._draw(canvas)
        self.hot = canvas.hot
        painter.end()


class ChoosablePicture(Picture):
    """A drawing whose parts are chosen by a click, or with Tab, the arrow keys and Enter."""

    chosen = Signal(int)  # key of the part

    def __init__(self, tokens_of: Callable[[], Tokens], name: str) -> None:
        super().__init__(tokens_of, name)
        self._focused = 0
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        part = self._part_at(event.position())
        if part is not None:
            self.chosen.emit(part.key)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        part = self._part_at(event.position())
        self.setToolTip(part.name if part else "")
        self.setCursor(Qt.CursorShape.PointingHandCursor if part else Qt.CursorShape.ArrowCursor)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        step = {Qt.Key.Key_Left: -1, Qt.Key.Key_Up: -1, Qt.Key.Key_Right: 1, Qt.Key.Key_Down: 1}.get(
            Qt.Key(event.key())
        )
        if self.hot and step is not None:
            self._focused = (self._focused + step) % len(self.hot)
            self.setAccessibleDescription(self.hot[self._focused].name)
            self.update()
        elif self.hot and event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space):
            self.chosen.emit(self.hot[self._focused % len(self.hot)].key)
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        if self.hasFocus() and self.hot:
            painter = QPainter(self)
            painter.setPen(QPen(QColor(self._tokens_of().spruce), HEAVY, Qt.PenStyle.DotLine))
            painter.drawRect(self.hot[self._focused % len(self.hot)].area.adjusted(-2, -2, 2, 2))
            painter.end()

    def _part_at(self, point: QPointF) -> Hot | None:
        return next((part for part in reversed(self.hot) if part.area.contains(point)), None)


def draw_on_image(draw: Draw, width_px: int, height_px: int, tokens: Tokens, *, scale: float = 1.0) -> QImage:
    """The same drawing on an image, on paper ground."""
    image = QImage(width_px, height_px, QImage.Format.Format_ARGB32_Premultiplied)
    image.fill(QColor(tokens.paper))
    painter = QPainter(image)
    painter.setFont(base_font(scale))
    draw(Canvas(painter, QRectF(image.rect()).adjusted(8, 8, -8, -8), tokens))
    painter.end()
    return image


def draw_to_svg(draw: Draw, path: Path, width_px: int, height_px: int, tokens: Tokens) -> None:
    """The same drawing as an SVG file."""
    from PySide6.QtSvg import QSvgGenerator

    svg = QSvgGenerator()
    svg.setFileName(str(path))
    svg.setSize(QSize(width_px, height_px))
    svg.setViewBox(QRectF(0, 0, width_px, height_px))
    painter = QPainter(svg)
    painter.setFont(base_font())
    draw(Canvas(painter, QRectF(0, 0, width_px, height_px), tokens))
    painter.end()
