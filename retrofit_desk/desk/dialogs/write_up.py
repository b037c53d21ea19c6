"""Write up the work: one sitting at the kitchen table for a day's work."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QCheckBox, QComboBox, QLineEdit, QPlainTextEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.fields import DateField, QuantityField
from retrofit_desk.desk.widgets.photos_field import PhotosField
from retrofit_desk.desk.widgets.places_field import PlacesField
from retrofit_desk.desk.widgets.rows_field import RowsField
from retrofit_desk.desk.widgets.stated_field import StatedField
from retrofit_desk.desk.widgets.tests_field import TestsField
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.work_log import (
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

KEPT = "the entry was kept half finished"


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
        self.resize(self.fontMetrics().averageCharWidth() * 120, self.fontMetrics().lineSpacing() * 36)
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
        self.items = RowsField("Products", ("Product", "Make", "Model", "Serial"))
        self.settings = RowsField("Settings", ("Setting", "Value"))
        self.photos = PhotosField(filing.needs)
        self.photos.added.connect(self._serial_from_photo)
        self.tests = TestsField(self.desk, self._choices.tests, KEPT)
        self.photos.changed.connect(lambda: self.tests.set_photos([line.path for line in self.photos.lines]))
        self.tests.changed.connect(self._keep.start)
        self.notes, self.change, self.left_open = QPlainTextEdit(), QPlainTextEdit(), QPlainTextEdit()
        for box in (self.notes, self.change, self.left_open):
            box.setTabChangesFocus(True)
            box.setFixedHeight(self.fontMetrics().lineSpacing() * 3)
        self.complete = QCheckBox("With this, everything is fitted")

    def record(self) -> None:
        day = self.worked_on.value()
        if day is None:
            raise EntryUnclear("no date", where="Date", kept=KEPT, do="say on which day the work was done")
        firm_id: int | None = self.firm.currentData()
        self.written = self._log.record(
            WriteUp(
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
                    WrittenPlace(
                        place.room.subject_id,
                        place.surface.subject_id if place.surface else None,
                        place.inside,
                    )
                    for place in self.places.places()
                ),
                items=tuple(WrittenItem(row[0], row[1], row[2], row[3]) for row in self.items.rows()),
                settings=tuple(WrittenSetting(row[0], row[1]) for row in self.settings.rows()),
                tests=self.tests.written(),
                photos=self._photos(),
            )
        )

    def _photos(self) -> tuple[WrittenPhoto, ...]:
        places = self.places.places()
        first = places[0] if places else None
        return tuple(
            WrittenPhoto(
                path=line.path,
                title=line.title.text().strip() or line.path.stem,
                room_id=first.room.subject_id if first else None,
                surface_id=first.surface.subject_id if first and first.surface else None,
                direction=line.way(),
                tape_in_view=line.tape.isChecked(),
                answers_need_id=line.need_id(),
            )
            for line in self.photos.lines
        )

    def _serial_from_photo(self, path: str) -> None:
        """A serial in a photo's file name goes into the products, to be completed there."""
        serial = serial_from_name(Path(path))
        if serial and all(serial not in row for row in self.items.rows()):
            self.items.add_row(("", "", "", serial))
