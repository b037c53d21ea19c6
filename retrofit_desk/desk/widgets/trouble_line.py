"""The line of a form that says what stands in the way, with the notch."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QLabel, QWidget

from retrofit_desk.desk.context import Bench
from retrofit_desk.desk.widgets.notch import Notch


class TroubleLine(QWidget):
    """Hidden as long as nothing is wrong; shows what the notices tell the owner."""

    def __init__(self, bench: Bench) -> None:
        super().__init__()
        self._line = QLabel()
        self._line.setProperty("role", "owner")
        self._line.setTextFormat(Qt.TextFormat.PlainText)
        self._line.setWordWrap(True)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(Notch(bench))
        row.addWidget(self._line, 1)
        self.tell("")
        bench.notices.told.connect(lambda line, needs_owner: self.tell(line if needs_owner else ""))

    def tell(self, line: str) -> None:
        self._line.setText(line)
        self.setVisible(bool(line))

    def text(self) -> str:
        return self._line.text()
