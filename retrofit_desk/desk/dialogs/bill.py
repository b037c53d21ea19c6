"""Entering a bill, under a contract or without one."""

from __future__ import annotations

from PySide6.QtWidgets import QLineEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.choice_box import choice_box
from retrofit_desk.desk.widgets.fields import DateField, MoneyField
from retrofit_desk.desk.widgets.file_field import FileField
from retrofit_desk.desk.widgets.stated_field import StatedField
from retrofit_desk.services.money import MoneyService
from retrofit_desk.services.money_values import ContractSheet, PaymentUnclear, WrittenInvoice
from retrofit_desk.services.quote_values import NOT_STATED_CENTS


class BillDialog(FormDialog):
    """With `sheet` the bill belongs to that contract; without, it is a plain purchase."""

    def __init__(self, desk: Desk, parent: QWidget | None, sheet: ContractSheet | None) -> None:
        form = f"bill:{sheet.row.id}" if sheet else "bill:purchase"
        title = f"Enter a bill: {sheet.row.title}" if sheet else "Enter a bill without a contract"
        super().__init__(desk, parent, form, title)
        self._money = desk.service(MoneyService)
        self._sheet = sheet
        choices = self._money.choices()
        self.firm = choice_box(choices.firms, "the firm of the contract" if sheet else "no firm chosen")
        self.stage = choice_box(
            [(one.id, one.title) for one in sheet.stages if not one.is_paid] if sheet else [], "no stage"
        )
        self.measure = choice_box(choices.measures, "as the contract says" if sheet else "no measure")
        self.number = QLineEdit()
        self.on, self.due_on = (
            DateField(desk, "Date on it", choices.today),
            DateField(desk, "Due", choices.today),
        )
        self.amount, self.retained = MoneyField(desk, "Amount"), MoneyField(desk, "Held back of it")
        self.retained.setPlaceholderText("empty: as the contract says")
        self.equipment = StatedField(MoneyField(desk, "Equipment in it"))
        self.labor = StatedField(MoneyField(desk, "Labor in it"))
        self.tax = StatedField(MoneyField(desk, "Tax in it"))
        for field in (self.equipment, self.labor, self.tax):
            field.set_stated(NOT_STATED_CENTS)
        self.paper = FileField("The bill itself")
        rows: list[tuple[str, str, QWidget]] = [("Firm", "firm", self.firm)]
        if sheet is not None:
            rows.append(("Stage", "stage", self.stage))
        rows += [
            ("Measure", "measure", self.measure),
            ("Number", "number", self.number),
            ("Date on it", "on", self.on),
            ("Due", "due_on", self.due_on),
            ("Amount", "amount", self.amount),
        ]
        if sheet is not None:
            rows.append(("Held back of it", "retained", self.retained))
        rows += [
            ("Equipment in it", "equipment", self.equipment),
            ("Labor in it", "labor", self.labor),
            ("Tax in it", "tax", self.tax),
            ("The bill itself", "paper", self.paper),
        ]
        for words, name, widget in rows:
            self.add(words, name, widget)
        self.body.addStretch(1)
        self.begin()

    def record(self) -> None:
        on, amount = self.on.value(), self.amount.value()
        if on is None or amount is None:
            raise PaymentUnclear("a bill needs its date and its amount", do="type both")
        written = WrittenInvoice(
            firm_id=self.firm.currentData(),
            on=on,
            amount_cents=amount,
            contract_id=self._sheet.row.id if self._sheet else None,
            stage_id=self.stage.currentData(),
            measure_id=self.measure.currentData(),
            number=self.number.text(),
            due_on=self.due_on.value(),
            retained_cents=self.retained.value(),
            equipment_cents=self.equipment.stated(),
            labor_cents=self.labor.stated(),
            tax_cents=self.tax.stated(),
            paper=self.paper.path(),
        )
        self._money.record_invoice(written)
