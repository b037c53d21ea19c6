"""Paying a stage, a bill or what was held back."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from PySide6.QtWidgets import QLineEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.choice_box import choice_box
from retrofit_desk.desk.widgets.fields import DateField, MoneyField
from retrofit_desk.desk.widgets.file_field import FileField
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.money import MoneyService
from retrofit_desk.services.money_values import PaymentUnclear, WrittenPayment


@dataclass(frozen=True)
class ToPay:
    """What is paid: a key for the half-finished form, its words, what is due, and what records it."""

    key: str
    what: str
    due_cents: int
    record: Callable[[WrittenPayment], object]
    remark: str = ""
    reason: str = ""


class PayDialog(FormDialog):
    """Amount, day, how, and from which loan."""

    def __init__(self, desk: Desk, parent: QWidget | None, to_pay: ToPay) -> None:
        super().__init__(desk, parent, f"pay:{to_pay.key}", f"Pay: {to_pay.what}")
        self._to_pay = to_pay
        choices = desk.service(MoneyService).choices()
        if to_pay.remark:
            self.body.insertWidget(0, soft_label(to_pay.remark))
        if to_pay.reason:
            self.body.insertWidget(0, soft_label(f"Going on for this reason: {to_pay.reason}"))
        self.amount = MoneyField(desk, "Amount")
        self.amount.set_value(to_pay.due_cents)
        self.on = DateField(desk, "Paid on", choices.today)
        self.on.set_value(choices.today)
        self.how = QLineEdit()
        self.how.setPlaceholderText("check 1215, bank transfer, card")
        self.loan = choice_box(choices.loans, "own money")
        self.cleared = DateField(desk, "Cleared on", choices.today)
        self.paper = FileField("Proof of payment")
        rows: tuple[tuple[str, str, QWidget], ...] = (
            ("Amount", "amount", self.amount),
            ("Paid on", "on", self.on),
            ("How", "how", self.how),
            ("From", "loan", self.loan),
            ("Cleared on", "cleared", self.cleared),
            ("Proof of payment", "paper", self.paper),
        )
        for words, name, widget in rows:
            self.add(words, name, widget)
        self.resize(self.fontMetrics().averageCharWidth() * 70, self.fontMetrics().lineSpacing() * 18)
        self.body.addStretch(1)
        self.begin()

    def record(self) -> None:
        amount, on = self.amount.value(), self.on.value()
        if amount is None or on is None:
            raise PaymentUnclear("a payment needs its amount and its day", do="type both")
        written = WrittenPayment(
            amount_cents=amount,
            on=on,
            how=self.how.text(),
            from_loan_id=self.loan.currentData(),
            cleared_on=self.cleared.value(),
            paper=self.paper.path(),
        )
        self._to_pay.record(replace(written, reason=self._to_pay.reason))
