"""Rooms and surfaces where work was done, with what lies inside them."""

from __future__ import annotations

import json
from dataclasses import dataclass

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QCheckBox, QComboBox, QGridLayout, QLabel, QLineEdit, QWidget

from retrofit_desk.services.papers import Choice, Use

NOTHING = "no room"


@dataclass(frozen=True)
class ChosenPlace:
    """A room, perhaps one of its surfaces, what is hidden there, and whether it was closed with this work."""

    room: Use
    surface: Use | None
    inside: str
    is_covered: bool
    words: str


class PlacesField(QWidget):
    """One line for each place; a new line opens when the last one names a room."""

    changed = Signal()

    def __init__(self, rooms: tuple[Choice, ...], surfaces: tuple[Choice, ...]) -> None:
        super().__init__()
        self._choices = rooms, surfaces
        self._lines: list[tuple[QComboBox, QComboBox, QLineEdit, QCheckBox]] = []
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
            ChosenPlace(
                room.currentData(),
                surface.currentData(),
                inside.text().strip(),
                closed.isChecked(),
                room.currentText()
                if surface.currentData() is None
                else f"{room.currentText()}, {surface.currentText()}",
            )
            for room, surface, inside, closed in self._lines
            if room.currentData() is not None
        )

    def faces(self) -> tuple[tuple[int, str], ...]:
        """The faces of the places chosen, (id, words): those named, and every one of a room taken whole."""
        found: dict[int, str] = {}
        for place in self.places():
            for choice in self._choices[1]:
                named = place.surface == choice.use
                whole = place.surface is None and choice.room_id == place.room.subject_id
                if whole:
                    found.setdefault(choice.use.subject_id, f"{place.words}, {choice.words}")
                elif named:
                    found.setdefault(choice.use.subject_id, place.words)
        return tuple(found.items())

    def draft_text(self) -> str:
        texts = [
            [room.currentText(), surface.currentText(), inside.text(), "yes" if closed.isChecked() else ""]
            for room, surface, inside, closed in self._lines
            if room.currentData()
        ]
        return json.dumps(texts, ensure_ascii=False) if texts else ""

    def restore_draft(self, text: str) -> None:
        for room, _surface, inside, closed in self._lines:
            room.setCurrentIndex(0)
            inside.clear()
            closed.setChecked(False)
        for room_text, surface_text, inside_text, *closed_text in json.loads(text) if text else ():
            room, surface, inside, closed = self._lines[-1]
            room.setCurrentText(room_text)
            surface.setCurrentText(surface_text)
            inside.setText(inside_text)
            closed.setChecked(closed_text == ["yes"])

    def _open_line(self) -> None:
        number = len(self._lines) + 1
        room, surface, inside, closed = QComboBox(), QComboBox(), QLineEdit(), QCheckBox("closed")
        closed.setToolTip("It was covered with this work")
        room.addItem(NOTHING, None)
        for choice in self._choices[0]:
            room.addItem(choice.words, choice.use)
        for box, words in (
            (room, "room"),
            (surface, "wall, floor or ceiling"),
            (inside, "what is inside"),
            (closed, "it was closed with this work"),
        ):
            box.setAccessibleName(f"Place {number}, {words}")
        for column, widget in enumerate((room, surface, inside, closed)):
            self._grid.addWidget(widget, number, column)
        self._lines.append((room, surface, inside, closed))
        self._fill_surfaces(room, surface)
        room.currentIndexChanged.connect(lambda _index: self._room_chosen(room, surface))
        surface.currentIndexChanged.connect(lambda _index: self.changed.emit())
        inside.textChanged.connect(lambda _text: self.changed.emit())
        closed.toggled.connect(lambda _on: self.changed.emit())

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
