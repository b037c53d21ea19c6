"""Asking the lender for a part of the loan."""

from __future__ import annotations

from PySide6.QtWidgets import QLineEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.fields import DateField, MoneyField
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.money import MoneyService
from retrofit_desk.services.money_values import LoanSheet, PaymentUnclear
from retrofit_desk.values.cents import cents_text


class LoanDrawDialog(FormDialog):
    """Amount, what for, when."""

    def __init__(self, desk: Desk, parent: QWidget | None, loan: LoanSheet) -> None:
        super().__init__(desk, parent, f"draw:{loan.id}", f"Ask for a draw: {loan.name}")
        self._money = desk.service(MoneyService)
        self._loan_id = loan.id
        today = self._money.choices().today
        self.body.insertWidget(0, soft_label(f"{cents_text(loan.left_to_draw_cents)} is left to draw."))
        self.amount = MoneyField(desk, "Amount")
        self.for_what = QLineEdit()
        self.on = DateField(desk, "Asked on", today)
        self.on.set_value(today)
        rows: tuple[tuple[str, str, QWidget], ...] = (
            ("Amount", "amount", self.amount),
            ("What for", "for_what", self.for_what),
            ("Asked on", "on", self.on),
        )
        for words, name, widget in rows:
            self.add(words, name, widget)
        self.resize(self.fontMetrics().averageCharWidth() * 70, self.fontMetrics().lineSpacing() * 15)
        self.body.addStretch(1)
        self.begin()

    def record(self) -> None:
        amount, on = self.amount.value(), self.on.value()
        if amount is None or on is None:
            raise PaymentUnclear("a draw needs its amount and its day", do="type both")
        self._money.ask_draw(self._loan_id, amount, self.for_what.text(), on)
