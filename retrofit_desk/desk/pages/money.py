"""Money: what is promised, paid, owed, due back?"""

from __future__ import annotations

from PySide6.QtWidgets import QPushButton, QScrollArea, QTabWidget

from retrofit_desk.desk.commands import Command
from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.pay import PayDialog, ToPay
from retrofit_desk.desk.dialogs.reason import STAYS, ask_reason
from retrofit_desk.desk.page import Page
from retrofit_desk.desk.pages.money_contract import ContractPane
from retrofit_desk.desk.pages.money_sums import CashPane, LoanPane, MeasuresPane, RebatesPane
from retrofit_desk.desk.widgets.button_row import ButtonRow
from retrofit_desk.desk.widgets.halves import Halves
from retrofit_desk.desk.widgets.lines import LineButton, StackedLine, StackedList
from retrofit_desk.desk.widgets.record_table import Column, RecordTable
from retrofit_desk.desk.widgets.sheet_pane import scrolling_column
from retrofit_desk.services.money import MoneyService
from retrofit_desk.services.money_values import ContractRow, InvoiceRow, StageRow
from retrofit_desk.values.cents import cents_text
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.place import PageKey, Place

COLUMNS = (
    Column[ContractRow]("Contract", lambda row: row.title, is_strong=True),
    Column[ContractRow]("Left", lambda row: cents_text(row.left_cents), lambda row: row.left_cents, True),
    Column[ContractRow]("Paid", lambda row: cents_text(row.paid_cents), lambda row: row.paid_cents, True),
    Column[ContractRow](
        "Held back", lambda row: cents_text(row.held_back_cents), lambda row: row.held_back_cents, True
    ),
    Column[ContractRow](
        "With changes", lambda row: cents_text(row.total_cents), lambda row: row.total_cents, True
    ),
    Column[ContractRow]("Firm", lambda row: row.firm),
    Column[ContractRow]("State", lambda row: str(row.state)),
    Column[ContractRow]("Signed", lambda row: day_text(row.signed_on), lambda row: row.signed_on),
)


class MoneyPage(Page):
    """Contracts first; beside them the same money by measure, rebates, loan and months."""

    key = PageKey.MONEY
    title = "Money"
    question = "What is promised, paid, owed, due back?"
    scrolls = False

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._money = desk.service(MoneyService)
        self.table = RecordTable(desk, "Contracts", COLUMNS)
        self.purchases = StackedList(
            desk, "Bought without a contract", "Nothing was bought without a contract."
        )
        self.contract = ContractPane(desk, self)
        self.measures, self.rebates = MeasuresPane(desk), RebatesPane(desk)
        self.loan, self.cash = LoanPane(desk), CashPane(desk)
        self.parts = QTabWidget()
        self.parts.addTab(Halves(self.table, self.contract, (2, 3)), "Contracts")
        self.parts.addTab(self._purchases_part(), "Purchases")
        for pane, words in (
            (self.measures, "By measure"),
            (self.rebates, "Rebates due"),
            (self.loan, "Loan"),
            (self.cash, "By month"),
        ):
            self.parts.addTab(pane, words)
        self.body.addWidget(self.parts, 1)
        new = QPushButton("New contract …")
        new.clicked.connect(self.new_contract)
        self.head_row.addWidget(new)
        self.table.chosen.connect(self._show)
        self.parts.currentChanged.connect(lambda _index: self._fill_part())

    def refresh(self) -> None:
        chosen = self.table.selected()
        self.table.set_rows(self._money.contracts())
        self._select(chosen.id if chosen else None)
        self._show(self.table.selected())
        self.purchases.set_lines([self._purchase(row) for row in self._money.purchases()])
        self._fill_part()

    def show_item(self, place: Place) -> None:
        parts = {"loan": self.loan, "programme": self.rebates, "claim": self.rebates}
        if place.kind in parts:
            self.parts.setCurrentWidget(parts[place.kind])
            return
        self.parts.setCurrentIndex(0)
        if place.kind == "contract":
            self._select(place.item)
        elif place.kind == "hold" and place.item is not None:
            self._select(self._money.contract_of_hold(place.item))

    def commands(self) -> tuple[Command, ...]:
        return (
            Command("enter-bill", "Enter a bill …", self.enter_bill, ("Ctrl+Shift+B",)),
            Command("new-contract", "New contract …", self.new_contract),
        )

    def pay_stage(self, stage: StageRow) -> None:
        """Pay a stage; while it must wait, only for a written reason."""
        sheet = self.contract.sheet
        if sheet is None:
            return
        reason: str | None = ""
        if not stage.may_be_paid:
            reason = ask_reason(self.desk, self, "Pay all the same", _waits_words(stage), STAYS)
        if reason is not None:
            bill = f"bill {stage.invoice_number}" if stage.invoice_number else "no bill on record"
            held = f", {cents_text(stage.retained_cents)} is held back" if stage.retained_cents else ""
            what = f"{stage.title}, {sheet.row.firm}"
            self._pay(
                ToPay(
                    f"stage:{stage.id}",
                    what,
                    stage.due_cents,
                    lambda written: self._money.pay_stage(stage.id, written),
                    f"{bill[:1].upper()}{bill[1:]}{held}.",
                    reason,
                )
            )

    def release(self) -> None:
        """Pay out what is held back; while final waivers are missing, only for a written reason."""
        sheet = self.contract.sheet
        if sheet is None:
            return
        reason: str | None = ""
        if sheet.release_waits:
            sentence = f"Not yet: don't pay what is held back until {' and '.join(sheet.release_waits)}."
            reason = ask_reason(self.desk, self, "Pay all the same", sentence, STAYS)
        if reason is not None:
            self._pay(
                ToPay(
                    f"release:{sheet.row.id}",
                    f"what is held back of {sheet.row.title}",
                    sheet.row.held_back_cents,
                    lambda written: self._money.release(sheet.row.id, written),
                    reason=reason,
                )
            )

    def end_contract(self) -> None:
        """End the chosen contract, for a written reason."""
        sheet = self.contract.sheet
        if sheet is None:
            return
        sentence = f"{cents_text(sheet.row.left_cents)} is still promised to {sheet.row.firm}."
        remark = "A lawyer knows what a contract says about its end. What was paid stays on record."
        reason = ask_reason(self.desk, self, "End the contract", sentence, remark)
        if reason is not None:
            with self.desk.notices.caught():
                self._money.end_contract(sheet.row.id, reason)

    def enter_bill(self) -> None:
        """Enter a bill for the chosen contract."""
        from retrofit_desk.desk.dialogs.bill import BillDialog

        BillDialog(self.desk, self, self.contract.sheet).exec()

    def enter_purchase(self) -> None:
        """Enter a bill that belongs to no contract."""
        from retrofit_desk.desk.dialogs.bill import BillDialog

        BillDialog(self.desk, self, None).exec()

    def new_contract(self) -> None:
        from retrofit_desk.desk.dialogs.contract_form import ContractDialog

        dialog = ContractDialog(self.desk, self)
        if dialog.exec():
            self.refresh()
            self._select(dialog.contract_id)

    def _pay(self, to_pay: ToPay) -> None:
        if PayDialog(self.desk, self, to_pay).exec():
            self.desk.notices.tell(f"Paid: {to_pay.what}. Undo takes it back.")

    def _purchases_part(self) -> QScrollArea:
        area = QScrollArea()
        column = scrolling_column(area)
        column.addWidget(ButtonRow((("Enter a bill …", self.enter_purchase),)))
        column.addWidget(self.purchases)
        column.addStretch(1)
        return area

    def _purchase(self, row: InvoiceRow) -> StackedLine:
        why = ", ".join(part for part in (row.what, f"bill {row.number}" if row.number else "") if part)
        if row.open_cents <= 0:
            return StackedLine(
                row.firm, f"{why}, paid", f"{cents_text(row.amount_cents)} · {day_text(row.on)}"
            )
        pay = LineButton("Pay …", lambda: self._pay_purchase(row))
        return StackedLine(row.firm, f"{why}, open", cents_text(row.open_cents), buttons=(pay,))

    def _pay_purchase(self, row: InvoiceRow) -> None:
        self._pay(
            ToPay(
                f"bill:{row.id}",
                f"bill {row.number} of {row.firm}",
                row.open_cents,
                lambda written: self._money.pay_invoice(row.id, written),
            )
        )

    def _select(self, contract_id: int | None) -> None:
        rows = [row for row in self.table.model.rows if row.id == contract_id] or self.table.shown_rows()
        if rows:
            self.table.select(rows[0])

    def _show(self, row: ContractRow | None) -> None:
        with self.desk.notices.caught():
            self.contract.show_sheet(self._money.sheet(row.id) if row is not None else None)

    def _fill_part(self) -> None:
        """The part in view is worked out when it is looked at."""
        part = self.parts.currentWidget()
        if isinstance(part, MeasuresPane | RebatesPane | LoanPane | CashPane):
            with self.desk.notices.caught():
                part.refresh()


def _waits_words(stage: StageRow) -> str:
    sentences = list(stage.holds)
    if stage.waivers:
        sentences.append(f"Not yet: don't pay “{stage.title}” until {' and '.join(stage.waivers)}.")
    return "\n".join(sentences)
