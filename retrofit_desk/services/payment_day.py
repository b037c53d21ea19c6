"""Payment day: what has been billed or falls due, what of it may be paid now, and what blocks the rest."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.contracts import ContractState
from retrofit_desk.rules.holds import HoldAction
from retrofit_desk.services.contract_sheet import purchase_rows, stage_row
from retrofit_desk.services.holds import HoldView
from retrofit_desk.values.cents import cents_text
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.place import PageKey, Place

DUE_WITHIN_DAYS = 14  # common practice, no source
PAID_WITHIN_DAYS = 30  # for a bill that names no day; common practice, no source


@dataclass(frozen=True)
class Payable:
    """Money that somebody asks for. `waits_for` follows "until"; `is_told`: a hold on record says so."""

    what: str
    amount_cents: int
    why: str
    due_on: date
    waits_for: tuple[str, ...]
    is_told: bool
    place: Place


def payables(session: Session, today: date, holds: Sequence[HoldView]) -> tuple[Payable, ...]:
    """Stages billed or due within two weeks, and open bills, the soonest first."""
    found = [*_stages(session, today, holds), *_bills(session)]
    return tuple(sorted(found, key=lambda one: (one.due_on, one.what)))


def _stages(session: Session, today: date, holds: Sequence[HoldView]) -> Iterator[Payable]:
    paying = [view for view in holds if view.answer.hold.action is HoldAction.PAY]
    for contract in session.scalars(select(m.Contract).where(m.Contract.state == ContractState.SIGNED)):
        for stage in contract.stages:
            row = stage_row(session, contract, stage, paying)
            is_near = row.due_on is not None and row.due_on <= today + timedelta(days=DUE_WITHIN_DAYS)
            if row.is_paid or row.due_cents <= 0 or not (row.invoice_id is not None or is_near):
                continue
            bill = session.get(m.Invoice, row.invoice_id) if row.invoice_id is not None else None
            asked_on = bill.on if bill is not None else today
            due_on, due = _due(row.due_on, asked_on)
            asks = f"bill {row.invoice_number}".strip() if bill is not None else "stage due"
            why = f"{contract.firm.name}, {asks}, {cents_text(row.due_cents)}, {due}."
            if row.retained_cents:
                why += f" {cents_text(row.retained_cents)} of it is held back."
            yield Payable(
                what=f"“{row.title}” of {contract.title}",
                amount_cents=row.due_cents,
                why=why,
                due_on=due_on,
                waits_for=row.waivers,
                is_told=bool(row.holds),
                place=Place(PageKey.MONEY, "contract", contract.id),
            )


def _bills(session: Session) -> Iterator[Payable]:
    for row in purchase_rows(session):
        if row.open_cents > 0:
            due_on, due = _due(row.due_on, row.on)
            what = f"bill {row.number} of {row.firm}".replace("  ", " ")
            about = f"{row.what}, " if row.what else ""
            why = f"{about}{cents_text(row.open_cents)}, {due}."
            yield Payable(what, row.open_cents, why, due_on, (), False, Place(PageKey.MONEY, "bill", row.id))


def _due(due_on: date | None, asked_on: date) -> tuple[date, str]:
    """The day that was stated, else thirty days from the bill, and which of the two in words."""
    if due_on is not None:
        return due_on, f"due {day_text(due_on)}"
    usual = asked_on + timedelta(days=PAID_WITHIN_DAYS)
    return usual, f"no due date; {PAID_WITHIN_DAYS} days are over on {day_text(usual)}"
