"""What is with others: with whom, since when, when to ask again, and a message ready to copy."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.permits import PermitState
from retrofit_desk.records.models.programmes import ClaimState, ReservationState
from retrofit_desk.records.models.quotes import QuoteState
from retrofit_desk.records.models.tasks import TaskKind
from retrofit_desk.records.tables import Tables
from retrofit_desk.services.account_entry import case_numbers_with
from retrofit_desk.services.dated_steps import ScheduleView
from retrofit_desk.services.places import found
from retrofit_desk.services.signing import office_firm, programme_name
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.place import Place

ASK_AFTER_DAYS = 14  # where no day was set; common practice, no source


@dataclass(frozen=True)
class Waiting:
    """One thing that is with others. `task_id`: the step it is, where it is one.

    `answers`: every call and letter about it with its day, the oldest first.
    """

    what: str
    with_whom: str
    since: date | None
    ask_again_on: date
    last_said: str
    answers: tuple[str, ...]
    message: str
    place: Place
    task_id: int | None

    def is_due(self, today: date) -> bool:
        return self.ask_again_on <= today


def waits_in(session: Session, tables: Tables, schedule: ScheduleView) -> tuple[Waiting, ...]:
    """Everything that is with others, the next to be asked first."""
    found_ = [*_steps(session, schedule), *_permits(session, schedule), *_programmes(session, tables)]
    found_ += _quotes(session)
    signed = _signature(session)
    waits = [
        _waiting(one, case_numbers_with(session, one.with_whom), signed, schedule.today) for one in found_
    ]
    return tuple(sorted(waits, key=lambda one: (one.ask_again_on, one.what)))


@dataclass(frozen=True)
class _Asked:
    what: str
    with_whom: str
    since: date | None
    ask_again_on: date | None
    place: Place
    answers: tuple[str, ...] = ()
    task_id: int | None = None


def _steps(session: Session, schedule: ScheduleView) -> Iterator[_Asked]:
    contacts: defaultdict[int, list[str]] = defaultdict(list)
    for contact in session.scalars(select(m.TaskContact).order_by(m.TaskContact.on, m.TaskContact.id)):
        contacts[contact.task_id].append(f"{day_text(contact.on)}: {contact.said}")
    for step in schedule.open_steps:
        if not step.is_wait or not step.is_started:
            continue
        said = tuple(contacts[step.id])
        yield _Asked(step.title, step.with_whom, step.since, step.ask_again_on, step.place, said, step.id)


def _permits(session: Session, schedule: ScheduleView) -> Iterator[_Asked]:
    """Applied-for permits, unless a step of the schedule already waits for that office and measure."""
    known = {(step.measure_id, step.with_whom) for step in schedule.open_steps if step.kind is TaskKind.WAIT}
    for row in session.scalars(select(m.Permit).where(m.Permit.state == PermitState.APPLIED)):
        office = session.get(m.Firm, row.authority_id) if row.authority_id else None
        name = office.name if office is not None else "the authority"
        if not any((link.measure_id, name) in known for link in row.measures):
            yield _Asked(f"{row.title} {row.number}".strip(), name, row.applied_on, None, found(row).place)


def _programmes(session: Session, tables: Tables) -> Iterator[_Asked]:
    for choice in session.scalars(select(m.ProgrammeChoice).where(m.ProgrammeChoice.is_dropped.is_(False))):
        programme = next((one for one in tables.programmes if one.key == choice.programme_key), None)
        name = programme_name(choice.programme_key, tables)
        office, place = programme.office if programme else name, found(choice).place
        known = office_firm(session, office)
        office = known.name if known is not None else office
        for held in choice.reservations:
            if held.state is ReservationState.ASKED:
                what = f"Reservation {held.number}".strip()
                yield _Asked(f"{what}, {name}: {choice.subject}", office, held.asked_on, None, place)
            elif held.state is ReservationState.APPEALED:
                what = f"Appeal, reservation {held.number}".strip()
                yield _Asked(f"{what}, {name}: {choice.subject}", office, held.appealed_on, None, place)
        for claim in choice.claims:
            if claim.state in (ClaimState.SENT, ClaimState.APPEALED):
                what = f"Claim {claim.number}".strip()
                yield _Asked(f"{what}, {name}: {choice.subject}", office, claim.sent_on, None, place)


def _quotes(session: Session) -> Iterator[_Asked]:
    for quote in session.scalars(select(m.Quote).where(m.Quote.state == QuoteState.ASKED)):
        request = quote.request
        what = f"Quote: {request.title}"
        yield _Asked(what, quote.firm.name, request.asked_on, request.answer_by, found(quote).place)


def _waiting(one: _Asked, cases: str, signed: str, today: date) -> Waiting:
    asked = one.ask_again_on or (one.since or today) + timedelta(days=ASK_AFTER_DAYS)
    since = f" It has been with you since {day_text(one.since)}." if one.since is not None else ""
    case = f" My case with you: {cases}." if cases else ""
    message = (
        f"Hello,\n\nI am asking about: {one.what}.{case}{since} How does it stand, by what day may I "
        f"count on it, and is anything missing from my side?\n\nThank you\n{signed}"
    )
    last = one.answers[-1] if one.answers else ""
    return Waiting(
        one.what, one.with_whom, one.since, asked, last, one.answers, message, one.place, one.task_id
    )


def _signature(session: Session) -> str:
    owner = session.scalar(select(m.Owner).order_by(m.Owner.id))
    site = session.scalar(select(m.Site))
    address = ", ".join(part for part in (site.street, site.city) if part) if site is not None else ""
    lines = [owner.name if owner is not None else "", address, owner.phone if owner is not None else ""]
    return "\n".join(line for line in lines if line)
