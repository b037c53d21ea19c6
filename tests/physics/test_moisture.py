"""Vapor in walls: the worked wall of ISO 13788's method, surfaces, sheathing."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.physics.errors import ImpossibleValue
from retrofit_desk.physics.moisture import (
    AIR_PERMEABILITY_KG_MSPA,
    Climate,
    VaporLayer,
    coldest_surface_without_mold_c,
    dew_point_c,
    least_temperature_factor,
    moisture_year,
    outward_share_needed,
    planes,
    saturation_pa,
    sd_from_perms_m,
    sd_of_layer_m,
    sheathing_c,
    surface_temperature_c,
    temperature_factor,
    wet_planes,
)

MONTH_S = 30 * 86400.0
WINTER = Climate(20.0, 0.50, -5.0, 0.80)
DRYING = Climate(20.0, 0.55, 15.0, 0.70)
COMPUTED = "method of ISO 13788 (from memory), computed"


def layer(name: str, thickness_m: float, conductivity: float, mu: float) -> VaporLayer:
    return VaporLayer(name, thickness_m / conductivity, mu * thickness_m)


GYPSUM = layer("gypsum", 0.0127, 0.16, 8.0)
WOOL = layer("wool", 0.140, 0.038, 1.0)
OSB = layer("OSB", 0.0111, 0.13, 50.0)
CLADDING = layer("cladding", 0.010, 0.12, 10.0)
WALL = [GYPSUM, WOOL, OSB, CLADDING]


@pytest.mark.parametrize(
    ("temp_c", "pascal"),
    [
        (-20, 102.74),
        (-10, 259.33),
        (-5, 401.18),
        (0, 610.50),
        (5, 871.86),
        (10, 1227.31),
        (12.6, 1458.24),
        (15, 1704.41),
        (20, 2336.95),
        (25, 3165.92),
        (30, 4240.51),
    ],
)
def test_saturation_in_the_iso_form(temp_c: float, pascal: float) -> None:
    # MOI-2: ISO 13788, annex E (from memory), computed; its table prints 2337 Pa at 20 °C
    assert saturation_pa(temp_c) == pytest.approx(pascal, abs=0.01)


@pytest.mark.parametrize(
    ("temp_c", "humidity", "dew"),
    [
        (20, 0.50, 9.2690),
        (21, 0.40, 6.8963),
        (24, 0.50, 12.9400),
        (26, 0.50, 14.7736),
        (22, 0.35, 5.8481),
        (20, 0.30, 1.9165),
    ],
)
def test_dew_points_in_the_iso_form(temp_c: float, humidity: float, dew: float) -> None:
    # MOI-3: ISO 13788, annex E (from memory), computed
    assert dew_point_c(humidity * saturation_pa(temp_c)) == pytest.approx(dew, abs=1e-3)


@given(st.floats(-40.0, 60.0))
def test_dew_point_undoes_saturation(temp_c: float) -> None:
    assert dew_point_c(saturation_pa(temp_c)) == pytest.approx(temp_c, abs=1e-9)


@pytest.mark.parametrize(("permeability", "sd_m"), [(1.95e-10, 3.408), (2.0e-10, 3.496)])
def test_one_perm_as_still_air(permeability: float, sd_m: float) -> None:
    # MAT-2: unit conversion with the permeabilities of ISO 10456 and ISO 12572 (from memory), computed
    assert sd_from_perms_m(1.0, permeability) == pytest.approx(sd_m, abs=1e-3)


def test_tight_layers_count_as_foil() -> None:
    # ISO 10456, Table 5 (from memory): aluminum foil 1500 m
    assert sd_of_layer_m(50.0, 0.0111) == pytest.approx(0.555)
    assert sd_of_layer_m(float("inf"), 0.0001) == 1500.0
    tight = [GYPSUM, VaporLayer("foil", 0.001, sd_of_layer_m(float("inf"), 0.0001)), OSB]
    assert all(math.isfinite(plane.diffusion_pa) for plane in planes(tight, WINTER))


def test_dew_point_inside_a_wall_tells_where_it_would_condense() -> None:
    for plane in planes(WALL, WINTER):
        assert plane.would_condense == (plane.dew_point_c > plane.temp_c)


def test_perm_classes_as_still_air() -> None:
    # 5.2 of the method, IRC R702.7 class limits (from memory)
    assert sd_from_perms_m(0.1) == pytest.approx(34.96, abs=5e-3)
    assert sd_from_perms_m(10.0) == pytest.approx(0.350, abs=5e-4)


@pytest.mark.parametrize(
    ("index", "sd_m", "temp_c", "saturated", "diffused"),
    [  # MOI-8
        (0, 0.0, 19.208, 2224.78, 1168.48),
        (1, 0.1016, 18.724, 2158.63, 1072.44),
        (2, 0.2416, -3.728, 447.08, 940.10),
        (3, 0.7966, -4.248, 427.76, 415.47),
        (4, 0.8966, -4.756, 409.63, 320.94),
    ],
)
def test_planes_of_the_worked_wall(
    index: int, sd_m: float, temp_c: float, saturated: float, diffused: float
) -> None:
    plane = planes(WALL, WINTER)[index]
    assert plane.sd_m == pytest.approx(sd_m, abs=1e-9), COMPUTED
    assert plane.temp_c == pytest.approx(temp_c, abs=1e-3)
    assert (plane.saturation_pa, plane.diffusion_pa) == pytest.approx((saturated, diffused), abs=0.05)
    assert plane.would_condense == (index == 2)


def test_water_gathers_between_wool_and_osb() -> None:
    # MOI-9: method of ISO 13788 (from memory), computed
    (wet,) = wet_planes(WALL, WINTER)
    assert wet.plane == 2
    assert wet.rate_kg_m2s == pytest.approx(5.58664e-7, rel=1e-3)
    assert wet.rate_kg_m2s * MONTH_S * 1000.0 == pytest.approx(1448.1, rel=1e-3)


def test_a_drying_month_leaves_some_water() -> None:
    # MOI-10: method of ISO 13788 (from memory), computed
    plane = planes(WALL, DRYING)[2]
    assert plane.temp_c == pytest.approx(15.254, abs=1e-3)
    assert plane.saturation_pa == pytest.approx(1732.52, abs=0.05)
    (wet,) = wet_planes(WALL, DRYING, already_wet=[2])
    assert wet.rate_kg_m2s == pytest.approx(-(3.70197e-7 + 1.64713e-7), rel=1e-3)
    year = moisture_year(WALL, [WINTER, DRYING])
    assert year.held_kg_m2[-1] * 1000.0 == pytest.approx(61.6, abs=1.0)
    assert not year.dries_within_the_year


def test_a_second_drying_month_empties_the_wall() -> None:
    year = moisture_year(WALL, [DRYING, DRYING, WINTER, DRYING])
    assert year.first_month == 2
    assert year.peak_kg_m2 * 1000.0 == pytest.approx(1448.1, rel=1e-3)
    assert year.dries_within_the_year
    assert year.held_kg_m2[-1] == 0.0


def test_a_vapor_retarder_inside_cures_the_wall() -> None:
    # MOI-11: computed; its own resistance neglected
    def with_retarder(sd_m: float) -> list[VaporLayer]:
        return [VaporLayer("retarder", 0.0, sd_m), *WALL]

    assert wet_planes(with_retarder(3.505), WINTER) == ()
    assert wet_planes(with_retarder(3.503), WINTER) != ()


def test_open_insulation_outside_cures_the_wall() -> None:
    # MOI-11: computed
    def outside(thickness_m: float) -> list[VaporLayer]:
        return [GYPSUM, WOOL, OSB, layer("mineral wool", thickness_m, 0.035, 1.0), CLADDING]

    assert planes(outside(0.060), WINTER)[2].temp_c == pytest.approx(3.265, abs=1e-3)
    gathered = sum(wet.rate_kg_m2s for wet in wet_planes(outside(0.060), WINTER)) * MONTH_S
    assert gathered * 1000.0 == pytest.approx(524.4, rel=1e-3)
    assert wet_planes(outside(0.1081), WINTER) == ()
    assert wet_planes(outside(0.1079), WINTER) != ()
    assert moisture_year(outside(0.120), [WINTER, DRYING]).held_kg_m2 == ()


@pytest.mark.parametrize(
    ("cavity_r", "continuous_r", "expected_f"), [(13.0, 5.0, 35.57), (20.0, 5.0, 31.61), (20.0, 11.25, 38.72)]
)
def test_sheathing_temperature(cavity_r: float, continuous_r: float, expected_f: float) -> None:
    # MOI-12: series resistances in US units, computed
    inward, outward = cavity_r + 0.45 + 0.68, continuous_r + 0.17 + 0.60 + 0.62
    assert sheathing_c(70.0, 20.0, inward, outward) == pytest.approx(expected_f, abs=0.01)


@pytest.mark.parametrize(
    ("inside_c", "humidity", "outside_c", "share"),
    [(21.1, 0.35, -3.9, 0.3583), (20.0, 0.40, -5.0, 0.4401), (20.0, 0.35, -10.0, 0.4696)],
)
def test_share_of_insulation_outside(
    inside_c: float, humidity: float, outside_c: float, share: float
) -> None:
    # MOI-12: ISO 13788 saturation (from memory), computed
    assert outward_share_needed(inside_c, humidity, outside_c) == pytest.approx(share, abs=5e-4)


@pytest.mark.parametrize(
    ("humidity", "outside_c", "surface_c", "factor"),
    [(0.50, -5.0, 12.625, 0.7050), (0.50, 0.0, 12.625, 0.6312), (0.60, 0.0, 15.435, 0.7717)],
)
def test_surface_that_stays_free_of_mold(
    humidity: float, outside_c: float, surface_c: float, factor: float
) -> None:
    # MOI-14: ISO 13788 (from memory), computed; DIN 4108-2's 12.6 °C at -5 °C is .704
    assert coldest_surface_without_mold_c(20.0, humidity) == pytest.approx(surface_c, abs=5e-4)
    assert least_temperature_factor(20.0, humidity, outside_c) == pytest.approx(factor, abs=5e-4)


@pytest.mark.parametrize(("u_value", "factor"), [(1.0, 0.750), (0.5, 0.875), (0.3, 0.925)])
def test_temperature_factor_of_a_plain_wall(u_value: float, factor: float) -> None:
    # MOI-14: ISO 13788 (from memory)
    assert temperature_factor(u_value) == pytest.approx(factor)


def test_surface_at_the_usual_floor() -> None:
    # MOI-14: computed
    assert surface_temperature_c(0.75, 20.0, 0.0) == pytest.approx(15.0)
    assert surface_temperature_c(0.75, 20.0, -5.0) == pytest.approx(13.75)


LAYERS = st.lists(
    st.builds(VaporLayer, st.just("layer"), st.floats(0.01, 5.0), st.floats(0.01, 50.0)),
    min_size=1,
    max_size=6,
)
CLIMATES = st.builds(
    Climate, st.floats(18.0, 24.0), st.floats(0.3, 0.7), st.floats(-25.0, 30.0), st.floats(0.3, 0.95)
)


@given(LAYERS, CLIMATES)
def test_water_gathers_exactly_where_plain_diffusion_would_pass_saturation(
    wall: list[VaporLayer], climate: Climate
) -> None:
    passes = any(p.diffusion_pa > p.saturation_pa * (1 + 1e-9) for p in planes(wall, climate)[1:-1])
    wet = wet_planes(wall, climate)
    assert bool(wet) or not passes
    assert all(w.rate_kg_m2s >= -1e-15 for w in wet)


@given(LAYERS, CLIMATES)
def test_vapor_that_enters_leaves_or_stays(wall: list[VaporLayer], climate: Climate) -> None:
    through = planes(wall, climate)
    wet = wet_planes(wall, climate)
    pressures = {0: climate.inside_pa, len(wall): climate.outside_pa}
    pressures |= {w.plane: through[w.plane].saturation_pa for w in wet}
    order = sorted(pressures)
    flows = [
        AIR_PERMEABILITY_KG_MSPA * (pressures[a] - pressures[b]) / (through[b].sd_m - through[a].sd_m)
        for a, b in pairwise(order)
    ]
    assert sum(w.rate_kg_m2s for w in wet) == pytest.approx(flows[0] - flows[-1], abs=1e-18, rel=1e-9)


def test_a_layer_without_vapor_thickness_is_refused() -> None:
    with pytest.raises(ImpossibleValue, match="vapor thickness"):
        VaporLayer("air", 0.18, 0.0)
