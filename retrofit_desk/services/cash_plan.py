"""Money by month: what went in and out, and what is promised or planned."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.money.ledger import CashMove, cash_by_month
from retrofit_desk.records import models as m
from retrofit_desk.records.models.contracts import ContractState
from retrofit_desk.records.tables import Tables
from retrofit_desk.services.budget import rebates_of
from retrofit_desk.services.contract_sheet import account_of, stage_row
from retrofit_desk.services.loan_sheet import plan_of
from retrofit_desk.services.money_values import CashView

MONTHS_AHEAD = 12


def cash_of(session: Session, on: date, tables: Tables) -> CashView:
    """Every month from the first payment to the last planned one, at most a year ahead."""
    moves = [
        *_payments(session),
        *_contracts(session),
        *_bills(session),
        *_draws(session),
        *_loan_payments(session, on),
        *_rebates(session, on, tables),
    ]
    notes = (
        "Stages without a date and rebates not yet paid stand below the months.",
        "Loan payments are those of the whole loan; drawn later or less, they change.",
    )
    return CashView(cash_by_month(moves), on, notes)


def _payments(session: Session) -> Iterator[CashMove]:
    for one in session.scalars(select(m.Payment)):
        firm = session.get_one(m.Firm, one.firm_id)
        yield CashMove(one.on, -one.amount_cents, f"paid to {firm.name}")


def _contracts(session: Session) -> Iterator[CashMove]:
    """All that is left to pay under each contract, to the cent.

    Stages on the day that their bill or the contract names; below them what is or will be held back, and
    what no stage speaks of, such as a change order.
    """
    for contract in session.scalars(select(m.Contract).where(m.Contract.state == ContractState.SIGNED)):
        account = account_of(session, contract)
        rows = [stage_row(session, contract, stage, []) for stage in contract.stages]
        due = [row for row in rows if not row.is_paid and row.due_cents > 0]
        for row in due:
            yield CashMove(row.due_on, -row.due_cents, f"{contract.title}: {row.title}", False)
        held = account.held_back_cents + sum(row.retained_cents for row in due)
        if held > 0:
            yield CashMove(None, -held, f"{contract.title}: held back", False)
        rest = account.left_cents - sum(row.due_cents for row in due) - held
        if rest:
            yield CashMove(None, -rest, f"{contract.title}: in no stage yet", False)


def _bills(session: Session) -> Iterator[CashMove]:
    for bill in session.scalars(select(m.Invoice).where(m.Invoice.contract_id.is_(None))):
        left = bill.amount_cents - bill.retained_cents - sum(one.amount_cents for one in bill.payments)
        if left > 0:
            yield CashMove(bill.due_on or bill.on, -left, f"bill {bill.number} of {bill.firm.name}", False)


def _draws(session: Session) -> Iterator[CashMove]:
    for draw in session.scalars(select(m.LoanDraw)):
        what = f"{draw.loan.name}: {draw.for_what}"
        yield CashMove(draw.paid_on, draw.amount_cents, what, draw.paid_on is not None)


def _loan_payments(session: Session, on: date) -> Iterator[CashMove]:
    for loan in session.scalars(select(m.Loan)):
        plan = plan_of(loan)
        if plan is None or loan.first_payment_on is None:
            continue
        for row in plan.rows:
            due = _months_later(loan.first_payment_on, row.number - 1)
            if due > _months_later(on, MONTHS_AHEAD):
                break
            yield CashMove(due, -row.payment_cents, f"{loan.name}: payment {row.number}", False)


def _rebates(session: Session, on: date, tables: Tables) -> Iterator[CashMove]:
    for row in rebates_of(session, on, tables):
        if row.received_cents.value:
            yield CashMove(row.received_on, row.received_cents.value, f"{row.programme}: {row.measure}")
        elif row.expected_cents.value:
            what = f"{row.programme}: {row.measure}"
            yield CashMove(None, row.expected_cents.value, what, row.is_reserved)


def _months_later(day: date, months: int) -> date:
    index = day.year * 12 + day.month - 1 + months
    return date(index // 12, index % 12 + 1, min(day.day, 28))
