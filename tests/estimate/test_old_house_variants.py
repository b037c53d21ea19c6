"""What an old cold-climate house may have besides: a wood stove, a crawl space, a series loop, steam."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.estimate.case import DoesNotFit, HouseCase
from retrofit_desk.estimate.from_records import case_of
from retrofit_desk.estimate.plant_from_records import plant_of
from retrofit_desk.estimate.water_plant import on_water
from retrofit_desk.exchange.weather import sand_point
from retrofit_desk.physics.engine import run_year
from retrofit_desk.physics.plant import run_plant
from retrofit_desk.physics.plant_machines import HeatPump, OutdoorAir, RatingPoint, Ratings
from retrofit_desk.physics.plant_results import PlantYear, loads_of
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.sample import SAND_POINT, make_sample
from retrofit_desk.values.errors import CannotSay
from retrofit_desk.values.stated import StatedValue

Change = Callable[[Session], None]


@pytest.fixture(scope="module")
def oil_house(tmp_path_factory: pytest.TempPathFactory) -> Project:
    return make_sample(tmp_path_factory.mktemp("oil variants") / "house", SAND_POINT)


def case_with(project: Project, change: Change) -> HouseCase:
    """The oil house with one thing otherwise; the record stays as it was."""
    with project.action("Try something") as work:
        change(work.session)
    try:
        with project.session() as session:
            return case_of(session)
    finally:
        project.undo()


@pytest.fixture(scope="module")
def as_it_stands(oil_house: Project) -> PlantYear:
    with oil_house.session() as session:
        return a_year(case_of(session))


def a_year(case: HouseCase) -> PlantYear:
    weather = sand_point()
    return run_plant(case.plant, case.use, loads_of(run_year(case.house, weather), weather), weather)


def machine(session: Session, key: str) -> m.Equipment:
    return session.scalars(select(m.Equipment).where(m.Equipment.key == key)).one()


def a_stove(capacity_w: float = 6_000.0, **details: Any) -> Change:
    def change(session: Session) -> None:
        room = session.scalars(select(m.Room).where(m.Room.key == "living")).one()
        row = m.Equipment(
            key="stove",
            kind=m.EquipmentKind.STOVE,
            name="Wood stove",
            fuel=m.Fuel.WOOD,
            room_id=room.id,
            details=details,
        )
        row.set_stated("heating_capacity_w", StatedValue(capacity_w))
        session.add(row)

    return change


def piped(layout: str, *, with_reset: bool = False) -> Change:
    def change(session: Session) -> None:
        boiler = machine(session, "boiler")
        kept = {key: value for key, value in boiler.details.items() if with_reset or "reset" not in key}
        boiler.details = kept | {"layout": layout}

    return change


def test_a_wood_stove_carries_its_share_of_its_own_room_alone(
    oil_house: Project, as_it_stands: PlantYear
) -> None:
    case = case_with(oil_house, a_stove(seasonal_efficiency=0.6, heat_share=0.3))
    boiler, stove = case.plant.heating
    assert [(one.zone, one.share) for one in stove.serves] == [("living", 0.3)]
    assert {one.zone: one.share for one in boiler.serves}["living"] == pytest.approx(0.7)
    after = a_year(case)
    # the heat is the same; what the stove gives, 60 % of its wood, the boiler does not
    saved_kwh = (as_it_stands.kwh("oil") - after.kwh("oil")) * 0.76 * 0.95
    assert after.kwh("wood") * 0.6 == pytest.approx(saved_kwh, rel=0.03)


def test_a_stove_without_a_share_halves_its_room_and_beside_one_that_does_all_the_boiler_only_helps(
    oil_house: Project,
) -> None:
    half = case_with(oil_house, a_stove(seasonal_efficiency=0.6))
    assert {one.zone: one.share for one in half.plant.heating[0].serves}["living"] == 0.5
    whole = case_with(oil_house, a_stove(seasonal_efficiency=0.6, heat_share=1.0))
    assert {one.zone: one.share for one in whole.plant.heating[0].serves}["living"] == 0.0


def test_what_a_small_stove_lacks_the_boiler_gives_and_no_heat_is_missing(oil_house: Project) -> None:
    small = a_year(case_with(oil_house, a_stove(900.0, seasonal_efficiency=0.6, heat_share=1.0)))
    boiler, stove = small.systems
    assert float(stove.delivered_w.max()) == pytest.approx(900.0)
    assert max(float(one.unmet_w.max()) for one in (boiler, stove)) == 0.0
    # what both give is what the boiler alone would have given, but for the way through its pipes
    alone, _ = a_year(
        case_with(oil_house, a_stove(900.0, seasonal_efficiency=0.6, heat_share=0.0001))
    ).systems
    given_kwh = sum(float(one.delivered_w.sum()) for one in (boiler, stove))
    assert given_kwh == pytest.approx(float(alone.delivered_w.sum()), rel=0.03)


def test_a_stove_without_efficiency_is_asked_for_it(oil_house: Project) -> None:
    with pytest.raises(CannotSay, match=r"Wood stove does\. Needs “Efficiency over the season”"):
        case_with(oil_house, a_stove())


def test_a_loop_in_series_needs_hotter_water_and_as_much_oil(oil_house: Project) -> None:
    side_by_side = a_year(case_with(oil_house, piped("two-pipe")))
    in_series = a_year(case_with(oil_house, piped("series loop")))
    hot, cool = (float(one.systems[0].supply_c.max()) for one in (in_series, side_by_side))
    assert hot > cool + 2.0
    assert in_series.kwh("oil") == pytest.approx(side_by_side.kwh("oil"), rel=1e-9)


def test_steam_is_always_as_hot_and_no_heat_pump_runs_on_its_radiators(oil_house: Project) -> None:
    case = case_with(oil_house, piped("steam", with_reset=True))
    supply = a_year(case).systems[0]
    assert set(np.unique(supply.supply_c[supply.delivered_w > 1.0]).tolist()) == {102.0}
    point = RatingPoint(source_c=0.0, load_c=45.0, capacity_w=8_000.0, power_w=3_000.0)
    pump = HeatPump(name="pump", source=OutdoorAir(), heating=Ratings(points=(point,)))
    with pytest.raises(DoesNotFit, match="made for steam"):
        on_water(case, pump, (), 60.0)


def test_a_crawl_space_is_a_room_below_with_its_own_air(oil_house: Project, as_it_stands: PlantYear) -> None:
    def to_a_crawl_space(session: Session) -> None:
        room = session.scalars(select(m.Room).where(m.Room.key == "basement")).one()
        room.kind, room.height_m = m.RoomKind.CRAWL_SPACE, 0.6
        room.set_stated("air_changes_per_hour", StatedValue(3.0))
        for face in room.surfaces:
            if face.key == "basement-walls":
                face.boundary, face.area_m2 = m.Boundary.OUTDOORS, face.area_m2 * 0.6 / 2.1
            elif face.boundary is m.Boundary.GROUND:
                face.depth_below_ground_m = None

    after = a_year(case_with(oil_house, to_a_crawl_space))
    assert as_it_stands.kwh("oil") < after.kwh("oil") < 1.3 * as_it_stands.kwh("oil")


def test_radiators_of_one_room_give_their_heat_together_at_one_difference(oil_house: Project) -> None:
    # EN 442: output goes with the difference to the exponent; 1,000 W at 60 K is 789 W at 50 K
    def one_more(session: Session) -> None:
        room = session.scalars(select(m.Room).where(m.Room.key == "living")).one()
        row = m.Equipment(
            key="second",
            kind=m.EquipmentKind.RADIATORS,
            name="Second radiator",
            room_id=room.id,
            details={"rated_difference_k": 60.0, "exponent": 1.3},
        )
        row.set_stated("heating_capacity_w", StatedValue(1_000.0))
        session.add(row)

    delivery = case_with(oil_house, one_more).plant.heating[0].delivery
    assert delivery.kind == "water_emitters"
    living = next(one for one in delivery.emitters if one.zone == "living")
    assert living.rated_w - 5_200.0 == pytest.approx(1_000.0 * (50.0 / 60.0) ** 1.3)
    assert living.rated_w - 5_200.0 == pytest.approx(789.0, abs=0.5)


def test_two_water_heaters_are_one_too_many(oil_house: Project) -> None:
    def one_more(session: Session) -> None:
        session.add(m.Equipment(key="second", kind=m.EquipmentKind.WATER_HEATER, name="Second tank"))

    with oil_house.action("Try something") as work:
        one_more(work.session)
    try:
        with oil_house.session() as session, pytest.raises(CannotSay, match="one water heater"):
            plant_of(session)
    finally:
        oil_house.undo()


def stairs(area_m2: float) -> Change:
    """The landing's floor, open to the hall below."""

    def change(session: Session) -> None:
        face = session.scalars(select(m.Surface).where(m.Surface.key == "bath-floor")).one()
        face.passage_area_m2 = area_m2

    return change


def test_stairs_are_an_air_path_between_storeys(oil_house: Project) -> None:
    with oil_house.session() as session:
        shut = case_of(session).house
    case = case_with(oil_house, stairs(2.2))
    (path,) = case.house.air_paths
    assert (path.zone_a, path.zone_b) == ("bath", "hall")
    # Epstein 1988 (from memory): 0.055 sqrt(g D^5 dT/T) with D 1.674 m and 2 K
    assert path.flow_m3_s == pytest.approx(0.055 * (9.80665 * 1.674**5 * 2.0 / 293.0) ** 0.5, rel=1e-3)
    faces = {one.name: one.area_m2 for one in case.house.surfaces}
    assert faces["bath-floor"] == pytest.approx(
        next(one.area_m2 for one in shut.surfaces if one.name == "bath-floor") - 2.2
    )


def test_the_year_hardly_feels_how_much_air_goes_up_the_stairs(
    oil_house: Project, as_it_stands: PlantYear
) -> None:
    narrow, wide = (a_year(case_with(oil_house, stairs(area))).kwh("oil") for area in (1.8, 2.6))
    assert narrow == pytest.approx(wide, rel=0.01)
    assert narrow == pytest.approx(as_it_stands.kwh("oil"), rel=0.05)


def test_a_passage_to_nowhere_is_asked_where_it_leads(oil_house: Project) -> None:
    def through_the_roof(session: Session) -> None:
        session.scalars(select(m.Surface).where(m.Surface.key == "basement-slab")).one().passage_area_m2 = 1.0

    with pytest.raises(CannotSay, match="Needs the room behind it"):
        case_with(oil_house, through_the_roof)
