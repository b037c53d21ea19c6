"""One contract on the page: its sums, stages, change orders, bills, waivers and chain."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.widgets.button_row import ButtonRow, Press
from retrofit_desk.desk.widgets.lines import LineButton, StackedLine, StackedList
from retrofit_desk.desk.widgets.sheet_pane import SheetPane
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.services.money import MoneyService
from retrofit_desk.services.money_values import (
    ChangeRow,
    ContractSheet,
    InvoiceRow,
    PartyRow,
    PaymentRow,
    StageRow,
    WaiverRow,
)
from retrofit_desk.values.cents import cents_text
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.place import PageKey, Place
from retrofit_desk.values.quantity import count_text

if TYPE_CHECKING:
    from retrofit_desk.desk.pages.money import MoneyPage

LIENS = "Who can claim against the house, and until when, is local lien law; ask a lawyer where it matters."


class ContractPane(SheetPane):
    """Everything about the chosen contract, stacked."""

    def __init__(self, desk: Desk, page: MoneyPage) -> None:
        super().__init__()
        self._desk, self._page = desk, page
        self._money = desk.service(MoneyService)
        self.sheet: ContractSheet | None = None
        self._body = QWidget()
        column = QVBoxLayout(self._body)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(self.column.spacing())
        self._sums = QLabel()
        self._sums.setWordWrap(True)
        self._buttons = ButtonRow()
        column.addWidget(self._sums)
        column.addWidget(self._buttons)
        lists = (
            ("stages", "Stages of payment", "No stage was agreed."),
            ("changes", "Change orders", "Nothing was changed."),
            ("invoices", "Bills", "No bill came yet."),
            ("payments", "Paid", "Nothing was paid yet."),
            ("waivers", "Lien waivers", "No waiver is in."),
            ("chain", "Who could still claim against the house", "Nobody."),
            ("measures", "For", "No measure is named."),
        )
        self.lists: dict[str, StackedList] = {}
        for name, heading, nothing in lists:
            self.lists[name] = StackedList(desk, heading, nothing)
            column.addWidget(SectionHeading(heading))
            column.addWidget(self.lists[name])
        column.addWidget(soft_label(LIENS))
        self.column.addWidget(self._body)
        self.column.addStretch(1)

    def show_sheet(self, sheet: ContractSheet | None) -> None:
        self.sheet = sheet
        self._body.setVisible(sheet is not None)
        if sheet is None:
            hint = "Accept a quote on the Quotes page, or write down a contract."
            self.call("No contract is recorded yet", hint)
            return
        self.call(sheet.row.title, _about(sheet))
        self._sums.setText("\n".join(part for part in (_sums(sheet), sheet.notes) if part))
        self._buttons.set_buttons(self._buttons_for(sheet))
        over = [StackedLine(sheet.deposit_point, needs_owner=True)] if sheet.deposit_point else []
        self.lists["stages"].set_lines([*over, *(self._stage(stage) for stage in sheet.stages)])
        self.lists["changes"].set_lines([self._change(one) for one in sheet.changes])
        self.lists["invoices"].set_lines([_invoice(one) for one in sheet.invoices])
        self.lists["payments"].set_lines([self._payment(one) for one in sheet.payments])
        self.lists["waivers"].set_lines([self._waiver(one) for one in sheet.waivers])
        self.lists["chain"].set_lines([_main_firm(sheet), *(self._party(one) for one in sheet.parties)])
        self.lists["measures"].set_lines(
            [StackedLine(one.title, one.detail, place=one.place) for one in sheet.measures]
        )

    def _buttons_for(self, sheet: ContractSheet) -> list[Press]:
        buttons: list[Press] = [
            ("Enter a bill …", self._page.enter_bill),
            ("File a waiver …", self._file_waiver),
            ("Change order …", self._change_order),
            ("Sub or supplier …", self._add_party),
        ]
        if sheet.row.held_back_cents > 0:
            buttons.append(("Pay what is held back …", self._page.release))
        if sheet.row.is_going_on:
            buttons.append(("End the contract …", self._page.end_contract))
        return buttons

    def _stage(self, stage: StageRow) -> StackedLine:
        if stage.is_paid:
            cleared = f", cleared {day_text(stage.cleared_on)}" if stage.cleared_on else ", not cleared yet"
            past = [f"Paid for a reason: {text}" for text in stage.gone_past]
            why = "\n".join([f"Paid {day_text(stage.paid_on)}{cleared}.", *past])
            return StackedLine(f"{stage.title}: {cents_text(stage.paid_cents)}", why, "paid")
        lines = [f"Agreed: {stage.waits_for}."] if stage.waits_for else []
        lines += list(stage.holds)
        if stage.waivers:
            lines.append(f"Not yet: don't pay until {' and '.join(stage.waivers)}.")
        if stage.paid_on is not None:
            lines.append(f"{cents_text(stage.paid_cents)} of it was paid {day_text(stage.paid_on)}.")
        bill = f"bill {stage.invoice_number}" if stage.invoice_number else "no bill yet"
        held = f", {cents_text(stage.retained_cents)} held back" if stage.retained_cents else ""
        lines.append(f"{cents_text(stage.amount_cents)} agreed, {bill}{held}.")
        button = LineButton(
            "Pay …" if stage.may_be_paid else "Pay for a reason …", lambda: self._page.pay_stage(stage)
        )
        blocks = bool(stage.holds or stage.waivers) and bool(stage.invoice_id)
        if self.sheet is not None and not self.sheet.row.is_going_on:
            return StackedLine(f"{stage.title}: {cents_text(stage.amount_cents)}", aside="promised no more")
        return StackedLine(
            f"{stage.title}: {cents_text(stage.due_cents)}",
            "\n".join(lines),
            f"due {day_text(stage.due_on)}" if stage.due_on else "no due date",
            needs_owner=blocks,
            buttons=(button,),
        )

    def _change(self, row: ChangeRow) -> StackedLine:
        sign = "+" if row.change_cents >= 0 else ""
        later = "+" if row.change_days > 0 else ""
        days = f", {later}{count_text(row.change_days, 'day')}" if row.change_days else ""
        title = f"No. {row.number}, {day_text(row.on)}: {sign}{cents_text(row.change_cents)}{days}"
        signed = [
            f"Signed by you {day_text(row.signed_by_owner_on)}"
            if row.signed_by_owner_on
            else "Not signed by you",
            f"by the firm {day_text(row.signed_by_firm_on)}" if row.signed_by_firm_on else "not by the firm",
        ]
        lines = [row.reason, ", ".join(signed) + ("" if row.is_signed else ": does not count yet") + "."]
        if row.changes_models:
            lines.append(f"Rebate claims must follow the model: {row.changes_models}.")
        buttons: list[LineButton] = []
        if row.signed_by_owner_on is None:
            buttons.append(LineButton("Sign", lambda: self._sign(row)))
        if row.signed_by_firm_on is None:
            buttons.append(LineButton("The firm signed", lambda: self._sign(row, by_firm=True)))
        total = f"then {cents_text(row.running_cents)}"
        why = "\n".join(lines)
        return StackedLine(title, why, total, needs_owner=not row.is_signed, buttons=tuple(buttons))

    def _payment(self, row: PaymentRow) -> StackedLine:
        how = f"{row.how}, " if row.how else ""
        buttons: tuple[LineButton, ...] = ()
        state = f"{how}cleared {day_text(row.cleared_on)}"
        if row.cleared_on is None:
            state = f"{how}not cleared yet"
            buttons = (LineButton("Cleared today", lambda: self._clear(row)),)
        title = f"{cents_text(row.amount_cents)} for {row.what}" if row.what else cents_text(row.amount_cents)
        return StackedLine(title, state, day_text(row.on), buttons=buttons)

    def _sign(self, row: ChangeRow, *, by_firm: bool = False) -> None:
        with self._desk.notices.caught():
            self._money.sign_change(row.id, self._money.choices().today, by_firm=by_firm)

    def _clear(self, row: PaymentRow) -> None:
        with self._desk.notices.caught():
            self._money.clear(row.id, self._money.choices().today)

    def _waiver(self, row: WaiverRow) -> StackedLine:
        words = "Came back …" if row.is_out else "Correct …"
        return replace(_waiver(row), buttons=(LineButton(words, lambda: self._file_waiver(row)),))

    def _file_waiver(self, row: WaiverRow | None = None) -> None:
        from retrofit_desk.desk.dialogs.waiver import WaiverDialog

        if self.sheet is not None:
            WaiverDialog(self._desk, self, self.sheet, row).exec()

    def _change_order(self) -> None:
        from retrofit_desk.desk.dialogs.change_order import ChangeOrderDialog

        if self.sheet is not None:
            ChangeOrderDialog(self._desk, self, self.sheet).exec()

    def _add_party(self, row: PartyRow | None = None) -> None:
        from retrofit_desk.desk.dialogs.chain_party import ChainPartyDialog

        if self.sheet is not None:
            ChainPartyDialog(self._desk, self, self.sheet, row).exec()

    def _party(self, row: PartyRow) -> StackedLine:
        return replace(_party(row), buttons=(LineButton("Correct …", lambda: self._add_party(row)),))


def _about(sheet: ContractSheet) -> str:
    number = f"Contract {sheet.number}" if sheet.number else "Contract without a number"
    signed = f"signed {day_text(sheet.row.signed_on)}" if sheet.row.signed_on else "not signed"
    over = "" if sheet.row.is_going_on else f", {sheet.row.state}"
    parts = [f"{number} with {sheet.row.firm}", f"{signed}{over}"]
    if sheet.start_on or sheet.finish_on:
        parts.append(f"work {day_text(sheet.start_on)} to {day_text(sheet.finish_on)}")
    if sheet.retainage_percent:
        parts.append(f"{sheet.retainage_percent:g}% of each payment is held back")
    if sheet.cancel_until is not None:
        until = day_text(sheet.cancel_until)
        parts.append(f"a sale made at home may be canceled until {until} (16 CFR 429, from memory)")
    return " · ".join(parts)


def _sums(sheet: ContractSheet) -> str:
    row = sheet.row
    parts = [f"Price {cents_text(row.price_cents)}"]
    if row.changes_cents:
        sign = "+" if row.changes_cents > 0 else ""
        parts.append(f"changes {sign}{cents_text(row.changes_cents)}, together {cents_text(row.total_cents)}")
    parts.append(f"paid {cents_text(row.paid_cents)}")
    if row.held_back_cents:
        parts.append(f"held back {cents_text(row.held_back_cents)}")
    parts.append(f"left {cents_text(row.left_cents)}")
    if row.open_changes_cents:
        parts.append(f"changes not signed by both {cents_text(row.open_changes_cents)}")
    if sheet.unstaged_cents:
        parts.append(f"in no stage {cents_text(sheet.unstaged_cents)}")
    return " · ".join(parts)


def _invoice(row: InvoiceRow) -> StackedLine:
    held = f", {cents_text(row.retained_cents)} held back" if row.retained_cents else ""
    due = f", due {day_text(row.due_on)}" if row.due_on else ""
    state = "paid" if row.open_cents <= 0 else f"{cents_text(row.open_cents)} open{due}"
    title = (
        f"No. {row.number}: {cents_text(row.amount_cents)}" if row.number else cents_text(row.amount_cents)
    )
    what = f"{row.what}{held}, {state}." if row.what else f"{state}{held}."
    lines = [what[:1].upper() + what[1:], *row.points]
    return StackedLine(title, "\n".join(lines), day_text(row.on), needs_owner=bool(row.points))


def _waiver(row: WaiverRow) -> StackedLine:
    amount = row.amount_cents
    shown = f"amount {amount.stated}" if amount.value is None else cents_text(amount.value)
    through = f"through {day_text(row.through_on)}, " if row.through_on else ""
    stage = f"for “{row.stage}”, " if row.stage else ""
    signed = f"signed {day_text(row.signed_on)}" if row.signed_on else "not signed"
    exceptions = f" Exceptions: {row.exceptions}." if row.exceptions else ""
    received = f"in since {day_text(row.received_on)}" if row.received_on else "not in yet"
    return StackedLine(
        f"{row.who}: {row.kind}",
        "\n".join(part for part in (f"{stage}{through}{shown}, {signed}.{exceptions}", row.point) if part),
        received,
        needs_owner=bool(row.exceptions or row.point) or row.is_out,
    )


def _main_firm(sheet: ContractSheet) -> StackedLine:
    firm = Place(PageKey.QUOTES, "firm", sheet.firm_id)
    main = "can still claim: no unconditional final waiver is in"
    if not sheet.firm_can_claim:
        main = "gave its unconditional final waiver"
    return StackedLine(sheet.row.firm, main, "under contract", firm)


def _party(row: PartyRow) -> StackedLine:
    parts = [row.role] if row.role else []
    parts.append(f"gave notice {day_text(row.notice_on)}" if row.notice_on else "gave no notice")
    if row.last_work_on:
        parts.append(f"last work {day_text(row.last_work_on)}")
    if row.notice_on:
        parts.append("can still claim" if row.can_claim else "gave its unconditional final waiver")
    return StackedLine(row.name, ", ".join(parts), "in the chain", needs_owner=row.can_claim)
