"""Machines and systems: what stands where, with ratings, warranties and services."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session, selectinload

from retrofit_desk.estimate.heat_pump_from_records import marked
from retrofit_desk.records import models as m
from retrofit_desk.records.machine_facts import FACTS_OF, PASSES
from retrofit_desk.records.project import Project
from retrofit_desk.services.equipment_entry import SETTINGS
from retrofit_desk.services.house import FactSource, sources_of
from retrofit_desk.services.places import found
from retrofit_desk.values.place import Found
from retrofit_desk.values.quantity import Dimension
from retrofit_desk.values.stated import StatedValue


@dataclass(frozen=True)
class RatingLine:
    """A published rating, with its test point when it has one."""

    name: str
    value: float
    source_temp_c: float | None
    load_temp_c: float | None
    capacity_w: float | None
    source: str
    as_of: date | None


@dataclass(frozen=True)
class WarrantyLine:
    """What is covered, until when, and whether it was registered."""

    id: int
    kind: str
    ends_on: date | None
    register_by: date | None
    registered_on: date | None
    number: str


@dataclass(frozen=True)
class ServiceLine:
    """One visit."""

    done_on: date
    by: str
    what: str


@dataclass(frozen=True)
class WorkingLine:
    """What the house model takes of a machine beside its plate: a number in SI, or a word."""

    name: str
    value_si: float | None
    dimension: Dimension
    word: str = ""


@dataclass(frozen=True)
class MachineRow:
    """One machine or system."""

    id: int
    name: str
    kind: str
    status: str
    fuel: str
    make: str
    model: str
    serial: str
    second_model: str
    second_serial: str
    room: str
    serves: tuple[str, ...]
    installed_on: date | None
    tested_on: date | None
    removed_on: date | None
    heating_capacity_w: StatedValue[float]
    cooling_capacity_w: StatedValue[float]
    electric_input_w: float | None
    volume_m3: float | None
    refrigerant: str
    refrigerant_charge_kg: float | None
    measure: Found | None
    firm: str
    ratings: tuple[RatingLine, ...]
    warranties: tuple[WarrantyLine, ...]
    services: tuple[ServiceLine, ...]
    settings: tuple[tuple[str, str], ...]
    """What it was set to at start-up."""
    sources: tuple[FactSource, ...]
    workings: tuple[WorkingLine, ...]
    worked_back: str
    """How the house model takes a machine that nothing but seasonal ratings is known of; empty: by more."""
    notes: str


class EquipmentService:
    """Reads the machines."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def machines(self) -> tuple[MachineRow, ...]:
        """All machines, those in use first, removed ones last."""
        with self._project.session() as session:
            query = select(m.Equipment).options(
                selectinload(m.Equipment.ratings),
                selectinload(m.Equipment.warranties),
                selectinload(m.Equipment.services),
            )
            rows = sorted(session.scalars(query), key=_order)
            rooms = {room.id: room for room in session.scalars(select(m.Room))}
            return tuple(_machine(session, row, rooms) for row in rows)


def _order(row: m.Equipment) -> tuple[int, int]:
    return list(m.EquipmentStatus).index(row.status), row.id


def _machine(session: Session, row: m.Equipment, rooms: dict[int, m.Room]) -> MachineRow:
    by_key = {room.key: room.name for room in rooms.values()}
    room = rooms.get(row.room_id or 0)
    measure = session.get(m.Measure, row.measure_id) if row.measure_id else None
    firm = session.get(m.Firm, row.installed_by_firm_id) if row.installed_by_firm_id else None
    return MachineRow(
        id=row.id,
        name=row.name,
        kind=str(row.kind),
        status=str(row.status),
        fuel=str(row.fuel) if row.fuel else "",
        make=row.make,
        model=row.model,
        serial=row.serial,
        second_model=row.second_model,
        second_serial=row.second_serial,
        room=room.name if room else "",
        serves=tuple(by_key.get(key, key) for key in row.serves),
        installed_on=row.installed_on,
        tested_on=row.tested_on,
        removed_on=row.removed_on,
        heating_capacity_w=row.stated("heating_capacity_w"),
        cooling_capacity_w=row.stated("cooling_capacity_w"),
        electric_input_w=row.electric_input_w,
        volume_m3=row.volume_m3,
        refrigerant=row.refrigerant,
        refrigerant_charge_kg=row.refrigerant_charge_kg,
        measure=found(measure) if measure else None,
        firm=firm.name if firm else "",
        ratings=_ratings(row),
        warranties=_warranties(row),
        services=tuple(ServiceLine(one.done_on, one.by, one.what) for one in row.services),
        settings=tuple((str(name), str(value)) for name, value in row.details.get(SETTINGS, {}).items()),
        sources=sources_of(session, "equipment", row.id),
        workings=_workings(row, by_key),
        worked_back=marked(row),
        notes=row.notes,
    )


def _ratings(row: m.Equipment) -> tuple[RatingLine, ...]:
    return tuple(
        RatingLine(
            one.name, one.value, one.source_temp_c, one.load_temp_c, one.capacity_w, one.source, one.as_of
        )
        for one in row.ratings
    )


def _warranties(row: m.Equipment) -> tuple[WarrantyLine, ...]:
    return tuple(
        WarrantyLine(
            one.id, str(one.kind), one.ends_on, one.register_by, one.registered_on, one.registration_number
        )
        for one in row.warranties
    )


def _workings(row: m.Equipment, rooms: dict[str, str]) -> tuple[WorkingLine, ...]:
    lines = [
        WorkingLine(fact.words, float(row.details[fact.key]), fact.dimension)
        for fact in FACTS_OF.get(row.kind, ())
        if fact.key in row.details
    ]
    if row.kind is m.EquipmentKind.DUCTS:
        passes = rooms.get(str(row.details.get(PASSES)), "outdoors")
        lines.append(WorkingLine("Pass through", None, Dimension.PLAIN, passes))
    return tuple(lines)
