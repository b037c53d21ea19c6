"""A machine as its forms and its service speak of it: plain values, and what each may be."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from retrofit_desk.records.machine_facts import RadiatorLayout
from retrofit_desk.records.models.equipment import CoverKind, EquipmentKind, EquipmentStatus
from retrofit_desk.records.models.site import Fuel
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.stated import Stated, StatedValue

NOTHING = "nothing was changed"
NOT_STATED: StatedValue[float] = StatedValue(None, Stated.NOT_STATED)


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
    """What the house model asks of a machine beside its plate: numbers by key, SI, and how it hangs together.

    `heated_by`: key of the boiler behind a tank; `passes`: key of the room that the ducts pass through, none:
    outdoors; `ductless`: an air-source machine with units of its own in the rooms; `layout`: how a boiler's
    radiators are piped; `serves`: keys of the rooms, none: those that its kind reaches by itself.
    """

    numbers: tuple[tuple[str, float], ...] = ()
    heated_by: str = ""
    passes: str = ""
    ductless: bool = False
    layout: RadiatorLayout = RadiatorLayout.TWO_PIPE
    serves: tuple[str, ...] = ()


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
    heaters: tuple[tuple[str, str], ...]
    """What can stand behind a tank, (key, name): boilers, and whatever stands behind one already."""
    places: tuple[tuple[str, str], ...]
    """Rooms that ducts can pass through, (key, name)."""
