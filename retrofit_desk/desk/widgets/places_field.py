"""Rooms and surfaces where work was done, with what lies inside them."""

from __future__ import annotations

import json
from dataclasses import dataclass

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QGridLayout, QLabel, QLineEdit, QWidget

from retrofit_desk.services.papers import Choice, Use

NOTHING = "no room"


@dataclass(frozen=True)
class ChosenPlace:
    """A room, perhaps one of its surfaces, and what will be hidden there."""

    room: Use
    surface: Use | None
    inside: str


class PlacesField(QWidget):
    """One line for each place; a new line opens when the last one names a room."""

    changed = Signal()

    def __init__(self, rooms: tuple[Choice, ...], surfaces: tuple[Choice, ...]) -> None:
        super().__init__()
        self._choices = rooms, surfaces
        self._lines: list[tuple[QComboBox, QComboBox, QLineEdit]] = []
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(4)
        self._grid.setVerticalSpacing(3)
        self._grid.setColumnStretch(2, 1)
        for column, heading in enumerate(("Room", "Wall, floor or ceiling", "What is inside it")):
            label = QLabel(heading)
            label.setProperty("role", "soft")
            self._grid.addWidget(label, 0, column)
        self.setAccessibleName("Places")
        self._open_line()

    def places(self) -> tuple[ChosenPlace, ...]:
        """What is chosen; lines without a room are left out."""
        return tuple(
            ChosenPlace(room.currentData(), surface.currentData(), inside.text().strip())
            for room, surface, inside in self._lines
            if room.currentData() is not None
        )

    def draft_text(self) -> str:
        texts = [[r.currentText(), s.currentText(), i.text()] for r, s, i in self._lines if r.currentData()]
        return json.dumps(texts, ensure_ascii=False) if texts else ""

    def restore_draft(self, text: str) -> None:
        for room, _surface, inside in self._lines:
            room.setCurrentIndex(0)
            inside.clear()
        for room_text, surface_text, inside_text in json.loads(text) if text else ():
            room, surface, inside = self._lines[-1]
            room.setCurrentText(room_text)
            surface.setCurrentText(surface_text)
            inside.setText(inside_text)

    def _open_line(self) -> None:
        number = len(self._lines) + 1
        room, surface, inside = QComboBox(), QComboBox(), QLineEdit()
        room.addItem(NOTHING, None)
        for choice in self._choices[0]:
            room.addItem(choice.words, choice.use)
        for box, words in ((room, "room"), (surface, "wall, floor or ceiling"), (inside, "what is inside")):
            box.setAccessibleName(f"Place {number}, {words}")
        for column, widget in enumerate((room, surface, inside)):
            self._grid.addWidget(widget, number, column)
        self._lines.append((room, surface, inside))
        self._fill_surfaces(room, surface)
        room.currentIndexChanged.connect(lambda _index: self._room_chosen(room, surface))
        surface.currentIndexChanged.connect(lambda _index: self.changed.emit())
        inside.textChanged.connect(lambda _text: self.changed.emit())

    def _room_chosen(self, room: QComboBox, surface: QComboBox) -> None:
        self._fill_surfaces(room, surface)
        if self._lines[-1][0].currentData() is not None:
            self._open_line()
        self.changed.emit()

    def _fill_surfaces(self, room: QComboBox, surface: QComboBox) -> None:
        chosen: Use | None = room.currentData()
        surface.clear()
        surface.addItem("all of it", None)
        for choice in self._choices[1]:
            if chosen is not None and choice.room_id == chosen.subject_id:
                surface.addItem(choice.words, choice.use)
