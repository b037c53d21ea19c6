"""A contract that had no quote before it."""

from __future__ import annotations

from PySide6.QtWidgets import QLineEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.dialogs.usual_holds import HOW, HoldChoice
from retrofit_desk.desk.widgets.choice_box import choice_box
from retrofit_desk.desk.widgets.fields import DateField, MoneyField, QuantityField
from retrofit_desk.desk.widgets.file_field import FileField
from retrofit_desk.desk.widgets.stages_field import StagesField
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.contract_entry import ContractUnclear
from retrofit_desk.services.money import MoneyService
from retrofit_desk.services.money_values import WrittenContract
from retrofit_desk.services.usual_holds import UsualHoldService
from retrofit_desk.values.quantity import Dimension


class ContractDialog(FormDialog):
    """`contract_id` tells the contract after *Record*."""

    def __init__(self, desk: Desk, parent: QWidget | None) -> None:
        super().__init__(desk, parent, "contract:new", "Write down a contract")
        self._money = desk.service(MoneyService)
        self.contract_id: int | None = None
        choices = self._money.choices()
        self.firm = choice_box(choices.firms, "no firm chosen")
        self.measure = choice_box(choices.measures, "no measure chosen")
        self.title, self.number = QLineEdit(), QLineEdit()
        self.signed_on = DateField(desk, "Signed on", choices.today)
        self.price = MoneyField(desk, "Price")
        self.held_back = QuantityField(
            desk, "Held back of each payment", Dimension.SHARE, low_si=0, high_si=0.5
        )
        self.stages = StagesField(choices.today)
        self.paper = FileField("The signed contract")
        rows: tuple[tuple[str, str, QWidget], ...] = (
            ("Firm", "firm", self.firm),
            ("Measure", "measure", self.measure),
            ("Title", "title", self.title),
            ("Number", "number", self.number),
            ("Signed on", "signed_on", self.signed_on),
            ("Price", "price", self.price),
            ("Held back of each payment", "held_back", self.held_back),
            ("Stages of payment", "stages", self.stages),
            ("The signed contract", "paper", self.paper),
        )
        for words, name, widget in rows:
            self.add(words, name, widget)
        self.usual = HoldChoice(())
        self.measure.currentIndexChanged.connect(lambda _at: self._offer_holds())
        self.body.addWidget(soft_label(f"From now on the work waits for this. {HOW}"))
        self.body.addWidget(self.usual)
        self.watch("usual", self.usual)
        self.resize(self.fontMetrics().averageCharWidth() * 100, self.fontMetrics().lineSpacing() * 28)
        self.body.addStretch(1)
        self.begin()

    def _offer_holds(self) -> None:
        measure_id: int | None = self.measure.currentData()
        holds = self.desk.service(UsualHoldService)
        self.usual.set_holds(holds.of_measure(measure_id) if measure_id is not None else ())

    def record(self) -> None:
        firm_id, measure_id = self.firm.currentData(), self.measure.currentData()
        price = self.price.value()
        if firm_id is None or measure_id is None or price is None:
            raise ContractUnclear("firm, measure or price is missing", do="fill in all three")
        self.contract_id = self._money.record_contract(
            WrittenContract(
                firm_id=firm_id,
                measure_id=measure_id,
                title=self.title.text(),
                number=self.number.text().strip(),
                signed_on=self.signed_on.value(),
                price_cents=price,
                retainage_percent=round(100 * (self.held_back.value() or 0.0), 6),
                stages=self.stages.stages(),
                paper=self.paper.path(),
                usual_holds=self.usual.keys(),
            )
        )
