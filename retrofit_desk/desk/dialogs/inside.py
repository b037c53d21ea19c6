"""Find what is inside a wall or floor: the face drawn, its photos and tests, one page, one phone picture."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtGui import QPixmap
from PySide6.QtWidgets import (
    QDialog,
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.facts_form import FieldEmpty
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.choice_box import choice_box
from retrofit_desk.desk.widgets.lines import StackedLine, StackedList
from retrofit_desk.desk.widgets.marks_field import HOW, MarksField
from retrofit_desk.desk.widgets.scroll_pane import ScrollPane
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.services.inside import InsideService


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
            self.written.set_lines([StackedLine(line) for line in found.lines])
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


class MarkDialog(FormDialog):
    """Things inside one face: where each begins and, for a run, where it ends."""

    def __init__(self, desk: Desk, parent: QWidget | None, surface_id: int, face: str) -> None:
        super().__init__(desk, parent, f"inside:{surface_id}", f"Mark something inside: {face}")
        self.body.insertWidget(0, soft_label(HOW))
        self.marks = MarksField(desk, ((surface_id, face),), "nothing was marked")
        self.marks.changed.connect(self._keep.start)
        self.body.addWidget(self.marks)
        self.watch("marks", self.marks)
        self.body.addStretch(1)
        self.resize(self.fontMetrics().averageCharWidth() * 130, self.fontMetrics().lineSpacing() * 16)
        self.begin()

    def record(self) -> None:
        things = self.marks.written()
        if not things:
            raise FieldEmpty("nothing is marked", where=self.windowTitle(), do="type what lies where")
        self.desk.service(InsideService).mark(*things)
