"""People and firms: who they are, and the licenses, insurance and listings that run out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import PaperKind, PaperSubject
from retrofit_desk.records.models.people import FirmKind
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import Tables, tables_in
from retrofit_desk.records.unit_of_work import Work
from retrofit_desk.services.days import today_of
from retrofit_desk.services.papers import Filing, Use, file_in
from retrofit_desk.services.places import found
from retrofit_desk.services.quote_values import NOT_STATED_CENTS
from retrofit_desk.services.signing import programme_name
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.place import Found
from retrofit_desk.values.stated import StatedValue

__all__ = [
    "FirmKind",
    "FirmRow",
    "FirmSheet",
    "FirmUnclear",
    "PeopleService",
    "PersonRow",
    "ProofKind",
    "ProofRow",
    "WrittenFirm",
    "WrittenProof",
]


class FirmUnclear(DeskError):
    """A firm or one of its proofs that cannot be recorded as it stands."""


class ProofKind(StrEnum):
    """What a firm can prove."""

    LICENSE = "license"
    LIABILITY = "liability insurance"
    WORKERS = "workers' compensation insurance"
    BOND = "bond"
    LISTING = "programme listing"


@dataclass(frozen=True)
class ProofRow:
    """One license, insurance or listing. `checked_on`: when somebody looked."""

    kind: ProofKind
    what: str
    number: str
    limit_cents: StatedValue[int] | None
    starts_on: date | None
    ends_on: date | None
    checked_on: date | None
    has_paper: bool

    def is_over(self, on: date) -> bool:
        return self.ends_on is not None and self.ends_on < on


@dataclass(frozen=True)
class PersonRow:
    id: int
    name: str
    role: str
    phone: str
    email: str


@dataclass(frozen=True)
class FirmRow:
    """One firm in the list; the dates are the last day of its latest proof of that kind."""

    id: int
    name: str
    legal_name: str
    kind: FirmKind
    trade: str
    phone: str
    address: str
    is_backup: bool
    license_until: date | None
    has_license: bool
    insured_until: date | None
    has_insurance: bool


@dataclass(frozen=True)
class FirmSheet:
    """One firm with all that is known of it."""

    row: FirmRow
    email: str
    notes: str
    people: tuple[PersonRow, ...]
    proofs: tuple[ProofRow, ...]
    quotes: tuple[Found, ...]
    contracts: tuple[Found, ...]
    today: date


@dataclass(frozen=True)
class WrittenFirm:
    """A firm as typed; `person` is whom to ask for there."""

    name: str
    kind: FirmKind
    legal_name: str = ""
    trade: str = ""
    address: str = ""
    phone: str = ""
    email: str = ""
    is_backup: bool = False
    notes: str = ""
    person: str = ""
    role: str = ""


@dataclass(frozen=True)
class WrittenProof:
    """A license, insurance or listing as read off its paper. `what`: trade, carrier or programme key."""

    kind: ProofKind
    what: str
    number: str = ""
    state: str = ""
    limit_cents: StatedValue[int] = NOT_STATED_CENTS
    starts_on: date | None = None
    ends_on: date | None = None
    checked_on: date | None = None
    paper: Path | None = None


class PeopleService:
    """Reads and writes firms; every change is one step that undo takes back."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def rows(self) -> tuple[FirmRow, ...]:
        """All firms by name."""
        with self._project.session() as session:
            return tuple(_row(firm) for firm in session.scalars(select(m.Firm).order_by(m.Firm.name)))

    def sheet(self, firm_id: int) -> FirmSheet:
        """Raises `FirmUnclear` when it is no longer recorded."""
        with self._project.session() as session:
            firm = _firm(session, firm_id)
            quotes = session.scalars(select(m.Quote).where(m.Quote.firm_id == firm_id))
            contracts = session.scalars(select(m.Contract).where(m.Contract.firm_id == firm_id))
            tables = tables_in(session)
            return FirmSheet(
                row=_row(firm),
                email=firm.email,
                notes=firm.notes,
                people=tuple(PersonRow(p.id, p.name, p.role, p.phone, p.email) for p in firm.people),
                proofs=(*_licenses(firm), *_insurance(firm), *_listings(firm, tables)),
                quotes=tuple(found(quote) for quote in quotes),
                contracts=tuple(found(contract) for contract in contracts),
                today=today_of(session),
            )

    def programmes(self) -> tuple[tuple[str, str], ...]:
        """Programmes that the owner chose for some measure: (key, name)."""
        with self._project.session() as session:
            tables = tables_in(session)
            keys = session.scalars(select(m.ProgrammeChoice.programme_key).distinct())
            return tuple(sorted((key, programme_name(key, tables)) for key in keys))

    def today(self) -> date:
        with self._project.session() as session:
            return today_of(session)

    def record(self, written: WrittenFirm, firm_id: int | None = None) -> int:
        """Add a firm, or change one. Raises `FirmUnclear` without a name or for one that is there already."""
        if not written.name.strip():
            raise FirmUnclear("a firm needs a name", where="Name", do="type it as it stands on its papers")
        with self._project.action("Add a firm" if firm_id is None else "Change a firm") as work:
            return _put(work.session, written, firm_id)

    def record_proof(self, firm_id: int, written: WrittenProof) -> None:
        """Add a license, insurance or listing, with its paper. Raises `FirmUnclear`."""
        if written.kind is not ProofKind.LISTING and not written.number.strip():
            raise FirmUnclear(
                f"a {written.kind} without a number proves little", where="Number", do="type it"
            )
        if written.starts_on and written.ends_on and written.ends_on < written.starts_on:
            raise FirmUnclear("it would end before it starts", where="Until", do="check both dates")
        with self._project.action(f"Record a {written.kind}") as work:
            firm = _firm(work.session, firm_id)
            row = _proof(firm, written, today_of(work.session))
            work.session.flush()
            if written.paper is not None:
                row.paper_id = _file(work, firm, written)


def _put(session: Session, written: WrittenFirm, firm_id: int | None) -> int:
    name = written.name.strip()
    same = session.scalar(select(m.Firm).where(m.Firm.name == name))
    if same is not None and same.id != firm_id:
        raise FirmUnclear(f"“{name}” is recorded already", where="Name", do="choose it from the list")
    if firm_id is None:
        stem = "-".join(name.casefold().split())[:40]
        taken = set(session.scalars(select(m.Firm.key)))
        key = next(key for n in range(1, 10_000) if (key := stem if n == 1 else f"{stem}-{n}") not in taken)
        firm = m.Firm(key=key)
        session.add(firm)
    else:
        firm = _firm(session, firm_id)
    firm.name, firm.kind, firm.is_backup = name, written.kind, written.is_backup
    for field in ("legal_name", "trade", "address", "phone", "email", "notes"):
        setattr(firm, field, getattr(written, field).strip())
    if written.person.strip() and all(one.name != written.person.strip() for one in firm.people):
        firm.people.append(m.Person(name=written.person.strip(), role=written.role.strip()))
    session.flush()
    return firm.id


def _proof(firm: m.Firm, written: WrittenProof, today: date) -> m.License | m.Insurance | m.ProgrammeListing:
    if written.kind is ProofKind.LICENSE:
        license_ = m.License(
            trade=written.what,
            number=written.number,
            state=written.state,
            starts_on=written.starts_on,
            ends_on=written.ends_on,
            checked_on=written.checked_on,
        )
        firm.licenses.append(license_)
        return license_
    if written.kind is ProofKind.LISTING:
        listing = m.ProgrammeListing(
            programme_key=written.what,
            listed_from=written.starts_on,
            listed_until=written.ends_on,
            checked_on=written.checked_on or today,
        )
        firm.listings.append(listing)
        return listing
    insurance = m.Insurance(
        kind=_INSURANCE[written.kind],
        carrier=written.what,
        number=written.number,
        starts_on=written.starts_on,
        ends_on=written.ends_on,
    )
    insurance.set_stated("limit_cents", written.limit_cents)
    firm.insurance.append(insurance)
    return insurance


_INSURANCE = {
    ProofKind.LIABILITY: m.InsuranceKind.LIABILITY,
    ProofKind.WORKERS: m.InsuranceKind.WORKERS,
    ProofKind.BOND: m.InsuranceKind.BOND,
}
_PROOF_OF = {kind: proof for proof, kind in _INSURANCE.items()}


def _file(work: Work, firm: m.Firm, written: WrittenProof) -> int:
    assert written.paper is not None
    kinds = {ProofKind.LICENSE: PaperKind.LICENSE, ProofKind.LISTING: PaperKind.LETTER}
    kind = kinds.get(written.kind, PaperKind.INSURANCE)
    filing = Filing(
        kind,
        f"{str(written.kind).capitalize()} of {firm.name}",
        written.starts_on,
        uses=(Use(PaperSubject.FIRM, firm.id),),
        ends_on=written.ends_on,
    )
    return file_in(work, written.paper, filing)[0]


def _firm(session: Session, firm_id: int) -> m.Firm:
    firm = session.get(m.Firm, firm_id)
    if firm is None:
        raise FirmUnclear("this firm is no longer recorded", do="undo, or choose another one")
    return firm


def _row(firm: m.Firm) -> FirmRow:
    liability = [one for one in firm.insurance if one.kind is m.InsuranceKind.LIABILITY]
    return FirmRow(
        id=firm.id,
        name=firm.name,
        legal_name=firm.legal_name,
        kind=firm.kind,
        trade=firm.trade,
        phone=firm.phone,
        address=firm.address,
        is_backup=firm.is_backup,
        license_until=max((one.ends_on for one in firm.licenses if one.ends_on), default=None),
        has_license=bool(firm.licenses),
        insured_until=max((one.ends_on for one in liability if one.ends_on), default=None),
        has_insurance=bool(liability),
    )


def _licenses(firm: m.Firm) -> list[ProofRow]:
    return [
        ProofRow(
            ProofKind.LICENSE,
            f"{one.trade}, {one.state}" if one.state else one.trade,
            one.number,
            None,
            one.starts_on,
            one.ends_on,
            one.checked_on,
            one.paper_id is not None,
        )
        for one in firm.licenses
    ]


def _insurance(firm: m.Firm) -> list[ProofRow]:
    return [
        ProofRow(
            _PROOF_OF[one.kind],
            one.carrier,
            one.number,
            one.stated("limit_cents"),
            one.starts_on,
            one.ends_on,
            None,
            one.paper_id is not None,
        )
        for one in firm.insurance
    ]


def _listings(firm: m.Firm, tables: Tables) -> list[ProofRow]:
    return [
        ProofRow(
            ProofKind.LISTING,
            programme_name(one.programme_key, tables),
            "",
            None,
            one.listed_from,
            one.listed_until,
            one.checked_on,
            one.paper_id is not None,
        )
        for one in firm.listings
    ]
