"""Photos that go with a write-up: add them, say what each one answers."""

from __future__ import annotations

import json
from collections.abc import Sequence
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

from retrofit_desk.desk.widgets.places_field import ChosenPlace
from retrofit_desk.services.papers import Choice, Direction, Use

NOTHING = "–"


class PhotoLine:
    """One photo: its title, what it shows, which way the camera looked, the tape, the hold it answers."""

    def __init__(self, path: Path, needs: tuple[Choice, ...]) -> None:
        self.path = path
        self.title = QLineEdit(path.stem.replace("_", " "))
        self.shows, self.direction, self.need = QComboBox(), QComboBox(), QComboBox()
        self.direction.addItems([NOTHING, *(str(way) for way in Direction)])
        self.tape = QCheckBox("tape")
        self.need.addItem("answers nothing", None)
        for box in (self.need, self.shows):
            box.setMinimumContentsLength(16)
            box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        for choice in needs:
            self.need.addItem(choice.words, choice.use)
        for widget, words in (
            (self.title, "title"),
            (self.shows, "shows"),
            (self.direction, "camera looked"),
            (self.tape, "a tape is in view"),
            (self.need, "answers"),
        ):
            widget.setAccessibleName(f"Photo {path.name}, {words}")

    @property
    def widgets(self) -> tuple[QWidget, ...]:
        return self.title, self.shows, self.direction, self.tape, self.need

    def place(self) -> ChosenPlace | None:
        """What it shows; the first place of the entry unless another is chosen."""
        chosen: ChosenPlace | None = self.shows.currentData()
        return chosen

    def offer(self, places: Sequence[ChosenPlace]) -> None:
        """What it may show; the one chosen before stays chosen while it is among them."""
        chosen = self.shows.currentText()
        self.shows.clear()
        for place in places:
            self.shows.addItem(place.words, place)
        if not places:
            self.shows.addItem("no room", None)
        self.shows.setCurrentIndex(max(0, self.shows.findText(chosen)))

    def texts(self) -> list[str]:
        boxes = (self.shows.currentText(), self.direction.currentText(), self.need.currentText())
        return [str(self.path), self.title.text(), "tape" if self.tape.isChecked() else "", *boxes]

    def set_texts(self, title: str, tape: str, shows: str, direction: str, need: str) -> None:
        self.title.setText(title)
        self.tape.setChecked(tape == "tape")
        for box, text in ((self.shows, shows), (self.direction, direction), (self.need, need)):
            box.setCurrentText(text)

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
        self._places: tuple[ChosenPlace, ...] = ()
        self.lines: list[PhotoLine] = []
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

    def set_places(self, places: Sequence[ChosenPlace]) -> None:
        """The places of this entry, any of which a photo may show."""
        self._places = tuple(places)
        for line in self.lines:
            line.offer(self._places)

    def add_photo(self, path: Path) -> PhotoLine:
        line = PhotoLine(path, self._needs)
        line.offer(self._places)
        number = len(self.lines)
        for place, widget in enumerate(line.widgets):
            self._grid.addWidget(widget, number, place)
        line.title.textChanged.connect(lambda _text: self.changed.emit())
        line.tape.toggled.connect(lambda _on: self.changed.emit())
        for box in (line.shows, line.direction, line.need):
            box.activated.connect(lambda _index: self.changed.emit())
        self.lines.append(line)
        self.added.emit(str(path))
        self.changed.emit()
        return line

    def draft_text(self) -> str:
        return json.dumps([line.texts() for line in self.lines], ensure_ascii=False) if self.lines else ""

    def restore_draft(self, text: str) -> None:
        for line in self.lines:
            for widget in line.widgets:
                widget.deleteLater()
        self.lines = []
        for path, *texts in json.loads(text) if text else ():
            if Path(path).is_file():
                self.add_photo(Path(path)).set_texts(*texts)

    def _choose(self) -> None:
        paths, _ = QFileDialog.getOpenFileNames(
            self, "Photos of the work", "", "Pictures (*.jpg *.jpeg *.png *.heic)"
        )
        for path in paths:
            self.add_photo(Path(path))
