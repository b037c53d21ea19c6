"""Entering a quote as it stands on the paper."""

from __future__ import annotations

from PySide6.QtWidgets import QComboBox, QLineEdit, QPlainTextEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.choice_box import choice_box
from retrofit_desk.desk.widgets.fields import DateField, MoneyField, QuantityField
from retrofit_desk.desk.widgets.file_field import FileField
from retrofit_desk.desk.widgets.scope_answers import ScopeAnswersField
from retrofit_desk.desk.widgets.stated_field import StatedField
from retrofit_desk.services.quote_values import (
    NOT_STATED_CENTS,
    QuoteSheet,
    QuoteUnclear,
    RequestSheet,
    WrittenQuote,
)
from retrofit_desk.services.quotes import QuoteService
from retrofit_desk.values.quantity import Dimension

KEPT = "the form keeps what is typed"
ON_SITE: dict[str, bool | None] = {"not stated": None, "yes": True, "no": False}


class QuoteDialog(FormDialog):
    """New (`quote` none) or corrected; `quote_id` tells which one after *Record*."""

    def __init__(
        self, desk: Desk, parent: QWidget | None, sheet: RequestSheet, quote: QuoteSheet | None = None
    ) -> None:
        form = f"quote:{quote.id}" if quote else f"quote:of:{sheet.row.id}"
        title = f"Correct the quote of {quote.firm}" if quote else f"Enter a quote: {sheet.row.title}"
        super().__init__(desk, parent, form, title)
        self._quotes = desk.service(QuoteService)
        self._sheet = sheet
        self.quote_id = quote.id if quote else None
        self._build_fields()
        if quote is not None:
            self._put(quote)
        self._lay_out()
        self.resize(self.fontMetrics().averageCharWidth() * 110, self.fontMetrics().lineSpacing() * 34)
        self.body.addStretch(1)
        self.begin()

    def accept(self) -> None:
        """The amounts of the scope are read first, so that none is recorded unread."""
        if self.scope.settle():
            super().accept()

    def record(self) -> None:
        firm_id: int | None = self.firm.currentData()
        if firm_id is None:
            raise QuoteUnclear(
                "no firm is chosen", where="Firm", kept=KEPT, do="choose it; a new one is added under firms"
            )
        written = WrittenQuote(
            firm_id=firm_id,
            number=self.number.text().strip(),
            quoted_on=self.quoted_on.value(),
            valid_until=self.valid_until.value(),
            price_cents=self.price.stated(),
            tax_cents=self.tax.stated(),
            deposit_cents=self.deposit.stated(),
            make=self.make.text().strip(),
            model=self.model.text().strip(),
            second_model=self.second_model.text().strip(),
            match_number=self.match_number.text().strip(),
            capacity_w=self.capacity.stated(),
            capacity_at_c=self.capacity_at.value(),
            load_w=self.load.stated(),
            load_method=self.load_method.text().strip(),
            based_on=self.based_on.text().strip(),
            measured_on_site=ON_SITE[self.on_site.currentText()],
            warranty_parts_years=self.warranty_parts.stated(),
            warranty_labor_years=self.warranty_labor.stated(),
            start_on=self.start_on.value(),
            finish_on=self.finish_on.value(),
            notes=self.notes.toPlainText().strip(),
            lines=self.scope.lines(),
            paper=self.paper.path(),
        )
        self.quote_id = self._quotes.record_quote(self._sheet.row.id, written, self.quote_id)

    def _build_fields(self) -> None:
        desk, choices = self.desk, self._quotes.choices()
        self.firm = choice_box(choices.firms, "no firm chosen")
        self.number, self.make, self.model = QLineEdit(), QLineEdit(), QLineEdit()
        self.second_model, self.match_number = QLineEdit(), QLineEdit()
        self.load_method, self.based_on = QLineEdit(), QLineEdit()
        self.quoted_on = DateField(desk, "Date on it", choices.today)
        self.valid_until = DateField(desk, "Price holds until", choices.today)
        self.price = _stated(MoneyField(desk, "Price"))
        self.tax = _stated(MoneyField(desk, "Tax in it"))
        self.deposit = _stated(MoneyField(desk, "Deposit"))
        self.capacity = _stated(QuantityField(desk, "Capacity", Dimension.POWER, low_si=0.0))
        self.capacity_at = QuantityField(desk, "Capacity stated for", Dimension.TEMPERATURE)
        self.load = _stated(QuantityField(desk, "Load it sized for", Dimension.POWER, low_si=0.0))
        self.on_site = QComboBox()
        self.on_site.addItems(list(ON_SITE))
        plain = Dimension.PLAIN
        self.warranty_parts = _stated(QuantityField(desk, "Warranty on parts, years", plain, low_si=0.0))
        self.warranty_labor = _stated(QuantityField(desk, "Warranty on labor, years", plain, low_si=0.0))
        self.start_on = DateField(desk, "Start", choices.today)
        self.finish_on = DateField(desk, "Finish", choices.today)
        self.scope = ScopeAnswersField(desk, self._sheet.scope)
        self.notes = QPlainTextEdit()
        self.notes.setTabChangesFocus(True)
        self.notes.setFixedHeight(self.fontMetrics().lineSpacing() * 3)
        self.paper = FileField("The quote itself")

    def _lay_out(self) -> None:
        rows: tuple[tuple[str, str, QWidget], ...] = (
            ("Firm", "firm", self.firm),
            ("Number", "number", self.number),
            ("Date on it", "quoted_on", self.quoted_on),
            ("Price holds until", "valid_until", self.valid_until),
            ("Price", "price", self.price),
            ("Tax in it", "tax", self.tax),
            ("Deposit", "deposit", self.deposit),
            ("Scope", "scope", self.scope),
            ("Make", "make", self.make),
            ("Model", "model", self.model),
            ("Second model", "second_model", self.second_model),
            ("Match certificate", "match_number", self.match_number),
            ("Capacity", "capacity", self.capacity),
            ("Stated for outdoors", "capacity_at", self.capacity_at),
            ("Load it sized for", "load", self.load),
            ("Method of that load", "load_method", self.load_method),
            ("Version of the house", "based_on", self.based_on),
            ("Measured at the house", "on_site", self.on_site),
            ("Warranty on parts, years", "warranty_parts", self.warranty_parts),
            ("Warranty on labor, years", "warranty_labor", self.warranty_labor),
            ("Start", "start_on", self.start_on),
            ("Finish", "finish_on", self.finish_on),
            ("Notes", "notes", self.notes),
            ("The quote itself", "paper", self.paper),
        )
        for words, name, widget in rows:
            self.add(words, name, widget)

    def _put(self, quote: QuoteSheet) -> None:
        self.firm.setCurrentIndex(self.firm.findData(quote.firm_id))
        self.number.setText(quote.number)
        self.make.setText(quote.make)
        self.model.setText(quote.model)
        self.second_model.setText(quote.second_model)
        self.match_number.setText(quote.match_number)
        self.load_method.setText(quote.load_method)
        self.based_on.setText(quote.based_on)
        self.notes.setPlainText(quote.notes)
        for date_field, day in (
            (self.quoted_on, quote.quoted_on),
            (self.valid_until, quote.valid_until),
            (self.start_on, quote.start_on),
            (self.finish_on, quote.finish_on),
        ):
            date_field.set_value(day)
        for field, value in (
            (self.price, quote.price_cents),
            (self.tax, quote.tax_cents),
            (self.deposit, quote.deposit_cents),
            (self.capacity, quote.capacity_w),
            (self.load, quote.firm_load_w),
            (self.warranty_parts, quote.warranty_parts_years),
            (self.warranty_labor, quote.warranty_labor_years),
        ):
            field.set_stated(value)
        self.capacity_at.set_value(quote.capacity_at_c)
        self.on_site.setCurrentText(
            next(word for word, said in ON_SITE.items() if said is quote.measured_on_site)
        )
        self.scope.put(quote.lines)


def _stated(field: MoneyField | QuantityField) -> StatedField:
    """A quote that says nothing has not stated it."""
    made = StatedField(field)
    made.set_stated(NOT_STATED_CENTS)
    return made
