"""One contract gathered from the record: its account, stages, bills, waivers and chain."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from decimal import Decimal
from itertools import accumulate

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.money.ledger import ContractAccount, Paid, Stage, retained_cents
from retrofit_desk.records import models as m
from retrofit_desk.records.models.holds import HoldSubject
from retrofit_desk.records.tables import Tables
from retrofit_desk.rules import waivers as rules
from retrofit_desk.rules.deadlines import cancel_until
from retrofit_desk.rules.holds import HoldAction
from retrofit_desk.rules.invoices import BillFacts, invoice_points
from retrofit_desk.rules.quotes import highest_deposit_cents
from retrofit_desk.services.holds import HoldView, holds_in
from retrofit_desk.services.money_values import (
    ChangeRow,
    ContractRow,
    ContractSheet,
    InvoiceRow,
    PartyRow,
    PaymentRow,
    StageRow,
    WaiverRow,
)
from retrofit_desk.services.places import found
from retrofit_desk.values.cents import cents_text
from retrofit_desk.values.errors import CannotSay

MAIN = "main"


def share_of(contract: m.Contract) -> Decimal:
    """What the contract lets the owner hold back, as a share."""
    return Decimal(str(contract.retainage_percent)) / 100


def payments_of(session: Session, contract: m.Contract) -> list[m.Payment]:
    query = select(m.Payment).where(m.Payment.contract_id == contract.id).order_by(m.Payment.on, m.Payment.id)
    return list(session.scalars(query))


def account_of(session: Session, contract: m.Contract) -> ContractAccount:
    """The contract's account as the ledger adds it up."""
    orders = contract.change_orders
    signed = [one for one in orders if is_signed(one)]
    return ContractAccount(
        price_cents=contract.price_cents,
        signed_changes_cents=tuple(one.change_cents for one in signed),
        open_changes_cents=tuple(one.change_cents for one in orders if not is_signed(one)),
        retainage_share=share_of(contract),
        stages=tuple(Stage(s.title, s.amount_cents, s.due_on, s.is_final) for s in contract.stages),
        paid=tuple(_paid(session, contract)),
    )


def is_signed(order: m.ChangeOrder) -> bool:
    """A change order counts when both have signed."""
    return order.signed_by_owner_on is not None and order.signed_by_firm_on is not None


def _paid(session: Session, contract: m.Contract) -> Iterator[Paid]:
    seen: set[int] = set()
    stages = {stage.id: stage for stage in contract.stages}
    for payment in payments_of(session, contract):
        stage = stages.get(payment.stage_id or 0)
        held = 0
        if payment.invoice is not None and payment.invoice_id not in seen:
            seen.add(payment.invoice.id)
            held = payment.invoice.retained_cents
        elif payment.invoice is None and stage is not None and not payment.is_retainage:
            held = stage_retained(contract, stage)
        yield Paid(payment.on, payment.amount_cents, stage.title if stage else "", held, payment.is_retainage)


def stage_retained(contract: m.Contract, stage: m.StagedPayment) -> int:
    """What is held back of a stage without a bill."""
    return held_back(contract, stage, stage.amount_cents)


def held_back(contract: m.Contract, stage: m.StagedPayment | None, amount_cents: int) -> int:
    """By the contract, of an amount: nothing of a deposit, nothing of the last payment."""
    is_free = stage is not None and (stage.is_deposit or stage.is_final)
    return 0 if is_free else retained_cents(amount_cents, share_of(contract))


def row_of(session: Session, contract: m.Contract) -> ContractRow:
    """One line of the list."""
    account = account_of(session, contract)
    return ContractRow(
        id=contract.id,
        title=contract.title,
        firm=contract.firm.name,
        state=contract.state,
        signed_on=contract.signed_on,
        price_cents=contract.price_cents,
        changes_cents=sum(account.signed_changes_cents),
        open_changes_cents=sum(account.open_changes_cents),
        total_cents=account.total_cents,
        paid_cents=account.paid_cents,
        held_back_cents=account.held_back_cents,
        left_cents=0 if contract.state is m.ContractState.ENDED else account.left_cents,
    )


def sheet_of(session: Session, contract: m.Contract, on: date, tables: Tables) -> ContractSheet:
    """Everything about one contract, in plain values."""
    holds = [view for view in holds_in(session, on) if view.answer.hold.action is HoldAction.PAY]
    account = account_of(session, contract)
    firms, waivers = chain_of(contract)
    claims = {firm.key for firm in rules.can_still_claim(firms, waivers)}
    cancel = cancel_until(contract.signed_on, tables.holidays) if contract.signed_on else None
    stages = tuple(stage_row(session, contract, stage, holds) for stage in contract.stages)
    return ContractSheet(
        row=row_of(session, contract),
        number=contract.number,
        start_on=contract.start_on,
        finish_on=contract.finish_on,
        retainage_percent=contract.retainage_percent,
        stages=stages,
        changes=tuple(_changes(session, contract)),
        invoices=tuple(_invoices(contract)),
        payments=tuple(_payment(payment, contract) for payment in payments_of(session, contract)),
        waivers=tuple(_waivers(contract, {stage.id: stage for stage in stages})),
        parties=tuple(
            PartyRow(p.id, p.name, p.role, p.notice_on, p.last_work_on, _party_key(p.id) in claims)
            for p in contract.parties
        ),
        firm_can_claim=MAIN in claims,
        release_waits=rules.waivers_before_release(firms, waivers) if account.held_back_cents else (),
        measures=tuple(found(share.measure) for share in contract.shares),
        firm_id=contract.firm_id,
        unstaged_cents=account.unstaged_cents,
        notes=contract.notes,
        cancel_until=cancel if cancel is not None and on <= cancel else None,
        deposit_point=_deposit_point(session, contract, tables),
    )


def _deposit_point(session: Session, contract: m.Contract, tables: Tables) -> str:
    """The deposit against the limit of the state's law, where the table knows one."""
    site = session.scalar(select(m.Site))
    limit = next((one for one in tables.deposit_limits if site is not None and one.state == site.state), None)
    deposit = sum(stage.amount_cents for stage in contract.stages if stage.is_deposit)
    if limit is None or not deposit:
        return ""
    try:
        highest = highest_deposit_cents(limit, contract.price_cents, contract.special_order_cents)
    except CannotSay as error:
        return f"{limit.text} {limit.origin.source}. {error.line()}"
    if highest is None or deposit <= highest:
        return ""
    return (
        f"The deposit of {cents_text(deposit)} is above the {cents_text(highest)} that may be asked at "
        f"signing. {limit.text} {limit.origin.source}."
    )


def stage_row(
    session: Session, contract: m.Contract, stage: m.StagedPayment, holds: list[HoldView]
) -> StageRow:
    """One stage: what is due, what it waits for, and reasons for which it was paid all the same."""
    payments = [
        one for one in payments_of(session, contract) if one.stage_id == stage.id and not one.is_retainage
    ]
    invoice = bill_of(contract, stage)
    amount = invoice.amount_cents if invoice else stage.amount_cents
    retained = invoice.retained_cents if invoice else stage_retained(contract, stage)
    mine = [one for one in holds if (one.subject, one.subject_id) in _subjects(contract, stage)]
    due = amount - retained - sum(one.amount_cents for one in payments)
    is_paid = bool(payments) and due <= 0
    return StageRow(
        id=stage.id,
        title=stage.title,
        amount_cents=stage.amount_cents,
        due_cents=due,
        retained_cents=retained,
        waits_for=stage.waits_for,
        due_on=(invoice.due_on if invoice else None) or stage.due_on,
        is_deposit=stage.is_deposit,
        is_final=stage.is_final,
        invoice_id=invoice.id if invoice else None,
        invoice_number=invoice.number if invoice else "",
        paid_cents=sum(one.amount_cents for one in payments),
        paid_on=max((one.on for one in payments), default=None),
        cleared_on=max((one.cleared_on for one in payments if one.cleared_on), default=None),
        holds=()
        if is_paid
        else tuple(one.sentence for one in mine if not one.is_done and not one.answer.may_go_on),
        waivers=() if is_paid else missing_waivers(session, contract, stage),
        gone_past=tuple(
            f"{one.answer.hold.override.reason} (missing then: {'; '.join(one.answer.hold.override.missing)})"
            for one in mine
            if one.answer.hold.override is not None
        ),
    )


def bill_of(contract: m.Contract, stage: m.StagedPayment) -> m.Invoice | None:
    """The latest bill for a stage."""
    return next((one for one in reversed(contract.invoices) if one.stage_id == stage.id), None)


def missing_waivers(session: Session, contract: m.Contract, stage: m.StagedPayment) -> tuple[str, ...]:
    """In words that follow "until". A deposit asks for none: no work was done for it yet."""
    if stage.is_deposit:
        return ()
    firms, waivers = chain_of(contract)
    before = [
        rules.StagePaid(one.title, any(pay.cleared_on for pay in _paid_for(session, contract, one)))
        for one in contract.stages
        if one.position < stage.position and not one.is_deposit and _paid_for(session, contract, one)
    ]
    return rules.waivers_before_paying(
        stage.title, is_final=stage.is_final, firms=firms, waivers=waivers, paid_before=before
    )


def chain_of(contract: m.Contract) -> tuple[list[rules.ChainFirm], list[rules.Waiver]]:
    """Everybody who could claim against the house under this contract, and the waivers that are in."""
    stages = {stage.id: stage.title for stage in contract.stages}
    firms = [rules.ChainFirm(MAIN, contract.firm.name, is_main=True)]
    firms += [
        rules.ChainFirm(_party_key(one.id), one.name, gave_notice=one.notice_on is not None)
        for one in contract.parties
    ]
    waivers = [
        rules.Waiver(
            firm=_party_key(one.party_id) if one.party_id else MAIN,
            stage=stages.get(one.stage_id or 0, ""),
            kind=one.kind,
            is_signed=one.signed_on is not None and one.received_on is not None,
            through_on=one.through_on,
            exceptions=one.exceptions,
        )
        for one in contract.waivers
    ]
    return firms, waivers


def purchase_rows(session: Session) -> tuple[InvoiceRow, ...]:
    """Bills without a contract, the newest first."""
    query = select(m.Invoice).where(m.Invoice.contract_id.is_(None)).order_by(m.Invoice.on.desc())
    rows: list[InvoiceRow] = []
    for one in session.scalars(query):
        measure = session.get(m.Measure, one.measure_id) if one.measure_id else None
        rows.append(_invoice(one, measure.title if measure else "", ()))
    return tuple(rows)


def _subjects(contract: m.Contract, stage: m.StagedPayment) -> tuple[tuple[HoldSubject, int], ...]:
    return (HoldSubject.STAGE, stage.id), (HoldSubject.CONTRACT, contract.id)


def _party_key(party_id: int) -> str:
    return f"party:{party_id}"


def _paid_for(session: Session, contract: m.Contract, stage: m.StagedPayment) -> list[m.Payment]:
    return [one for one in payments_of(session, contract) if one.stage_id == stage.id]


def _changes(session: Session, contract: m.Contract) -> Iterator[ChangeRow]:
    running = accumulate((one.change_cents for one in contract.change_orders), initial=contract.price_cents)
    for order, total in zip(contract.change_orders, list(running)[1:], strict=True):
        measure = session.get(m.Measure, order.measure_id) if order.measure_id else None
        yield ChangeRow(
            id=order.id,
            number=order.number,
            on=order.on,
            reason=order.reason,
            change_cents=order.change_cents,
            change_days=order.change_days,
            running_cents=total,
            signed_by_owner_on=order.signed_by_owner_on,
            signed_by_firm_on=order.signed_by_firm_on,
            measure=measure.title if measure else "",
            changes_models=order.changes_models,
        )


def _invoices(contract: m.Contract) -> Iterator[InvoiceRow]:
    stages = {stage.id: stage for stage in contract.stages}
    changes = sum(one.change_cents for one in contract.change_orders if is_signed(one))
    before = 0
    for one in sorted(contract.invoices, key=lambda row: (row.on, row.id)):
        stage = stages.get(one.stage_id or 0)
        parts = (one.stated("equipment_cents"), one.stated("labor_cents"))
        facts = BillFacts(
            amount_cents=one.amount_cents,
            retained_cents=one.retained_cents,
            parts_cents=(*parts, *((one.stated("tax_cents"),) if one.tax_cents is not None else ())),
            stage_cents=stage.amount_cents if stage else None,
            signed_changes_cents=changes,
            contract_cents=contract.price_cents + changes,
            billed_before_cents=before,
            retainage_cents=held_back(contract, stage, one.amount_cents),
        )
        yield _invoice(one, stage.title if stage else "", invoice_points(facts))
        before += one.amount_cents


def _invoice(row: m.Invoice, what: str, points: tuple[str, ...]) -> InvoiceRow:
    return InvoiceRow(
        id=row.id,
        firm=row.firm.name,
        what=what,
        number=row.number,
        on=row.on,
        due_on=row.due_on,
        amount_cents=row.amount_cents,
        retained_cents=row.retained_cents,
        paid_cents=sum(payment.amount_cents for payment in row.payments),
        points=points,
    )


def _payment(row: m.Payment, contract: m.Contract) -> PaymentRow:
    titles = {stage.id: stage.title for stage in contract.stages}
    what = "held back money" if row.is_retainage else titles.get(row.stage_id or 0, "")
    return PaymentRow(row.id, row.on, what, row.amount_cents, row.how, row.cleared_on, row.is_retainage)


def _waivers(contract: m.Contract, stages: Mapping[int, StageRow]) -> Iterator[WaiverRow]:
    for one in contract.waivers:
        stage = stages.get(one.stage_id or 0)
        yield WaiverRow(
            id=one.id,
            party_id=one.party_id,
            who=one.party.name if one.party else contract.firm.name,
            kind=one.kind,
            stage_id=one.stage_id,
            stage=stage.title if stage else "",
            through_on=one.through_on,
            amount_cents=one.stated("amount_cents"),
            exceptions=one.exceptions,
            signed_on=one.signed_on,
            received_on=one.received_on,
            point=_amount_point(one, stage),
        )


def _amount_point(waiver: m.LienWaiver, stage: StageRow | None) -> str:
    """A waiver of the firm under contract speaks of the very sum that is paid, or it may not count."""
    if stage is None or waiver.amount_cents is None or waiver.party_id is not None:
        return ""
    sum_cents = stage.paid_cents if stage.is_paid else stage.due_cents
    if waiver.amount_cents == sum_cents:
        return ""
    word = "was" if stage.is_paid else "is"
    return (
        f"It speaks of {cents_text(waiver.amount_cents)}; the payment {word} {cents_text(sum_cents)}. A "
        "conditional waiver counts only for the sum it names (as Cal. Civ. Code 8132; local law decides)."
    )
