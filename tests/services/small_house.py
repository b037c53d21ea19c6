"""A small recorded house that the estimator takes: one room, old gas plant, two meters, two measures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path

from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.rules.states import MeasureState

TODAY = date(2026, 11, 20)
NOON = time(12)
SIDES = {"north": 0.0, "east": 90.0, "south": 180.0, "west": 270.0}


@dataclass(frozen=True)
class Work:
    """A measure in service: when its work was done."""

    key: str
    title: str
    on: date
    state: MeasureState = MeasureState.SIGNED_OFF


def a_recorded_house(folder: Path) -> Project:
    """The house with two ideas in its line-up: sealing, then induction."""
    project = Project.create(folder)
    with project.action("Describe the house") as work:
        work.session.add_all([*_place(), _storey(), _plant("furnace"), *_appliances(), _ducts()])
        work.session.add(m.LeakageTest(tested_on=date(2025, 1, 9), flow_50pa_m3_s=0.3))
        work.session.add_all([_gas_meter(), _electric_meter()])
        work.session.add(_idea(0, "sealing", "air_sealing", "Air sealing", {"flow_50pa_m3_s": 0.2}))
        work.session.add(_idea(1, "induction", "induction_range", "Induction range", {"efficiency": 0.85}))
    return project


def put_in_service(project: Project, *works: Work) -> list[int]:
    """Record measures as done, each accepted by the owner; returns their ids."""
    ids = []
    with project.action("Put in service") as work:
        for done in works:
            measure = m.Measure(
                key=done.key,
                kind="air_sealing",
                title=done.title,
                state=done.state,
                in_line_up=False,
                position=9,
                own_work=True,
                cost_cents=100_000,
                placed_in_service_on=done.on,
                owner_accepted_on=done.on,
            )
            measure.entries.append(
                m.WorkEntry(
                    worked_on=done.on,
                    written_at=datetime.combine(done.on, NOON, UTC),
                    who="Owner",
                    is_complete=True,
                )
            )
            work.session.add(measure)
            work.session.flush()
            ids.append(measure.id)
    return ids


def add_bills(
    project: Project, meter_key: str, first: date, quantities: Sequence[float], days: int = 30
) -> None:
    """Bills one after the other, each of so many days."""
    with project.action("File bills") as work:
        meter = work.session.scalars(select(m.Meter).where(m.Meter.key == meter_key)).one()
        for number, quantity in enumerate(quantities):
            start = first + timedelta(days=days * number)
            bill = m.Bill(period_start=start, period_end=start + timedelta(days=days), quantity=quantity)
            meter.bills.append(bill)


def _place() -> list[m.Base]:
    return [
        m.Site(name="Alder House", city="Greensboro", state="NC", occupants=3, story_date=TODAY),
        m.WeatherChoice(kind=m.WeatherKind.TYPICAL_YEAR, name="Greensboro, typical year", station="723170"),
        m.HouseholdUse(
            hot_water_l_per_day=180.0,
            plug_kwh_per_year=1800.0,
            light_kwh_per_year=400.0,
            cooking_useful_kwh_per_year=250.0,
            dryer_loads_per_year=0.0,
            car_km_per_year=0.0,
        ),
    ]


def _storey() -> m.Storey:
    wall = _construction("wall", ("siding", 0.018, 0.12, 500.0), ("board", 0.0127, 0.16, 800.0))
    floor = _construction("floor", ("planks", 0.03, 0.12, 500.0))
    room = m.Room(
        key="room",
        name="Room",
        floor_area_m2=30.0,
        height_m=2.5,
        heating_set_point_c=20.0,
        cooling_set_point_c=25.0,
        internal_gain_w=150.0,
    )
    for side, azimuth in SIDES.items():
        room.surfaces.append(_face(f"{side} wall", m.SurfaceKind.WALL, wall, 14.0, 90.0, azimuth))
    room.surfaces.append(_face("roof", m.SurfaceKind.ROOF, wall, 30.0, 0.0, None))
    below = _face("floor", m.SurfaceKind.FLOOR, floor, 30.0, 180.0, None)
    below.boundary = m.Boundary.SAME
    room.surfaces.append(below)
    storey = m.Storey(key="ground", name="Ground floor", height_m=2.5)
    storey.rooms.append(room)
    return storey


def _construction(name: str, *layers: tuple[str, float, float, float]) -> m.Construction:
    made = m.Construction(key=name, name=name)
    for position, (layer, thickness, conductivity, density) in enumerate(layers):
        made.layers.append(
            m.ConstructionLayer(
                position=position,
                name=layer,
                thickness_m=thickness,
                conductivity_w_mk=conductivity,
                density_kg_m3=density,
                specific_heat_j_kgk=1200.0,
            )
        )
    return made


def _face(
    name: str, kind: m.SurfaceKind, made_of: m.Construction, area: float, tilt: float, azimuth: float | None
) -> m.Surface:
    return m.Surface(
        key=name,
        name=name,
        kind=kind,
        boundary=m.Boundary.OUTDOORS,
        construction=made_of,
        area_m2=area,
        tilt_deg=tilt,
        azimuth_deg=azimuth,
    )


def _plant(key: str) -> m.Equipment:
    return m.Equipment(
        key=key,
        kind=m.EquipmentKind.FURNACE,
        name="Gas furnace",
        fuel=m.Fuel.GAS,
        heating_capacity_w=20_000.0,
        electric_input_w=400.0,
        details={"seasonal_efficiency": 0.78},
    )


def _ducts() -> m.Equipment:
    sides = {
        f"{side}_{what}": value
        for side in ("supply", "return")
        for what, value in (("area_m2", 8.0), ("resistance_m2k_w", 0.7), ("leakage", 0.08))
    }
    return m.Equipment(
        key="ducts", kind=m.EquipmentKind.DUCTS, name="Ducts", details=sides | {"flow_m3_s": 0.5}
    )


def _appliances() -> list[m.Equipment]:
    heater = m.Equipment(
        key="water-heater",
        kind=m.EquipmentKind.WATER_HEATER,
        name="Gas water heater",
        fuel=m.Fuel.GAS,
        volume_m3=0.15,
        heating_capacity_w=9000.0,
        details={"recovery_efficiency": 0.76, "loss_w_k": 4.0, "set_point_c": 52.0},
    )
    cooker = m.Equipment(
        key="range",
        kind=m.EquipmentKind.RANGE,
        name="Gas range",
        fuel=m.Fuel.GAS,
        details={"efficiency": 0.32},
    )
    return [heater, cooker]


def _gas_meter() -> m.Meter:
    meter = m.Meter(key="gas", name="Gas meter", fuel=m.Fuel.GAS, unit=m.EnergyUnit.THERM)
    meter.account = m.UtilityAccount(key="gas", utility="Invented Gas", fuel=m.Fuel.GAS)
    meter.tariffs.append(m.TariffChoice(tariff_key="haw-bend-residential-gas", starts_on=date(2024, 10, 1)))
    return meter


def _electric_meter() -> m.Meter:
    meter = m.Meter(key="power", name="Electric meter", fuel=m.Fuel.ELECTRICITY, unit=m.EnergyUnit.KWH)
    meter.tariffs.append(m.TariffChoice(tariff_key="carraway-residential", starts_on=date(2024, 10, 1)))
    return meter


def _idea(position: int, key: str, kind: str, title: str, inputs: dict[str, float]) -> m.Measure:
    return m.Measure(
        key=key,
        kind=kind,
        title=title,
        inputs=inputs,
        position=position,
        cost_cents=200_000 - 60_000 * position,
    )
