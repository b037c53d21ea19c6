"""Write up the work: one sitting at the kitchen table for a day's work."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from PySide6.QtWidgets import QCheckBox, QComboBox, QLineEdit, QPlainTextEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.dialogs.reason import STAYS, ask_reason
from retrofit_desk.desk.widgets.fields import DateField, QuantityField
from retrofit_desk.desk.widgets.marks_field import MarksField
from retrofit_desk.desk.widgets.photos_field import PhotoLine, PhotosField
from retrofit_desk.desk.widgets.places_field import ChosenPlace, PlacesField
from retrofit_desk.desk.widgets.rows_field import RowsField
from retrofit_desk.desk.widgets.stated_field import StatedField
from retrofit_desk.desk.widgets.tests_field import TestsField
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.rules.holds import NotYet
from retrofit_desk.services.work_log import (
    KEPT,
    EntryUnclear,
    WorkLogService,
    WriteUp,
    WrittenItem,
    WrittenPhoto,
    WrittenPlace,
    WrittenSetting,
    WrittenUp,
    serial_from_name,
)
from retrofit_desk.values.quantity import Dimension
from retrofit_desk.values.stated import Stated, StatedValue


class WriteUpDialog(FormDialog):
    """The form for one measure; `written` tells the answer after *Record*."""

    def __init__(self, desk: Desk, parent: QWidget | None, measure_id: int) -> None:
        self._log = desk.service(WorkLogService)
        self._choices = self._log.choices(measure_id)
        super().__init__(desk, parent, f"write-up:{measure_id}", f"Write up the work: {self._choices.title}")
        self._measure_id = measure_id
        self.written: WrittenUp | None = None
        for sentence in self._choices.waiting:
            self.body.insertWidget(0, soft_label(sentence))
        self._build_fields()
        self.resize(self.fontMetrics().averageCharWidth() * 136, self.fontMetrics().lineSpacing() * 36)
        self.begin()

    def _build_fields(self) -> None:
        self._make_who_and_when()
        self._make_what()
        rows: tuple[tuple[str, str, QWidget], ...] = (
            ("Date", "date", self.worked_on),
            ("Who", "who", self.who),
            ("Firm", "firm", self.firm),
            ("Hours", "hours", self.hours),
            ("Where", "places", self.places),
            ("What was done", "notes", self.notes),
            ("Lies inside", "marks", self.marks),
            ("Products", "items", self.items),
            ("Settings", "settings", self.settings),
            ("Photos", "photos", self.photos),
            ("Tests", "tests", self.tests),
            ("Not as planned", "change", self.change),
            ("Still open", "open", self.left_open),
            ("", "complete", self.complete),
        )
        for words, name, widget in rows:
            self.add(words, name, widget)

    def _make_who_and_when(self) -> None:
        self.worked_on = DateField(self.desk, "Date", self._log.today())
        self.worked_on.set_value(self._log.today())
        self.who, self.firm = QLineEdit(), QComboBox()
        self.firm.addItem("own work", None)
        for firm_id, name in self._choices.firms:
            self.firm.addItem(name, firm_id)
        self.hours = StatedField(QuantityField(self.desk, "Hours", Dimension.TIME, low_si=0.0))
        self.hours.set_stated(StatedValue(None, Stated.NOT_STATED))

    def _make_what(self) -> None:
        filing = self._choices.filing
        self.places = PlacesField(filing.rooms, filing.surfaces)
        self.marks = MarksField(self.desk, (), KEPT)
        self.items = RowsField("Products", ("Product", "Make", "Model", "Serial"))
        self.settings = RowsField("Settings", ("Setting", "Value"))
        self.photos = PhotosField(filing.needs)
        self.photos.added.connect(self._serial_from_photo)
        self.places.changed.connect(self._places_chosen)
        for field in (self.places, self.marks, self.photos):
            field.changed.connect(self._keep.start)
        self.tests = TestsField(self.desk, self._choices.tests, KEPT)
        self.photos.changed.connect(lambda: self.tests.set_photos([line.path for line in self.photos.lines]))
        self.tests.changed.connect(self._keep.start)
        self.notes, self.change, self.left_open = QPlainTextEdit(), QPlainTextEdit(), QPlainTextEdit()
        for box in (self.notes, self.change, self.left_open):
            box.setTabChangesFocus(True)
            box.setFixedHeight(self.fontMetrics().lineSpacing() * 3)
        self.complete = QCheckBox("With this, everything is fitted")

    def record(self) -> None:
        """Past a hold that is shut the work is recorded for a written reason only."""
        told = self._told()
        try:
            self.written = self._log.record(told)
        except NotYet as shut:
            reason = ask_reason(self.desk, self, "Go on for a reason", shut.what, STAYS)
            if reason is None:
                raise
            self.written = self._log.record(replace(told, reason=reason))

    def _told(self) -> WriteUp:
        """The day's work as typed. Raises a `DeskError` for what is missing or cannot be read."""
        day = self.worked_on.value()
        if day is None:
            raise EntryUnclear("no date", where="Date", kept=KEPT, do="say on which day the work was done")
        firm_id: int | None = self.firm.currentData()
        return WriteUp(
            measure_id=self._measure_id,
            worked_on=day,
            who=self.who.text(),
            firm_id=firm_id,
            hours=self.hours.stated(),
            notes=self.notes.toPlainText().strip(),
            change_from_plan=self.change.toPlainText().strip(),
            still_open=self.left_open.toPlainText().strip(),
            is_complete=self.complete.isChecked(),
            places=tuple(
                WrittenPlace(*_where(place), place.inside, place.is_covered) for place in self.places.places()
            ),
            items=tuple(WrittenItem(row[0], row[1], row[2], row[3]) for row in self.items.rows()),
            settings=tuple(WrittenSetting(row[0], row[1]) for row in self.settings.rows()),
            tests=self.tests.written(),
            photos=tuple(_photo(line) for line in self.photos.lines),
            hidden=self.marks.written(),
        )

    def _places_chosen(self) -> None:
        """Marks lie in the faces of these places, and photos show one of them."""
        self.marks.set_faces(self.places.faces())
        self.photos.set_places(self.places.places())

    def _serial_from_photo(self, path: str) -> None:
        """A serial in a photo's file name goes into the products, to be completed there."""
        serial = serial_from_name(Path(path))
        if serial and all(serial not in row for row in self.items.rows()):
            self.items.add_row(("", "", "", serial))


def _where(place: ChosenPlace) -> tuple[int, int | None]:
    return place.room.subject_id, place.surface.subject_id if place.surface is not None else None


def _photo(line: PhotoLine) -> WrittenPhoto:
    place = line.place()
    room_id, surface_id = _where(place) if place is not None else (None, None)
    return WrittenPhoto(
        path=line.path,
        title=line.title.text().strip() or line.path.stem,
        room_id=room_id,
        surface_id=surface_id,
        direction=line.way(),
        tape_in_view=line.tape.isChecked(),
        answers_need_id=line.need_id(),
    )
