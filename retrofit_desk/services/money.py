"""Money: what is promised, paid, owed and due back."""

from __future__ import annotations

from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.contracts import ContractState
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import tables_in
from retrofit_desk.services.days import today_of
from retrofit_desk.services.money_values import (
    Budget,
    CashView,
    ContractRow,
    ContractSheet,
    InvoiceRow,
    LoanSheet,
    MoneyChoices,
    MoneyGone,
    PaymentUnclear,
    RebateRow,
    WrittenBudget,
    WrittenChange,
    WrittenContract,
    WrittenInvoice,
    WrittenPayment,
    WrittenWaiver,
)


class MoneyService:
    """Reads and moves money; every change is one step that undo takes back."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def contracts(self) -> tuple[ContractRow, ...]:
        """All contracts, those under way first, then by day of signing."""
        from retrofit_desk.services.contract_sheet import row_of

        with self._project.session() as session:
            rows = [row_of(session, contract) for contract in session.scalars(select(m.Contract))]
        return tuple(sorted(rows, key=lambda row: (row.state in _OVER, row.signed_on or date.max, row.id)))

    def sheet(self, contract_id: int) -> ContractSheet:
        """One contract as of today. Raises `MoneyGone`."""
        from retrofit_desk.services.contract_sheet import sheet_of

        with self._project.session() as session:
            tables = tables_in(session)
            return sheet_of(session, found_contract(session, contract_id), today_of(session), tables)

    def contract_of_hold(self, hold_id: int) -> int | None:
        """The contract that a hold on a payment belongs to."""
        with self._project.session() as session:
            hold = session.get(m.Hold, hold_id)
            if hold is None:
                return None
            if hold.subject is m.HoldSubject.CONTRACT:
                return hold.subject_id
            stage = session.get(m.StagedPayment, hold.subject_id)
            return stage.contract_id if hold.subject is m.HoldSubject.STAGE and stage else None

    def purchases(self) -> tuple[InvoiceRow, ...]:
        """Bills without a contract, the newest first."""
        from retrofit_desk.services.contract_sheet import purchase_rows

        with self._project.session() as session:
            return purchase_rows(session)

    def budget(self) -> Budget:
        """Budget, committed, paid and forecast of every measure, and their sums."""
        from retrofit_desk.services.budget import budget_of

        with self._project.session() as session:
            return budget_of(session, today_of(session))

    def set_budget(self, written: WrittenBudget) -> None:
        """Set what is meant to be spent and what is set aside for surprises. Raises `PaymentUnclear`."""
        from retrofit_desk.services.budget import set_budget_in

        with self._project.action("Set budget and contingency") as work:
            set_budget_in(work.session, written)

    def rebates(self) -> tuple[RebateRow, ...]:
        """Every programme chosen, by the day the claim must be in."""
        from retrofit_desk.services.budget import rebates_of

        with self._project.session() as session:
            return rebates_of(session, today_of(session), tables_in(session))

    def loans(self) -> tuple[LoanSheet, ...]:
        from retrofit_desk.services.loan_sheet import loan_of

        with self._project.session() as session:
            return tuple(
                loan_of(session, loan) for loan in session.scalars(select(m.Loan).order_by(m.Loan.id))
            )

    def cash(self) -> CashView:
        """Money in and out by month, past and to come."""
        from retrofit_desk.services.cash_plan import cash_of

        with self._project.session() as session:
            tables = tables_in(session)
            return cash_of(session, today_of(session), tables)

    def choices(self) -> MoneyChoices:
        with self._project.session() as session:
            firms = session.scalars(select(m.Firm).order_by(m.Firm.name))
            measures = session.scalars(select(m.Measure).order_by(m.Measure.position, m.Measure.id))
            loans = session.scalars(select(m.Loan).order_by(m.Loan.id))
            return MoneyChoices(
                tuple((row.id, row.name) for row in firms),
                tuple((row.id, row.title) for row in measures),
                tuple((row.id, row.name) for row in loans),
                today_of(session),
            )

    def pay_stage(self, stage_id: int, written: WrittenPayment) -> int:
        """Pay a stage, in one step. Returns the payment's id.

        Raises `NotYet` while a hold or a missing waiver blocks and no reason is given, `PaymentUnclear` for
        more than is due.
        """
        from retrofit_desk.services.paying import pay_stage_in

        with self._project.action("Pay a stage") as work:
            return pay_stage_in(work, stage_id, written)

    def pay_invoice(self, invoice_id: int, written: WrittenPayment) -> int:
        """Pay a bill without a contract. Raises `PaymentUnclear` for more than is open."""
        from retrofit_desk.services.paying import pay_invoice_in

        with self._project.action("Pay a bill") as work:
            return pay_invoice_in(work, invoice_id, written)

    def release(self, contract_id: int, written: WrittenPayment) -> int:
        """Pay out what was held back. Raises `NotYet` while final waivers are missing, `PaymentUnclear`."""
        from retrofit_desk.services.paying import release_in

        with self._project.action("Pay out what was held back") as work:
            return release_in(work, found_contract(work.session, contract_id), written)

    def clear(self, payment_id: int, on: date) -> None:
        """Note that the bank shows the payment as gone."""
        with self._project.action("Note that a payment cleared") as work:
            payment = work.session.get(m.Payment, payment_id)
            if payment is None:
                raise MoneyGone("this payment is no longer recorded", do="look at the contract again")
            if on < payment.on:
                raise PaymentUnclear(
                    "it cannot clear before it was paid", where="Cleared", do="check the date"
                )
            payment.cleared_on = on

    def record_contract(self, written: WrittenContract) -> int:
        """Write down a contract that had no quote before. Raises `ContractUnclear`."""
        from retrofit_desk.services.money_entry import put_contract

        with self._project.action("Write down a contract") as work:
            return put_contract(work, written, tables_in(work.session))

    def end_contract(self, contract_id: int, reason: str) -> None:
        """End a contract before its time; what was paid stays, the rest is promised no more.

        Raises `PaymentUnclear` without a reason.
        """
        if not reason.strip():
            raise PaymentUnclear("ending a contract needs its reason", do="say why")
        with self._project.action("End a contract") as work:
            contract = found_contract(work.session, contract_id)
            contract.state = ContractState.ENDED
            contract.notes = "\n".join(part for part in (contract.notes, f"Ended: {reason.strip()}") if part)

    def record_invoice(self, written: WrittenInvoice) -> int:
        """Enter a bill, with its paper. Raises `PaymentUnclear`."""
        from retrofit_desk.services.money_entry import put_invoice

        with self._project.action("Enter a bill") as work:
            return put_invoice(work, written)

    def record_waiver(self, contract_id: int, written: WrittenWaiver) -> int:
        """File a lien waiver, with its paper. Raises `PaymentUnclear`."""
        from retrofit_desk.services.money_entry import put_waiver

        with self._project.action("File a lien waiver") as work:
            return put_waiver(work, found_contract(work.session, contract_id), written)

    def correct_waiver(self, waiver_id: int, written: WrittenWaiver) -> None:
        """A waiver that was sent out came back, or was wrong. Raises `PaymentUnclear`."""
        from retrofit_desk.services.money_entry import correct_waiver

        with self._project.action("Take a lien waiver back in") as work:
            waiver = work.session.get(m.LienWaiver, waiver_id)
            if waiver is None:
                raise MoneyGone("this waiver is no longer recorded", do="look at the contract again")
            correct_waiver(work, waiver, written)

    def record_change(self, contract_id: int, written: WrittenChange) -> int:
        """Write down a change order. Raises `PaymentUnclear` without its reason."""
        from retrofit_desk.services.money_entry import put_change

        with self._project.action("Write down a change order") as work:
            return put_change(work, found_contract(work.session, contract_id), written)

    def sign_change(self, change_id: int, on: date, *, by_firm: bool = False) -> None:
        """Note the owner's signature, or the firm's; with both it counts."""
        with self._project.action("Sign a change order") as work:
            change = work.session.get(m.ChangeOrder, change_id)
            if change is None:
                raise MoneyGone("this change order is no longer recorded", do="look at the contract again")
            if by_firm:
                change.signed_by_firm_on = on
            else:
                change.signed_by_owner_on = on

    def record_party(
        self, contract_id: int, name: str, role: str, notice_on: date | None, last_work_on: date | None
    ) -> int:
        """Add a sub or supplier to the chain of a contract. Raises `PaymentUnclear` without a name."""
        from retrofit_desk.services.money_entry import put_party

        with self._project.action("Add a firm to the chain") as work:
            contract = found_contract(work.session, contract_id)
            return put_party(work.session, contract, name, role, notice_on, last_work_on)

    def correct_party(
        self, party_id: int, name: str, role: str, notice_on: date | None, last_work_on: date | None
    ) -> None:
        """What became known later: its notice, its last day of work. Raises `PaymentUnclear`."""
        from retrofit_desk.services.money_entry import fill_party

        with self._project.action("Correct a firm of the chain") as work:
            party = work.session.get(m.ChainParty, party_id)
            if party is None:
                raise MoneyGone("this firm is no longer recorded", do="look at the contract again")
            fill_party(work.session, party, name, role, notice_on, last_work_on)

    def ask_draw(self, loan_id: int, amount_cents: int, for_what: str, on: date) -> int:
        """Ask the lender for a part of the loan. Raises `PaymentUnclear` for more than is left."""
        from retrofit_desk.services.money_entry import put_draw

        with self._project.action("Ask for a draw") as work:
            return put_draw(work.session, loan_id, amount_cents, for_what, on)

    def draw_came(self, draw_id: int, on: date) -> None:
        with self._project.action("Note that a draw came") as work:
            draw = work.session.get(m.LoanDraw, draw_id)
            if draw is None:
                raise MoneyGone("this draw is no longer recorded", do="look at the loan again")
            draw.paid_on = on


_OVER = (ContractState.COMPLETE, ContractState.ENDED)


def found_contract(session: Session, contract_id: int) -> m.Contract:
    """Raises `MoneyGone`."""
    contract = session.get(m.Contract, contract_id)
    if contract is None:
        raise MoneyGone("this contract is no longer recorded", do="undo, or choose another one")
    return contract
