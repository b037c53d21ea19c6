"""Stacked lines of which one is chosen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QColor, QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSizePolicy, QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.widgets.notch import Notch
from retrofit_desk.desk.widgets.text import soft_label


@dataclass(frozen=True)
class PickLine:
    """One line to choose: a stable key, what it is, and how it stands in quiet ink."""

    key: str
    title: str
    remark: str = ""
    needs_owner: bool = False


class PickRow(QWidget):
    """One line; Enter, Space or a click chooses it."""

    picked = Signal(str)

    def __init__(self, desk: Desk, line: PickLine) -> None:
        super().__init__()
        self._desk, self.line = desk, line
        self.is_chosen = False
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        self.setAccessibleName(". ".join(part for part in (line.title, line.remark) if part))
        row = QHBoxLayout(self)
        row.setContentsMargins(8, 6, 8, 6)
        row.setSpacing(10)
        words = QVBoxLayout()
        words.setSpacing(1)
        title = QLabel(line.title)
        title.setTextFormat(Qt.TextFormat.PlainText)
        title.setWordWrap(True)
        title.setProperty("role", "section")
        title.setTextFormat(Qt.TextFormat.PlainText)
        words.addWidget(title)
        if line.remark:
            words.addWidget(soft_label(line.remark))
        row.addLayout(words, 1)
        if line.needs_owner:
            row.addWidget(Notch(desk), 0, Qt.AlignmentFlag.AlignTop)

    def set_chosen(self, is_chosen: bool) -> None:
        self.is_chosen = is_chosen
        self.setAccessibleDescription("chosen" if is_chosen else "")
        self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if self.rect().contains(event.position().toPoint()):
            self.picked.emit(self.line.key)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space):
            self.picked.emit(self.line.key)
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
        if self.is_chosen:
            painter.fillRect(self.rect(), QColor(tokens.selection))
        painter.setPen(QPen(QColor(tokens.line), 1))
        painter.drawLine(self.rect().bottomLeft(), self.rect().bottomRight())
        if self.hasFocus():
            painter.setPen(QPen(QColor(tokens.spruce), 2))
            painter.drawRect(self.rect().adjusted(1, 1, -1, -1))
        painter.end()


class Picker(QWidget):
    """All lines under each other."""

    chosen = Signal(str)  # key

    def __init__(self, desk: Desk, name: str) -> None:
        super().__init__()
        self._desk = desk
        self.setAccessibleName(name)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(0)
        self.rows: list[PickRow] = []

    def set_lines(self, lines: Sequence[PickLine], chosen: str) -> None:
        had_focus = next((row.line.key for row in self.rows if row.hasFocus()), "")
        for row in self.rows:
            self._column.removeWidget(row)
            row.hide()
            row.deleteLater()
        self.rows = [PickRow(self._desk, line) for line in lines]
        for row in self.rows:
            row.picked.connect(self.chosen)
            self._column.addWidget(row)
            if row.line.key == had_focus:
                row.setFocus()
        self.mark(chosen)

    def mark(self, key: str) -> None:
        """Show which one is chosen."""
        for row in self.rows:
            row.set_chosen(row.line.key == key)
