"""Signing a quote: what stands open, then the contract that it becomes."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QLabel, QLineEdit, QPlainTextEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.dialogs.usual_holds import HOW, HoldChoice
from retrofit_desk.desk.widgets.fields import DateField, MoneyField, QuantityField
from retrofit_desk.desk.widgets.file_field import FileField
from retrofit_desk.desk.widgets.notch import Notch
from retrofit_desk.desk.widgets.stages_field import StagesField
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.quote_values import (
    Acceptance,
    QuoteSheet,
    QuoteUnclear,
    RequestSheet,
    WrittenStage,
)
from retrofit_desk.services.quotes import QuoteService
from retrofit_desk.services.usual_holds import UsualHoldService
from retrofit_desk.values.quantity import Dimension

CANCEL = (
    "A sale made at your home can usually be canceled until the third business day after signing "
    "(16 CFR 429, from memory); the contract must say so."
)


class AcceptDialog(FormDialog):
    """`contract_id` tells the contract after *Record*."""

    def __init__(self, desk: Desk, parent: QWidget | None, sheet: RequestSheet, quote: QuoteSheet) -> None:
        super().__init__(desk, parent, f"accept:{quote.id}", f"Sign with {quote.firm}")
        self._quotes = desk.service(QuoteService)
        self._quote = quote
        self.contract_id: int | None = None
        today = self._quotes.choices().today
        self.body.insertLayout(0, self._warnings(sheet))
        self.signed_on = DateField(desk, "Signed on", today)
        self.signed_on.set_value(today)
        self.number = QLineEdit(quote.number)
        self.price = MoneyField(desk, "Price")
        self.price.set_value(quote.price_cents.value)
        self.held_back = QuantityField(
            desk, "Held back of each payment", Dimension.SHARE, low_si=0, high_si=0.5
        )
        self.held_back.set_value(0.0)
        self.stages = StagesField(today)
        self.stages.put(_first_stages(quote))
        self.others = QCheckBox("The other firms are declined")
        self.others.setChecked(True)
        self.paper = FileField("The signed contract")
        self.reason = QPlainTextEdit()
        self.reason.setTabChangesFocus(True)
        self.reason.setFixedHeight(self.fontMetrics().lineSpacing() * 3)
        rows: list[tuple[str, str, QWidget]] = [
            ("Signed on", "signed_on", self.signed_on),
            ("Number of the contract", "number", self.number),
            ("Price", "price", self.price),
            ("Held back of each payment", "held_back", self.held_back),
            ("Stages of payment", "stages", self.stages),
            ("The signed contract", "paper", self.paper),
            ("", "others", self.others),
        ]
        if quote.sign_holds:
            rows.append(("Why you sign all the same", "reason", self.reason))
        for words, name, widget in rows:
            self.add(words, name, widget)
        self.body.addWidget(soft_label(CANCEL))
        self.usual = HoldChoice(desk.service(UsualHoldService).of_measure(sheet.row.measure_id))
        self.body.addWidget(soft_label(f"From now on the work waits for this. {HOW}"))
        self.body.addWidget(self.usual)
        self.watch("usual", self.usual)
        self.resize(self.fontMetrics().averageCharWidth() * 105, self.fontMetrics().lineSpacing() * 34)
        self.body.addStretch(1)
        self.begin()

    def record(self) -> None:
        signed_on, price = self.signed_on.value(), self.price.value()
        if signed_on is None or price is None:
            raise QuoteUnclear("a contract needs its day and its price", do="type both")
        self.contract_id = self._quotes.accept(
            Acceptance(
                quote_id=self._quote.id,
                signed_on=signed_on,
                number=self.number.text().strip(),
                price_cents=price,
                retainage_percent=round(100 * (self.held_back.value() or 0.0), 6),
                stages=self.stages.stages(),
                reason=self.reason.toPlainText().strip(),
                decline_others=self.others.isChecked(),
                paper=self.paper.path(),
                usual_holds=self.usual.keys(),
            )
        )

    def _warnings(self, sheet: RequestSheet) -> QHBoxLayout:
        """What blocks and what stands open, above the fields."""
        open_points = [point.text for point in self._quote.points if point.needs_owner]
        row = QHBoxLayout()
        words = [*self._quote.sign_holds, *open_points]
        if words:
            row.addWidget(Notch(self.desk), 0, Qt.AlignmentFlag.AlignTop)
            label = QLabel("\n".join(words))
            label.setProperty("role", "owner")
            label.setTextFormat(Qt.TextFormat.PlainText)
        else:
            label = soft_label(f"Nothing stands open about this quote for {sheet.row.measure_title}.")
        label.setWordWrap(True)
        row.addWidget(label, 1)
        return row


def _first_stages(quote: QuoteSheet) -> tuple[WrittenStage, ...]:
    price, deposit = quote.price_cents.value or 0, quote.deposit_cents.value or 0
    rest = WrittenStage("Done, tested and accepted", price - deposit, "final inspection and final waivers")
    return (WrittenStage("At signing", deposit), rest) if deposit else (rest,)
