"""In-depth fabric cases and the sunspace, each written as a house file and read back before it is run."""

from __future__ import annotations

import json
import os
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest

from retrofit_desk.exchange.house_file import parse_house
from retrofit_desk.exchange.weather import read_weather
from retrofit_desk.physics.results import YearResult
from retrofit_desk.services.described_house import run_described
from tests.physics.test_published_fabric_cases import films, house_of
from tests.physics.test_published_fabric_variants import varied

FOLDER = os.environ.get("RETROFIT_DESK_ACCEPTANCE")
pytestmark = pytest.mark.skipif(
    FOLDER is None, reason="RETROFIT_DESK_ACCEPTANCE does not name the folder of published cases"
)
House = dict[str, Any]


@pytest.fixture(scope="module")
def book() -> dict[str, Any]:
    return json.loads((Path(FOLDER or "") / "standard_test_cases.json").read_text())


def run(book: dict[str, Any], described: House) -> YearResult:
    weather = read_weather(Path(FOLDER or "") / book["cases"]["600"]["weather"])
    return run_described(parse_house(json.dumps(described), where="case"), weather).year


def case_of(book: dict[str, Any], number: str) -> House:
    described: House = json.loads(house_of(book, number).model_dump_json())
    return described


def painted(described: House, outside: float, inside: float) -> House:
    """Solar absorptance of all faces; where the inside is not the usual one, the sun is shared out anew."""
    for surface in described["surfaces"]:
        surface |= {"outside_absorptance": outside, "inside_absorptance": inside}
    if inside != 0.6:
        described["zones"][0]["sun_shares"] = []
    return described


def blind_glass(book: dict[str, Any], described: House) -> House:
    """The windows as an opaque part that conducts as they do."""
    south = wall_of(described, "south_wall")
    south |= {"windows": [], "area_m2": south["area_m2"] - 12.0}
    core = 1 / 3.0 - 1 / 21.0 - 1 / 8.29
    layer = {"kind": "massless", "name": "opaque glass", "resistance_m2k_w": core}
    described["constructions"].append({"name": "opaque glass", "layers": [layer]})
    part = deepcopy(south) | {"name": "opaque glass", "construction": "opaque glass", "area_m2": 12.0}
    described["surfaces"].append(part | {"films": films(book, "vertical", "windows")})
    described["zones"][0]["sun_shares"] = []
    return described


def wall_of(described: House, name: str) -> dict[str, Any]:
    return next(s for s in described["surfaces"] if s["name"] == name)


def with_air_and_gains(described: House, changes_per_h: float, gain_w: float) -> House:
    zone = described["zones"][0]
    zone["leakage"] = {"air_changes_per_h": changes_per_h}
    zone["gains"] = [{"power_w": gain_w, "radiative_fraction": 0.6}] if gain_w else []
    return described


def held(described: House, heating_c: float, cooling_c: float) -> House:
    described["zones"][0]["thermostat"] = {"heating_c": heating_c, "cooling_c": cooling_c}
    return described


# ANSI/ASHRAE Standard 140-2001, cases and example results, min and max in MWh a year (from memory):
# solar absorptance outside and inside, air changes, gains in W, set-points, glass, heating, cooling
DEPTH = {
    "220": ((0.1, 0.1), (0.0, 0.0), (20, 20), "opaque", (6.944, 8.787), (0.186, 0.835)),
    "230": ((0.1, 0.1), (1.0, 0.0), (20, 20), "opaque", (10.376, 12.243), (0.454, 1.139)),
    "240": ((0.1, 0.1), (0.0, 200.0), (20, 20), "opaque", (5.649, 7.448), (0.415, 1.246)),
    "250": ((0.9, 0.1), (0.0, 0.0), (20, 20), "opaque", (4.751, 7.024), (2.177, 3.380)),
    "270": ((0.1, 0.9), (0.0, 0.0), (20, 20), "south", (4.510, 5.920), (7.528, 10.350)),
    "280": ((0.1, 0.1), (0.0, 0.0), (20, 20), "south", (4.675, 6.148), (4.873, 7.114)),
    "290": ((0.1, 0.9), (0.0, 0.0), (20, 20), "overhang", (4.577, 5.942), (5.204, 8.089)),
    "300": ((0.1, 0.9), (0.0, 0.0), (20, 20), "east_west", (4.761, 5.964), (4.302, 7.100)),
    "310": ((0.1, 0.9), (0.0, 0.0), (20, 20), "east_west_shaded", (5.221, 6.165), (2.732, 5.471)),
    "320": ((0.1, 0.9), (0.0, 0.0), (20, 27), "south", (3.861, 5.141), (5.061, 7.304)),
    "400": ((0.1, 0.1), (0.0, 0.0), (20, 27), "opaque", (6.900, 8.770), (0.0, 0.061)),
    "410": ((0.1, 0.1), (0.5, 0.0), (20, 27), "opaque", (8.596, 10.506), (0.0, 0.084)),
    "420": ((0.1, 0.1), (0.5, 200.0), (20, 27), "opaque", (7.298, 9.151), (0.0, 0.189)),
    "430": ((0.6, 0.1), (0.5, 200.0), (20, 27), "opaque", (5.429, 7.827), (0.422, 0.875)),
    "440": ((0.6, 0.1), (0.5, 200.0), (20, 27), "south", (4.449, 5.811), (3.967, 5.204)),
    "800": ((0.6, 0.1), (0.5, 200.0), (20, 27), "opaque", (4.868, 7.228), (0.055, 0.325)),
    "810": ((0.6, 0.1), (0.5, 200.0), (20, 27), "south", (1.839, 3.004), (1.052, 1.711)),
}


@pytest.mark.parametrize("number", DEPTH)
def test_case_in_depth_needs_the_published_heat_and_cold(book: dict[str, Any], number: str) -> None:
    paint, air_and_gains, set_points, glass, heating, cooling = DEPTH[number]
    described = case_of(book, "900" if number.startswith("8") else "600")
    if glass == "opaque":
        described = blind_glass(book, described)
    described = held(with_air_and_gains(painted(described, *paint), *air_and_gains), *set_points)
    if glass not in ("opaque", "south"):
        described = varied(described, glass)
    year = run(book, described)
    assert heating[0] <= year.heating_kwh / 1000 <= heating[1]
    assert cooling[0] <= year.cooling_kwh / 1000 <= cooling[1]


def sunspace(book: dict[str, Any]) -> House:
    """A light room behind a heavy glazed space of 2 m depth, a block wall of 20 cm between."""
    described, heavy = case_of(book, "600"), case_of(book, "900")
    room = described["zones"][0] | {"sun_shares": []}
    glazed = deepcopy(room) | {"name": "sun", "volume_m3": 43.2, "floor_area_m2": 16.0}
    described["zones"] = [room, glazed | {"gains": [], "thermostat": None}]
    layers = {one["name"]: one["layers"] for one in heavy["constructions"]}
    block = dict(conductivity_w_mk=0.51, thickness_m=0.2, density_kg_m3=1400, specific_heat_j_kgk=1000)
    described["constructions"] += [
        {"name": "heavy wall", "layers": layers["wall"]},
        {"name": "heavy floor", "layers": layers["floor"]},
        {"name": "common wall", "layers": [{"kind": "solid", "name": "block"} | block]},
    ]
    south = wall_of(described, "south_wall")
    described["surfaces"] += [deepcopy(south) | {"zone": "sun", "construction": "heavy wall"}]
    indoors = {"inside_convective_w_m2k": 3.16, "inside_radiative_w_m2k": 5.13}
    beyond = {"outside_convective_w_m2k": 3.16, "outside_radiative_w_m2k": 5.13}
    south |= {"name": "common wall", "construction": "common wall", "windows": [], "films": indoors | beyond}
    south |= {"boundary": {"kind": "zone", "zone": "sun"}}
    for name, construction, area_m2 in (
        ("east_wall", "heavy wall", 5.4),
        ("west_wall", "heavy wall", 5.4),
        ("ceiling", "roof", 16.0),
        ("floor", "heavy floor", 16.0),
    ):
        part = deepcopy(wall_of(described, name)) | {"name": f"sun {name}", "zone": "sun"}
        described["surfaces"] += [part | {"construction": construction, "area_m2": area_m2}]
    return described


def test_room_behind_a_sunspace_needs_the_published_heat_and_cold(book: dict[str, Any]) -> None:
    # ANSI/ASHRAE Standard 140-2001, case 960, example results (from memory)
    year = run(book, sunspace(book))
    assert 2.311 <= year.heating_kwh / 1000 <= 3.373
    assert 0.411 <= year.cooling_kwh / 1000 <= 0.803
    glazed = year.zone("sun")
    assert not glazed.heating_w.any()
    assert 48.9 <= glazed.air_c.max() <= 55.3
    assert 26.4 <= glazed.air_c.mean() <= 30.5


def test_set_points_without_a_dead_band_hold_one_temperature(book: dict[str, Any]) -> None:
    year = run(book, held(case_of(book, "600"), 20, 20))
    assert abs(year.zones[0].air_c - 20.0).max() < 1e-6
    assert year.unsettled_hours == 0
