"""The forms of a visit: book it, record its result, put a correction right."""

from __future__ import annotations

from datetime import date

from PySide6.QtWidgets import QCheckBox, QComboBox, QLineEdit, QPlainTextEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.facts_form import FieldEmpty
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.choice_box import choice_box
from retrofit_desk.desk.widgets.fields import DateField
from retrofit_desk.desk.widgets.file_field import FileField
from retrofit_desk.desk.widgets.rows_field import RowsField
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.rules.permits import InspectionResult
from retrofit_desk.services.booking import BookingService
from retrofit_desk.services.holds import HoldEffect
from retrofit_desk.services.permit_sheet import CorrectionLine, PermitSheet, VisitSheet
from retrofit_desk.services.permits import PermitService
from retrofit_desk.services.visits import (
    RESULTS,
    Booking,
    NewVisit,
    VisitResult,
    VisitService,
    WrittenCorrection,
)
from retrofit_desk.values.dates import day_text


class BookVisitDialog(FormDialog):
    """The day, the window and the number that the office gave."""

    def __init__(self, desk: Desk, parent: QWidget | None, visit: VisitSheet) -> None:
        super().__init__(desk, parent, f"book:{visit.id}", f"Book: {visit.title}")
        self._visit_id = visit.id
        if visit.ready:
            self.body.insertWidget(0, soft_label(f"Have ready at the door: {'; '.join(visit.ready)}."))
        self._office_id = visit.office_id
        if visit.booking is not None:
            self.body.insertWidget(0, soft_label(visit.booking.sentence()))
        self.day = DateField(desk, "Day", desk.service(PermitService).today())
        self.day.set_value(visit.booked_for)
        if visit.earliest is not None:
            self.day.setPlaceholderText(f"{day_text(visit.earliest)} at the earliest")
        self.between = QComboBox()
        self.between.setEditable(True)
        self.between.addItems(list(visit.booking.slots) if visit.booking is not None else [])
        self.between.setCurrentText(visit.booked_window)
        self.between.setPlaceholderText("8 to 12")
        self.number = QLineEdit(visit.booking_number)
        self.add("Day", "day", self.day)
        self.add("Between", "window", self.between)
        self.add("Booking number", "number", self.number)
        self.told = soft_label()
        self.body.addWidget(self.told)
        self.body.addStretch(1)
        self.resize(self.width(), self.fontMetrics().lineSpacing() * 17)
        self.begin()
        self.day.changed.connect(self.look)
        self.look()

    def look(self) -> None:
        """Say when the day is not one this office usually gives; it is recorded all the same."""
        day = self.day.value()
        self.told.setText(
            self.desk.service(BookingService).does_not_fit(self._office_id, day) if day is not None else ""
        )

    def record(self) -> None:
        booking = Booking(_day(self.day), self.between.currentText(), self.number.text())
        self.desk.service(VisitService).book(self._visit_id, booking)


class AddVisitDialog(FormDialog):
    """One more visit that the office asks for, and its place in the order."""

    def __init__(self, desk: Desk, parent: QWidget | None, sheet: PermitSheet) -> None:
        super().__init__(desk, parent, f"visit:{sheet.id}", f"Add a visit: {sheet.title}")
        self._permit_id = sheet.id
        self._kinds = sheet.usual_kinds
        self.visit_id: int | None = None
        self.name = QLineEdit()
        self.add("What the inspector looks at", "title", self.name)
        kinds = [(number, title) for number, (_kind, title) in enumerate(self._kinds)]
        self.kind = choice_box(kinds, "another kind")
        self.kind.setToolTip("The kind tells what must have passed before, and what to have ready")
        self.add("Kind", "kind", self.kind)
        self.after = choice_box([(one.id, one.title) for one in sheet.visits], "nothing: it is the first")
        self.after.setCurrentIndex(self.after.count() - 1)
        self.add("Comes after", "after", self.after)
        self.is_final = QCheckBox("It is the final: passing it closes the permit")
        self.add("", "final", self.is_final)
        self.kind.currentIndexChanged.connect(lambda _index: self._name_it())
        self.body.addStretch(1)
        self.resize(self.width(), self.fontMetrics().lineSpacing() * 15)
        self.begin()

    def record(self) -> None:
        number: int | None = self.kind.currentData()
        kind = "" if number is None else self._kinds[number][0]
        new = NewVisit(self.name.text(), kind, self.after.currentData(), self.is_final.isChecked())
        self.visit_id = self.desk.service(VisitService).add_visit(self._permit_id, new)

    def _name_it(self) -> None:
        """The usual name of the kind, until the owner typed another one."""
        usual = {"", *(title for _kind, title in self._kinds)}
        if self.kind.currentData() is not None and self.name.text() in usual:
            self.name.setText(self.kind.currentText())


class VisitResultDialog(FormDialog):
    """What the inspector said; `effect` tells what it frees after *Record*."""

    def __init__(self, desk: Desk, parent: QWidget | None, visit: VisitSheet) -> None:
        super().__init__(desk, parent, f"result:{visit.id}", f"Result: {visit.title}")
        self._visit_id = visit.id
        self.effect: HoldEffect | None = None
        today = desk.service(PermitService).today()
        self.day = DateField(desk, "Day of the visit", today)
        self.day.set_value(min(visit.booked_for, today) if visit.booked_for else today)
        self.outcome = choice_box(
            [(number, str(one)) for number, one in enumerate(RESULTS)], "choose the result"
        )
        self.inspector = QLineEdit(visit.inspector)
        self.corrections = RowsField("Corrections", ("To put right", "Code section"))
        self.paper = FileField("Report or list")
        self.notes = QPlainTextEdit(visit.notes)
        self.notes.setTabChangesFocus(True)
        self.notes.setFixedHeight(self.fontMetrics().lineSpacing() * 3)
        for words, name, widget in (
            ("Day of the visit", "day", self.day),
            ("Result", "result", self.outcome),
            ("Inspector", "inspector", self.inspector),
            ("Corrections", "corrections", self.corrections),
            ("Report or list", "paper", self.paper),
            ("Notes", "notes", self.notes),
        ):
            self.add(words, name, widget)
        self.body.addStretch(1)
        self.resize(self.width(), self.fontMetrics().lineSpacing() * 24)
        self.begin()

    def record(self) -> None:
        number: int | None = self.outcome.currentData()
        if number is None:
            raise FieldEmpty(
                "this cannot be left empty", where="Result", do="choose passed, in part or failed"
            )
        result: InspectionResult = RESULTS[number]
        self.effect = self.desk.service(VisitService).record_result(
            self._visit_id,
            VisitResult(
                visited_on=_day(self.day),
                result=result,
                inspector=self.inspector.text(),
                corrections=tuple(WrittenCorrection(row[0], row[1]) for row in self.corrections.rows()),
                notes=self.notes.toPlainText(),
                paper=self.paper.path(),
            ),
        )


class CloseCorrectionDialog(FormDialog):
    """How it was put right, with a photo where there is one."""

    def __init__(self, desk: Desk, parent: QWidget | None, correction: CorrectionLine) -> None:
        super().__init__(desk, parent, f"correction:{correction.id}", "Put right")
        self._correction_id = correction.id
        self.effect: HoldEffect | None = None
        said = ", ".join(part for part in (correction.text, correction.code_reference) if part)
        self.body.insertWidget(0, soft_label(said))
        self.how = QPlainTextEdit()
        self.how.setTabChangesFocus(True)
        self.how.setFixedHeight(self.fontMetrics().lineSpacing() * 3)
        self.photo = FileField("Photo of it")
        self.add("How it was put right", "how", self.how)
        self.add("Photo of it", "photo", self.photo)
        self.body.addStretch(1)
        self.resize(self.width(), self.fontMetrics().lineSpacing() * 14)
        self.begin()

    def record(self) -> None:
        self.effect = self.desk.service(VisitService).close_correction(
            self._correction_id, self.how.toPlainText(), self.photo.path()
        )


def _day(field: DateField) -> date:
    day = field.value()
    if day is None:
        raise FieldEmpty("this cannot be left empty", where=field.name, do="type the date")
    return day
