"""The notch: the shape beside whatever needs the owner, so that color never speaks alone."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from retrofit_desk.desk.context import Bench
from retrofit_desk.desk.theme import Tokens


def notch_shape(area: QRectF) -> list[QPointF]:
    """A square with a V cut into its right side, in `area`."""
    left, top, right, bottom = area.left(), area.top(), area.right(), area.bottom()
    middle = (top + bottom) / 2
    cut = left + (right - left) * 0.45
    return [
        QPointF(left, top),
        QPointF(right, top),
        QPointF(cut, middle),
        QPointF(right, bottom),
        QPointF(left, bottom),
    ]


class Notch(QWidget):
    """The copper notch as a widget, one line high."""

    def __init__(self, desk: Bench) -> None:
        super().__init__()
        self._desk = desk
        self.setAccessibleName("Needs you")
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    @staticmethod
    def draw(painter: QPainter, area: QRectF, tokens: Tokens) -> None:
        """The same shape within another drawing."""
        painter.save()
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(tokens.copper))
        painter.drawPolygon(QPolygonF(notch_shape(area)))
        painter.restore()

    def sizeHint(self) -> QSize:
        side = round(self.fontMetrics().height() * 0.85)
        return QSize(side, round(self.fontMetrics().height()))

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        side = float(self.width())
        Notch.draw(painter, QRectF(0, (self.height() - side) / 2, side, side), self._desk.theme)
        painter.end()
