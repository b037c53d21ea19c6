"""Everything on record that runs out, with the place where it is dealt with."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.contracts import ContractState
from retrofit_desk.records.models.papers import PaperKind
from retrofit_desk.records.models.programmes import FALLEN, ClaimState, ReservationState
from retrofit_desk.records.models.quotes import QuoteState
from retrofit_desk.records.tables import NotInTable, Tables
from retrofit_desk.rules import deadlines
from retrofit_desk.rules.deadlines import MEANS, Ending, EndKind, RunsOut, Urgency
from retrofit_desk.rules.programmes import claim_by, evaluate
from retrofit_desk.rules.waivers import WaiverKind
from retrofit_desk.services.permit_dates import PermitLives
from retrofit_desk.services.places import found
from retrofit_desk.services.programme_facts import facts_of_choice
from retrofit_desk.services.signing import programme_name
from retrofit_desk.values.place import PageKey, Place

LOOK_AHEAD_DAYS = 120
FORGOTTEN_AFTER_DAYS = 90
"""What ran out longer ago and was never settled is history, not a thing to do."""

TOLD_ELSEWHERE = frozenset(
    {PaperKind.QUOTE, PaperKind.LICENSE, PaperKind.INSURANCE, PaperKind.PERMIT, PaperKind.RESERVATION}
    | {PaperKind.WARRANTY}
)
"""Papers whose end stands with the thing they speak of."""


@dataclass(frozen=True)
class EndingLine:
    """One thing that runs out. `needs_owner`: soon, or over already."""

    seen: RunsOut
    place: Place

    @property
    def needs_owner(self) -> bool:
        return self.seen.urgency is not Urgency.LATER


def endings_in(
    session: Session, tables: Tables, today: date, *, within_days: int = LOOK_AHEAD_DAYS
) -> tuple[EndingLine, ...]:
    """What runs out within four months (or so many days), the soonest first."""
    places: dict[str, Place] = {}
    endings: list[Ending] = []
    for ending, place in _all(session, tables, today):
        places[ending.key] = place
        endings.append(ending)
    seen = deadlines.runs_out(endings, today, within_days=within_days)
    return tuple(EndingLine(one, places[one.ending.key]) for one in seen if not _is_history(one))


def _is_history(one: RunsOut) -> bool:
    """An expired permit is not: work under it stands still until the office renews it or takes it back."""
    return one.days_left < -FORGOTTEN_AFTER_DAYS and one.ending.kind is not EndKind.PERMIT


def _all(session: Session, tables: Tables, today: date) -> Iterator[tuple[Ending, Place]]:
    lives = PermitLives(session)
    for permit in session.scalars(select(m.Permit)):
        if (ending := lives.ending(permit, today)) is not None:
            yield ending, found(permit).place
    yield from _quotes(session)
    yield from _programmes(session, tables, today)
    yield from _firms(session)
    yield from _warranties(session)
    yield from _contracts(session, tables, today)
    yield from _liens(session, tables)
    for loan in session.scalars(select(m.Loan).where(m.Loan.draw_by.is_not(None))):
        drawn = sum(draw.amount_cents for draw in loan.draws)
        if loan.draw_by is not None and drawn < loan.principal_cents:
            kind, key = EndKind.LOAN_DRAW, f"loan:{loan.id}"
            yield (
                _ending(kind, f"{loan.name}, last draw", loan.draw_by, loan.approved_on, key),
                found(loan).place,
            )
    for paper in session.scalars(select(m.Paper).where(m.Paper.ends_on.is_not(None))):
        if paper.kind not in TOLD_ELSEWHERE and paper.ends_on is not None:
            place = Place(PageKey.PAPERS, "paper", paper.id)
            yield (
                _ending(EndKind.OTHER, paper.title, paper.ends_on, paper.on_paper, f"paper:{paper.id}"),
                place,
            )


def _quotes(session: Session) -> Iterator[tuple[Ending, Place]]:
    for request in session.scalars(select(m.QuoteRequest)):
        if any(quote.state is QuoteState.ACCEPTED for quote in request.quotes):
            continue
        for quote in request.quotes:
            if quote.state is QuoteState.RECEIVED and quote.valid_until is not None:
                what = f"Quote of {quote.firm.name}, {request.title}"
                means = "After that the price has to be asked again."
                ending = _ending(
                    EndKind.QUOTE, what, quote.valid_until, quote.quoted_on, f"quote:{quote.id}", means
                )
                yield ending, found(quote).place


def _programmes(session: Session, tables: Tables, today: date) -> Iterator[tuple[Ending, Place]]:
    for choice in session.scalars(select(m.ProgrammeChoice).where(m.ProgrammeChoice.is_dropped.is_(False))):
        name, place = programme_name(choice.programme_key, tables), found(choice).place
        subject = f"{name}, {choice.subject}"
        in_service = [one.placed_in_service_on for one in choice.measures]
        done_on = None if None in in_service else max(day for day in in_service if day)
        for held in choice.reservations:
            if held.state is ReservationState.HELD and held.ends_on is not None and done_on is None:
                what, key = f"Reservation: {subject}", f"reservation:{held.id}"
                means = "What is not done by then loses its rebate."
                yield (
                    _ending(EndKind.RESERVATION, what, held.ends_on, held.held_from, key, means),
                    place,
                )
            was_followed = held is not choice.reservations[-1]
            if held.state in FALLEN and held.appeal_by is not None and not was_followed:
                what, key = f"Appeal, reservation: {subject}", f"reservation-appeal:{held.id}"
                yield _ending(EndKind.APPEAL_BY, what, held.appeal_by, held.answered_on, key), place
        last = _last_day_to_claim(session, choice, tables, today)
        if last is not None:
            key = f"claim:{choice.id}"
            yield _ending(EndKind.CLAIM_BY, f"Claim: {subject}", last, done_on, key), place
        for claim in choice.claims:
            if claim.appeal_by is not None and claim.state in (ClaimState.BOUNCED, ClaimState.REFUSED):
                what, key = f"Appeal: {subject}", f"appeal:{claim.id}"
                yield _ending(EndKind.APPEAL_BY, what, claim.appeal_by, claim.answered_on, key), place


def _last_day_to_claim(
    session: Session, choice: m.ProgrammeChoice, tables: Tables, today: date
) -> date | None:
    """On record, else by the programme's rule; none once a claim was sent, or while the work is not done."""
    if any(claim.state is not ClaimState.NOT_SENT for claim in choice.claims):
        return None
    on_record = [claim.claim_by for claim in choice.claims if claim.claim_by is not None]
    if on_record:
        return min(on_record)
    try:
        programme = tables.programme(choice.programme_key)
    except NotInTable:
        return None
    facts = facts_of_choice(session, programme, choice)
    answer = evaluate(programme, facts, today)
    done_on = facts.dates.tested(answer.date_tested) if answer.date_tested is not None else None
    return claim_by(answer.version, done_on) if answer.version is not None else None


def _firms(session: Session) -> Iterator[tuple[Ending, Place]]:
    """Licenses and insurance of firms that are under contract and not done."""
    at_work = select(m.Contract.firm_id).where(m.Contract.state == ContractState.SIGNED)
    for firm in session.scalars(select(m.Firm).where(m.Firm.id.in_(at_work))):
        place = found(firm).place
        for license_ in firm.licenses:
            if license_.ends_on is not None and not _is_renewed(license_, firm.licenses):
                what, key = f"License of {firm.name}, {license_.trade}", f"license:{license_.id}"
                yield _ending(EndKind.LICENSE, what, license_.ends_on, license_.starts_on, key), place
        for cover in firm.insurance:
            if cover.ends_on is not None and not _is_renewed(cover, firm.insurance):
                what, key = f"Insurance of {firm.name}, {cover.kind}", f"insurance:{cover.id}"
                means = "Ask for the new certificate."
                yield _ending(EndKind.INSURANCE, what, cover.ends_on, cover.starts_on, key, means), place


def _is_renewed(one: m.License | m.Insurance, others: list[m.License] | list[m.Insurance]) -> bool:
    """A newer proof of the same kind is on record."""
    return any(
        _same_kind(one, other)
        and other.ends_on is not None
        and one.ends_on is not None
        and other.ends_on > one.ends_on
        for other in others
    )


def _same_kind(one: m.License | m.Insurance, other: m.License | m.Insurance) -> bool:
    if isinstance(one, m.License):
        return isinstance(other, m.License) and one.trade == other.trade
    return isinstance(other, m.Insurance) and one.kind is other.kind


def _warranties(session: Session) -> Iterator[tuple[Ending, Place]]:
    for row in session.scalars(select(m.Warranty)):
        place = found(row.equipment).place
        if row.register_by is not None and row.registered_on is None:
            what, key = f"Registering {row.equipment.name}, {row.kind} warranty", f"register:{row.id}"
            start = row.equipment.installed_on
            yield _ending(EndKind.WARRANTY_REGISTRATION, what, row.register_by, start, key), place
        if row.ends_on is not None:
            what, key = f"Warranty of {row.equipment.name}, {row.kind}", f"warranty:{row.id}"
            yield _ending(EndKind.WARRANTY, what, row.ends_on, row.starts_on, key), place


def _contracts(session: Session, tables: Tables, today: date) -> Iterator[tuple[Ending, Place]]:
    """The right to cancel a sale made at home, while it lasts."""
    for row in session.scalars(select(m.Contract).where(m.Contract.signed_on.is_not(None))):
        if row.signed_on is None:
            continue
        last = deadlines.cancel_until(row.signed_on, tables.holidays)
        if last >= today:
            what, key = f"Right to cancel: {row.title}", f"cancel:{row.id}"
            means = "Where it was signed at home (16 CFR 429); state law may say more."
            yield _ending(EndKind.CANCELLATION, what, last, row.signed_on, key, means), found(row).place


def _liens(session: Session, tables: Tables) -> Iterator[tuple[Ending, Place]]:
    """How long those in the chain who gave notice and no final waiver may still claim, by state."""
    site = session.scalar(select(m.Site))
    window = next((one for one in tables.lien_windows if site is not None and one.state == site.state), None)
    if window is None:
        return
    for row in session.scalars(select(m.ChainParty).where(m.ChainParty.notice_on.is_not(None))):
        last = deadlines.lien_window_ends(row.last_work_on, window.days)
        free = any(
            one.party_id == row.id and one.kind is WaiverKind.UNCONDITIONAL_FINAL and one.signed_on
            for one in row.contract.waivers
        )
        if last is not None and not free:
            what = f"Claim against the house by {row.name}, {row.contract.title}"
            means = f"{window.text} {window.origin.source}, {window.origin.confidence}."
            ending = _ending(EndKind.LIEN_WINDOW, what, last, row.last_work_on, f"lien:{row.id}", means)
            yield ending, found(row.contract).place


def _ending(
    kind: EndKind, what: str, ends_on: date, starts_on: date | None, key: str, means: str = ""
) -> Ending:
    return Ending(kind, what, ends_on, starts_on, means=means or MEANS.get(kind, ""), key=key)
