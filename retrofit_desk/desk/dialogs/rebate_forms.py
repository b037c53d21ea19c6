"""The forms of a chosen rebate: what is expected, the reservation, the claim and its answer."""

from __future__ import annotations

from PySide6.QtWidgets import QCheckBox, QComboBox, QLineEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.fields import DateField, MoneyField, QuantityField
from retrofit_desk.desk.widgets.file_field import FileField
from retrofit_desk.desk.widgets.stated_field import StatedField
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.desk.widgets.ticks_field import TicksField
from retrofit_desk.services.holds import HoldEffect
from retrofit_desk.services.programme_entry import (
    FALLEN,
    ClaimState,
    ProgrammeEntryService,
    RebateSheet,
    ReservationState,
    WrittenClaim,
    WrittenFall,
    WrittenRebate,
    WrittenReservation,
)
from retrofit_desk.services.rebate_values import UNKNOWN_CENTS
from retrofit_desk.values.quantity import Dimension
from retrofit_desk.values.stated import StatedValue

_IS = {"yes": True, "no": False}
STANDING = (ReservationState.ASKED, ReservationState.HELD, ReservationState.USED)


class RebateForm(FormDialog):
    """One chosen rebate; adds short ways to put dates and sums."""

    def __init__(self, desk: Desk, parent: QWidget | None, form: str, title: str, choice_id: int) -> None:
        self.entry = desk.service(ProgrammeEntryService)
        self.rebate: RebateSheet = self.entry.sheet(choice_id)
        super().__init__(desk, parent, f"{form}:{choice_id}", f"{title}: {self.rebate.programme}")
        self.body.insertWidget(0, soft_label(f"For: {self.rebate.measure}. The office that pays decides."))

    def add_day(self, words: str, name: str) -> DateField:
        field = DateField(self.desk, words, self.rebate.today)
        self.add(words, name, field)
        return field

    def add_sum(self, words: str, name: str, value: StatedValue[int]) -> StatedField:
        field = StatedField(MoneyField(self.desk, words))
        field.set_stated(value)
        self.add(words, name, field)
        return field

    def add_text(self, words: str, name: str, text: str) -> QLineEdit:
        line = QLineEdit(text)
        self.add(words, name, line)
        return line

    def add_paper(self, words: str) -> FileField:
        field = FileField(words)
        self.add(words, "paper", field)
        return field


class IncomeDialog(FormDialog):
    """What many programmes ask of the household."""

    def __init__(self, desk: Desk, parent: QWidget | None) -> None:
        super().__init__(desk, parent, "income", "Income of the household")
        self._entry = desk.service(ProgrammeEntryService)
        remark = (
            "Against the median of the area, by the size of the household, as the office publishes it: 80% "
            "is a usual limit. It stays private; packets hold it only where a programme asks for it."
        )
        self.body.insertWidget(0, soft_label(remark))
        self.share = StatedField(QuantityField(desk, "Of the area's median", Dimension.SHARE, low_si=0.0))
        self.share.set_stated(self._entry.income())
        self.add("Of the area's median", "share", self.share)
        self.resize(self.fontMetrics().averageCharWidth() * 76, self.fontMetrics().lineSpacing() * 11)
        self.body.addStretch(1)
        self.begin()

    def record(self) -> None:
        self._entry.set_income(self.share.stated())


class ExpectedDialog(RebateForm):
    """What the owner counts on, the units that the programme pays by, and whether it is used at all."""

    def __init__(self, desk: Desk, parent: QWidget | None, choice_id: int) -> None:
        super().__init__(desk, parent, "expected", "Correct", choice_id)
        written = self.rebate.written
        self.expected = self.add_sum("You expect", "expected", written.expected_cents)
        self.units = QuantityField(desk, "Units it pays by", Dimension.PLAIN, low_si=0.0)
        self.units.setToolTip("Tons, square feet, doors: as the rule counts. Empty: not known")
        self.units.set_value(written.units)
        self.add("Units it pays by", "units", self.units)
        self._add_savings(written)
        self.assessed = DateField(desk, "Assessed on", self.rebate.today)
        self.assessed.set_value(written.assessed_on)
        self.add("Assessed on", "assessed", self.assessed)
        self.form.setRowVisible(self.assessed, self.rebate.asks_assessment)
        self._add_products(dict(written.products))
        self.measures = TicksField(
            [(str(one), title) for one, title in self.rebate.measures], map(str, written.measure_ids)
        )
        self.measures.setToolTip("Work in common under one reservation and one claim")
        if len(self.rebate.measures) > 1:
            self.add("It pays for", "measures", self.measures)
        self.drop = QCheckBox("Not used any more; what was reserved and claimed stays on record")
        self.add("", "drop", self.drop)
        self.body.addStretch(1)
        self.resize(self.fontMetrics().averageCharWidth() * 76, self.fontMetrics().lineSpacing() * 22)
        self.begin()

    def record(self) -> None:
        if self.drop.isChecked():
            self.entry.drop(self.rebate.choice_id)
            return
        ids = tuple(int(key) for key in self.measures.ticked())
        told = WrittenRebate(
            self.expected.stated(),
            self.units.value(),
            self.savings.value(),
            ids,
            self.saved_kwh.value(),
            self.average.value(),
            self._products_told(),
            self.assessed.value(),
        )
        self.entry.correct(self.rebate.choice_id, told)

    def _products_told(self) -> tuple[tuple[str, bool], ...]:
        told = {asks: box.currentText() for asks, box in self.products.items()}
        return tuple((asks, _IS[word]) for asks, word in told.items() if word in _IS)

    def _add_savings(self, written: WrittenRebate) -> None:
        """Only where the rule pays by them; then no units are asked for."""
        by_savings = self.rebate.by_savings or self.rebate.by_kwh
        self.savings = self._add_energy("Energy saved, by its assessor", "savings", Dimension.SHARE)
        self.savings.set_value(written.savings_share)
        self.saved_kwh = self._add_energy("Saved in a year, as measured", "saved_kwh", Dimension.ENERGY)
        self.saved_kwh.set_value(written.saved_kwh)
        self.average = self._add_energy("Use of the state's average home", "average", Dimension.ENERGY)
        self.average.set_value(written.state_average_kwh)
        self.average.setToolTip("As the state's energy office publishes it. Empty: not known")
        self.form.setRowVisible(self.units, not by_savings)
        self.form.setRowVisible(self.savings, by_savings)
        for field in (self.saved_kwh, self.average):
            self.form.setRowVisible(field, self.rebate.by_kwh)
        if by_savings and self.rebate.modeled:
            self.body.insertWidget(1, soft_label(f"Energy saved, while not told: {self.rebate.modeled}."))

    def _add_energy(self, words: str, name: str, dimension: Dimension) -> QuantityField:
        field = QuantityField(self.desk, words, dimension, low_si=0.0)
        field.setToolTip("As its assessor or meter found it. Empty: not known")
        self.add(words, name, field)
        return field

    def _add_products(self, known: dict[str, bool]) -> None:
        """What the rule asks of the product: the owner looks at the maker's sheet and says."""
        self.products: dict[str, QComboBox] = {}
        for asks in self.rebate.products:
            box = QComboBox()
            box.addItems(["not known", *_IS])
            box.setCurrentIndex(0 if asks not in known else 1 if known[asks] else 2)
            self.products[asks] = box
            self.add(f"The product is {asks}", f"product {asks}", box)


class ReservationDialog(RebateForm):
    """Asked for, held in writing, or used. `effect` tells what it frees."""

    def __init__(self, desk: Desk, parent: QWidget | None, choice_id: int) -> None:
        super().__init__(desk, parent, "reservation", "Reservation", choice_id)
        self.effect: HoldEffect | None = None
        was = self.rebate.reservation or WrittenReservation(ReservationState.ASKED)
        if was.state in FALLEN:
            was = WrittenReservation(ReservationState.ASKED)  # that one is over; this is a new one
        self.state = QComboBox()
        self.state.addItems([str(one) for one in STANDING])
        self.state.setCurrentText(str(was.state))
        self.add("State", "state", self.state)
        self.asked_on = self.add_day("Asked on", "asked_on")
        self.asked_on.set_value(was.asked_on or self.rebate.today)
        self.held_from = self.add_day("Held from, by its letter", "held_from")
        self.held_from.set_value(was.held_from)
        self.ends_on = self.add_day("Runs out on", "ends_on")
        self.ends_on.set_value(was.ends_on)
        self.ends_on.setToolTip("Empty: by the days of the rule, where it names them")
        self.amount = self.add_sum("Amount set aside", "amount", was.amount_cents)
        self.number = self.add_text("Number", "number", was.number)
        self.paper = self.add_paper("The letter")
        self.body.addStretch(1)
        self.begin()

    def record(self) -> None:
        self.effect = self.entry.record_reservation(
            self.rebate.choice_id,
            WrittenReservation(
                ReservationState(self.state.currentText()),
                self.number.text(),
                self.asked_on.value(),
                self.held_from.value(),
                self.ends_on.value(),
                self.amount.stated(),
                self.paper.path(),
            ),
        )


class FallDialog(RebateForm):
    """Declined, run out, lost; or appealed against. `effect` tells what waits again."""

    def __init__(self, desk: Desk, parent: QWidget | None, choice_id: int) -> None:
        super().__init__(desk, parent, "fall", "It fell away", choice_id)
        self.effect: HoldEffect | None = None
        self.state = QComboBox()
        self.state.addItems([str(one) for one in (*FALLEN, ReservationState.APPEALED)])
        now = self.rebate.reservation
        if now is not None and now.state in FALLEN:
            self.state.setCurrentText(str(ReservationState.APPEALED))
        self.add("What happened", "state", self.state)
        self.on = self.add_day("On", "on")
        self.on.set_value(self.rebate.today)
        self.said = self.add_text("Why, in the office's words", "said", "")
        self.appeal_by = self.add_day("Appeal by", "appeal_by")
        self.appeal_by.setToolTip("Empty: by the days of the rule, where it names them")
        self.paper = self.add_paper("Its letter, or yours")
        self.resize(self.fontMetrics().averageCharWidth() * 76, self.fontMetrics().lineSpacing() * 17)
        self.body.addStretch(1)
        self.begin()

    def record(self) -> None:
        told = WrittenFall(
            ReservationState(self.state.currentText()),
            self.on.value(),
            self.said.text(),
            self.appeal_by.value(),
            self.paper.path(),
        )
        self.effect = self.entry.record_fall(self.rebate.choice_id, told)


class ClaimDialog(RebateForm):
    """Sent, bounced, appealed, approved, paid, refused."""

    def __init__(self, desk: Desk, parent: QWidget | None, choice_id: int) -> None:
        super().__init__(desk, parent, "claim", "Claim", choice_id)
        expected = self.rebate.written.expected_cents
        was = self.rebate.claim or WrittenClaim(ClaimState.NOT_SENT, asked_cents=expected)
        self.state = QComboBox()
        self.state.addItems([str(one) for one in ClaimState])
        self.state.setCurrentText(str(was.state))
        self.add("State", "state", self.state)
        self.asked = self.add_sum("Asked for", "asked", was.asked_cents)
        self.days = [
            self.add_day(words, words)
            for words in ("Claim by", "Sent on", "Answered on", "Appeal by", "Paid on")
        ]
        known = (was.claim_by, was.sent_on, was.answered_on, was.appeal_by, was.paid_on)
        for field, day in zip(self.days, known, strict=True):
            field.set_value(day)
        self.days[3].setToolTip("Empty: by the days of the rule, from the day of a refusal")
        self.paid = self.add_sum("Paid", "paid", was.paid_cents if was.paid_on else UNKNOWN_CENTS)
        self.answer = self.add_text("What the office said", "answer", was.answer)
        self.number = self.add_text("Number", "number", was.number)
        self.paper = self.add_paper("Claim or answer")
        self.body.addStretch(1)
        self.begin()

    def record(self) -> None:
        claim_by, sent_on, answered_on, appeal_by, paid_on = (field.value() for field in self.days)
        self.entry.record_claim(
            self.rebate.choice_id,
            WrittenClaim(
                ClaimState(self.state.currentText()),
                self.number.text(),
                claim_by,
                sent_on,
                answered_on,
                appeal_by,
                self.asked.stated(),
                paid_on,
                self.paid.stated(),
                self.answer.text(),
                self.paper.path(),
            ),
        )
