"""A column of widgets that scrolls."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import QFrame, QScrollArea, QVBoxLayout, QWidget


class AsHighAsItsWords(QWidget):
    """What a pane scrolls. Qt asks for the height that wrapped words would have in a narrow column."""

    def minimumSizeHint(self) -> QSize:
        hint, column = super().minimumSizeHint(), self.layout()
        if column is not None and column.hasHeightForWidth() and self.width() > hint.width():
            hint.setHeight(min(hint.height(), column.totalHeightForWidth(self.width())))
        return hint


class ScrollPane(QScrollArea):
    """Add widgets to `column`; they keep the pane's width and scroll up and down."""

    def __init__(self) -> None:
        super().__init__()
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAsNeeded)
        inside = AsHighAsItsWords()
        inside.setProperty("role", "body")
        self.setWidget(inside)
        self.column = QVBoxLayout(inside)
        self.column.setContentsMargins(8, 4, 8, 8)
        self.column.setSpacing(6)
