"""Ground contact by ISO 13370, against CIBSE's printed slabs and worked numbers."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.physics.errors import ImpossibleValue
from retrofit_desk.physics.ground import (
    EdgeInsulation,
    GroundFloor,
    Soil,
    crawl_space_floor_u_w_m2k,
    heated_basement,
    slab_on_ground,
    unheated_basement_floor_u_w_m2k,
    virtual_layer_m2k_w,
)
from retrofit_desk.values.errors import CannotSay

CLAY, SAND, ROCK = Soil(1.5, 3.0e6), Soil(2.0, 2.0e6), Soil(3.5, 2.0e6)
ISO = "ISO 13370:2017, ground table (from memory)"
CIBSE = "CIBSE Guide A 2006, solid ground floors on clay (from memory)"
HOUSE = GroundFloor(120.0, 46.0, 0.3, SAND)
VERTICAL = EdgeInsulation(1.75, 0.060, 0.6, vertical=True)
LEVEL = EdgeInsulation(1.75, 0.060, 1.2, vertical=False)


@pytest.mark.parametrize(
    ("soil", "printed_m", "exact_m", "source"),
    [(CLAY, 2.2, 2.2391, ISO), (SAND, 3.2, 3.1665, ISO), (ROCK, 4.2, 4.1889, ISO)],
)
def test_yearly_depth_is_the_printed_one(soil: Soil, printed_m: float, exact_m: float, source: str) -> None:
    # SLAB-1
    assert soil.yearly_depth_m == pytest.approx(printed_m, abs=0.05), source
    assert soil.yearly_depth_m == pytest.approx(exact_m, abs=5e-5)


@pytest.mark.parametrize(
    ("perimeter_over_area", "printed", "exact", "source"),
    [
        (0.05, 0.13, 0.1265, CIBSE),
        (0.20, 0.37, 0.3702, CIBSE),
        (0.50, 0.70, 0.6976, CIBSE),
        (1.0, 1.05, 1.0513, CIBSE),
    ],
)
def test_bare_slab_is_the_printed_one(
    perimeter_over_area: float, printed: float, exact: float, source: str
) -> None:
    # SLAB-2
    floor = GroundFloor(100.0, 100.0 * perimeter_over_area, 0.3, CLAY)
    u = slab_on_ground(floor, 0.0).floor_u_w_m2k
    assert u == pytest.approx(printed, abs=0.005), source
    assert u == pytest.approx(exact, abs=5e-5)


@pytest.mark.parametrize(
    ("resistance", "u", "loss_w_k"),
    [(0.0, 0.740631, 88.8758), (1.6, 0.323977, 38.8772), (2.5, 0.246781, 120 * 0.246781)],
)
def test_slab_with_insulation_under_it(resistance: float, u: float, loss_w_k: float) -> None:
    # SLAB-3, SLAB-4: formulas of ISO 13370:2017 (from memory), computed; the last by its second formula
    found = slab_on_ground(HOUSE, resistance)
    assert HOUSE.characteristic_m == pytest.approx(5.21739, abs=5e-6)
    assert found.floor_u_w_m2k == pytest.approx(u, abs=6e-7)
    assert found.steady_w_k == pytest.approx(loss_w_k, abs=1e-4)


@pytest.mark.parametrize("edge", [VERTICAL, LEVEL])
def test_edge_insulation_upright_or_twice_as_wide_is_the_same(edge: EdgeInsulation) -> None:
    # SLAB-5: formulas of ISO 13370:2017 (from memory), computed; psi -.463065
    found = slab_on_ground(HOUSE, 0.0, edge)
    assert found.floor_u_w_m2k == pytest.approx(0.563123, abs=6e-7)
    assert found.steady_w_k == pytest.approx(67.5748, abs=1e-4)
    assert (found.steady_w_k - slab_on_ground(HOUSE, 0.0).steady_w_k) / 46.0 == pytest.approx(
        -0.463065, abs=1e-6
    )


def test_the_yearly_wave_through_a_slab() -> None:
    # SLAB-6: formulas of ISO 13370:2017 (from memory), computed
    bare, edged = slab_on_ground(HOUSE, 0.0), slab_on_ground(HOUSE, 0.0, VERTICAL)
    assert bare.inside_wave_w_k == pytest.approx(85.8696, abs=1e-4)
    assert bare.outside_wave_w_k == pytest.approx(57.3919, abs=1e-4)
    assert edged.outside_wave_w_k == pytest.approx(45.3658, abs=1e-4)
    loss = bare.monthly_loss_w(20.0, 10.0, 12.0)
    shown = [loss[month - 1] for month in (1, 2, 4, 7, 10)]
    assert shown == pytest.approx([1485.19, 1577.46, 1233.11, 292.32, 544.41], abs=0.01)
    assert float(loss.mean()) == pytest.approx(888.76, abs=0.01)


@pytest.mark.parametrize(
    ("floor_r", "wall_r", "floor_u", "wall_u", "loss_w_k"),
    [  # SLAB-7: formulas of ISO 13370:2017 (from memory), computed
        (0.0, 0.2, 0.429073, 0.808191, 100.0390),
        (0.0, 2.2, 0.429073, 0.236585, 56.5970),
        (1.5, 2.2, 0.255032, 0.275410, 43.8840),
    ],
)
def test_heated_basement(
    floor_r: float, wall_r: float, floor_u: float, wall_u: float, loss_w_k: float
) -> None:
    found = heated_basement(GroundFloor(90.0, 38.0, 0.25, CLAY), 2.0, floor_r, wall_r)
    assert found.floor_u_w_m2k == pytest.approx(floor_u, abs=6e-7)
    assert found.wall_u_w_m2k == pytest.approx(wall_u, abs=6e-7)
    assert found.steady_w_k == pytest.approx(loss_w_k, abs=1e-4)


def test_the_yearly_wave_through_a_basement() -> None:
    # SLAB-8: formulas of ISO 13370:2017 (from memory), computed
    found = heated_basement(GroundFloor(90.0, 38.0, 0.25, CLAY), 2.0, 0.0, 2.2)
    assert found.inside_wave_w_k == pytest.approx(90.4620, abs=1e-4)
    assert found.outside_wave_w_k == pytest.approx(25.9998, abs=1e-4)


@pytest.mark.parametrize(("floor_u", "expected"), [(0.9, 0.512125), (0.25, 0.206546)])
def test_floor_over_a_crawl_space(floor_u: float, expected: float) -> None:
    # SLAB-9: formulas of ISO 13370:2017 (from memory), computed; U_g .801304, U_x .38700
    u = crawl_space_floor_u_w_m2k(
        GroundFloor(110.0, 44.0, 0.2, SAND),
        floor_u,
        ground_resistance_m2k_w=0.0,
        height_m=0.5,
        wall_u_w_m2k=1.5,
        vent_area_m2_per_m=0.0015,
        wind_at_10_m_m_s=4.0,
        wind_shelter_factor=0.05,
    )
    assert u == pytest.approx(expected, abs=1e-6)


def test_floor_over_an_unheated_basement() -> None:
    # SLAB-10: formulas of ISO 13370:2017 (from memory), computed
    floor = GroundFloor(90.0, 38.0, 0.25, CLAY)
    basement = heated_basement(floor, 1.6, 0.0, 0.2)
    assert basement.floor_u_w_m2k == pytest.approx(0.457344, abs=6e-7)
    assert basement.wall_u_w_m2k == pytest.approx(0.913906, abs=6e-7)
    walls = 0.6 * 38.0 * 1.2
    u = unheated_basement_floor_u_w_m2k(
        floor, basement, 1.1, wall_above_ground_w_k=walls, air_change_m3_h=0.3 * 200.0
    )
    assert basement.steady_w_k + walls + 0.33 * 60.0 == pytest.approx(143.8865, abs=1e-4)
    assert u == pytest.approx(0.651642, abs=1e-6)


def test_the_virtual_layer_makes_the_steady_loss() -> None:
    # SLAB-11: formulas of ISO 13370:2017 (from memory), computed
    found = slab_on_ground(HOUSE, 0.0)
    assert virtual_layer_m2k_w(found.floor_u_w_m2k, 0.0, SAND) == pytest.approx(0.930199, abs=1e-6)


def test_a_floor_without_room_for_the_virtual_layer_says_so() -> None:
    with pytest.raises(CannotSay, match="boundary temperature"):
        virtual_layer_m2k_w(1.5, 0.5, SAND)


FLOORS = st.builds(
    GroundFloor,
    st.floats(20.0, 300.0),
    st.floats(10.0, 90.0),
    st.floats(0.1, 0.6),
    st.sampled_from([CLAY, SAND, ROCK]),
)


@given(FLOORS, st.floats(0.0, 4.0), st.floats(0.1, 4.0))
def test_more_insulation_under_a_slab_never_loses_more(floor: GroundFloor, r: float, more: float) -> None:
    assert slab_on_ground(floor, r + more).steady_w_k <= slab_on_ground(floor, r).steady_w_k * (1 + 1e-9)


@given(FLOORS, st.floats(0.0, 4.0), st.floats(5.0, 15.0), st.floats(0.0, 15.0))
def test_the_virtual_temperature_loses_what_the_months_lose(
    floor: GroundFloor, r: float, mean_c: float, swing_k: float
) -> None:
    found = slab_on_ground(floor, r)
    boundary = found.virtual_temperature_c(20.0, mean_c, swing_k)
    assert found.steady_w_k * (20.0 - boundary) == pytest.approx(found.monthly_loss_w(20.0, mean_c, swing_k))
    assert float(np.mean(boundary)) == pytest.approx(mean_c)


def test_a_floor_without_area_is_refused() -> None:
    with pytest.raises(ImpossibleValue, match="floor area"):
        GroundFloor(0.0, 10.0, 0.3, CLAY)
