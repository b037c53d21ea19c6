"""Recording machines: plates, ratings, settings, warranties, services, and taking one out."""

from __future__ import annotations

from dataclasses import fields
from datetime import date
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.machine_facts import FACTS_OF, HEATED_BY, PLATE_FACTS, MachineFact, RadiatorLayout
from retrofit_desk.records.models.equipment import CoverKind, EquipmentKind, EquipmentStatus
from retrofit_desk.records.models.holds import HoldSubject
from retrofit_desk.records.models.papers import PaperKind, PaperSubject
from retrofit_desk.records.models.site import Fuel
from retrofit_desk.records.project import Project
from retrofit_desk.rules.holds import HoldAction
from retrofit_desk.services.days import today_of
from retrofit_desk.services.holds import HoldEffect, effect_between, holds_in, pass_holds
from retrofit_desk.services.machine_values import (
    NOTHING,
    MachineChoices,
    MachineFacts,
    MachineSheet,
    MachineUnclear,
    WrittenRating,
    WrittenTie,
    WrittenWarranty,
    WrittenWorkings,
)
from retrofit_desk.services.machine_workings import (
    check_plate,
    put_ratings,
    put_ties,
    put_workings,
    written_ratings,
    written_ties,
    written_workings,
)
from retrofit_desk.services.papers import Filing, Use, file_in
from retrofit_desk.values.quantity import Units

__all__ = [
    "FACTS_OF",
    "PLATE_FACTS",
    "CoverKind",
    "EquipmentEntryService",
    "EquipmentKind",
    "EquipmentStatus",
    "Fuel",
    "MachineFact",
    "RadiatorLayout",
]

SETTINGS = "settings"
"""Where a machine keeps what it was set to at commissioning: name and value, as text."""


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
                _heaters(session),
                tuple((row.key, row.name) for row in session.scalars(select(m.Room).order_by(m.Room.id))),
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
                written_ratings(row),
                tuple((str(name), str(value)) for name, value in settings.items()),
                tuple((one.id, _written(one)) for one in row.warranties),
                written_workings(row),
                written_ties(session, row),
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
        units: Units = Units.US,
    ) -> tuple[int, HoldEffect]:
        """Add a machine (`machine_id` none) or correct one. Returns its id and what that frees.

        `workings` and `ties` stay as they are when none are given; `units` are those of the words of trouble.
        Raises `MachineUnclear`.
        """
        with self._project.action(f"Record {facts.name.strip() or 'a machine'}") as work:
            session = work.session
            today = today_of(session)
            row = _machine(session, machine_id) if machine_id is not None else None
            _check(facts, row, today)
            check_plate(facts, units)
            before = holds_in(session, today)
            row = row or _new(session, facts)
            for one in fields(MachineFacts):
                value = getattr(facts, one.name)
                if one.name in _STATED:
                    row.set_stated(one.name, value)
                else:
                    setattr(row, one.name, value)
            put_ratings(row, ratings, today, units)
            others = {key: value for key, value in row.details.items() if key != SETTINGS}
            row.details = others | ({SETTINGS: dict(settings)} if settings else {})
            if workings is not None:
                put_workings(row, workings, units)
            session.flush()
            if ties is not None:
                put_ties(session, row, ties, units)
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


def _heaters(session: Session) -> tuple[tuple[str, str], ...]:
    rows = list(session.scalars(select(m.Equipment).order_by(m.Equipment.id)))
    behind = {row.details.get(HEATED_BY) for row in rows}
    return tuple(
        (row.key, row.name) for row in rows if row.kind is m.EquipmentKind.BOILER or row.key in behind
    )


def _written(row: m.Warranty) -> WrittenWarranty:
    return WrittenWarranty(
        row.kind, row.starts_on, row.ends_on, row.register_by, row.registered_on, row.registration_number
    )


def _machine(session: Session, machine_id: int) -> m.Equipment:
    row = session.get(m.Equipment, machine_id)
    if row is None:
        raise MachineUnclear("this machine is no longer recorded", do="undo, or choose another one")
    return row
