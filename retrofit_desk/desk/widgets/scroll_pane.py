"""A column of widgets that scrolls."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QScrollArea, QVBoxLayout, QWidget


class ScrollPane(QScrollArea):
    """Add widgets to `column`; they keep the pane's width and scroll up and down."""

    def __init__(self) -> None:
        super().__init__()
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAsNeeded)
        inside = QWidget()
        inside.setProperty("role", "body")
        self.setWidget(inside)
        self.column = QVBoxLayout(inside)
        self.column.setContentsMargins(8, 4, 8, 8)
        self.column.setSpacing(6)
