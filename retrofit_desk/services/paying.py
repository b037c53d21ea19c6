"""Paying: against its evidence, in one step, or for a written reason that stays visible."""

from __future__ import annotations

from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.contracts import ContractState
from retrofit_desk.records.models.holds import HoldSubject
from retrofit_desk.records.models.papers import PaperKind, PaperSubject
from retrofit_desk.records.unit_of_work import Work
from retrofit_desk.rules.holds import HoldAction, NeedKind
from retrofit_desk.rules.waivers import waivers_before_release
from retrofit_desk.services.contract_sheet import (
    account_of,
    bill_of,
    chain_of,
    missing_waivers,
    payments_of,
    stage_row,
)
from retrofit_desk.services.holds import pass_holds
from retrofit_desk.services.money_values import MoneyGone, PaymentUnclear, WrittenPayment
from retrofit_desk.services.papers import Filing, Use, file_in
from retrofit_desk.values.cents import cents_text

CLAIM = "Whoever was not paid can still claim against the house; local lien law decides."


def pay_stage_in(work: Work, stage_id: int, written: WrittenPayment) -> int:
    """Inside an action: pay a stage. Raises `NotYet`, `PaymentUnclear`."""
    session = work.session
    stage = session.get(m.StagedPayment, stage_id)
    if stage is None:
        raise MoneyGone("this stage is no longer recorded", do="look at the contract again")
    contract = stage.contract
    if contract.signed_on is None:
        raise PaymentUnclear("the contract is not signed", where=contract.title, do="sign it before paying")
    if contract.state is ContractState.ENDED:
        raise PaymentUnclear(
            "the contract was ended", where=contract.title, do="enter a bill for what is owed"
        )
    row = stage_row(session, contract, stage, [])
    _check_amount(written.amount_cents, row.due_cents, stage.title)
    missing = missing_waivers(session, contract, stage)
    if missing:
        what = f"“{stage.title}” of {contract.title}"
        _hold(session, HoldSubject.STAGE, stage.id, what, missing, contract, written.on)
    _pass(session, HoldSubject.STAGE, stage.id, written)
    _pass(session, HoldSubject.CONTRACT, contract.id, written)
    invoice = bill_of(contract, stage)
    payment = _payment(contract.firm_id, written)
    payment.contract_id, payment.stage_id = contract.id, stage.id
    payment.invoice_id = invoice.id if invoice else None
    _keep(work, payment, written)
    _close_if_done(session, contract)
    return payment.id


def pay_invoice_in(work: Work, invoice_id: int, written: WrittenPayment) -> int:
    """Inside an action: pay a bill that belongs to no contract. Raises `NotYet`, `PaymentUnclear`."""
    session = work.session
    invoice = session.get(m.Invoice, invoice_id)
    if invoice is None:
        raise MoneyGone("this bill is no longer recorded", do="look at the list again")
    if invoice.contract_id is not None:
        raise PaymentUnclear("this bill belongs to a contract", where=invoice.number, do="pay its stage")
    paid = sum(one.amount_cents for one in invoice.payments)
    due = invoice.amount_cents - invoice.retained_cents - paid
    _check_amount(written.amount_cents, due, f"Bill {invoice.number}")
    if invoice.measure_id is not None:
        _pass(session, HoldSubject.MEASURE, invoice.measure_id, written)
    payment = _payment(invoice.firm_id, written)
    payment.invoice_id = invoice.id
    _keep(work, payment, written)
    return payment.id


def release_in(work: Work, contract: m.Contract, written: WrittenPayment) -> int:
    """Inside an action: pay out what was held back. Raises `NotYet`, `PaymentUnclear`."""
    session = work.session
    account = account_of(session, contract)
    _check_amount(written.amount_cents, account.held_back_cents, "Held back")
    missing = waivers_before_release(*chain_of(contract))
    if missing:
        what = f"what is held back of {contract.title}"
        _hold(session, HoldSubject.CONTRACT, contract.id, what, missing, contract, written.on)
    _pass(session, HoldSubject.CONTRACT, contract.id, written)
    payment = _payment(contract.firm_id, written)
    payment.contract_id, payment.is_retainage = contract.id, True
    _keep(work, payment, written)
    _close_if_done(session, contract)
    return payment.id


def _check_amount(amount_cents: int, due_cents: int, what: str) -> None:
    if due_cents <= 0:
        raise PaymentUnclear("nothing is due any more", where=what, kept="nothing was paid")
    if amount_cents <= 0:
        raise PaymentUnclear("a payment must be more than zero", where=what, do="type the amount")
    if amount_cents > due_cents:
        raise PaymentUnclear(
            f"{cents_text(amount_cents)} is more than the {cents_text(due_cents)} that is due",
            where=what,
            kept="nothing was paid",
            do="pay less, or enter the bill or change order that asks for more",
        )


def _hold(
    session: Session,
    subject: HoldSubject,
    subject_id: int,
    what: str,
    missing: tuple[str, ...],
    contract: m.Contract,
    on: date,
) -> None:
    """Missing waivers become a hold of their own, so that paying without them stays visible."""
    number = (session.scalar(select(func.max(m.Hold.id))) or 0) + 1
    session.add(
        m.Hold(
            key=f"waivers-{subject}-{subject_id}-{number}",
            action=HoldAction.PAY,
            what=what,
            subject=subject,
            subject_id=subject_id,
            measure_id=contract.shares[0].measure_id if contract.shares else None,
            because=CLAIM,
            source="Common practice; local lien law decides",
            made_on=on,
            needs=[
                m.HoldNeed(position=at, kind=NeedKind.OTHER, text=text) for at, text in enumerate(missing)
            ],
        )
    )
    session.flush()


def _pass(session: Session, subject: HoldSubject, subject_id: int, written: WrittenPayment) -> None:
    pass_holds(session, subject, subject_id, HoldAction.PAY, on=written.on, reason=written.reason, by="owner")


def _keep(work: Work, payment: m.Payment, written: WrittenPayment) -> None:
    """The payment into the record, with its proof."""
    work.session.add(payment)
    work.session.flush()
    if written.paper is not None:
        firm = work.session.get_one(m.Firm, payment.firm_id)
        title = f"Payment of {cents_text(payment.amount_cents)} to {firm.name}"
        uses = (Use(PaperSubject.PAYMENT, payment.id),)
        filing = Filing(PaperKind.PROOF_OF_PAYMENT, title, payment.on, uses=uses)
        payment.paper_id, _same = file_in(work, written.paper, filing)


def _payment(firm_id: int, written: WrittenPayment) -> m.Payment:
    return m.Payment(
        firm_id=firm_id,
        on=written.on,
        amount_cents=written.amount_cents,
        how=written.how.strip(),
        cleared_on=written.cleared_on,
        from_loan_id=written.from_loan_id,
    )


def _close_if_done(session: Session, contract: m.Contract) -> None:
    """A contract with every stage paid and nothing held back is complete."""
    paid = {one.stage_id for one in payments_of(session, contract)}
    account = account_of(session, contract)
    if all(stage.id in paid for stage in contract.stages) and account.left_cents <= 0:
        contract.state = ContractState.COMPLETE
