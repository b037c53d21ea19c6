"""What every line of a stacked list shares: a click, the keys, its ground and its rule."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from retrofit_desk.desk.context import Desk

PICKING = (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space)


class StackedRow(QWidget):
    """Enter, Space or a click picks the line; up and down go to its neighbors."""

    def __init__(self, desk: Desk, *, is_pickable: bool = True) -> None:
        super().__init__()
        self._desk = desk
        self._is_pickable = is_pickable
        self.is_chosen = False
        if is_pickable:
            self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
            self.setCursor(Qt.CursorShape.PointingHandCursor)

    def pick(self) -> None:
        """Say that the line was picked."""
        raise NotImplementedError

    def _ground(self) -> str:
        """Color of the ground; empty where the page shows through."""
        return self._desk.theme.selection if self.is_chosen else ""

    def _draw(self, painter: QPainter) -> None:
        """What a line draws by itself, over its ground."""

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if self._is_pickable and self.rect().contains(event.position().toPoint()):
            self.pick()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if self._is_pickable and event.key() in PICKING:
            self.pick()
        elif event.key() in (Qt.Key.Key_Down, Qt.Key.Key_Up):
            self.focusNextPrevChild(event.key() == Qt.Key.Key_Down)
        else:
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        tokens = self._desk.theme
        painter = QPainter(self)
        if ground := self._ground():
            painter.fillRect(self.rect(), QColor(ground))
        self._draw(painter)
        painter.setPen(QPen(QColor(tokens.line), 1))
        painter.drawLine(self.rect().bottomLeft(), self.rect().bottomRight())
        if self.hasFocus():
            painter.setPen(QPen(QColor(tokens.spruce), 2))
            painter.drawRect(self.rect().adjusted(1, 1, -1, -1))
        painter.end()
