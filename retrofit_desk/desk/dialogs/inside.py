"""Find what is inside a wall or floor: the face drawn, its photos and tests, one page, one phone picture."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtGui import QPixmap
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.facts_form import FactsForm, FieldEmpty
from retrofit_desk.desk.widgets.choice_box import choice_box
from retrofit_desk.desk.widgets.fields import QuantityField
from retrofit_desk.desk.widgets.lines import StackedLine, StackedList
from retrofit_desk.desk.widgets.scroll_pane import ScrollPane
from retrofit_desk.desk.widgets.text import SectionHeading
from retrofit_desk.services.inside import HiddenKind, InsideService, WrittenHidden
from retrofit_desk.values.quantity import Dimension

KINDS = tuple(HiddenKind)


class InsideDialog(QDialog):
    """Choose a face; everything recorded in it stands below."""

    def __init__(self, desk: Desk, parent: QWidget | None, surface_id: int | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Inside a wall or floor")
        self._desk, self._inside = desk, desk.service(InsideService)
        self.face = choice_box(self._inside.faces())
        self.face.setAccessibleName("Wall or floor")
        self.picture = QLabel()
        self.picture.setAccessibleName("The face with what is inside")
        self.picture.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignHCenter)
        self.written = StackedList(desk, "Written down", "Nothing was written down about this face.")
        self.photos = StackedList(desk, "Photos", "No photo of this face is filed.")
        pane = ScrollPane()
        for head, part in (("Written down and tested", self.written), ("Photos", self.photos)):
            pane.column.addWidget(SectionHeading(head))
            pane.column.addWidget(part)
        pane.column.addStretch(1)
        middle = QHBoxLayout()
        middle.addWidget(self.picture, 1)
        middle.addWidget(pane, 1)
        column = QVBoxLayout(self)
        column.addWidget(self.face)
        column.addLayout(middle, 1)
        column.addLayout(self._buttons())
        self.resize(1000, 640)
        at = self.face.findData(surface_id)
        self.face.setCurrentIndex(max(at, 0))
        self.face.currentIndexChanged.connect(lambda _at: self.refresh())
        self.refresh()

    def refresh(self) -> None:
        surface_id: int | None = self.face.currentData()
        if surface_id is None:
            return
        with self._desk.notices.caught(), tempfile.TemporaryDirectory() as place:
            found = self._inside.look(surface_id, self._desk.units)
            path = self._inside.write_phone(surface_id, Path(place) / "inside.png", self._desk.units)
            picture = QPixmap(str(path))
            smooth = Qt.TransformationMode.SmoothTransformation
            self.picture.setPixmap(picture.scaledToHeight(540, smooth))
            self.picture.setAccessibleDescription(
                "; ".join(f"{one.kind} {one.words}" for one in found.things)
            )
            lines = (*found.written, *found.tests, *found.shut_offs)
            self.written.set_lines([StackedLine(line) for line in lines])
            self.photos.set_lines([StackedLine(one.title, one.direction) for one in found.photos])

    def _buttons(self) -> QHBoxLayout:
        row = QHBoxLayout()
        row.addStretch(1)
        for words, run in (
            ("Mark something inside …", self.mark),
            ("Page for the printer …", self.save_page),
            ("Picture for the phone …", self.save_phone),
            ("Close", self.reject),
        ):
            button = QPushButton(words)
            button.setAutoDefault(False)
            button.clicked.connect(lambda _checked=False, run=run: run())
            row.addWidget(button)
        return row

    def mark(self) -> None:
        """Write down where something lies."""
        surface_id: int | None = self.face.currentData()
        if (
            surface_id is not None
            and MarkDialog(self._desk, self, surface_id, self.face.currentText()).exec()
        ):
            self.refresh()

    def save_page(self) -> None:
        self._save("PDF (*.pdf)", ".pdf", self._inside.write_page)

    def save_phone(self) -> None:
        self._save("PNG (*.png)", ".png", self._inside.write_phone)

    def _save(self, kinds: str, ending: str, write: Callable[..., Path]) -> None:
        name = self.face.currentText().replace("/", " ") + ending
        picked, _ = QFileDialog.getSaveFileName(self, "Save", name, kinds)
        if picked:
            with self._desk.notices.caught():
                path = write(self.face.currentData(), Path(picked).with_suffix(ending), self._desk.units)
                self._desk.notices.tell(f"Written: {path.name}.")


class MarkDialog(FactsForm):
    """One thing inside: where it begins and, for a run, where it ends."""

    def __init__(self, desk: Desk, parent: QWidget | None, surface_id: int, face: str) -> None:
        super().__init__(desk, parent, f"inside:{surface_id}", f"Mark something inside: {face}")
        self._surface_id = surface_id
        self.kind = QComboBox()
        self.kind.addItems([str(one) for one in KINDS])
        self.add("Kind", "kind", self.kind)
        self.name = self.add_line("What it is", "name", "")
        length = Dimension.LENGTH
        self.from_left = self.add_quantity("From the left", "x", length, None, low_si=0.0)
        self.upward = self.add_quantity("Up from the floor", "y", length, None, low_si=0.0)
        self.to_x = self.add_quantity("Runs to, from the left", "to x", length, None, low_si=0.0)
        self.to_y = self.add_quantity("Runs to, up", "to y", length, None, low_si=0.0)
        self.deep = self.add_quantity("Depth", "depth", Dimension.THICKNESS, None, low_si=0.0)
        self.remark = self.add_line("Notes", "notes", "")
        self.body.addStretch(1)
        self.begin()

    def record(self) -> None:
        first, last = _point(self.from_left, self.upward), _point(self.to_x, self.to_y)
        if first is None:
            raise FieldEmpty("this cannot be left empty", where="From the left", do="measure from the corner")
        self.desk.service(InsideService).mark(
            WrittenHidden(
                KINDS[self.kind.currentIndex()],
                self.name.text(),
                self._surface_id,
                (first,) if last is None else (first, last),
                self.deep.value(),
                self.remark.text(),
            )
        )


def _point(x: QuantityField, y: QuantityField) -> tuple[float, float] | None:
    """Both or neither. Raises `FieldEmpty` for one without the other."""
    left, up = x.value(), y.value()
    if left is None and up is None:
        return None
    if left is None or up is None:
        raise FieldEmpty("a point needs both distances", where=x.name, do="type the other one")
    return left, up
