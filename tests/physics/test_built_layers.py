"""Described layers as they stand in a surface, against ISO 6946:2017."""

from __future__ import annotations

import json
from typing import Any

import pytest
from pydantic import TypeAdapter

from retrofit_desk.exchange.house_file import BadHouse, parse_house
from retrofit_desk.physics.built_layers import built_layers, built_u_w_m2k
from retrofit_desk.physics.engine import run_year
from retrofit_desk.physics.errors import ImpossibleValue
from retrofit_desk.physics.films import HeatFlow
from retrofit_desk.physics.layer_parts import LayerPart
from tests.physics.houses import BOARD, BRICK, WOOL, box, house
from tests.physics.weathers import plain_year

PART = TypeAdapter[LayerPart](LayerPart)
Layers = list[dict[str, Any]]


def u_value(layers: Layers, flow: HeatFlow = HeatFlow.HORIZONTAL, r_si: float = 0.13) -> float:
    return built_u_w_m2k([PART.validate_python(one) for one in layers], flow, r_si, 0.04)


def solid(conductivity: float, thickness: float, **more: Any) -> dict[str, Any]:
    return {
        "kind": "solid", "name": "layer", "conductivity_w_mk": conductivity, "thickness_m": thickness,
        "density_kg_m3": 500.0, "specific_heat_j_kgk": 1600.0, **more,
    }  # fmt: skip


def air(depth: float, **more: Any) -> dict[str, Any]:
    return {"kind": "air", "depth_m": depth, **more}


@pytest.mark.parametrize(
    ("flow", "resistance"),
    [(HeatFlow.UP, 0.1623), (HeatFlow.HORIZONTAL, 0.1831), (HeatFlow.DOWN, 0.1918)],
)
def test_air_resists_by_the_way_the_heat_goes(flow: HeatFlow, resistance: float) -> None:
    # ENV-4: ISO 6946 table of unventilated air layers, 25 mm (from memory)
    assert 1.0 / u_value([air(0.025)], flow) - 0.17 == pytest.approx(resistance, abs=5e-5)


def test_foil_beside_air_is_worth_an_inch_of_wood() -> None:
    # ENV-5: ISO 6946, 20 mm, horizontal, emissivities .05 and .9, computed
    assert 1.0 / u_value([air(0.02, outer_emittance=0.05)]) - 0.17 == pytest.approx(0.66400, abs=5e-6)


def test_narrow_void_is_a_void() -> None:
    # ENV-6: ISO 6946, 50 x 100 mm, horizontal, computed
    assert 1.0 / u_value([air(0.05, width_m=0.1)]) - 0.17 == pytest.approx(0.20917, abs=5e-6)


@pytest.mark.parametrize(
    ("openings_mm2", "total"), [(0, 3.2), (500, 3.2), (900, 3.08), (1500, 2.9), (9e3, 2.9)]
)
def test_open_cladding_takes_its_share_away(openings_mm2: float, total: float) -> None:
    # ENV-14: ISO 6946:2017, slightly ventilated air layers, between R 3.2 still and 2.9 open (computed);
    # open means the inside film of .13 on both sides, and nothing outside the air
    still = 1.0 / (1.0 / u_value([air(0.05)]) - 0.17)
    cladding = solid(1.0, 0.39 - 1.0 / still) | {"thickness_m": 0.39 - 1.0 / still}
    inner = solid(1.0, 2.9 - 0.26)
    layers = [cladding, air(0.05, openings_mm2=openings_mm2), inner]
    assert 1.0 / u_value(layers) == pytest.approx(total, abs=1e-9)


def test_fixings_and_gaps_of_an_insulation_add_to_u() -> None:
    # ENV-13: ISO 6946:2017, corrections (from memory), computed: steel 50 W/mK, 4 of 20 mm2 on a square meter
    # through R 2.5 of 5.0; the film and the rest make up R 2.5
    fixings = {"conductivity_w_mk": 50.0, "section_m2": 2.0e-5, "count_per_m2": 4.0}
    rest = solid(1.0, 5.0 - 2.5 - 0.17)
    assert u_value([solid(0.04, 0.1, fixings=fixings), rest]) == pytest.approx(0.2080, abs=1e-6)
    short = fixings | {"length_in_insulation_m": 0.05}
    assert u_value([solid(0.04, 0.1, fixings=short), rest]) == pytest.approx(0.2040, abs=1e-6)
    gappy = [solid(0.1, 0.38889, gap_level=1), solid(1.0, 4.5 - 3.8889 - 0.17)]
    assert u_value(gappy) == pytest.approx(1.0 / 4.5 + 0.0074684, abs=1e-6)


def test_cavity_wall_with_gaps_is_the_printed_one() -> None:
    # ENV-7: UK Approved Document L1:2002, appendix B, to BS EN ISO 6946 (from memory): .31491 and gaps .00327
    block = {
        "kind": "framed", "name": "block and mortar", "cavity": solid(0.11, 0.1),
        "framing": solid(0.88, 0.1), "framing_fraction": 0.067,
    }  # fmt: skip
    wool = {
        "kind": "framed", "name": "wool and battens", "cavity": solid(0.038, 0.089, gap_level=1),
        "framing": solid(0.13, 0.089), "framing_fraction": 0.12,
    }  # fmt: skip
    cavity = {"kind": "massless", "name": "cavity", "resistance_m2k_w": 0.18}
    layers = [solid(0.77, 0.102), cavity, block, wool, solid(0.25, 0.0125)]
    assert u_value(layers) == pytest.approx(0.31491 + 0.00327, abs=1e-5)
    assert f"{u_value(layers):.2f}" == "0.32"


@pytest.mark.parametrize(
    ("shape", "expected"),
    [
        ("rectangle", 0.392332),
        ("triangle, thickest at its apex", 0.455461),
        ("triangle, thinnest at its apex", 0.329202),
    ],
)
def test_tapered_roof_has_its_mean_u(shape: str, expected: float) -> None:
    # ENV-15: ISO 6946:2017, tapered layers annex (from memory), computed: R 2.5 at most over R 1.5
    taper = {
        "kind": "tapered",
        "name": "cut foam",
        "conductivity_w_mk": 0.04,
        "thickest_m": 0.1,
        "shape": shape,
    }
    layers = [taper, solid(1.0, 1.5 - 0.14)]
    assert u_value(layers, HeatFlow.UP, 0.10) == pytest.approx(expected, abs=1e-6)


def test_corrected_layers_keep_their_heat_capacity() -> None:
    parts = [PART.validate_python(solid(0.04, 0.1, gap_level=2))]
    (layer,) = built_layers(parts, HeatFlow.HORIZONTAL, 0.13, 0.04)
    assert layer.resistance_m2k_w < 2.5
    assert layer.heat_capacity_j_m2k == pytest.approx(0.1 * 500.0 * 1600.0)  # type: ignore[union-attr]


def test_two_tapers_and_a_taper_on_nothing_are_refused() -> None:
    taper = {
        "kind": "tapered", "name": "cut foam", "conductivity_w_mk": 0.04, "thickest_m": 0.1,
        "shape": "rectangle",
    }  # fmt: skip
    with pytest.raises(ImpossibleValue, match="only one layer"):
        u_value([taper, taper, solid(1.0, 0.1)])
    with pytest.raises(ImpossibleValue, match="lies on another"):
        u_value([taper])


def test_house_with_air_in_its_roof_floor_and_walls_loses_by_each_ones_own_flow() -> None:
    """A year at 0 degC outside, 20 degC inside: heat is the sum of U A by hand, 0.05 %."""
    described = box(layers=(BRICK, air(0.025), WOOL, BOARD), zone={"thermostat": {"heating_c": 20.0}})
    for surface in described["surfaces"]:
        surface["films"] = {
            "inside_convective_w_m2k": 7.0, "inside_radiative_w_m2k": 1e-9,
            "outside_convective_w_m2k": 25.0, "outside_radiative_w_m2k": 0.0,
        }  # fmt: skip
    described["zones"][0]["leakage"] = {"air_changes_per_h": 0.0}
    solid_part = 0.2 / 0.77 + 0.1 / 0.04 + 0.0125 / 0.21 + 1 / 7.0 + 1 / 25.0
    by_tilt = {0: 0.162277, 90: 0.183093, 180: 0.191764}
    loss = sum(
        one["area_m2"] / (solid_part + by_tilt[one.get("tilt_deg", 90)]) for one in described["surfaces"]
    )
    year = run_year(house(described), plain_year())
    assert year.heating_kwh == pytest.approx(loss * 20.0 * 8.76, rel=5e-4)


def test_air_deeper_than_its_framing_is_told_by_its_key() -> None:
    described = box()
    described["zones"][0]["leakage"] = {"air_changes_per_h": 0.0}
    for surface in described["surfaces"]:
        surface |= {"tilt_deg": surface.get("tilt_deg", 90), "azimuth_deg": surface.get("azimuth_deg", 0)}
    described["constructions"][0]["layers"][1] = {
        "kind": "framed", "name": "bay", "cavity": air(0.1), "framing": solid(0.13, 0.089),
        "framing_fraction": 0.2,
    }  # fmt: skip
    with pytest.raises(BadHouse, match=r"constructions\.0\.layers\.1: bay: the air is deeper"):
        parse_house(json.dumps(described), where="x")
