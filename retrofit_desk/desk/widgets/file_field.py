"""A field for one file: typed, or chosen from the disk."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QHBoxLayout, QLineEdit, QPushButton, QWidget

from retrofit_desk.values.errors import DeskError


class FileMissing(DeskError):
    """A file is named that is not there."""


class FileField(QWidget):
    """Empty means: no file. The file is filed with what the form records."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self._name = name
        self.line = QLineEdit()
        self.line.setAccessibleName(name)
        self.line.setPlaceholderText("no file")
        self.setFocusProxy(self.line)
        choose = QPushButton("Choose …")
        choose.setAutoDefault(False)
        choose.setAccessibleName(f"Choose a file: {name}")
        choose.clicked.connect(self._choose)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(4)
        row.addWidget(self.line, 1)
        row.addWidget(choose)

    def path(self) -> Path | None:
        """The file named. Raises `FileMissing`."""
        typed = self.line.text().strip()
        if not typed:
            return None
        if not Path(typed).is_file():
            raise FileMissing("no such file", where=typed, do="choose it again, or leave the field empty")
        return Path(typed)

    def draft_text(self) -> str:
        return self.line.text()

    def restore_draft(self, text: str) -> None:
        self.line.setText(text)

    def _choose(self) -> None:
        typed, _ = QFileDialog.getOpenFileName(self, self._name)
        if typed:
            self.line.setText(typed)
