"""Contracts, payments, rebates and loans as a packet tells them, to the cent."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.paperwork.contents import (
    ContractLine,
    LoanLine,
    MoneyPart,
    PacketKind,
    PaymentLine,
    RebateLine,
)
from retrofit_desk.records import models as m
from retrofit_desk.records.models.programmes import FALLEN
from retrofit_desk.records.tables import NotInTable, Tables
from retrofit_desk.services.budget import budget_of
from retrofit_desk.services.budget_words import contingency_words
from retrofit_desk.services.days import today_of
from retrofit_desk.services.loan_sheet import yearly_rate
from retrofit_desk.services.packet_aims import Aim
from retrofit_desk.services.signing import programme_name, programmes_chosen
from retrofit_desk.values.cents import cents_text
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.quantity import count_text
from retrofit_desk.values.stated import StatedValue


def money_part(session: Session, tables: Tables, aim: Aim) -> MoneyPart:
    """What belongs to the measures of the packet; a contract for several measures counts by its shares."""
    ids = set(aim.measure_ids)
    contracts = session.scalars(select(m.Contract).order_by(m.Contract.signed_on, m.Contract.id)).all()
    concerned = [contract for contract in contracts if ids & {share.measure_id for share in contract.shares}]
    return MoneyPart(
        contracts=tuple(_contract(session, contract, ids) for contract in concerned),
        payments=_payment_lines(session, ids),
        rebates=tuple(_rebate(tables, choice) for choice in programmes_chosen(session, *ids)),
        loans=_loan_lines(session, aim),
        surprises=_surprises(session) if aim.kind is PacketKind.LENDER else (),
    )


def _surprises(session: Session) -> tuple[str, ...]:
    """Of the whole project: a lender lends against all that may come."""
    return tuple(contingency_words(budget_of(session, today_of(session))))


def payments_of(session: Session, measure_ids: set[int]) -> list[m.Payment]:
    """Payments that belong to the measures: by their invoice, else by a contract for them alone."""
    rows = session.scalars(select(m.Payment).order_by(m.Payment.on, m.Payment.id))
    return [row for row in rows if _measures_paid(session, row) & measure_ids]


def _measures_paid(session: Session, row: m.Payment) -> set[int]:
    if row.invoice is not None and row.invoice.measure_id is not None:
        return {row.invoice.measure_id}
    contract = session.get(m.Contract, row.contract_id) if row.contract_id else None
    return {share.measure_id for share in contract.shares} if contract is not None else set()


def _contract(session: Session, contract: m.Contract, ids: set[int]) -> ContractLine:
    shares = [share for share in contract.shares if share.measure_id in ids]
    is_whole = len(shares) == len(contract.shares)
    orders = [order for order in contract.change_orders if is_whole or order.measure_id in ids]
    paid = [row for row in payments_of(session, ids) if row.contract_id == contract.id]
    invoices = [one for one in contract.invoices if is_whole or one.measure_id in ids]
    released = sum(row.amount_cents for row in paid if row.is_retainage)
    price = contract.price_cents if is_whole else sum(share.share_cents for share in shares)
    return ContractLine(
        firm=contract.firm.legal_name or contract.firm.name,
        what_for=contract.title if is_whole else f"{contract.title} (share of these measures)",
        signed_on=contract.signed_on,
        price_cents=StatedValue(price),
        changes_cents=sum(order.change_cents for order in orders if _is_signed(order)),
        paid_cents=sum(row.amount_cents for row in paid),
        retained_cents=sum(one.retained_cents for one in invoices if one.payments) - released,
    )


def _is_signed(order: m.ChangeOrder) -> bool:
    return order.signed_by_owner_on is not None and order.signed_by_firm_on is not None


def _payment_lines(session: Session, ids: set[int]) -> tuple[PaymentLine, ...]:
    lines = []
    for row in payments_of(session, ids):
        firm = session.get(m.Firm, row.firm_id)
        stage = session.get(m.StagedPayment, row.stage_id) if row.stage_id else None
        assert firm is not None
        against = f"invoice {row.invoice.number}" if row.invoice is not None else ""
        cleared = f"cleared {day_text(row.cleared_on)}" if row.cleared_on else "not cleared yet"
        lines.append(
            PaymentLine(
                paid_on=row.on,
                to=firm.legal_name or firm.name,
                what_for=_what_for(session, row, stage),
                amount_cents=row.amount_cents,
                against="; ".join(part for part in (against, row.how, cleared) if part),
            )
        )
    return tuple(lines)


def _what_for(session: Session, row: m.Payment, stage: m.StagedPayment | None) -> str:
    if stage is not None:
        return f"{stage.contract.title}: {stage.title}"
    measure = (
        session.get(m.Measure, row.invoice.measure_id) if row.invoice and row.invoice.measure_id else None
    )
    return measure.title if measure is not None else "purchase"


def _rebate(tables: Tables, choice: m.ProgrammeChoice) -> RebateLine:
    held = next((one for one in reversed(choice.reservations) if one.state not in FALLEN), None)
    claim = choice.claims[-1] if choice.claims else None
    return RebateLine(
        programme=programme_name(choice.programme_key, tables),
        measure=choice.subject,
        amount_cents=_rebate_amount(choice, held, claim),
        status=_rebate_status(held, claim),
        reserved_until=held.ends_on if held is not None and held.state is m.ReservationState.HELD else None,
        claim_by=claim.claim_by if claim is not None and claim.state is m.ClaimState.NOT_SENT else None,
        source=_rebate_source(tables, choice, held),
    )


def _rebate_amount(
    choice: m.ProgrammeChoice, held: m.Reservation | None, claim: m.Claim | None
) -> StatedValue[int]:
    """What was paid, else what is reserved, else what the owner expects."""
    if claim is not None and claim.paid_cents is not None:
        return claim.stated("paid_cents")
    if held is not None and held.amount_cents is not None:
        return held.stated("amount_cents")
    return choice.stated("expected_cents")


def _rebate_status(held: m.Reservation | None, claim: m.Claim | None) -> str:
    if claim is not None and claim.state is not m.ClaimState.NOT_SENT:
        return f"claim {claim.state}"
    if held is None:
        return "not reserved"
    return {m.ReservationState.ASKED: "asked for", m.ReservationState.HELD: "reserved"}.get(
        held.state, f"reservation {held.state}"
    )


def _rebate_source(tables: Tables, choice: m.ProgrammeChoice, held: m.Reservation | None) -> str:
    letter = f"reservation letter {held.number}" if held is not None and held.number else ""
    day = held.held_from or held.asked_on if held is not None else None
    parts = [f"{letter}, {day_text(day)}" if letter and day else letter]
    try:
        version = tables.programme(choice.programme_key).versions[-1]
        parts.append(f"rules as of {day_text(version.checked_on)}")
    except NotInTable:
        parts.append("" if letter else "the owner's own note")
    return "; ".join(part for part in parts if part)


def _loan_lines(session: Session, aim: Aim) -> tuple[LoanLine, ...]:
    """Loans matter to the lender alone."""
    if aim.id is None or aim.kind is not PacketKind.LENDER:
        return ()
    loan = session.get(m.Loan, aim.id)
    if loan is None:
        return ()
    lender = session.get(m.Firm, loan.lender_id) if loan.lender_id else None
    rate = loan.stated("rate_percent")
    months = count_text(loan.months, "month") if loan.months is not None else "length not stated"
    until = f"to be drawn by {day_text(loan.draw_by)}" if loan.draw_by else ""
    fees = loan.stated("fees_cents")
    return (
        LoanLine(
            lender=lender.name if lender else loan.name,
            amount_cents=StatedValue(loan.principal_cents),
            drawn_cents=sum(draw.amount_cents for draw in loan.draws if draw.paid_on is not None),
            rate_percent=StatedValue.of(None if rate.value is None else f"{rate.value:g}", rate.stated),
            apr_percent=_apr(loan),
            terms="; ".join(part for part in (months, until, _fees(fees)) if part),
        ),
    )


def _fees(fees: StatedValue[int]) -> str:
    return f"fees {fees.stated if fees.value is None else cents_text(fees.value)}"


def _apr(loan: m.Loan) -> StatedValue[str]:
    """As if drawn whole a month before the first payment; unknown while rate, fees or length is."""
    percent, _why = yearly_rate(loan)
    return StatedValue.of(None if percent.value is None else f"{percent.value:.2f}", percent.stated)
