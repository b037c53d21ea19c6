"""The electrical panel: its circuits, and the load calculation with and without the measures."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from functools import cache

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.physics.panel_load import (
    SMALL_APPLIANCE_VA,
    Climate,
    CodeEdition,
    Dwelling,
    ServiceLoad,
    existing_load,
)
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.records.shipped import shipped_folder
from retrofit_desk.services.circuit_entry import METERED_PEAK
from retrofit_desk.services.days import today_of
from retrofit_desk.services.new_house_plant import panel
from retrofit_desk.services.panel_ledger import DONE, LedgerStep, ledger
from retrofit_desk.values.errors import CannotSay
from retrofit_desk.values.stated import StatedValue

SQUARE_FOOT_M2 = 0.3048**2
CAUTIONS = (
    "This sum is for planning. The edition of the code that your town has adopted, the inspector and a "
    "licensed electrician decide.",
    "The conductors ahead of the main breaker stay live when it is off. Work inside a panel is for a "
    "licensed electrician.",
)
NOT_PLAIN = (
    "The code does not say plainly how heating and cooling that were there before count here; the larger of "
    "both is counted with the rest."
)
HELD_BACK = (
    "held back by a load manager while the rest needs the service (NEC 750.30, 625.42, from memory; the "
    "electrician and the inspector decide)"
)
_HEATING, _COOLING, _CHARGING = "heating", "cooling", "car charger"
_CAN_WAIT = (_CHARGING, "dryer", "fastened in place")
"""Kinds of load that may be held back for an hour: own judgment."""
_BY_AREA, _BY_CIRCUIT = "general", "small appliance"
ONE_TABLE_FROM = 2026
"""From this edition on heating and cooling are not counted apart for an existing dwelling (second-hand)."""
BY_METER = (
    "By the meter: 125% of the highest demand of a year and what came since (NEC 220.87). Hourly peaks may "
    "understate the 15-minute peaks that the rule asks for; with solar a 30-day recording does not count."
)


class Stage(StrEnum):
    """Which loads are counted."""

    TODAY = "as it stands today"
    ALL = "with every measure"


@dataclass(frozen=True)
class CircuitRow:
    """One circuit as on the panel's door."""

    id: int
    position: int
    spaces: str
    name: str
    breaker_a: float
    poles: int
    wire: str
    room: str
    comes_with: str
    goes_with: str
    is_spare: bool


@dataclass(frozen=True)
class LoadRow:
    """One line of the calculation; `counts` tells why it does or does not."""

    name: str
    kind: str
    volt_amperes: StatedValue[float]
    counts: bool
    why: str
    source: str


@dataclass(frozen=True)
class PanelSheet:
    """One panel. `missing`: loads counted as nothing because nobody stated them, so the sum is too low."""

    id: int
    name: str
    room: str
    make: str
    model: str
    main_a: float
    bus_a: float | None
    service_a: float | None
    volts: float
    spaces: int | None
    free_spaces: int | None
    notes: str
    circuits: tuple[CircuitRow, ...]
    loads: tuple[LoadRow, ...]
    answer: ServiceLoad | None
    cannot_say: str
    clause: str
    edition: CodeEdition
    missing: tuple[str, ...]
    ledger: tuple[LedgerStep, ...]
    """Measure by measure from today on, by plates and by the meter."""
    remarks: tuple[str, ...]
    fits_without: tuple[str, ...] = ()
    """Where it does not fit: loads of which holding one back would make it fit."""

    @property
    def fits(self) -> bool:
        """Whether the stated loads stay within the main breaker."""
        return self.answer is not None and self.answer.amperes <= self.main_a


@dataclass(frozen=True)
class PanelEntry:
    """A panel as its labels tell it."""

    main_a: float
    bus_a: float | None
    spaces: int | None
    make: str
    model: str


class PanelService:
    """Reads the panels of the house, and records the first one."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def sheets(self, stage: Stage, year: int) -> tuple[PanelSheet, ...]:
        """Every panel with its calculation by the edition of a year. Raises `KeyError` for another year."""
        edition = code_editions()[year]
        with self._project.session() as session:
            today = today_of(session)
            panels = session.scalars(select(m.Panel).order_by(m.Panel.id))
            return tuple(_sheet(session, one, stage, edition, today) for one in panels)

    def record(self, entry: PanelEntry) -> int:
        """Record the main panel with the loads of the recorded machines, assumed until a plate is read.

        Raises `CannotSay` without a floor area.
        """
        with self._project.action("Record the panel") as work:
            site = work.session.scalar(select(m.Site))
            if site is None or site.floor_area_m2 is None:
                raise CannotSay("the load of the panel", "the floor area of the house")
            in_use = m.Equipment.status == m.EquipmentStatus.IN_USE
            plant = work.session.scalars(select(m.Equipment).where(in_use)).all()
            made = panel(entry.main_a, plant, site.floor_area_m2 / SQUARE_FOOT_M2)
            made.bus_a, made.spaces = entry.bus_a, entry.spaces
            made.make, made.model = entry.make, entry.model
            work.session.add(made)
            work.session.flush()
            return made.id


@cache
def code_editions() -> dict[int, CodeEdition]:
    """The editions of the electrical code by their year, from the shipped table."""
    with (shipped_folder("shared") / "electrical_code_editions.csv").open(
        newline="", encoding="utf-8"
    ) as file:
        rows = list(csv.DictReader(file))
    return {int(row["year"]): _edition(row) for row in rows}


def _edition(row: dict[str, str]) -> CodeEdition:
    least = row["car_charger_least_va"]
    return CodeEdition(
        year=int(row["year"]),
        general_va_ft2=float(row["general_va_ft2"]),
        optional_first_va=float(row["optional_first_va"]),
        existing_first_va=float(row["existing_first_va"]),
        rest_share=float(row["rest_share"]),
        supplemental_heat_share=float(row["supplemental_heat_share"]),
        few_heaters_share=float(row["few_heaters_share"]),
        many_heaters_share=float(row["many_heaters_share"]),
        car_charger_least_va=float(least) if least else None,
        car_charger_nameplate_only=row["car_charger_nameplate_only"] == "yes",
        source=row["source"],
    )


def _sheet(session: Session, row: m.Panel, stage: Stage, edition: CodeEdition, today: date) -> PanelSheet:
    measures = {one.id: one for one in session.scalars(select(m.Measure))}
    rooms = {one.id: one.name for one in session.scalars(select(m.Room))}
    plates = [load for load in row.loads if load.category != METERED_PEAK]
    judged = [
        (load, *((False, HELD_BACK) if load.is_managed else _counts(load, stage, measures, today)))
        for load in plates
    ]
    counted = [load for load, counts, _ in judged if counts]
    new_climate = _has_new_climate(counted, edition)
    answer, cannot_say = _answer(session, counted, edition)
    today_ones = [
        load for load in plates if not load.is_managed and _counts(load, Stage.TODAY, measures, today)[0]
    ]
    ordered = sorted(measures.values(), key=lambda one: (one.position, one.id))
    too_much = answer is not None and answer.amperes > row.main_a
    return PanelSheet(
        id=row.id,
        name=row.name,
        room=rooms.get(row.room_id or 0, ""),
        make=row.make,
        model=row.model,
        main_a=row.main_a,
        bus_a=row.bus_a,
        service_a=row.service_a,
        volts=row.volts,
        spaces=row.spaces,
        free_spaces=_free_spaces(row),
        notes=row.notes,
        circuits=tuple(_circuit_row(one, rooms, measures) for one in row.circuits),
        loads=tuple(
            LoadRow(load.name, load.category, load.stated("volt_amperes"), counts, why, load.source)
            for load, counts, why in judged
        ),
        answer=answer,
        cannot_say=cannot_say,
        clause=_clause(edition, new_climate),
        edition=edition,
        missing=tuple(f"{one.name} ({one.volt_amperes_is})" for one in counted if one.volt_amperes is None),
        ledger=ledger(row, today_ones, ordered, lambda loads: _answer(session, loads, edition)[0]),
        remarks=(BY_METER, *((NOT_PLAIN,) if answer and not answer.climate_va else ()), *CAUTIONS),
        fits_without=_fits_without(session, row, counted, edition) if too_much else (),
    )


def _fits_without(
    session: Session, row: m.Panel, counted: list[m.PanelLoad], edition: CodeEdition
) -> tuple[str, ...]:
    """Loads that can wait, each of which alone held back leaves no more than the main carries."""
    found = []
    for load in (one for one in counted if one.category in _CAN_WAIT):
        rest, _ = _answer(session, [one for one in counted if one is not load], edition)
        if rest is not None and rest.amperes <= row.main_a:
            found.append(load.name)
    return tuple(found)


def _has_new_climate(counted: list[m.PanelLoad], edition: CodeEdition) -> bool:
    return edition.year < ONE_TABLE_FROM and any(
        load.added_by_measure_id is not None and load.category in (_HEATING, _COOLING) for load in counted
    )


def _answer(
    session: Session, counted: list[m.PanelLoad], edition: CodeEdition
) -> tuple[ServiceLoad | None, str]:
    site = session.scalar(select(m.Site))
    if site is None or site.floor_area_m2 is None:
        return None, CannotSay("the load of the panel", "the floor area of the house").line()
    dwelling = _dwelling(counted, site.floor_area_m2 / SQUARE_FOOT_M2)
    return existing_load(dwelling, edition, new_climate=_has_new_climate(counted, edition)), ""


def _dwelling(counted: list[m.PanelLoad], area_ft2: float) -> Dwelling:
    """The ledger's lines as the code counts them; lights and outlets go by the floor area."""

    def sum_of(category: str) -> float:
        return sum(one.volt_amperes or 0.0 for one in counted if one.category == category)

    by_name = (_HEATING, _COOLING, _CHARGING, _BY_AREA, _BY_CIRCUIT)
    circuits = round(sum_of(_BY_CIRCUIT) / SMALL_APPLIANCE_VA)
    return Dwelling(
        area_ft2=area_ft2,
        small_appliance_circuits=max(circuits - 1, 0),
        laundry_circuits=1,
        appliances=tuple(
            (one.name, one.volt_amperes or 0.0) for one in counted if one.category not in by_name
        ),
        car_chargers_va=tuple(one.volt_amperes or 0.0 for one in counted if one.category == _CHARGING),
        climate=Climate(cooling_va=sum_of(_COOLING), heat_pump_va=sum_of(_HEATING)),
    )


def _clause(edition: CodeEdition, new_climate: bool) -> str:
    if edition.year >= ONE_TABLE_FROM:
        return f"NEC {edition.year}, 120.83"
    return f"NEC {edition.year}, 220.83({'B' if new_climate else 'A'})"


def _counts(load: m.PanelLoad, stage: Stage, measures: dict[int, m.Measure], today: date) -> tuple[bool, str]:
    added = measures.get(load.added_by_measure_id or 0)
    removed = measures.get(load.removed_by_measure_id or 0)
    if added is not None and added.state.is_over:
        return False, f"{added.title} was {added.state}"
    if stage is Stage.ALL:
        if removed is not None and not removed.state.is_over:
            return False, f"goes with: {removed.title}"
        return True, f"comes with: {added.title}" if added else "there before"
    if removed is not None and removed.state in DONE:
        return False, f"gone with: {removed.title}"
    if added is not None and (load.from_date is None or load.from_date > today):
        return False, f"not yet: {added.title}"
    return True, f"came with: {added.title}" if added else "there before"


def _free_spaces(row: m.Panel) -> int | None:
    """Spaces with no circuit or a spare breaker in them; None when the panel's spaces were not counted."""
    if row.spaces is None:
        return None
    return row.spaces - sum(one.poles for one in row.circuits if not one.is_spare)


def _circuit_row(one: m.Circuit, rooms: dict[int, str], measures: dict[int, m.Measure]) -> CircuitRow:
    comes, goes = measures.get(one.measure_id or 0), measures.get(one.removed_by_measure_id or 0)
    return CircuitRow(
        id=one.id,
        position=one.position,
        spaces=one.spaces,
        name=one.name,
        breaker_a=one.breaker_a,
        poles=one.poles,
        wire=one.wire,
        room=rooms.get(one.room_id or 0, ""),
        comes_with=comes.title if comes else "",
        goes_with=goes.title if goes else "",
        is_spare=one.is_spare,
    )
