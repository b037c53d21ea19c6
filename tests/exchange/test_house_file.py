"""House files: they round-trip, and what is wrong in them is named on one line."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from retrofit_desk.exchange.house_file import BadHouse, house_schema, parse_house, read_house, write_house

ROOT = Path(__file__).parents[2]


def small_house() -> dict[str, Any]:
    """One room of one wall, one floor and a window."""
    return {
        "schema_version": 1,
        "name": "hut",
        "constructions": [
            {
                "name": "board",
                "layers": [
                    {
                        "kind": "solid",
                        "name": "pine",
                        "conductivity_w_mk": 0.13,
                        "thickness_m": 0.1,
                        "density_kg_m3": 500,
                        "specific_heat_j_kgk": 1600,
                    }
                ],
            }
        ],
        "glazings": [{"kind": "label", "name": "pane", "u_value_w_m2k": 2.8, "shgc": 0.7}],
        "zones": [{"name": "room", "volume_m3": 30.0, "thermostat": {"heating_c": 20}}],
        "surfaces": [
            {
                "name": "wall",
                "zone": "room",
                "construction": "board",
                "area_m2": 12.0,
                "boundary": {"kind": "outdoors"},
                "windows": [{"name": "w", "glazing": "pane", "width_m": 1.0, "height_m": 1.0}],
            },
            {
                "name": "floor",
                "zone": "room",
                "construction": "board",
                "area_m2": 12.0,
                "tilt_deg": 180,
                "boundary": {"kind": "fixed_temperature", "temperature_c": 10},
            },
        ],
    }


def test_house_comes_back_equal(tmp_path: Path) -> None:
    house = parse_house(json.dumps(small_house()), where="here")
    write_house(house, tmp_path / "house.json")
    assert read_house(tmp_path / "house.json") == house


def test_published_schema_is_the_one_of_the_code() -> None:
    assert (ROOT / "shared" / "house.schema.json").read_text() == house_schema()


def test_schema_accepts_what_the_reader_accepts() -> None:
    jsonschema.validate(small_house(), json.loads(house_schema()))


def test_house_without_windows_is_a_house() -> None:
    data = small_house()
    data["surfaces"][0]["windows"] = []
    data["glazings"] = []
    assert parse_house(json.dumps(data), where="x").surfaces[0].windows == ()


OWN_ZONE = {"kind": "zone", "zone": "room"}
LAYER = "constructions.0.layers.0.thickness_m"


@pytest.mark.parametrize(
    ("key", "value", "told"),
    [
        ("colour", "red", "colour: unknown key"),
        (LAYER, -0.1, f"{LAYER}: must be more than 0"),
        ("surfaces.0.windows.0.width_m", 20.0, "surfaces.0.windows: the glass is larger than its wall"),
        ("surfaces.0.area_m2", -3, "surfaces.0.area_m2: must be more than 0"),
        ("surfaces.0.zone", "attic", "surfaces.0.zone: no zone is called 'attic'"),
        ("surfaces.0.boundary", OWN_ZONE, "surfaces.0.boundary.zone: 'room' is not another"),
        ("zones.0.thermostat.heating_c", {"hours": [20, 21]}, "zones.0.thermostat.heating_c"),
        ("zones.0.volume_m3", "big", "zones.0.volume_m3: "),
        ("schema_version", 2, "schema_version: "),
        ("zones.0.thermostat.cooling_c", 18, "zones.0.thermostat: heating_c is above cooling_c"),
        ("blower_door", {"flow_at_50_pa_m3_s": 1, "zones": ["den"]}, "blower_door.zones: no zone"),
        ("surfaces.1.pipe_plane_after_layer", 3, "the construction has no layer 3"),
    ],
)
def test_wrong_value_is_named_by_its_key_on_one_line(key: str, value: Any, told: str) -> None:
    data = small_house()
    at: Any = data
    *steps, last = (int(step) if step.isdigit() else step for step in key.split("."))
    for step in steps:
        at = at[step]
    at[last] = value
    with pytest.raises(BadHouse) as caught:
        parse_house(json.dumps(data), where="house.json")
    line = caught.value.line()
    assert told in line
    assert "\n" not in line
    assert line.startswith("house.json: ")


def test_layer_of_no_resistance_is_refused() -> None:
    data = small_house()
    data["constructions"][0]["layers"][0] = {"kind": "massless", "name": "nothing", "resistance_m2k_w": 0}
    with pytest.raises(BadHouse, match=r"layers\.0\.resistance_m2k_w: must be more than 0"):
        parse_house(json.dumps(data), where="x")


def test_missing_file_and_broken_json_are_said_plainly(tmp_path: Path) -> None:
    with pytest.raises(BadHouse, match="no such file"):
        read_house(tmp_path / "none.json")
    (tmp_path / "bad.json").write_text('{"name": ')
    with pytest.raises(BadHouse, match=r"not JSON.*|line 1"):
        read_house(tmp_path / "bad.json")
