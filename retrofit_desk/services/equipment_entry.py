"""Recording machines: plates, ratings, settings, warranties, services, and taking one out."""

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import date
from pathlib import Path
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.machine_facts import FACTS_OF, HEATED_BY, RESET_KEYS, MachineFact
from retrofit_desk.records.models.equipment import CoverKind, EquipmentKind, EquipmentStatus
from retrofit_desk.records.models.holds import HoldSubject
from retrofit_desk.records.models.papers import PaperKind, PaperSubject
from retrofit_desk.records.models.site import Fuel
from retrofit_desk.records.project import Project
from retrofit_desk.rules.holds import HoldAction
from retrofit_desk.services.days import today_of
from retrofit_desk.services.holds import HoldEffect, effect_between, holds_in, pass_holds
from retrofit_desk.services.papers import Filing, Use, file_in
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.stated import Stated, StatedValue

__all__ = [
    "FACTS_OF",
    "CoverKind",
    "EquipmentEntryService",
    "EquipmentKind",
    "EquipmentStatus",
    "Fuel",
    "MachineFact",
]

NOTHING = "nothing was changed"
NOT_STATED: StatedValue[float] = StatedValue(None, Stated.NOT_STATED)
SETTINGS = "settings"
"""Where a machine keeps what it was set to at commissioning: name and value, as text."""


class MachineUnclear(DeskError):
    """A machine that cannot be recorded as it stands."""


@dataclass(frozen=True)
class MachineFacts:
    """What plate, invoice and start-up sheet tell; named as the columns."""

    name: str
    kind: EquipmentKind
    status: EquipmentStatus = EquipmentStatus.IN_USE
    fuel: Fuel | None = None
    make: str = ""
    model: str = ""
    serial: str = ""
    second_model: str = ""
    second_serial: str = ""
    room_id: int | None = None
    measure_id: int | None = None
    installed_by_firm_id: int | None = None
    installed_on: date | None = None
    tested_on: date | None = None
    heating_capacity_w: StatedValue[float] = NOT_STATED
    cooling_capacity_w: StatedValue[float] = NOT_STATED
    electric_input_w: float | None = None
    volume_m3: float | None = None
    refrigerant: str = ""
    refrigerant_charge_kg: float | None = None
    notes: str = ""


@dataclass(frozen=True)
class WrittenRating:
    """A published ratio (AFUE, SEER2, HSPF2, UEF, COP), with its test point where it has one."""

    name: str
    value: float
    source: str = ""
    source_temp_c: float | None = None
    load_temp_c: float | None = None
    capacity_w: float | None = None
    power_w: float | None = None


@dataclass(frozen=True)
class WrittenTie:
    """A place in the ground by its distances (m) from two fixed points, and its coordinates in degrees."""

    name: str
    first_point: str = ""
    first_distance_m: float | None = None
    second_point: str = ""
    second_distance_m: float | None = None
    latitude_deg: float | None = None
    longitude_deg: float | None = None


@dataclass(frozen=True)
class WrittenWorkings:
    """What the house model asks of a machine beside its plate: numbers by key, SI, and the boiler behind."""

    numbers: tuple[tuple[str, float], ...] = ()
    heated_by: str = ""


@dataclass(frozen=True)
class WrittenWarranty:
    """A promise of the maker; with `registered_on` it is registered."""

    kind: CoverKind
    starts_on: date | None = None
    ends_on: date | None = None
    register_by: date | None = None
    registered_on: date | None = None
    number: str = ""
    paper: Path | None = None


@dataclass(frozen=True)
class MachineSheet:
    """A machine as its forms show it. Rows of `ratings` in their order; warranties by their id."""

    facts: MachineFacts
    ratings: tuple[WrittenRating, ...]
    settings: tuple[tuple[str, str], ...]
    warranties: tuple[tuple[int, WrittenWarranty], ...]
    workings: WrittenWorkings = WrittenWorkings()
    ties: tuple[WrittenTie, ...] = ()


@dataclass(frozen=True)
class MachineChoices:
    """What the forms offer, as (id, name)."""

    today: date
    rooms: tuple[tuple[int, str], ...]
    measures: tuple[tuple[int, str], ...]
    firms: tuple[tuple[int, str], ...]
    boilers: tuple[tuple[str, str], ...]
    """(key, name)"""


class EquipmentEntryService:
    """Every change is one undo step, and tells what it frees."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def choices(self) -> MachineChoices:
        with self._project.session() as session:
            return MachineChoices(
                today_of(session),
                tuple((row.id, row.name) for row in session.scalars(select(m.Room).order_by(m.Room.id))),
                tuple(
                    (row.id, row.title) for row in session.scalars(select(m.Measure).order_by(m.Measure.id))
                ),
                tuple((row.id, row.name) for row in session.scalars(select(m.Firm).order_by(m.Firm.name))),
                tuple(
                    (row.key, row.name)
                    for row in session.scalars(
                        select(m.Equipment).where(m.Equipment.kind == m.EquipmentKind.BOILER)
                    )
                ),
            )

    def sheet(self, machine_id: int) -> MachineSheet:
        """Raises `MachineUnclear` for a machine that is not on record."""
        with self._project.session() as session:
            row = _machine(session, machine_id)
            plain: dict[str, Any] = {
                one.name: row.stated(one.name) if one.name in _STATED else getattr(row, one.name)
                for one in fields(MachineFacts)
            }
            settings = row.details.get(SETTINGS, {})
            return MachineSheet(
                MachineFacts(**plain),
                tuple(
                    WrittenRating(
                        one.name,
                        one.value,
                        one.source,
                        one.source_temp_c,
                        one.load_temp_c,
                        one.capacity_w,
                        one.power_w,
                    )
                    for one in row.ratings
                ),
                tuple((str(name), str(value)) for name, value in settings.items()),
                tuple((one.id, _written(one)) for one in row.warranties),
                _workings(row),
                tuple(_written_tie(one) for one in _tie_rows(session, row)),
            )

    def record(
        self,
        machine_id: int | None,
        facts: MachineFacts,
        ratings: tuple[WrittenRating, ...] = (),
        settings: tuple[tuple[str, str], ...] = (),
        *,
        workings: WrittenWorkings | None = None,
        ties: tuple[WrittenTie, ...] | None = None,
    ) -> tuple[int, HoldEffect]:
        """Add a machine (`machine_id` none) or correct one. Returns its id and what that frees.

        `workings` and `ties` stay as they are when none are given.
        """
        with self._project.action(f"Record {facts.name.strip() or 'a machine'}") as work:
            session = work.session
            today = today_of(session)
            row = _machine(session, machine_id) if machine_id is not None else None
            _check(facts, row, today)
            before = holds_in(session, today)
            row = row or _new(session, facts)
            for one in fields(MachineFacts):
                value = getattr(facts, one.name)
                if one.name in _STATED:
                    row.set_stated(one.name, value)
                else:
                    setattr(
                        row,
                        one.name,
                        value,
                    )
            _put_ratings(row, ratings, today)
            others = {key: value for key, value in row.details.items() if key != SETTINGS}
            row.details = others | ({SETTINGS: dict(settings)} if settings else {})
            if workings is not None:
                _put_workings(row, workings)
            session.flush()
            if ties is not None:
                _put_ties(session, row, ties)
            return row.id, effect_between(before, holds_in(session, today), row.measure_id)

    def take_out(self, machine_id: int, on: date, *, reason: str = "") -> HoldEffect:
        """It is gone from the house. Raises `NotYet` while a hold keeps it in and no reason is given."""
        with self._project.action("Take a machine out") as work:
            session = work.session
            row, today = _machine(session, machine_id), today_of(session)
            if row.status is EquipmentStatus.REMOVED:
                raise MachineUnclear("it is taken out already", where=row.name, kept=NOTHING)
            if on > today:
                raise MachineUnclear("the day lies ahead", where=row.name, kept=NOTHING, do="correct it")
            before = holds_in(session, today)
            pass_holds(
                session, HoldSubject.EQUIPMENT, row.id, HoldAction.REMOVE, on=on, reason=reason, by="owner"
            )
            row.status, row.removed_on = EquipmentStatus.REMOVED, on
            session.flush()
            return effect_between(before, holds_in(session, today), row.measure_id)

    def removal_holds(self, machine_id: int) -> tuple[str, ...]:
        """What keeps a machine in the house today, in one sentence each."""
        with self._project.session() as session:
            return tuple(
                view.sentence
                for view in holds_in(session, today_of(session))
                if (view.subject, view.subject_id) == (HoldSubject.EQUIPMENT, machine_id)
                and view.answer.hold.action is HoldAction.REMOVE
                and not (view.is_done or view.answer.may_go_on)
            )

    def put_warranty(self, machine_id: int, warranty_id: int | None, told: WrittenWarranty) -> int:
        """Add a warranty, or note its registration. Raises `MachineUnclear`."""
        with self._project.action("Record a warranty") as work:
            session = work.session
            machine = _machine(session, machine_id)
            if told.starts_on and told.ends_on and told.ends_on < told.starts_on:
                raise MachineUnclear("it ends before it begins", where=machine.name, do="check the two days")
            row = session.get(m.Warranty, warranty_id) if warranty_id is not None else None
            if row is None:
                row = m.Warranty()
                machine.warranties.append(row)
            row.kind, row.starts_on, row.ends_on = told.kind, told.starts_on, told.ends_on
            row.register_by, row.registered_on = told.register_by, told.registered_on
            row.registration_number = told.number.strip()
            session.flush()
            if told.paper is not None:
                uses = (Use(PaperSubject.EQUIPMENT, machine.id),)
                filing = Filing(
                    PaperKind.WARRANTY,
                    f"Warranty, {machine.name}",
                    told.registered_on,
                    uses=uses,
                    ends_on=told.ends_on,
                )
                row.paper_id, _same = file_in(work, told.paper, filing)
            return row.id

    def note_service(self, machine_id: int, on: date, by: str, what: str) -> None:
        """One visit of whoever looks after it."""
        if not what.strip():
            raise MachineUnclear("say in a few words what was done", kept=NOTHING)
        with self._project.action("Note a service") as work:
            machine = _machine(work.session, machine_id)
            machine.services.append(m.ServiceEntry(done_on=on, by=by.strip(), what=what.strip()))


_STATED = ("heating_capacity_w", "cooling_capacity_w")


def _check(facts: MachineFacts, row: m.Equipment | None, today: date) -> None:
    if not facts.name.strip():
        raise MachineUnclear("a machine needs a name", kept=NOTHING, do="say what it is and where")
    if facts.tested_on is not None and facts.tested_on > today:
        raise MachineUnclear("tested and running on a day ahead", where=facts.name, do="correct the day")
    is_out = row is not None and row.status is EquipmentStatus.REMOVED
    if (facts.status is EquipmentStatus.REMOVED) is not is_out:
        raise MachineUnclear(
            "whether it stands in the house has its own step",
            where=facts.name,
            kept=NOTHING,
            do="press “Take out”, holds look at it",
        )


def _new(session: Session, facts: MachineFacts) -> m.Equipment:
    taken = set(session.scalars(select(m.Equipment.key)))
    stem = "-".join(facts.name.casefold().split())[:40]
    key = next(name for number in range(1, 1000) if (name := f"{stem}-{number}") not in taken)
    row = m.Equipment(key=key, kind=facts.kind, name=facts.name, details={}, serves=[])
    session.add(row)
    return row


def _put_ratings(row: m.Equipment, ratings: tuple[WrittenRating, ...], today: date) -> None:
    """Those that stand as they were keep their date."""
    old = {(one.name, one.value, one.source_temp_c, one.load_temp_c): one for one in row.ratings}
    kept = []
    for told in ratings:
        same = old.pop((told.name, told.value, told.source_temp_c, told.load_temp_c), None)
        one = same or m.EquipmentRating(as_of=today)
        one.name, one.value, one.source = told.name, told.value, told.source
        one.source_temp_c, one.load_temp_c = told.source_temp_c, told.load_temp_c
        one.capacity_w, one.power_w = told.capacity_w, told.power_w
        kept.append(one)
    row.ratings = kept


def _workings(row: m.Equipment) -> WrittenWorkings:
    keys = [fact.key for fact in FACTS_OF.get(row.kind, ())]
    numbers = tuple((key, float(row.details[key])) for key in keys if key in row.details)
    return WrittenWorkings(numbers, str(row.details.get(HEATED_BY, "")))


def _put_workings(row: m.Equipment, told: WrittenWorkings) -> None:
    """A blank is not zero: what is left empty is not on record."""
    numbers = dict(told.numbers)
    if 0 < sum(key in numbers for key in RESET_KEYS) < len(RESET_KEYS):
        raise MachineUnclear(
            "the outdoor reset needs all four temperatures",
            where=row.name,
            kept=NOTHING,
            do="fill them all or none",
        )
    asked = {fact.key for fact in FACTS_OF.get(row.kind, ())} | {HEATED_BY}
    kept = {key: value for key, value in row.details.items() if key not in asked}
    row.details = kept | numbers | ({HEATED_BY: told.heated_by} if told.heated_by else {})


def _tie_rows(session: Session, row: m.Equipment) -> list[m.TiePoint]:
    query = select(m.TiePoint).where(m.TiePoint.equipment_id == row.id).order_by(m.TiePoint.id)
    return list(session.scalars(query))


def _written_tie(row: m.TiePoint) -> WrittenTie:
    return WrittenTie(**{one.name: getattr(row, one.name) for one in fields(WrittenTie)})


def _put_ties(session: Session, row: m.Equipment, ties: tuple[WrittenTie, ...]) -> None:
    """In their order; a tie of the same name keeps its depth and its paper."""
    old = {one.name: one for one in _tie_rows(session, row)}
    for told in ties:
        if told.first_distance_m is None and told.latitude_deg is None:
            raise MachineUnclear(
                f"{told.name} is not tied to anything",
                where=row.name,
                kept=NOTHING,
                do="give its distance from two fixed points, or its coordinates",
            )
        one = old.pop(told.name, None) or m.TiePoint(equipment_id=row.id)
        for name in fields(WrittenTie):
            setattr(one, name.name, getattr(told, name.name))
        session.add(one)
    for gone in old.values():
        session.delete(gone)
    session.flush()


def _written(row: m.Warranty) -> WrittenWarranty:
    return WrittenWarranty(
        row.kind, row.starts_on, row.ends_on, row.register_by, row.registered_on, row.registration_number
    )


def _machine(session: Session, machine_id: int) -> m.Equipment:
    row = session.get(m.Equipment, machine_id)
    if row is None:
        raise MachineUnclear("this machine is no longer recorded", do="undo, or choose another one")
    return row
