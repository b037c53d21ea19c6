"""Where pipes, cables, studs lie inside a wall or floor: one line for each, typed from the tape."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QGridLayout, QLabel, QLineEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.widgets.fields import QuantityField
from retrofit_desk.services.inside import HiddenKind, MarkUnclear, WrittenHidden
from retrofit_desk.values.quantity import Dimension

KINDS = tuple(HiddenKind)
NO_FACE = "name the wall above"
HEADINGS = ("Wall or floor", "Kind", "What it is", "From left", "Up", "To, left", "To, up", "Depth")
HOW = "Distances from the lower left corner of the face, seen from the room; a run has a second point."
_Point = tuple[float, float]


@dataclass(frozen=True)
class _Line:
    """One thing inside; the lengths are where it begins, where a run ends, and how deep it lies."""

    face: QComboBox
    kind: QComboBox
    name: QLineEdit
    lengths: tuple[QuantityField, ...]

    @property
    def is_used(self) -> bool:
        return any(box.text().strip() for box in (self.name, *self.lengths))

    def texts(self) -> list[str]:
        return [
            self.face.currentText(),
            self.kind.currentText(),
            self.name.text(),
            *(box.text() for box in self.lengths),
        ]


class MarksField(QWidget):
    """A small grid; Tab goes through it, no mouse is needed. A new line opens when the last one is used."""

    changed = Signal()

    def __init__(
        self,
        desk: Desk,
        faces: Sequence[tuple[int, str]],
        kept: str,
        corrected: WrittenHidden | None = None,
    ) -> None:
        """`faces`: (id, words) of what a mark may lie in; `kept`: what an error says was kept.

        With `corrected` there is one line, which begins as that mark stands.
        """
        super().__init__()
        self._desk, self._faces, self._kept = desk, tuple(faces), kept
        self._corrected = corrected
        self.lines: list[_Line] = []
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(4)
        self._grid.setVerticalSpacing(3)
        for column, heading in enumerate(HEADINGS):
            label = QLabel(heading)
            label.setProperty("role", "soft")
            self._grid.addWidget(label, 0, column)
            self._grid.setColumnStretch(column, (3, 2, 4, 1, 1, 1, 1, 1)[column])
        self.setAccessibleName("Marks inside")
        self.setToolTip(HOW)
        self._open_line()
        if corrected is not None:
            self._fill(self.lines[0], corrected)

    def set_faces(self, faces: Sequence[tuple[int, str]]) -> None:
        """Offer these; a face chosen before stays chosen while it is among them."""
        self._faces = tuple(faces)
        for line in self.lines:
            chosen: int | None = line.face.currentData()
            self._fill_faces(line.face)
            line.face.setCurrentIndex(max(0, line.face.findData(chosen)))

    def written(self) -> tuple[WrittenHidden, ...]:
        """Every mark as typed. Raises `MarkUnclear` for a line that says too little."""
        return tuple(self._read(number, line) for number, line in enumerate(self.lines, 1) if line.is_used)

    def draft_text(self) -> str:
        told = [line.texts() for line in self.lines if line.is_used]
        return json.dumps(told, ensure_ascii=False) if told else ""

    def restore_draft(self, text: str) -> None:
        for line in self.lines:
            line.name.clear()
            for length in line.lengths:
                length.set_value(None)
        for face, kind, name, *lengths in json.loads(text) if text else ():
            line = self.lines[-1]
            line.face.setCurrentText(face)
            line.kind.setCurrentText(kind)
            line.name.setText(name)
            for box, typed in zip(line.lengths, lengths, strict=True):
                box.restore_draft(typed)

    def _read(self, number: int, line: _Line) -> WrittenHidden:
        where = f"Mark {number}"
        for box in line.lengths:
            if not box.settle():
                raise MarkUnclear("a length cannot be read", where=where, kept=self._kept, do="type it again")
        face_id: int | None = line.face.currentData()
        if face_id is None:
            raise MarkUnclear(
                "no wall is named", where=where, kept=self._kept, do="say where the work was done"
            )
        left, up, to_left, to_up, deep = line.lengths
        first, last = self._point(where, left, up), self._point(where, to_left, to_up)
        was = self._corrected
        bends = was.path[1:-1] if was is not None and last is not None else ()
        return WrittenHidden(
            KINDS[line.kind.currentIndex()],
            line.name.text().strip() or line.kind.currentText(),
            face_id,
            tuple(point for point in (first, *bends, last) if point is not None),
            deep.value(),
            was.notes if was is not None else "",
        )

    def _fill(self, line: _Line, told: WrittenHidden) -> None:
        line.face.setCurrentIndex(max(0, line.face.findData(told.surface_id)))
        line.kind.setCurrentText(str(told.kind))
        line.name.setText(told.name)
        first = told.path[0] if told.path else (None, None)
        last = told.path[-1] if len(told.path) > 1 else (None, None)
        for box, value in zip(line.lengths, (*first, *last, told.depth_m), strict=True):
            box.set_value(value)

    def _point(self, where: str, left: QuantityField, up: QuantityField) -> _Point | None:
        """Both or neither. Raises `MarkUnclear` for one without the other."""
        x, y = left.value(), up.value()
        if x is None and y is None:
            return None
        if x is None or y is None:
            raise MarkUnclear(
                "a point needs both distances", where=where, kept=self._kept, do="type the other"
            )
        return x, y

    def _open_line(self) -> None:
        number = len(self.lines) + 1
        face, kind, name = QComboBox(), QComboBox(), QLineEdit()
        for box, least in ((face, 14), (kind, 9)):
            box.setMinimumContentsLength(least)
            box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        kind.addItems([str(one) for one in KINDS])
        self._fill_faces(face)
        for widget, words in ((face, HEADINGS[0]), (kind, HEADINGS[1]), (name, HEADINGS[2])):
            widget.setAccessibleName(f"Mark {number}, {words}")
        names = ("from the left", "up from the floor", "runs to, from the left", "runs to, up", "depth")
        lengths = tuple(
            QuantityField(
                self._desk,
                f"Mark {number}, {words}",
                Dimension.THICKNESS if words == "depth" else Dimension.LENGTH,
                low_si=0.0,
            )
            for words in names
        )
        line = _Line(face, kind, name, lengths)
        cells: tuple[QWidget, ...] = (face, kind, name, *lengths)
        for column, cell in enumerate(cells):
            self._grid.addWidget(cell, number, column)
        for typed in (name, *lengths):
            typed.textChanged.connect(lambda _text: self._typed())
        for box in (face, kind):
            box.currentIndexChanged.connect(lambda _index: self.changed.emit())
        self.lines.append(line)

    def _fill_faces(self, box: QComboBox) -> None:
        box.clear()
        for face_id, words in self._faces:
            box.addItem(words, face_id)
        if not self._faces:
            box.addItem(NO_FACE, None)

    def _typed(self) -> None:
        if self.lines[-1].is_used and self._corrected is None:
            self._open_line()
        self.changed.emit()
