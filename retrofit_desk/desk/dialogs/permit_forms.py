"""The forms of a permit: a new one, and what the office fixed about one."""

from __future__ import annotations

from PySide6.QtWidgets import QCheckBox, QLineEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.facts_form import FieldEmpty, counted
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.pages.permits_words import final_words, permit_title
from retrofit_desk.desk.widgets.choice_box import choice_box
from retrofit_desk.desk.widgets.fields import DateField, MoneyField, QuantityField
from retrofit_desk.desk.widgets.file_field import FileField
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.holds import HoldEffect
from retrofit_desk.services.no_permit_yet import NoPermitYet
from retrofit_desk.services.permit_ends import PermitEndService
from retrofit_desk.services.permit_sheet import PermitSheet
from retrofit_desk.services.permits import KINDS, NewPermit, PermitDay, PermitService
from retrofit_desk.values.quantity import Dimension
from retrofit_desk.values.stated import Stated, StatedValue


class ChangePermitDialog(FormDialog):
    """Number and dates; a date of issue makes the permit issued. `effect` tells what that frees."""

    def __init__(self, desk: Desk, parent: QWidget | None, sheet: PermitSheet) -> None:
        super().__init__(desk, parent, f"permit:{sheet.id}", f"Number and dates: {sheet.title}")
        self._permit_id = sheet.id
        self.effect: HoldEffect | None = None
        self.number = QLineEdit(sheet.number)
        self.add("Number", "number", self.number)
        today = desk.service(PermitService).today()
        days = (
            ("Applied for on", sheet.applied_on),
            ("Issued on", sheet.issued_on),
            ("Runs out on, as written on it", sheet.ends_on),
            ("Extended in writing until", sheet.extended_until),
        )
        self.days = [DateField(desk, words, today) for words, _day in days]
        for field, (words, day) in zip(self.days, days, strict=True):
            field.set_value(day)
            self.add(words, words, field)
        self.idle = QuantityField(
            desk, "Lapses after days idle", Dimension.PLAIN, low_si=1, high_si=3650, decimals=0
        )
        self.idle.set_value(float(sheet.idle_days) if sheet.idle_days is not None else None)
        self.idle.setToolTip(f"Days without activity; empty: no such rule. {sheet.counted}".strip())
        self.add("Lapses after days idle", "idle", self.idle)
        self.pulled_by = QLineEdit(sheet.pulled_by)
        self.add("Pulled by", "pulled_by", self.pulled_by)
        self.homeowner = QCheckBox("as the homeowner")
        self.homeowner.setChecked(sheet.is_homeowner_permit)
        self.add("", "homeowner", self.homeowner)
        self.fee = MoneyField(desk, "Fee")
        self.fee.set_value(sheet.fee_cents.value)
        self._fee_before = sheet.fee_cents
        self.add("Fee", "fee", self.fee)
        self.body.addStretch(1)
        self.resize(self.width(), self.fontMetrics().lineSpacing() * 22)
        self.begin()

    def record(self) -> None:
        applied, issued, ends, extended = (field.value() for field in self.days)
        cents, idle = self.fee.value(), self.idle.value()
        fee = self._fee_before if cents == self._fee_before.value else _stated(cents)
        day = PermitDay(
            self.number.text(),
            applied,
            issued,
            ends,
            extended,
            self.pulled_by.text(),
            self.homeowner.isChecked(),
            fee,
            _stated(counted(self.idle) if idle is not None else None),
        )
        self.effect = self.desk.service(PermitService).change(self._permit_id, day)


def _stated(value: int | None) -> StatedValue[int]:
    """As typed; an empty field says that nobody stated it."""
    return StatedValue(value) if value is not None else StatedValue(None, Stated.NOT_STATED)


class ClosePermitDialog(FormDialog):
    """The day on which the office closed it, with its certificate. `effect` tells what that frees."""

    def __init__(self, desk: Desk, parent: QWidget | None, sheet: PermitSheet) -> None:
        super().__init__(desk, parent, f"permit-final:{sheet.id}", f"Final: {sheet.title}")
        self._permit_id = sheet.id
        self.effect: HoldEffect | None = None
        today = desk.service(PermitService).today()
        self.body.insertWidget(0, soft_label(final_words(sheet)))
        self.day = DateField(desk, "Closed on", today)
        self.day.set_value(sheet.final_on or today)
        self.certificate = FileField("Certificate")
        self.add("Closed on", "day", self.day)
        self.add("Certificate", "certificate", self.certificate)
        self.body.addStretch(1)
        self.resize(self.width(), self.fontMetrics().lineSpacing() * 12)
        self.begin()

    def record(self) -> None:
        day = self.day.value()
        if day is None:
            raise FieldEmpty("this cannot be left empty", where="Closed on", do="type the date")
        self.effect = self.desk.service(PermitEndService).close(self._permit_id, day, self.certificate.path())


class AddPermitDialog(FormDialog):
    """A permit that the work needs; its visits come from the usual list of its kind."""

    def __init__(self, desk: Desk, parent: QWidget | None, lacking: NoPermitYet | None = None) -> None:
        """`lacking`: the work it is for."""
        about = f":{lacking.measure_id}" if lacking is not None else ""
        super().__init__(desk, parent, f"permit:new{about}", "Add a permit")
        self.permit_id: int | None = None
        choices = desk.service(PermitService).choices()
        self.body.insertWidget(
            0, soft_label("The local office decides which permits the work needs; ask it before you begin.")
        )
        self.name = QLineEdit()
        self.kind = choice_box([(number, str(one)) for number, one in enumerate(KINDS)], "choose the kind")
        self.office = choice_box(choices.authorities, "not stated")
        self.homeowner = QCheckBox("Pulled by the homeowner")
        self.add("Title", "title", self.name)
        self.add("Kind", "kind", self.kind)
        self.add("Authority", "office", self.office)
        self.add("", "homeowner", self.homeowner)
        self.measures = [(measure_id, QCheckBox(title)) for measure_id, title in choices.measures]
        for number, (measure_id, box) in enumerate(self.measures):
            self.add("" if number else "Covers", f"measure:{measure_id}", box)
        if lacking is not None:
            self._fill_for(lacking)
        self.body.addStretch(1)
        self.begin()

    def _fill_for(self, lacking: NoPermitYet) -> None:
        """The kind only where offices usually ask for a single one."""
        if len(lacking.usual) == 1:
            self.kind.setCurrentIndex(self.kind.findData(KINDS.index(lacking.usual[0])))
        self.name.setText(permit_title(lacking))
        for measure_id, box in self.measures:
            box.setChecked(measure_id == lacking.measure_id)

    def record(self) -> None:
        number: int | None = self.kind.currentData()
        self.permit_id = self.desk.service(PermitService).add(
            NewPermit(
                kind=KINDS[number] if number is not None else None,
                title=self.name.text(),
                authority_id=self.office.currentData(),
                measure_ids=tuple(measure_id for measure_id, box in self.measures if box.isChecked()),
                is_homeowner_permit=self.homeowner.isChecked(),
            )
        )
