"""Photos that go with a write-up: add them, say what each one answers."""

from __future__ import annotations

import json
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QFileDialog,
    QGridLayout,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from retrofit_desk.services.papers import Choice, Direction, Use

NOTHING = "–"


class _Line:
    """One photo: its title, which way the camera looked, the tape, the hold it answers."""

    def __init__(self, path: Path, needs: tuple[Choice, ...]) -> None:
        self.path = path
        self.title = QLineEdit(path.stem.replace("_", " "))
        self.direction, self.need = QComboBox(), QComboBox()
        self.direction.addItems([NOTHING, *(str(way) for way in Direction)])
        self.tape = QCheckBox("tape")
        self.need.addItem("answers nothing", None)
        self.need.setMinimumContentsLength(16)
        self.need.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        for choice in needs:
            self.need.addItem(choice.words, choice.use)
        for widget, words in (
            (self.title, "title"),
            (self.direction, "camera looked"),
            (self.tape, "a tape is in view"),
            (self.need, "answers"),
        ):
            widget.setAccessibleName(f"Photo {path.name}, {words}")

    def way(self) -> Direction | None:
        text = self.direction.currentText()
        return None if text == NOTHING else Direction(text)

    def need_id(self) -> int | None:
        use: Use | None = self.need.currentData()
        return None if use is None else use.subject_id


class PhotosField(QWidget):
    """One line for each photo. Photos added are filed together with the entry."""

    changed = Signal()
    added = Signal(str)  # path

    def __init__(self, needs: tuple[Choice, ...]) -> None:
        super().__init__()
        self._needs = needs
        self.lines: list[_Line] = []
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(4)
        self._grid.setColumnStretch(0, 1)
        add = QPushButton("Add photos …")
        add.setAutoDefault(False)
        add.clicked.connect(self._choose)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addLayout(self._grid)
        column.addWidget(add)
        self.setAccessibleName("Photos")

    def add_photo(self, path: Path) -> None:
        line = _Line(path, self._needs)
        number = len(self.lines)
        for place, widget in enumerate((line.title, line.direction, line.tape, line.need)):
            self._grid.addWidget(widget, number, place)
        self.lines.append(line)
        self.added.emit(str(path))
        self.changed.emit()

    def draft_text(self) -> str:
        return json.dumps([str(line.path) for line in self.lines]) if self.lines else ""

    def restore_draft(self, text: str) -> None:
        for line in self.lines:
            for widget in (line.title, line.direction, line.tape, line.need):
                widget.deleteLater()
        self.lines = []
        for name in json.loads(text) if text else ():
            if Path(name).is_file():
                self.add_photo(Path(name))

    def _choose(self) -> None:
        paths, _ = QFileDialog.getOpenFileNames(
            self, "Photos of the work", "", "Pictures (*.jpg *.jpeg *.png *.heic)"
        )
        for path in paths:
            self.add_photo(Path(path))
