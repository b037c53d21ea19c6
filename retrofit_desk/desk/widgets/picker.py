"""Stacked lines of which one is chosen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSizePolicy, QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.widgets.notch import Notch
from retrofit_desk.desk.widgets.stacked_row import StackedRow
from retrofit_desk.desk.widgets.text import soft_label


@dataclass(frozen=True)
class PickLine:
    """One line to choose: a stable key, what it is, and how it stands in quiet ink."""

    key: str
    title: str
    remark: str = ""
    needs_owner: bool = False


class PickRow(StackedRow):
    """One line that can be chosen."""

    picked = Signal(str)

    def __init__(self, desk: Desk, line: PickLine) -> None:
        super().__init__(desk)
        self.line = line
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

    def pick(self) -> None:
        self.picked.emit(self.line.key)


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
