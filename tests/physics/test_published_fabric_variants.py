"""Further published fabric cases made from the given ones: shade, east-west glass, setback, night air."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import pytest

from retrofit_desk.exchange.weather import read_weather
from retrofit_desk.physics.description import House
from retrofit_desk.physics.engine import run_year
from tests.physics.test_published_fabric_cases import house_of

FOLDER = os.environ.get("RETROFIT_DESK_ACCEPTANCE")
pytestmark = pytest.mark.skipif(
    FOLDER is None, reason="RETROFIT_DESK_ACCEPTANCE does not name the folder of published cases"
)
NIGHT_FLOW_M3_S = 1703.16 / 3600.0

# ANSI/ASHRAE Standard 140-2001, example results, min and max in MWh a year (from memory)
PUBLISHED = [
    ("600", "overhang", (4.355, 5.786), (3.915, 5.778)),
    ("600", "east_west", (4.613, 5.944), (3.417, 5.004)),
    ("600", "east_west_shaded", (5.050, 6.469), (2.129, 3.701)),
    ("600", "setback", (2.751, 3.803), (5.952, 7.811)),
    ("600", "night_air", (0.0, 0.0), (4.816, 6.545)),
    ("900", "overhang", (1.575, 2.282), (0.821, 1.883)),
    ("900", "east_west", (3.313, 4.300), (1.840, 3.092)),
    ("900", "east_west_shaded", (4.143, 5.335), (1.039, 2.238)),
    ("900", "setback", (0.793, 1.411), (2.079, 3.241)),
    ("900", "night_air", (0.0, 0.0), (0.387, 0.921)),
]


def varied(described: dict[str, Any], variant: str) -> dict[str, Any]:
    walls = {s["name"]: s for s in described["surfaces"]}
    zone = described["zones"][0]
    if variant == "overhang":
        plate = {"kind": "overhang", "height_m": 2.7, "from_x_m": 0.0, "to_x_m": 8.0, "depth_m": 1.0}
        walls["south_wall"].update(width_m=8.0, height_m=2.7, plates=[plate])
    elif variant.startswith("east_west"):
        glass = walls["south_wall"].pop("windows")
        for name, window in (("east_wall", glass[0]), ("west_wall", glass[1])):
            placed = {**window, "x_m": 1.5, "sill_m": 0.2}
            walls[name].update(width_m=6.0, height_m=2.7, windows=[placed])
            if variant.endswith("shaded"):
                fin = {"kind": "fin", "from_height_m": 0.0, "to_height_m": 2.7, "depth_m": 1.0}
                over = {"kind": "overhang", "height_m": 2.7, "from_x_m": 1.5, "to_x_m": 4.5, "depth_m": 1.0}
                walls[name]["plates"] = [over, {**fin, "x_m": 1.5}, {**fin, "x_m": 4.5}]
    elif variant == "setback":
        zone["thermostat"]["heating_c"] = {"hours": [10.0] * 7 + [20.0] * 16 + [10.0]}
    else:
        zone["fans"] = [{"flow_m3_s": {"hours": [NIGHT_FLOW_M3_S] * 7 + [0.0] * 11 + [NIGHT_FLOW_M3_S] * 6}}]
        zone["thermostat"] = {"cooling_c": {"hours": [None] * 7 + [27.0] * 11 + [None] * 6}}
    return described


@pytest.mark.parametrize(("base", "variant", "heating", "cooling"), PUBLISHED)
def test_variant_needs_the_published_heat_and_cold(
    base: str, variant: str, heating: tuple[float, float], cooling: tuple[float, float]
) -> None:
    folder = Path(FOLDER or "")
    book = json.loads((folder / "standard_test_cases.json").read_text())
    described = json.loads(house_of(book, base).model_dump_json())
    weather = read_weather(folder / book["cases"][base]["weather"])
    year = run_year(House.model_validate(varied(described, variant)), weather)
    assert heating[0] <= year.heating_kwh / 1000 <= heating[1]
    assert cooling[0] <= year.cooling_kwh / 1000 <= cooling[1]
    assert abs(year.balance.residual_share) < 1e-9
