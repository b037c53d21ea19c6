"""Published whole-building fabric cases (ANSI/ASHRAE Standard 140), read from a folder when it is given."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import pytest

from retrofit_desk.exchange.weather import read_weather
from retrofit_desk.physics.description import House
from retrofit_desk.physics.engine import run_year
from retrofit_desk.physics.results import YearResult

FOLDER = os.environ.get("RETROFIT_DESK_ACCEPTANCE")
pytestmark = pytest.mark.skipif(
    FOLDER is None, reason="RETROFIT_DESK_ACCEPTANCE does not name the folder of published cases"
)
CASES = ("600", "900", "600FF", "900FF")


@pytest.fixture(scope="module")
def book() -> dict[str, Any]:
    return json.loads((Path(FOLDER or "") / "standard_test_cases.json").read_text())


@pytest.fixture(scope="module")
def years(book: dict[str, Any]) -> dict[str, YearResult]:
    weather = read_weather(Path(FOLDER or "") / book["cases"]["600"]["weather"])
    return {case: run_year(house_of(book, case), weather) for case in CASES}


def layers(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return [
        {
            "kind": "solid",
            "name": row["name"],
            "conductivity_w_mk": row["k_W_mK"],
            "thickness_m": row["thickness_m"],
            "density_kg_m3": row["density_kg_m3"],
            "specific_heat_j_kgk": row["cp_J_kgK"],
        }
        for row in rows
    ]


def films(book: dict[str, Any], inside: str, outside: str) -> dict[str, float]:
    f = book["films_W_m2K"]
    convective = f["interior_convective_W_m2K"][inside]
    out = f["exterior_convective_W_m2K"][outside]
    return {
        "inside_convective_w_m2k": convective,
        "inside_radiative_w_m2k": 8.29 - convective,
        "outside_convective_w_m2k": out,
        "outside_radiative_w_m2k": f["exterior_combined_W_m2K"][outside] - out,
    }


def house_of(book: dict[str, Any], number: str) -> House:
    case, glass = book["cases"][number], book["glazing"]
    zone = case["zones"][0]
    width, depth, height = zone["width_ew_m"], zone["depth_ns_m"], zone["height_m"]
    wall = {"zone": "main", "construction": "wall", "tilt_deg": 90, "films": films(book, "vertical", "walls")}
    surfaces = [
        {"name": "north_wall", "area_m2": width * height, "azimuth_deg": 0, "boundary": {"kind": "outdoors"}},
        {"name": "east_wall", "area_m2": depth * height, "azimuth_deg": 90, "boundary": {"kind": "outdoors"}},
        {
            "name": "south_wall",
            "area_m2": width * height,
            "azimuth_deg": 180,
            "boundary": {"kind": "outdoors"},
            "windows": [
                {
                    "name": f"south {i}",
                    "glazing": "double",
                    "width_m": w["width_m"],
                    "height_m": w["height_m"],
                    "x_m": w["horizontal_extent_m"][0],
                    "sill_m": w["sill_above_floor_m"],
                    "films": films(book, "vertical", "windows"),
                }
                for i, w in enumerate(case["windows"])
            ],
        },
        {
            "name": "west_wall",
            "area_m2": depth * height,
            "azimuth_deg": 270,
            "boundary": {"kind": "outdoors"},
        },
    ]
    surfaces = [{**wall, **s} for s in surfaces]
    surfaces += [
        {
            "name": "ceiling",
            "zone": "main",
            "construction": "roof",
            "area_m2": width * depth,
            "tilt_deg": 0,
            "boundary": {"kind": "outdoors"},
            "films": films(book, "heat_flow_up", "roof"),
        },
        {
            "name": "floor",
            "zone": "main",
            "construction": "floor",
            "area_m2": width * depth,
            "tilt_deg": 180,
            "boundary": {"kind": "fixed_temperature", "temperature_c": 10},
            "films": films(book, "heat_flow_down", "walls"),
        },
    ]
    names = zone["constructions"]
    control = case["control"]
    thermostat = None
    if not control.get("free_floating"):
        thermostat = {"heating_c": control["heat_below_C"], "cooling_c": control["cool_above_C"]}
    gain = case["internal_gain_W"]
    return House.model_validate(
        {
            "name": f"case {number}",
            "site": {"ground_reflectance": 0.2, "density_factor": book["site"]["density_factor"]},
            "constructions": [
                {"name": part, "layers": layers(book["constructions"][names[part]])}
                for part in ("wall", "roof", "floor")
            ],
            "glazings": [
                {
                    "kind": "angles",
                    "name": "double",
                    "u_value_w_m2k": glass["U_W_m2K"],
                    "rated_outside_film_w_m2k": glass["ho_combined"],
                    "rated_inside_film_w_m2k": glass["hi_combined"],
                    "angles_deg": glass["angles_deg"][:10],
                    "transmittance": glass["transmittance"][:10],
                    "absorptance_outer": glass["absorptance_outer"][:10],
                    "absorptance_inner": glass["absorptance_inner"][:10],
                    "transmittance_hemispherical": glass["transmittance"][10],
                    "absorptance_outer_hemispherical": glass["absorptance_outer"][10],
                    "absorptance_inner_hemispherical": glass["absorptance_inner"][10],
                }
            ],
            "zones": [
                {
                    "name": "main",
                    "volume_m3": zone["volume_m3"],
                    "floor_area_m2": zone["floor_area_m2"],
                    "leakage": {"air_changes_per_h": case["infiltration_ach"]},
                    "gains": [{"power_w": gain["total"], "radiative_fraction": gain["radiative_fraction"]}],
                    "thermostat": thermostat,
                    "sun_shares": [
                        {"surface": s, "fraction": f}
                        for s, f in case["interior_solar_distribution"].items()
                        if s != "lost_through_windows"
                    ],
                }
            ],
            "surfaces": surfaces,
        }
    )


def within(book: dict[str, Any], case: str, key: str, value: float) -> None:
    limits = book["ranges"][case][key]
    assert limits["min"] <= value <= limits["max"], f"{case} {key}: {value:.3f} outside {limits}"


@pytest.mark.parametrize("case", ["600", "900"])
def test_held_temperatures_need_the_published_heat_and_cold(
    book: dict[str, Any], years: dict[str, YearResult], case: str
) -> None:
    year = years[case]
    within(book, case, "annual_heating_MWh", year.heating_kwh / 1000)
    within(book, case, "annual_cooling_MWh", year.cooling_kwh / 1000)
    within(book, case, "peak_heating_kW", year.peak_heating.power_w / 1000)
    within(book, case, "peak_cooling_kW", year.peak_cooling.power_w / 1000)


@pytest.mark.parametrize("case", ["600FF", "900FF"])
def test_free_floating_rooms_reach_the_published_temperatures(
    book: dict[str, Any], years: dict[str, YearResult], case: str
) -> None:
    air = years[case].zones[0].air_c
    within(book, case, "max_C", float(air.max()))
    within(book, case, "min_C", float(air.min()))
    within(book, case, "mean_C", float(air.mean()))


def test_sun_on_walls_is_as_published(book: dict[str, Any], years: dict[str, YearResult]) -> None:
    sums = {s.name: float(s.incident_sun_w_m2.sum()) / 1000 for s in years["600"].surfaces}
    limits = book["ranges"]["incident_kWh_m2_year_case_600"]
    assert limits["North"]["min"] <= sums["north_wall"] <= limits["North"]["max"]
    assert limits["South"]["min"] <= sums["south_wall"] <= limits["South"]["max"]


def test_every_case_closes_its_heat_account(years: dict[str, YearResult]) -> None:
    for year in years.values():
        assert abs(year.balance.residual_share) < 1e-9
        assert year.unsettled_hours == 0
        assert year.start_settled
