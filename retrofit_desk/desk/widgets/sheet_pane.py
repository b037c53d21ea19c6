"""The scrolling pane of one chosen thing: what it is called, what is said of it, then lists."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QScrollArea, QVBoxLayout

from retrofit_desk.desk.widgets.scroll_pane import AsHighAsItsWords
from retrofit_desk.desk.widgets.text import soft_label


def scrolling_column(area: QScrollArea) -> QVBoxLayout:
    """The column inside a scrolling area."""
    area.setWidgetResizable(True)
    inside = AsHighAsItsWords()
    inside.setProperty("role", "body")
    area.setWidget(inside)
    column = QVBoxLayout(inside)
    column.setSpacing(6)
    return column


class SheetPane(QScrollArea):
    """`column` takes what follows under the title and the quiet words."""

    def __init__(self) -> None:
        super().__init__()
        self.column = scrolling_column(self)
        self._title, self._about = QLabel(), soft_label("")
        self._title.setProperty("role", "section")
        self._title.setTextFormat(Qt.TextFormat.PlainText)
        self._title.setWordWrap(True)
        self._about.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.column.addWidget(self._title)
        self.column.addWidget(self._about)

    def call(self, title: str, about: str) -> None:
        """What the thing is called, and what is said of it."""
        self._title.setText(title)
        self._about.setText(about)
