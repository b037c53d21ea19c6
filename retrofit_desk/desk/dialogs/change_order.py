"""Writing down a change order."""

from __future__ import annotations

from PySide6.QtWidgets import QLineEdit, QPlainTextEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.choice_box import choice_box
from retrofit_desk.desk.widgets.fields import DateField, MoneyField, QuantityField
from retrofit_desk.desk.widgets.file_field import FileField
from retrofit_desk.services.money import MoneyService
from retrofit_desk.services.money_values import ContractSheet, PaymentUnclear, WrittenChange
from retrofit_desk.values.quantity import Dimension


class ChangeOrderDialog(FormDialog):
    """Reason, price and days; it counts when both have signed."""

    def __init__(self, desk: Desk, parent: QWidget | None, sheet: ContractSheet) -> None:
        super().__init__(desk, parent, f"change:{sheet.row.id}", f"Change order: {sheet.row.title}")
        self._money = desk.service(MoneyService)
        self._contract_id = sheet.row.id
        choices = self._money.choices()
        self.on = DateField(desk, "Date", choices.today)
        self.on.set_value(choices.today)
        self.reason = QPlainTextEdit()
        self.reason.setTabChangesFocus(True)
        self.reason.setFixedHeight(self.fontMetrics().lineSpacing() * 3)
        self.price = MoneyField(desk, "Change of price")
        self.price.setToolTip("More with a plain sum, less with a minus: -300")
        self.days = QuantityField(desk, "Days more", Dimension.PLAIN, decimals=0)
        ids = {found.place.item for found in sheet.measures}
        self.measure = choice_box([one for one in choices.measures if one[0] in ids], "the whole contract")
        if len(ids) == 1:
            self.measure.setCurrentIndex(1)
        self.models = QLineEdit()
        self.models.setPlaceholderText("none; a rebate claim must follow a new model")
        self.by_owner = DateField(desk, "Signed by you", choices.today)
        self.by_firm = DateField(desk, "Signed by the firm", choices.today)
        self.paper = FileField("The change order itself")
        rows: tuple[tuple[str, str, QWidget], ...] = (
            ("Date", "on", self.on),
            ("Reason", "reason", self.reason),
            ("Change of price", "price", self.price),
            ("Days more", "days", self.days),
            ("Measure", "measure", self.measure),
            ("New model numbers", "models", self.models),
            ("Signed by you", "by_owner", self.by_owner),
            ("Signed by the firm", "by_firm", self.by_firm),
            ("The change order itself", "paper", self.paper),
        )
        for words, name, widget in rows:
            self.add(words, name, widget)
        self.body.addStretch(1)
        self.begin()

    def record(self) -> None:
        on, price = self.on.value(), self.price.value()
        if on is None or price is None:
            raise PaymentUnclear(
                "a change order needs its date and its change of price", do="type both; 0 if the price stays"
            )
        written = WrittenChange(
            on=on,
            reason=self.reason.toPlainText(),
            change_cents=price,
            change_days=round(self.days.value() or 0.0),
            measure_id=self.measure.currentData(),
            changes_models=self.models.text(),
            signed_by_owner_on=self.by_owner.value(),
            signed_by_firm_on=self.by_firm.value(),
            paper=self.paper.path(),
        )
        self._money.record_change(self._contract_id, written)
