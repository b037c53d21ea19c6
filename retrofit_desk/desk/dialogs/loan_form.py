"""Writing down the loan as the lender's paper says it."""

from __future__ import annotations

from PySide6.QtWidgets import QLineEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.choice_box import choice_box
from retrofit_desk.desk.widgets.fields import DateField, MoneyField, QuantityField
from retrofit_desk.desk.widgets.file_field import FileField
from retrofit_desk.desk.widgets.stated_field import StatedField
from retrofit_desk.services.loan_entry import LoanEntryService, LoanUnclear, WrittenLoan
from retrofit_desk.services.money import MoneyService
from retrofit_desk.values.quantity import Dimension


class LoanDialog(FormDialog):
    """A new loan, or one to be corrected."""

    def __init__(self, desk: Desk, parent: QWidget | None, loan_id: int | None = None) -> None:
        title = "Enter a loan" if loan_id is None else "Correct the loan"
        super().__init__(desk, parent, f"loan:{loan_id or ''}", title)
        self._loans, self._loan_id = desk.service(LoanEntryService), loan_id
        found = self._loans.form(loan_id)
        today = desk.service(MoneyService).choices().today
        self.name = QLineEdit()
        self.lender = choice_box(found.lenders, "not on the list")
        self.principal = MoneyField(desk, "Amount lent")
        self.rate = StatedField(QuantityField(desk, "Interest rate", Dimension.PLAIN, decimals=3))
        self.rate.field.setToolTip("Percent a year, as the contract says it; not the APR")
        self.fees = StatedField(MoneyField(desk, "Fees taken out of it"))
        self.months = QuantityField(desk, "Months", Dimension.PLAIN, decimals=0)
        self.first_on = DateField(desk, "First payment", today)
        self.approved_on = DateField(desk, "Approved on", today)
        self.draw_by = DateField(desk, "Last day to draw", today)
        self.paper = FileField("The lender's paper")
        rows: tuple[tuple[str, str, QWidget], ...] = (
            ("Name", "name", self.name),
            ("Lender", "lender", self.lender),
            ("Amount lent", "principal", self.principal),
            ("Interest rate, % a year", "rate", self.rate),
            ("Fees taken out of it", "fees", self.fees),
            ("Months", "months", self.months),
            ("First payment", "first_on", self.first_on),
            ("Approved on", "approved_on", self.approved_on),
            ("Last day to draw", "draw_by", self.draw_by),
            ("The lender's paper", "paper", self.paper),
        )
        for words, name, widget in rows:
            self.add(words, name, widget)
        if found.written is not None:
            self._fill(found.written)
        self.body.addStretch(1)
        self.begin()

    def record(self) -> None:
        principal = self.principal.value()
        if principal is None:
            raise LoanUnclear("the sum that is lent is missing", where="Amount lent", do="type it")
        months = self.months.value()
        self._loans.record(
            self._loan_id,
            WrittenLoan(
                self.name.text(),
                self.lender.currentData(),
                principal,
                self.rate.stated(),
                self.fees.stated(),
                None if months is None else round(months),
                self.first_on.value(),
                self.approved_on.value(),
                self.draw_by.value(),
                self.paper.path(),
            ),
        )

    def _fill(self, loan: WrittenLoan) -> None:
        self.name.setText(loan.name)
        self.lender.setCurrentIndex(max(self.lender.findData(loan.lender_id), 0))
        self.principal.set_value(loan.principal_cents)
        self.rate.set_stated(loan.rate_percent)
        self.fees.set_stated(loan.fees_cents)
        self.months.set_value(loan.months)
        for field, day in (
            (self.first_on, loan.first_payment_on),
            (self.approved_on, loan.approved_on),
            (self.draw_by, loan.draw_by),
        ):
            field.set_value(day)
