"""What a packet is about: one claim, one loan, one request, one visit, or the whole house."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.paperwork.contents import PacketKind, Party
from retrofit_desk.records import models as m
from retrofit_desk.records.models.programmes import FALLEN
from retrofit_desk.records.tables import NotInTable, Tables
from retrofit_desk.rules.states import notches
from retrofit_desk.services.signing import office_firm, programme_name
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.place import PageKey, Place

OPEN_CLAIMS = (m.ClaimState.NOT_SENT, m.ClaimState.BOUNCED)
SETTLED_VISITS = (m.InspectionResult.PASSED, m.InspectionResult.CANCELLED)


class NothingToPack(DeskError):
    """The record holds nothing that this packet could be about."""


@dataclass(frozen=True)
class Aim:
    """One thing a packet of a kind can be about. `id` None: the whole house."""

    kind: PacketKind
    id: int | None
    title: str
    """What it is about, in words: a measure, a loan, a visit."""
    short: str
    """The same for the name of a file."""
    purpose: str
    reader: Party
    measure_ids: tuple[int, ...]
    place: Place
    """Where it is dealt with."""
    reference: str = ""
    due_on: date | None = None


def aims_of(session: Session, tables: Tables, kind: PacketKind) -> tuple[Aim, ...]:
    """Everything a packet of this kind can be about, the most pressing first."""
    return _AIMS[kind](session, tables)


def aim_of(session: Session, tables: Tables, kind: PacketKind, about: int | None) -> Aim:
    """The one asked for, else the most pressing. Raises `NothingToPack`."""
    aims = aims_of(session, tables, kind)
    for aim in aims:
        if about is None or aim.id == about:
            return aim
    article = "an" if kind is PacketKind.INSPECTOR else "a"
    raise NothingToPack(f"there is nothing {article} {kind} packet could be about", do=_FIRST[kind])


_FIRST = {
    PacketKind.REBATE: "choose a programme for a measure under Money first",
    PacketKind.LENDER: "enter the loan under Money first",
    PacketKind.CONTRACTOR: "write a request sheet under Quotes first",
    PacketKind.INSPECTOR: "book an inspection under Permits first",
    PacketKind.NEXT_OWNER: "record the house first",
}


def _claims(session: Session, tables: Tables) -> tuple[Aim, ...]:
    choices = session.scalars(select(m.ProgrammeChoice).where(m.ProgrammeChoice.is_dropped.is_(False))).all()
    return tuple(_claim(session, tables, choice) for choice in sorted(choices, key=_by_claim))


def _by_claim(choice: m.ProgrammeChoice) -> tuple[bool, date, int]:
    waiting = [claim for claim in choice.claims if claim.state in OPEN_CLAIMS]
    dates = [claim.claim_by for claim in waiting if claim.claim_by is not None]
    return bool(choice.claims) and not waiting, min(dates, default=date.max), choice.id


def _claim(session: Session, tables: Tables, choice: m.ProgrammeChoice) -> Aim:
    name = programme_name(choice.programme_key, tables)
    held = [one for one in choice.reservations if one.number and one.state not in FALLEN]
    claims = [one for one in choice.claims if one.number]
    numbers = [f"reservation {one.number}" for one in held] + [f"claim {one.number}" for one in claims]
    waiting = [claim.claim_by for claim in choice.claims if claim.state in OPEN_CLAIMS and claim.claim_by]
    return Aim(
        kind=PacketKind.REBATE,
        id=choice.id,
        title=f"{choice.subject}, {name}",
        short=choice.subject,
        purpose=f"Claim under {name} for: {', '.join(one.title for one in choice.measures)}.",
        reader=_office(session, tables, choice.programme_key),
        measure_ids=tuple(one.id for one in choice.measures),
        place=Place(PageKey.MONEY, "programme", choice.id),
        reference=", ".join(numbers),
        due_on=min(waiting, default=None),
    )


def _office(session: Session, tables: Tables, key: str) -> Party:
    """The programme's office; its address where it is among the people and firms."""
    try:
        office = tables.programme(key).office
    except NotInTable:
        office = programme_name(key, tables)
    known = office_firm(session, office)
    return firm_party(known, "Rebate claims") if known is not None else Party("Rebate claims", office)


def _loans(session: Session, tables: Tables) -> tuple[Aim, ...]:
    measures = _measures(session, from_notch=3)
    return tuple(_loan(session, loan, measures) for loan in session.scalars(select(m.Loan)))


def _loan(session: Session, loan: m.Loan, measures: Sequence[m.Measure]) -> Aim:
    lender = session.get(m.Firm, loan.lender_id) if loan.lender_id else None
    return Aim(
        kind=PacketKind.LENDER,
        id=loan.id,
        title=loan.name,
        short=loan.name,
        purpose="What the loan pays for, what was done and passed so far, what it is worth, and what is "
        "still to be paid.",
        reader=firm_party(lender) if lender else Party("The lender"),
        measure_ids=tuple(measure.id for measure in measures),
        place=Place(PageKey.MONEY, "loan", loan.id),
        reference=loan.name,
        due_on=loan.draw_by,
    )


def _requests(session: Session, tables: Tables) -> tuple[Aim, ...]:
    rows = session.scalars(select(m.QuoteRequest)).all()

    def settled(row: m.QuoteRequest) -> bool:
        return row.measure.state.is_over or notches(row.measure.state) >= 3

    ordered = sorted(rows, key=lambda row: (settled(row), -(row.asked_on or date.min).toordinal(), row.id))
    return tuple(
        Aim(
            kind=PacketKind.CONTRACTOR,
            id=row.id,
            title=row.title,
            short=row.title,
            purpose="Please quote on exactly this scope; every firm gets the same sheet.",
            reader=Party("The firm asked"),
            measure_ids=(row.measure_id,),
            place=Place(PageKey.QUOTES, "request", row.id),
            due_on=row.answer_by,
        )
        for row in ordered
    )


def _visits(session: Session, tables: Tables) -> tuple[Aim, ...]:
    rows = session.scalars(select(m.Inspection).where(m.Inspection.result.not_in(SETTLED_VISITS))).all()
    repeated = {row.again_of_id for row in session.scalars(select(m.Inspection))}
    coming = [
        row
        for row in rows
        if row.id not in repeated and row.permit.state in (m.PermitState.ISSUED, m.PermitState.APPLIED)
    ]
    coming.sort(key=lambda row: (row.booked_for or date.max, row.permit_id, row.position))
    return tuple(_visit(session, row) for row in coming)


def _visit(session: Session, row: m.Inspection) -> Aim:
    authority = session.get(m.Firm, row.permit.authority_id) if row.permit.authority_id else None
    number = f"permit {row.permit.number}" if row.permit.number else ""
    booked = f"booking {row.booking_number}" if row.booking_number else ""
    return Aim(
        kind=PacketKind.INSPECTOR,
        id=row.id,
        title=f"{row.title}, {row.permit.title}",
        short=row.title,
        purpose=f"Everything that belongs to the visit: {row.title}.",
        reader=firm_party(authority, row.inspector) if authority else Party(row.inspector or "The inspector"),
        measure_ids=tuple(sorted(link.measure_id for link in row.permit.measures)),
        place=Place(PageKey.PERMITS, "inspection", row.id),
        reference=", ".join(part for part in (number, booked) if part),
        due_on=row.booked_for,
    )


def _whole_house(session: Session, tables: Tables) -> tuple[Aim, ...]:
    if session.scalar(select(m.Site)) is None:
        return ()
    return (
        Aim(
            kind=PacketKind.NEXT_OWNER,
            id=None,
            title="The whole house",
            short="",
            purpose="What was done to this house, where it is, how it is set, and the papers that prove it.",
            reader=Party("The next owner"),
            measure_ids=tuple(measure.id for measure in _measures(session, from_notch=4)),
            place=Place(PageKey.HOUSE),
        ),
    )


_AIMS: dict[PacketKind, Callable[[Session, Tables], tuple[Aim, ...]]] = {
    PacketKind.REBATE: _claims,
    PacketKind.LENDER: _loans,
    PacketKind.CONTRACTOR: _requests,
    PacketKind.INSPECTOR: _visits,
    PacketKind.NEXT_OWNER: _whole_house,
}


def firm_party(firm: m.Firm, person: str = "") -> Party:
    """A firm as addressed on a cover."""
    contact = ", ".join(part for part in (firm.phone, firm.email) if part)
    return Party(person, firm.legal_name or firm.name, firm.address, contact)


def _measures(session: Session, from_notch: int) -> list[m.Measure]:
    rows = session.scalars(select(m.Measure).order_by(m.Measure.position, m.Measure.id))
    return [row for row in rows if not row.state.is_over and notches(row.state) >= from_notch]
