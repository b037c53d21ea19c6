"""A list beside what is chosen in it; one above the other where there is no room for both."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QSplitter, QWidget

NARROW_CHARS = 95  # below this many characters of the font both are read better one above the other


class Halves(QSplitter):
    """`shares`: how the two divide the width."""

    def __init__(self, first: QWidget, second: QWidget, shares: tuple[int, int]) -> None:
        super().__init__(Qt.Orientation.Horizontal)
        self._shares = shares
        self.setChildrenCollapsible(False)
        for at, part in enumerate((first, second)):
            self.addWidget(part)
            self.setStretchFactor(at, shares[at])
        self.setSizes([share * 100 for share in shares])

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        is_narrow = event.size().width() < self.fontMetrics().averageCharWidth() * NARROW_CHARS
        wanted = Qt.Orientation.Vertical if is_narrow else Qt.Orientation.Horizontal
        if wanted is not self.orientation():
            self.setOrientation(wanted)
            whole = event.size().height() if is_narrow else event.size().width()
            first = whole * 9 // 20 if is_narrow else whole * self._shares[0] // sum(self._shares)
            self.setSizes([first, whole - first])
