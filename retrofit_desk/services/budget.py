"""Every measure's money beside its rebates: budget, committed, paid, forecast, due back."""

from __future__ import annotations

from collections import defaultdict
from datetime import date
from decimal import Decimal
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.money.ledger import MeasureMoney, contingency_of, project_money
from retrofit_desk.money.rounding import split_cents
from retrofit_desk.records import models as m
from retrofit_desk.records.models.programmes import FALLEN, ClaimState, ReservationState
from retrofit_desk.records.tables import Tables
from retrofit_desk.services.contract_sheet import is_signed, payments_of
from retrofit_desk.services.money_values import Budget, MeasureLine, PaymentUnclear, RebateRow, WrittenBudget
from retrofit_desk.services.signing import programme_name, programmes_chosen
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.stated import Stated, StatedValue, total

WARN_DAYS = 30  # days ahead at which a date of a rebate needs the owner; common practice, no source
UNKNOWN: StatedValue[Any] = StatedValue(None, Stated.UNKNOWN)
_SENT = (ClaimState.SENT, ClaimState.APPEALED, ClaimState.APPROVED, ClaimState.PAID)


def budget_of(session: Session, on: date) -> Budget:
    """All measures but those given up; one given up stays while money went into it, without a budget."""
    paid = _paid_by_measure(session)
    open_changes = _changes_by_measure(session, signed=False)
    lines: list[MeasureLine] = []
    could_be = finds = _open_finds_cents(session)
    for measure in session.scalars(select(m.Measure).order_by(m.Measure.position, m.Measure.id)):
        if measure.state.is_over and not paid[measure.id]:
            continue
        money = _money(session, measure, paid[measure.id], on)
        high = None if money.committed_cents.is_known else measure.cost_high_cents
        lines.append(MeasureLine(measure.id, measure.title, str(measure.state), money, high))
        forecast = money.forecast_cents.value or 0
        could_be += max(forecast, high or 0) + max(open_changes[measure.id], 0)
    site = session.scalar(select(m.Site))
    percent: StatedValue[float] = site.stated("contingency_percent") if site else UNKNOWN
    share = None if percent.value is None else Decimal(str(percent.value)) / 100
    return Budget(
        lines=tuple(lines),
        project=project_money(line.money for line in lines),
        could_be_cents=could_be,
        open_finds_cents=finds,
        contingency=contingency_of((line.money for line in lines), StatedValue.of(share, percent.stated)),
        meant_cents=site.stated("budget_cents") if site else UNKNOWN,
    )


def set_budget_in(session: Session, written: WrittenBudget) -> None:
    """Inside an action: what the owner means to spend, and the share set aside. Raises `PaymentUnclear`."""
    site = session.scalar(select(m.Site))
    if site is None:
        raise PaymentUnclear("no house is recorded yet", kept="nothing was changed", do="describe it first")
    percent = written.contingency_percent
    if percent.value is not None and not 0 <= percent.value <= 100:
        raise PaymentUnclear(
            "a share lies between 0 and 100%",
            where="Contingency",
            kept="nothing was changed",
            do="correct it",
        )
    if written.meant_cents.value is not None and written.meant_cents.value < 0:
        raise PaymentUnclear("a budget is not less than nothing", where="In all", do="correct it")
    site.set_stated("budget_cents", written.meant_cents)
    site.set_stated("contingency_percent", percent)


def rebates_of(session: Session, on: date, tables: Tables) -> tuple[RebateRow, ...]:
    """Programmes chosen and not dropped, by the day the claim must be in."""
    choices = session.scalars(select(m.ProgrammeChoice).where(m.ProgrammeChoice.is_dropped.is_(False)))
    rows = [_rebate(choice, on, tables) for choice in choices]
    return tuple(sorted(rows, key=lambda row: (row.received_cents.is_known, row.claim_by or date.max)))


def committed_of(session: Session, measure: m.Measure) -> StatedValue[int]:
    """Shares of signed contracts with the change orders signed by both, and plain purchases."""
    shares = session.scalars(select(m.ContractShare).where(m.ContractShare.measure_id == measure.id)).all()
    signed = [_promised(session, share) for share in shares if share.contract.signed_on is not None]
    bought = session.scalars(
        select(m.Invoice).where(m.Invoice.measure_id == measure.id, m.Invoice.contract_id.is_(None))
    )
    purchases = [invoice.amount_cents for invoice in bought]
    if not signed and not purchases:
        return StatedValue(None, Stated.UNKNOWN)
    changes = _changes_by_measure(session, signed=True)[measure.id]
    return StatedValue(sum(signed) + sum(purchases) + changes)


def sure_rebates_cents(session: Session, measure: m.Measure, on: date) -> int:
    """What of its rebates may be counted on that day: paid, else reserved in writing."""
    sure = (
        (one, _received(one) if _received(one).value else _reserved(one, on))
        for one in programmes_chosen(session, measure.id)
    )
    return sum(_part(session, choice, measure, cents).value or 0 for choice, cents in sure)


def _part(
    session: Session, choice: m.ProgrammeChoice, measure: m.Measure, cents: StatedValue[int]
) -> StatedValue[int]:
    """Of a rebate for several measures the part of one, by what they cost."""
    if not choice.others or cents.value is None:
        return cents
    costs = [cost_of(session, one).value or 0 for one in choice.measures]
    weights = costs if any(costs) else [1] * len(costs)
    parts = split_cents(cents.value, [Decimal(weight) for weight in weights])
    return StatedValue(parts[choice.measures.index(measure)])


def cost_of(session: Session, measure: m.Measure) -> StatedValue[int]:
    """What is committed, else the owner's own costing."""
    committed = committed_of(session, measure)
    return committed if committed.is_known else measure.stated("cost_cents")


def _promised(session: Session, share: m.ContractShare) -> int:
    """A measure's part of a contract; of one that was ended only what was paid."""
    contract = share.contract
    if contract.state is not m.ContractState.ENDED:
        return share.share_cents
    paid = sum(payment.amount_cents for payment in payments_of(session, contract))
    parts = split_cents(paid, [Decimal(one.share_cents) for one in contract.shares])
    return parts[contract.shares.index(share)]


def _money(session: Session, measure: m.Measure, paid_cents: int, on: date) -> MeasureMoney:
    choices = programmes_chosen(session, measure.id)
    expected = total(_part(session, choice, measure, _expected(choice, on)) for choice in choices)
    known: StatedValue[int] = StatedValue(expected.known)
    budget, committed = measure.stated("cost_cents"), committed_of(session, measure)
    return MeasureMoney(
        key=measure.key,
        budget_cents=StatedValue(None, Stated.EXCLUDED) if measure.state.is_over else budget,
        committed_cents=committed,
        paid_cents=paid_cents,
        rebates_expected_cents=known if expected.is_complete else StatedValue(None, Stated.UNKNOWN),
        rebates_reserved_cents=sum(
            _part(session, choice, measure, _reserved(choice, on)).value or 0 for choice in choices
        ),
        rebates_received_cents=sum(
            _part(session, choice, measure, _received(choice)).value or 0 for choice in choices
        ),
        changes_cents=_changes_by_measure(session, signed=True)[measure.id] if committed.is_known else 0,
    )


def _paid_by_measure(session: Session) -> dict[int, int]:
    """A payment belongs to the measure its bill names, else to the shares of its contract."""
    paid: dict[int, int] = defaultdict(int)
    for payment in session.scalars(select(m.Payment)):
        if payment.invoice is not None and payment.invoice.measure_id is not None:
            paid[payment.invoice.measure_id] += payment.amount_cents
            continue
        contract = session.get(m.Contract, payment.contract_id) if payment.contract_id else None
        if contract is None or not contract.shares:
            continue
        parts = split_cents(payment.amount_cents, [Decimal(one.share_cents) for one in contract.shares])
        for share, part in zip(contract.shares, parts, strict=True):
            paid[share.measure_id] += part
    return paid


def _changes_by_measure(session: Session, *, signed: bool) -> defaultdict[int, int]:
    """Change orders of contracts that go on; one for the whole contract belongs to its shares."""
    found: defaultdict[int, int] = defaultdict(int)
    for order in session.scalars(select(m.ChangeOrder)):
        contract = order.contract
        if contract.state is m.ContractState.ENDED or is_signed(order) is not signed:
            continue
        if order.measure_id is not None:
            found[order.measure_id] += order.change_cents
        elif contract.shares:
            parts = split_cents(order.change_cents, [Decimal(one.share_cents) for one in contract.shares])
            for share, part in zip(contract.shares, parts, strict=True):
                found[share.measure_id] += part
    return found


def _open_finds_cents(session: Session) -> int:
    """What hazards that were found and are not settled may cost, as far as somebody said."""
    finds = session.scalars(select(m.HazardFinding).where(m.HazardFinding.settled_on.is_(None)))
    return sum(one.cost_cents or 0 for one in finds)


def _rebate(choice: m.ProgrammeChoice, on: date, tables: Tables) -> RebateRow:
    reservation = choice.reservations[-1] if choice.reservations else None
    claim = choice.claims[-1] if choice.claims else None
    reserved = _reserved(choice, on)
    received = _received(choice)
    words, needs_owner = _words(reservation, claim, on)
    unknown: StatedValue[int] = StatedValue(None, Stated.UNKNOWN)
    return RebateRow(
        choice_id=choice.id,
        programme=programme_name(choice.programme_key, tables),
        measure_ids=tuple(one.id for one in choice.measures),
        measure=choice.subject,
        expected_cents=_expected(choice, on),
        reserved_cents=reserved,
        is_reserved=reserved.is_known,
        reserved_until=reservation.ends_on if reservation else None,
        claim_by=claim.claim_by if claim else None,
        asked_cents=claim.stated("asked_cents") if claim else unknown,
        received_cents=received,
        received_on=claim.paid_on if claim else None,
        words=words,
        needs_owner=needs_owner,
        reservation=reservation.state if reservation else None,
    )


def _expected(choice: m.ProgrammeChoice, on: date) -> StatedValue[int]:
    """What the owner counts on; where nobody said, what is paid or else reserved in writing."""
    said, received = choice.stated("expected_cents"), _received(choice)
    if said.is_known:
        return said
    return received if received.is_known else _reserved(choice, on)


def _reserved(choice: m.ProgrammeChoice, on: date) -> StatedValue[int]:
    """What is reserved in writing on that day."""
    good = [
        one
        for one in choice.reservations
        if one.state is ReservationState.USED
        or (one.state is ReservationState.HELD and (one.ends_on is None or on <= one.ends_on))
    ]
    return good[-1].stated("amount_cents") if good else StatedValue(None, Stated.UNKNOWN)


def _received(choice: m.ProgrammeChoice) -> StatedValue[int]:
    paid = [one.paid_cents for one in choice.claims if one.state is ClaimState.PAID and one.paid_cents]
    return StatedValue(sum(paid)) if paid else StatedValue(None, Stated.UNKNOWN)


def _words(reservation: m.Reservation | None, claim: m.Claim | None, on: date) -> tuple[str, bool]:
    """How far a rebate is, and whether the owner must act."""
    if claim is not None and claim.state in _SENT:
        day = claim.paid_on if claim.state is ClaimState.PAID else claim.sent_on
        return f"claim {claim.state} {day_text(day)}", False
    if claim is not None and claim.state in (ClaimState.BOUNCED, ClaimState.REFUSED):
        until = f", appeal by {day_text(claim.appeal_by)}" if claim.appeal_by else ""
        return f"claim {claim.state}{until}", True
    parts: list[str] = []
    needs_owner = False
    if reservation is None or reservation.state in FALLEN:
        parts.append("not reserved" if reservation is None else _fallen_words(reservation, on))
        needs_owner = True
    elif reservation.state is ReservationState.APPEALED:
        parts.append(f"reservation appealed {day_text(reservation.appealed_on)}")
    elif reservation.state is ReservationState.ASKED:
        parts.append(f"reservation asked for {day_text(reservation.asked_on)}")
    elif reservation.ends_on is not None:
        over = reservation.ends_on < on
        parts.append(f"reservation {'ran out' if over else 'held until'} {day_text(reservation.ends_on)}")
        needs_owner = (reservation.ends_on - on).days <= WARN_DAYS
    if claim is not None and claim.claim_by is not None:
        parts.append(f"claim not sent, must be in by {day_text(claim.claim_by)}")
        needs_owner = needs_owner or (claim.claim_by - on).days <= WARN_DAYS
    return "; ".join(parts), needs_owner


def _fallen_words(reservation: m.Reservation, on: date) -> str:
    """Which way it fell away and why, and until when an appeal is possible."""
    day = f" {day_text(reservation.answered_on)}" if reservation.answered_on else ""
    words = f"reservation {reservation.state}{day}"
    if reservation.answer:
        words += f" (“{reservation.answer.splitlines()[0].rstrip('.')}”)"
    if reservation.appeal_by is not None:
        over = "the last day to appeal was" if reservation.appeal_by < on else "appeal by"
        words += f", {over} {day_text(reservation.appeal_by)}"
    return words
