"""What signing a quote must wait for: recorded holds, and the reservation of each programme that is used."""

from __future__ import annotations

from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.holds import HoldSubject
from retrofit_desk.records.models.programmes import ReservationState
from retrofit_desk.records.tables import NotInTable, Tables
from retrofit_desk.rules.holds import HoldAction, NeedKind
from retrofit_desk.rules.programme_file import WorkStep
from retrofit_desk.services.choice_facts import assessed_on
from retrofit_desk.services.holds import holds_in, pass_holds

LOST = "Work signed before what a program asks for first can lose the rebate."


def programmes_chosen(session: Session, *measure_ids: int) -> list[m.ProgrammeChoice]:
    """Programmes that the owner means to use for these measures, alone or among others."""
    wanted = set(measure_ids)
    query = select(m.ProgrammeChoice).where(m.ProgrammeChoice.is_dropped.is_(False))
    rows = session.scalars(query.order_by(m.ProgrammeChoice.id))
    return [row for row in rows if wanted & {measure.id for measure in row.measures}]


def programme_name(key: str, tables: Tables) -> str:
    """The programme's name from its rule file, else its key in words."""
    try:
        return tables.programme(key).name
    except NotInTable:
        return key.replace("-", " ").title()


def office_firm(session: Session, office: str) -> m.Firm | None:
    """The programme's office among the people and firms; its rule file may say more after the name."""
    return next((firm for firm in session.scalars(select(m.Firm)) if office.startswith(firm.name)), None)


def signed_with(session: Session, quote: m.Quote) -> str:
    """The firm that has a contract for the same work, one that was not ended; empty for none."""
    query = (
        select(m.Contract)
        .join(m.Quote, m.Contract.quote_id == m.Quote.id)
        .where(
            m.Quote.request_id == quote.request_id,
            m.Quote.id != quote.id,
            m.Contract.state != m.ContractState.ENDED,
        )
    )
    contract = session.scalars(query).first()
    return contract.firm.name if contract is not None else ""


def signing_sentences(session: Session, quote: m.Quote, tables: Tables, on: date) -> tuple[str, ...]:
    """Why this quote must not be signed on that day; empty when it may."""
    return (*_held(session, quote, on), *_unreserved(session, quote, tables, on))


def unreserved_in(session: Session, tables: Tables, on: date) -> tuple[tuple[str, m.QuoteRequest], ...]:
    """Each request with a quote to be signed that waits for a reservation alone, in one sentence."""
    found = []
    for request in session.scalars(select(m.QuoteRequest).order_by(m.QuoteRequest.id)):
        if any(quote.state is m.QuoteState.ACCEPTED for quote in request.quotes):
            continue
        quote = next((one for one in request.quotes if one.state is m.QuoteState.RECEIVED), None)
        if quote is not None:
            found += [(sentence, request) for sentence in _unreserved(session, quote, tables, on)]
    return tuple(found)


def pass_signing(
    session: Session, quote: m.Quote, tables: Tables, on: date, *, reason: str, by: str = "owner"
) -> None:
    """Inside an action: go past everything signing waits for, or refuse.

    A reservation that is missing becomes a hold of its own, so that going on without it stays visible.
    Raises `NotYet` when no reason is given.
    """
    waits = _programmes_wait_for(session, quote, tables, on)
    if waits:
        session.add(_reservation_hold(quote, waits, on))
        session.flush()
    for subject, subject_id in _subjects(quote):
        pass_holds(session, subject, subject_id, HoldAction.SIGN, on=on, reason=reason, by=by)


def _unreserved(session: Session, quote: m.Quote, tables: Tables, on: date) -> tuple[str, ...]:
    waits = _programmes_wait_for(session, quote, tables, on)
    return (f"Not yet: don't sign {quote.request.title} until {' and '.join(waits)}.",) if waits else ()


def _held(session: Session, quote: m.Quote, on: date) -> list[str]:
    open_holds = select(m.Hold.id).where(m.Hold.action == HoldAction.SIGN, m.Hold.done_on.is_(None)).limit(1)
    if session.scalar(open_holds) is None:
        return []
    return [
        view.sentence
        for view in holds_in(session, on)
        if view.answer.hold.action is HoldAction.SIGN
        and (view.subject, view.subject_id) in _subjects(quote)
        and not view.is_done
        and not view.answer.may_go_on
    ]


def _subjects(quote: m.Quote) -> tuple[tuple[HoldSubject, int], ...]:
    return (HoldSubject.QUOTE, quote.id), (HoldSubject.MEASURE, quote.request.measure_id)


def _programmes_wait_for(session: Session, quote: m.Quote, tables: Tables, on: date) -> list[str]:
    """In words that follow "until": the reservation or assessment that a chosen programme lacks that day.

    A reservation that a recorded hold waits for already is left to that hold.
    """
    looked_at = set(
        session.scalars(
            select(m.HoldNeed.reservation_id)
            .join(m.Hold)
            .where(m.Hold.action == HoldAction.SIGN, m.HoldNeed.reservation_id.is_not(None))
        )
    )
    chosen = programmes_chosen(session, quote.request.measure_id)
    assessments = [
        f"the assessment for {programme_name(choice.programme_key, tables)} is done and its day noted"
        for choice in chosen
        if _asks_for_assessment(choice.programme_key, tables, on) and assessed_on(choice) is None
    ]
    return assessments + [
        f"the reservation of {programme_name(choice.programme_key, tables)} is held"
        for choice in chosen
        if _asks_for_reservation(choice.programme_key, tables, on)
        and not _is_reserved(choice, on)
        and looked_at.isdisjoint(one.id for one in choice.reservations)
    ]


def _asks_for_reservation(key: str, tables: Tables, on: date) -> bool:
    """A programme without a rule file is taken to ask for one: signing too early cannot be taken back."""
    try:
        version = tables.programme(key).version_on(on)
    except NotInTable:
        return True
    return version is not None and version.reservation is not None


def _asks_for_assessment(key: str, tables: Tables, on: date) -> bool:
    """Whether its rule puts an assessment before signing."""
    try:
        version = tables.programme(key).version_on(on)
    except NotInTable:
        return False
    steps = (WorkStep.ASSESSMENT, WorkStep.SIGNING)
    return version is not None and any((one.first, one.then) == steps for one in version.order)


def _is_reserved(choice: m.ProgrammeChoice, on: date) -> bool:
    return any(
        one.state in (ReservationState.HELD, ReservationState.USED)
        and one.held_from is not None
        and one.held_from <= on
        and (one.ends_on is None or on <= one.ends_on)
        for one in choice.reservations
    )


def _reservation_hold(quote: m.Quote, waits: list[str], on: date) -> m.Hold:
    return m.Hold(
        key=f"sign-quote-{quote.id}-{on.isoformat()}",
        action=HoldAction.SIGN,
        what=quote.request.title,
        subject=HoldSubject.QUOTE,
        subject_id=quote.id,
        measure_id=quote.request.measure_id,
        because=LOST,
        source="Rules of the programmes chosen",
        made_on=on,
        needs=[m.HoldNeed(position=at, kind=NeedKind.OTHER, text=need) for at, need in enumerate(waits)],
    )
