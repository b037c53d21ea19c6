"""How an office gives its visits: from the call to the door."""

from __future__ import annotations

from datetime import time

from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QLabel, QLineEdit, QPlainTextEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.facts_form import FieldEmpty, counted
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.fields import QuantityField
from retrofit_desk.desk.widgets.text import soft_label, wrap
from retrofit_desk.rules.booking import BookingRule
from retrofit_desk.services.booking import BookingService
from retrofit_desk.values.dates import WEEKDAYS
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.quantity import Dimension
from retrofit_desk.values.typed_time import clock_text, parse_time

ASK = "Ask the office once; the first day it can come then stands beside every visit."


class OfficeBookingDialog(FormDialog):
    """Lead time, last hour to call, weekdays, parts of the day; the rest in the office's own words."""

    def __init__(self, desk: Desk, parent: QWidget | None, firm_id: int, office: str) -> None:
        super().__init__(desk, parent, f"office:{firm_id}", f"How it gives its visits: {office}")
        self._firm_id = firm_id
        known = desk.service(BookingService).rule(firm_id)
        rule = known or BookingRule(1)
        self.body.insertWidget(0, soft_label(ASK))
        self.lead = QuantityField(
            desk, "Working days before", Dimension.PLAIN, low_si=0, high_si=60, decimals=0
        )
        self.lead.set_value(float(rule.lead_days))
        self.lead.setToolTip("Working days of the office from the call to the visit; 0: the same day")
        self.add("Working days before", "lead", self.lead)
        self.call_by = QLineEdit(clock_text(rule.call_by) if rule.call_by is not None else "")
        self.call_by.setPlaceholderText("3 p.m.; empty: any time")
        self.call_by.setToolTip("The last hour at which a call counts for that day")
        self.add("Call by", "call_by", self.call_by)
        self.days = [QCheckBox(name[:3]) for name in WEEKDAYS]
        row = QHBoxLayout()
        row.setSpacing(4)
        for number, (box, name) in enumerate(zip(self.days, WEEKDAYS, strict=True)):
            box.setAccessibleName(f"Comes on {name}")
            box.setChecked(number in rule.weekdays)
            self.watch(name, box)
            row.addWidget(box)
        row.addStretch(1)
        self.form.addRow(QLabel("Comes on"), row)
        self.slots = QLineEdit("; ".join(rule.slots))
        self.slots.setPlaceholderText("8 to 10; 10 to 12; 1 to 4")
        self.add("Hours of the visit", "slots", self.slots)
        self.words = QPlainTextEdit(rule.words)
        self.words.setTabChangesFocus(True)
        self.words.setFixedHeight(self.fontMetrics().lineSpacing() * 3)
        self.add("What else it says", "words", self.words)
        self.told = QLabel()
        wrap(self.told)
        self.body.addWidget(self.told)
        self.body.addStretch(1)
        self.resize(self.width(), self.fontMetrics().lineSpacing() * 22)
        self.begin()
        self.lead.changed.connect(self.look)
        for line in (self.call_by, self.slots):
            line.textChanged.connect(self.look)
        for box in self.days:
            box.toggled.connect(self.look)
        self.look()

    def look(self) -> None:
        """Read it back as a sentence while it is typed."""
        try:
            self.told.setText(self._rule().sentence())
        except DeskError as error:
            self.told.setText(error.line())

    def record(self) -> None:
        self.desk.service(BookingService).keep(self._firm_id, self._rule())

    def _rule(self) -> BookingRule:
        weekdays = frozenset(number for number, box in enumerate(self.days) if box.isChecked())
        if not weekdays:
            raise FieldEmpty("this cannot be left empty", where="Comes on", do="tick a weekday")
        slots = tuple(part.strip() for part in self.slots.text().split(";") if part.strip())
        words = self.words.toPlainText().strip()
        return BookingRule(counted(self.lead), self._call_by(), weekdays, slots, words)

    def _call_by(self) -> time | None:
        typed = self.call_by.text()
        return parse_time(typed, where="Call by") if typed.strip() else None
