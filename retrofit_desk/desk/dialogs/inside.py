"""Find what is inside a wall or floor: the face drawn, its photos and tests, one page, one phone picture."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QDialog, QFileDialog, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.facts_form import FieldEmpty
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.pictures.canvas import Picture
from retrofit_desk.desk.pictures.face_inside import draw_inside
from retrofit_desk.desk.widgets.choice_box import choice_box
from retrofit_desk.desk.widgets.lines import LineButton, StackedLine, StackedList
from retrofit_desk.desk.widgets.marks_field import HOW, MarksField
from retrofit_desk.desk.widgets.scroll_pane import ScrollPane
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.services.inside import CAUTION, FoundInside, InsidePhoto, InsideService, KeptMark
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.place import Place

PICTURE_LINES = 17.0


class InsideDialog(QDialog):
    """Choose a face; it is drawn, and everything recorded in it stands below."""

    def __init__(self, desk: Desk, parent: QWidget | None, surface_id: int | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Inside a wall or floor")
        self._desk, self._inside = desk, desk.service(InsideService)
        self.face = choice_box(self._inside.faces())
        self.face.setAccessibleName("Wall or floor")
        self.picture = Picture(lambda: desk.theme, "The face with what is inside")
        self.marks = StackedList(desk, "Marked inside", "Nothing is marked on the drawing.")
        self.written = StackedList(desk, "Written down", "Nothing was written down about this face.")
        self.photos = StackedList(desk, "Photos", "No photo of this face is filed.")
        pane = ScrollPane()
        pane.column.addWidget(self.picture)
        for head, part in (
            ("Lies inside", self.marks),
            ("Written down and tested", self.written),
            ("Photos", self.photos),
        ):
            pane.column.addWidget(SectionHeading(head))
            pane.column.addWidget(part)
        pane.column.addWidget(soft_label(CAUTION))
        pane.column.addStretch(1)
        column = QVBoxLayout(self)
        column.addWidget(self.face)
        column.addWidget(pane, 1)
        column.addLayout(self._buttons())
        metrics = self.fontMetrics()
        self.resize(metrics.averageCharWidth() * 120, metrics.lineSpacing() * 34)
        at = self.face.findData(surface_id)
        self.face.setCurrentIndex(max(at, 0))
        self.face.currentIndexChanged.connect(lambda _at: self.refresh())
        self.refresh()

    def showEvent(self, event: QShowEvent) -> None:
        """No larger than the screen it opens on, whatever the text size."""
        super().showEvent(event)
        self.resize(self.size().boundedTo(self.screen().availableSize()))

    def refresh(self) -> None:
        surface_id: int | None = self.face.currentData()
        if surface_id is None:
            return
        with self._desk.notices.caught():
            found, units = self._inside.look(surface_id, self._desk.units), self._desk.units
            self.picture.set_drawing(
                lambda canvas: draw_inside(canvas, found, units),
                lines=PICTURE_LINES,
                told="; ".join(f"{one.kind} {one.words}" for one in found.things),
            )
            self.marks.set_lines(self._mark_lines(found))
            self.written.set_lines([StackedLine(line) for line in found.lines])
            self.photos.set_lines([self._photo_line(one) for one in found.photos])

    def _mark_lines(self, found: FoundInside) -> list[StackedLine]:
        return [
            StackedLine(
                f"{number}. {mark.written.kind}: {mark.words}",
                "; ".join(part for part in (mark.where, mark.written.notes, mark.came_with) if part),
                buttons=(
                    LineButton("Correct …", partial(self.correct, mark)),
                    LineButton("Take out", partial(self.take_out, mark)),
                ),
            )
            for number, mark in enumerate(found.marks, start=1)
        ]

    def _photo_line(self, photo: InsidePhoto) -> StackedLine:
        told = [
            day_text(photo.taken_on) if photo.taken_on else "",
            photo.direction and f"looking {photo.direction}",
            "tape in view" if photo.tape_in_view else "",
            "" if photo.path is not None else "its file is gone from the papers folder",
        ]
        show = LineButton("Show", lambda: self._go_to(photo.place))
        return StackedLine(photo.title, ", ".join(part for part in told if part), buttons=(show,))

    def _go_to(self, place: Place) -> None:
        self.reject()
        self._desk.go_to(place)

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

    def correct(self, mark: KeptMark) -> None:
        """It lies elsewhere, deeper, or in another face."""
        if CorrectMarkDialog(self._desk, self, mark).exec():
            self.refresh()

    def take_out(self, mark: KeptMark) -> None:
        """Undo brings it back."""
        with self._desk.notices.caught():
            self._inside.take_out(mark.id)
            self._desk.notices.tell(f"{mark.written.name} was taken out. Undo brings it back.")
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


class CorrectMarkDialog(FormDialog):
    """One mark as it stands, to be set right."""

    def __init__(self, desk: Desk, parent: QWidget | None, mark: KeptMark) -> None:
        super().__init__(desk, parent, f"mark:{mark.id}", f"Correct a mark: {mark.written.name}")
        self._inside, self._mark_id = desk.service(InsideService), mark.id
        self.body.insertWidget(0, soft_label(HOW))
        self.marks = MarksField(desk, self._inside.faces(), "the mark stays as it was", mark.written)
        self.marks.changed.connect(self._keep.start)
        self.body.addWidget(self.marks)
        self.watch("marks", self.marks)
        self.body.addStretch(1)
        self.resize(self.fontMetrics().averageCharWidth() * 130, self.fontMetrics().lineSpacing() * 12)
        self.begin()

    def record(self) -> None:
        things = self.marks.written()
        if not things:
            raise FieldEmpty(
                "the line is empty", where=self.windowTitle(), do="type it, or take the mark out"
            )
        self._inside.correct(self._mark_id, things[0])
