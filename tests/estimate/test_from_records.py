"""The recorded house reaches the engine whole, and a missing value that matters is said."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.from_records import case_of, house_of, use_of
from retrofit_desk.estimate.plant_from_records import plant_of
from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.physics.elements import OtherZone, Overhang, Schedule
from retrofit_desk.physics.engine import run_year
from retrofit_desk.physics.layer_parts import FramedLayerPart
from retrofit_desk.physics.plant import run_plant
from retrofit_desk.physics.plant_results import PlantYear, loads_of
from retrofit_desk.physics.results import YearResult
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.sample import make_sample
from retrofit_desk.values.errors import CannotSay
from retrofit_desk.values.stated import Stated, StatedValue

KWH_PER_THERM = 29.3


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Project]:
    with make_sample(tmp_path_factory.mktemp("mapped") / "house") as project:
        yield project


@pytest.fixture(scope="module")
def case(sample: Project) -> HouseCase:
    with sample.session() as session:
        return case_of(session)


@dataclass(frozen=True)
class Year:
    house: YearResult
    plant: PlantYear


@pytest.fixture(scope="module")
def year(case: HouseCase) -> Year:
    weather = greensboro()
    house = run_year(case.house, weather)
    return Year(house, run_plant(case.plant, case.use, loads_of(house, weather), weather))


def test_zones_surfaces_and_windows_carry_their_record_keys(sample: Project, case: HouseCase) -> None:
    with sample.session() as session:
        rooms = {room.key for room in session.scalars(select(m.Room))}
        surfaces = {surface.key for surface in session.scalars(select(m.Surface))}
        openings = {opening.key for opening in session.scalars(select(m.Opening))}
    assert {zone.name for zone in case.house.zones} == rooms
    assert {surface.name for surface in case.house.surfaces} == surfaces
    assert {window.name for surface in case.house.surfaces for window in surface.windows} == openings


def test_the_house_is_taken_as_it_stood_before_the_first_measure(case: HouseCase) -> None:
    assert case.house.blower_door is not None
    assert case.house.blower_door.flow_at_50_pa_m3_s == 1.62
    assert [machine.name for machine in case.plant.machines] == ["furnace", "air-conditioner"]
    assert case.plant.water_heater is not None
    assert case.plant.water_heater.kind == "storage"
    assert case.plant.cooking is not None
    assert case.plant.cooking.fuel == "gas"
    assert case.plant.arrays == ()


def test_a_setback_is_a_schedule_and_a_partition_leads_to_its_other_room(case: HouseCase) -> None:
    living = next(zone for zone in case.house.zones if zone.name == "living")
    assert living.thermostat is not None
    assert isinstance(living.thermostat.heating_c, Schedule)
    assert living.thermostat.heating_c.hours[3] == 18.0
    assert living.thermostat.heating_c.hours[12] == 20.0
    wall = next(surface for surface in case.house.surfaces if surface.name == "living-kitchen-wall")
    assert wall.boundary == OtherZone(zone="kitchen")


def test_studs_and_overhangs_come_through(case: HouseCase) -> None:
    siding = next(one for one in case.house.constructions if one.name == "siding-thin-batt")
    framed = [layer for layer in siding.layers if isinstance(layer, FramedLayerPart)]
    assert [layer.framing_fraction for layer in framed] == [0.25]
    south = next(surface for surface in case.house.surfaces if surface.name == "living-south")
    assert [plate for plate in south.plates if isinstance(plate, Overhang)][1] == Overhang(
        height_m=0.75 + 1.35 + 0.25, from_x_m=4.0 - 0.6, to_x_m=4.0 + 2.4 + 0.6, depth_m=0.4
    )


def test_only_spaces_with_their_own_air_change_stand_outside_the_blower_door(case: HouseCase) -> None:
    assert case.house.blower_door is not None
    outside = {zone.name for zone in case.house.zones} - set(case.house.blower_door.zones)
    assert outside == {"crawl-space", "attic"}


def test_the_old_house_uses_as_much_as_such_houses_do(year: Year) -> None:
    # what a leaky gas-heated house of its size and climate uses: common practice, no source
    assert 700 < year.plant.kwh("gas") / KWH_PER_THERM < 1100
    assert 9_000 < year.plant.kwh("electricity") < 13_000
    # the tired air conditioner falls short in the hottest, dampest hours
    assert year.plant.unmet_kwh < 250


def test_gas_peaks_in_january_and_electricity_in_july(year: Year) -> None:
    assert year.plant.monthly_kwh("gas").argmax() == 0
    assert year.plant.monthly_kwh("electricity").argmax() == 6


def test_the_energy_of_the_mapped_house_closes(year: Year) -> None:
    assert year.house.balance.residual_share < 1e-9
    assert year.house.start_settled


Change = Callable[[Session], None]


def _unknown(model: type[m.Base], key: str, column: str) -> Change:
    def change(session: Session) -> None:
        row = session.scalars(select(model).where(model.key == key)).one()  # type: ignore[attr-defined]
        row.set_stated(column, StatedValue(None, Stated.UNKNOWN))

    return change


def _emptied(model: type[m.Base], key: str, column: str) -> Change:
    def change(session: Session) -> None:
        row = session.scalars(select(model).where(model.key == key)).one()  # type: ignore[attr-defined]
        setattr(row, column, None)

    return change


def _no_test(session: Session) -> None:
    for test in session.scalars(select(m.LeakageTest)):
        session.delete(test)


def _nothing_known_of_its_power(session: Session) -> None:
    row = session.scalars(select(m.Equipment).where(m.Equipment.key == "air-conditioner")).one()
    row.electric_input_w = None
    row.ratings = []


def _no_plug_use(session: Session) -> None:
    session.scalars(select(m.HouseholdUse)).one().set_stated(
        "plug_kwh_per_year", StatedValue(None, Stated.NOT_STATED)
    )


@pytest.mark.parametrize(
    ("change", "read", "says"),
    [
        (_unknown(m.Opening, "dining-window", "u_value_w_m2k"), house_of, "its U-value, which is unknown"),
        (_unknown(m.Opening, "dining-window", "shgc"), house_of, "its SHGC"),
        (_unknown(m.Room, "den", "internal_gain_w"), house_of, "the warmth of Den"),
        (_emptied(m.Surface, "den-slab", "exposed_perimeter_m"), house_of, "its outer perimeter"),
        (_emptied(m.Surface, "den-slab", "construction_id"), house_of, "what it is made of"),
        (_emptied(m.Room, "den", "heating_set_point_c"), house_of, "the temperature it is kept at"),
        (_no_test, house_of, "a blower-door test"),
        (_no_plug_use, use_of, "the use of the plugs, which is not stated"),
        (_unknown(m.Equipment, "furnace", "heating_capacity_w"), plant_of, "its capacity, which is unknown"),
        (_nothing_known_of_its_power, plant_of, "its electric input when rated, or its SEER2"),
    ],
)
def test_a_missing_value_that_matters_is_said_by_name(
    sample: Project, change: Change, read: Callable[[Session], object], says: str
) -> None:
    with sample.action("Leave something open") as work:
        change(work.session)
    try:
        with sample.session() as session, pytest.raises(CannotSay, match=says):
            read(session)
    finally:
        sample.undo()
