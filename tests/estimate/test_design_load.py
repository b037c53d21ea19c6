"""The design load of a recorded house against the balance worked by hand."""

from dataclasses import dataclass

import pytest

from retrofit_desk.estimate.design_load import DESIGN_WIND_M_S, SHELTER_CLASS, design_load
from retrofit_desk.estimate.surface_heat import faces_of, ground_u_w_m2k, opaque_area_m2, resistance_of
from retrofit_desk.physics.leakage import (
    infiltration_m3_s,
    power_law_from_one_point,
    stack_coefficient,
    wind_coefficient,
)
from retrofit_desk.physics.loads import unheated_space_c
from retrofit_desk.physics.moisture import Climate, dew_point_c, saturation_pa
from retrofit_desk.records import models as m
from retrofit_desk.values.errors import CannotSay
from retrofit_desk.values.stated import Stated, StatedValue

OUTSIDE_C, INSIDE_C, GROUND_C = -10.0, 20.0, 12.0


def solid(name: str, thickness_m: float, conductivity: float) -> m.ConstructionLayer:
    return m.ConstructionLayer(
        name=name,
        thickness_m=thickness_m,
        conductivity_w_mk=conductivity,
        density_kg_m3=500.0,
        specific_heat_j_kgk=1000.0,
        vapor_resistance_factor=10.0,
        framing_fraction=0.0,
    )


def plain(name: str, resistance_m2k_w: float) -> m.Construction:
    return m.Construction(key=name, name=name, layers=[solid(name, 0.1, 0.1 / resistance_m2k_w)])


@dataclass
class House:
    room: m.Room
    attic: m.Room
    site: m.Site
    test: m.LeakageTest

    @property
    def rooms(self) -> list[m.Room]:
        return [self.room, self.attic]

    def load(self):  # type: ignore[no-untyped-def]
        return design_load(self.rooms, self.site, self.test, GROUND_C)


def face(room: m.Room, kind: m.SurfaceKind, boundary: m.Boundary, area: float, r: float) -> m.Surface:
    name = f"{room.name} {kind} {len(room.surfaces)}"
    surface = m.Surface(
        key=name,
        name=name,
        kind=kind,
        boundary=boundary,
        area_m2=area,
        construction=plain(name, r),
        tilt_deg=90.0,
    )
    room.surfaces.append(surface)
    return surface


@pytest.fixture
def house() -> House:
    room = m.Room(
        id=1,
        storey_id=1,
        key="room",
        name="Room",
        floor_area_m2=50.0,
        height_m=2.5,
        is_heated=True,
        heating_set_point_c=INSIDE_C,
    )
    attic = m.Room(
        id=2, storey_id=2, key="attic", name="Attic", floor_area_m2=50.0, height_m=1.0, is_heated=False
    )
    attic.air_changes_per_hour = 3.0
    wall = face(room, m.SurfaceKind.WALL, m.Boundary.OUTDOORS, 70.0, 2.0)
    window = m.Opening(key="w", name="Window", kind=m.OpeningKind.WINDOW, width_m=2.0, height_m=1.5, count=4)
    window.u_value_w_m2k = 2.8
    wall.openings.append(window)
    ceiling = face(room, m.SurfaceKind.CEILING, m.Boundary.UNHEATED, 50.0, 1.0)
    ceiling.other_room, ceiling.tilt_deg = attic, 0.0
    roof = face(attic, m.SurfaceKind.ROOF, m.Boundary.OUTDOORS, 55.0, 0.2)
    roof.tilt_deg = 22.0
    slab = face(room, m.SurfaceKind.FLOOR, m.Boundary.GROUND, 50.0, 0.5)
    slab.tilt_deg, slab.exposed_perimeter_m = 180.0, 30.0
    site = m.Site(name="House", elevation_m=0.0, design_heating_c=OUTSIDE_C)
    test = m.LeakageTest(flow_50pa_m3_s=0.5, flow_exponent=0.65)
    return House(room, attic, site, test)


def test_room_load_is_the_sum_of_its_parts_by_hand(house: House) -> None:
    # EN 12831-1:2017 balance; films of ISO 6946:2017 (from memory): 0.13 + 0.04, 2 x 0.10, roof 0.10 + 0.04
    attic_in = 50.0 / (1.0 + 0.10 + 0.10)
    attic_out = 55.0 / (0.2 + 0.10 + 0.04) + 0.34 * 3.0 * 50.0
    attic_c = unheated_space_c(INSIDE_C, OUTSIDE_C, attic_in, attic_out)
    wall = (70.0 - 12.0) / (2.0 + 0.17) * 30.0
    windows = 12.0 * 2.8 * 30.0
    ceiling = attic_in * (INSIDE_C - attic_c)
    slab = 1.45 * 50.0 * ground_u_w_m2k(house.room.surfaces[2]) * (INSIDE_C - GROUND_C)

    answer = house.load()

    assert dict(answer.unheated) == {2: pytest.approx(attic_c)}
    assert answer.load.rooms[0].to_outside_w == pytest.approx(wall + windows + ceiling + slab)


def test_leaking_air_follows_the_basic_model(house: House) -> None:
    # ASHRAE Fundamentals ch. 16, basic model (from memory)
    area = power_law_from_one_point(0.5, exponent=0.65).leakage_area_m2()
    flow = infiltration_m3_s(
        area, stack_coefficient(1), wind_coefficient(1, SHELTER_CLASS), 30.0, DESIGN_WIND_M_S
    )
    answer = house.load()
    assert answer.air_m3_h == pytest.approx(float(flow) * 3600.0)
    assert answer.load.air_w == pytest.approx(0.34 * answer.air_m3_h * 30.0)


def test_two_unheated_spaces_side_by_side_balance_each_other(house: House) -> None:
    shed = m.Room(
        id=3, storey_id=1, key="shed", name="Shed", floor_area_m2=10.0, height_m=2.0, is_heated=False
    )
    shed.air_changes_per_hour = 1.0
    link = face(shed, m.SurfaceKind.WALL, m.Boundary.UNHEATED, 8.0, 0.5)
    link.other_room = house.attic
    face(shed, m.SurfaceKind.WALL, m.Boundary.OUTDOORS, 20.0, 0.5)

    answer = design_load([house.room, house.attic, shed], house.site, house.test, GROUND_C)

    temps = dict(answer.unheated)
    w_k = 8.0 / (0.5 + 0.26)
    gains = w_k * (temps[2] - temps[3])
    losses = (20.0 / (0.5 + 0.17) + 0.34 * 20.0) * (temps[3] - OUTSIDE_C)
    assert gains == pytest.approx(losses)
    assert OUTSIDE_C < temps[3] < temps[2] < INSIDE_C


def test_unknown_window_is_named_instead_of_guessed(house: House) -> None:
    unknown = StatedValue[float](None, Stated.UNKNOWN)
    house.room.surfaces[0].openings[0].set_stated("u_value_w_m2k", unknown)
    with pytest.raises(CannotSay, match=r"Room, Window.*U-value"):
        house.load()


@pytest.mark.parametrize(
    ("spoil", "needs"),
    [
        (lambda house: setattr(house.site, "design_heating_c", None), "design temperature"),
        (lambda house: setattr(house.room, "heating_set_point_c", None), "set-point"),
        (lambda house: setattr(house.room.surfaces[2], "exposed_perimeter_m", None), "exposed edge"),
        (lambda house: setattr(house.room.surfaces[1], "other_room", None), "room behind it"),
    ],
)
def test_what_is_missing_is_named(house: House, spoil, needs: str) -> None:  # type: ignore[no-untyped-def]
    spoil(house)
    with pytest.raises(CannotSay, match=needs):
        house.load()


def test_leakage_has_to_be_known(house: House) -> None:
    with pytest.raises(CannotSay, match="leakage test"):
        design_load(house.rooms, house.site, None, GROUND_C)


def test_opaque_area_leaves_the_windows_out(house: House) -> None:
    assert opaque_area_m2(house.room.surfaces[0]) == pytest.approx(58.0)


def test_faces_fall_in_proportion_to_resistance_and_end_at_the_films(house: House) -> None:
    wall = house.room.surfaces[0]
    climate = Climate(INSIDE_C, 0.4, OUTSIDE_C, 0.8)
    outer, inner = faces_of(wall, climate)
    total = resistance_of(wall).mean_m2k_w
    # ISO 13788: temperatures by resistance, vapor by sd
    assert outer.temp_c == pytest.approx(OUTSIDE_C + 30.0 * 0.04 / total)
    assert inner.temp_c == pytest.approx(INSIDE_C - 30.0 * 0.13 / total)
    assert inner.dew_point_c == pytest.approx(dew_point_c(0.4 * saturation_pa(INSIDE_C)))
