"""House files: they round-trip, and what is wrong in them is named on one line."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from retrofit_desk.exchange.house_file import BadHouse, parse_house, read_house, write_house
from retrofit_desk.exchange.house_schema import house_schema
from retrofit_desk.exchange.taken_values import taken_values
from retrofit_desk.values.errors import CannotSay

ROOT = Path(__file__).parents[2]
AIR = {"air_changes_per_h": 0.5}


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
        "zones": [{"name": "room", "volume_m3": 30.0, "leakage": AIR, "thermostat": {"heating_c": 20}}],
        "surfaces": [
            {
                "name": "wall",
                "zone": "room",
                "construction": "board",
                "area_m2": 12.0,
                "tilt_deg": 90,
                "azimuth_deg": 180,
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


SELF = {"name": "den", "volume_m3": 9.0}
HEARTH = {"serves": [{"zone": "room"}], "delivery": {"kind": "in_room"}}


SHARE = {"surface": "wall", "fraction": 0.2}
SHUT_TOO_LATE = {"name": "sash", "area_m2": 1, "height_m": 1, "faces_deg": 0, "open_above_c": 20}
SHUT_TOO_LATE |= {"close_below_c": 22}
HARD_GLASS = {"kind": "label", "name": "pane", "u_value_w_m2k": 9, "shgc": 0.7}
STEEL = {"kind": "solid", "name": "steel", "conductivity_w_mk": 50, "thickness_m": 0.1}
STEEL |= {"density_kg_m3": 7800, "specific_heat_j_kgk": 460}
STEEL_BAY = {"kind": "framed", "name": "studs", "framing": STEEL, "framing_fraction": 0.1}
STEEL_BAY |= {"cavity": {"kind": "massless", "name": "air", "resistance_m2k_w": 0.18}}


@pytest.mark.parametrize(
    ("key", "value", "told"),
    [
        ("colour", "red", "colour: unknown key"),
        (LAYER, -0.1, f"{LAYER}: must be more than 0"),
        ("surfaces.0.windows.0.width_m", 20.0, "surfaces.0.windows: the glass is larger than its wall"),
        ("surfaces.0.windows.0.blind_beside", {"side": "interior", "solar_factor": 0.5}, "call it blind"),
        ("surfaces.0.area_m2", -3, "surfaces.0.area_m2: must be more than 0"),
        ("surfaces.0.zone", "attic", "surfaces.0.zone: no zone is called 'attic'"),
        ("surfaces.0.boundary", OWN_ZONE, "surfaces.0.boundary.zone: 'room' is not another"),
        ("zones.0.thermostat.heating_c", {"hours": [20, 21]}, "zones.0.thermostat.heating_c"),
        ("zones.0.volume_m3", "big", "zones.0.volume_m3: "),
        ("schema_version", 2, "schema_version: "),
        ("zones.0.thermostat.cooling_c", 18, "zones.0.thermostat: heating_c is above cooling_c"),
        ("blower_door", {"flow_at_50_pa_m3_s": 1, "zones": ["den"]}, "blower_door.zones: no zone"),
        ("surfaces.1.pipe_plane_after_layer", 3, "the construction has no layer 3"),
        (
            "zones.0.volume_m3",
            "30",
            "zones.0.volume_m3: must be a number in the unit that ends the key's name",
        ),
        ("zones.0.volume_m3", True, "zones.0.volume_m3: must be a number"),
        ("zones.0.volume_m3", 1e12, "zones.0.volume_m3: must not be above 1000000"),
        ("zones.0.volume_m3", None, "zones.0.volume_m3: must be a number"),
        ("zones.0.thermostat.heating_c", 68, "heating_c: 68 degC cannot be; a value in degF?"),
        ("zones.0.thermostat.cooling_c", 78, "cooling_c: 78 degC cannot be; a value in degF?"),
        ("zones.0.thermostat.heating_c", {"hours": ["x"] * 24}, "zones.0.thermostat.heating_c.hours.0: "),
        (
            "constructions.0.layers.0.conductivity_w_mk",
            1e-9,
            "constructions.0.layers.0: heat would take more",
        ),
        ("name", "two\nlines", "name: must not hold line breaks"),
        ("zones.0", "room", "zones.0: must be an object"),
        ("zones", {"name": "room"}, "zones: must be a list"),
        ("surfaces.0.height_m", {"m": 2}, "surfaces.0.height_m: must be a number"),
        ("surfaces.0.boundary", {"kind": "outdoors", "wet": True}, "surfaces.0.boundary.wet: unknown key"),
        ("surfaces.0.boundary", {}, "surfaces.0.boundary: needs a `kind`"),
        (
            "surfaces.0.films",
            {"inside_convective_w_m2k": 0, "inside_radiative_w_m2k": 0},
            "surfaces.0.films.inside_convective_w_m2k: 0, and inside_radiative_w_m2k is 0 too",
        ),
        (
            "surfaces.0.films",
            {"outside_convective_w_m2k": 0, "outside_radiative_w_m2k": 0},
            "surfaces.0.films.outside_convective_w_m2k: 0, and outside_radiative_w_m2k is 0 too",
        ),
        (
            "surfaces.0.windows.0.films",
            {"inside_convective_w_m2k": 0, "inside_radiative_w_m2k": 0},
            "surfaces.0.windows.0.films.inside_convective_w_m2k: 0",
        ),
        ("surfaces.0.area_m2", 1e8, "surfaces.0.area_m2: must not be above 100000"),
        ("site", {"density_factor": 82}, "site.density_factor: must not be above 1.2"),
        ("zones.0.sun_shares", [SHARE, SHARE], "zones.0.sun_shares.1.surface: 'wall' is used twice"),
        ("zones.0.openings", [SHUT_TOO_LATE], "zones.0.openings.0.close_below_c: is above open_above_c"),
        ("glazings.0", HARD_GLASS, "glazings.0: glazing pane: a U-value of 9 W/m2K leaves nothing"),
        ("constructions.0.layers.0", STEEL_BAY, "constructions.0.layers.0: studs: metal framing"),
        ("plant", {"heating": [{**HEARTH, "name": "h", "machine": "m"}]}, "plant.heating.0.machine: nothing"),
    ],
)
def test_wrong_value_is_named_by_its_key_on_one_line(key: str, value: Any, told: str) -> None:
    assert told in refused(changed(key, value))


def test_missing_key_is_told_with_its_path_though_a_form_has_its_name() -> None:
    data = small_house()
    del data["surfaces"][0]["zone"]
    assert "surfaces.0.zone: this key is missing" in refused(data)


def changed(key: str, value: Any) -> dict[str, Any]:
    """The small house with one value put at a dotted path."""
    data = small_house()
    at: Any = data
    *steps, last = (int(step) if step.isdigit() else step for step in key.split("."))
    for step in steps:
        at = at[step]
    at[last] = value
    return data


def refused(data: dict[str, Any]) -> str:
    """The one line with which a house is refused."""
    with pytest.raises(BadHouse) as caught:
        parse_house(json.dumps(data), where="house.json")
    line = caught.value.line()
    assert "\n" not in line
    assert line.startswith("house.json: ")
    return line


def test_two_windows_of_one_wall_with_one_name_are_refused() -> None:
    data = small_house()
    data["surfaces"][0]["windows"] *= 2
    assert "surfaces.0.windows.1.name: " in refused(data)


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


def test_window_beyond_its_wall_is_refused() -> None:
    data = small_house()
    wall = data["surfaces"][0]
    wall |= {"width_m": 4.0, "height_m": 3.0}
    wall["windows"][0] |= {"x_m": 3.5, "sill_m": 1.0}
    assert "surfaces.0.windows.0.x_m: the window reaches beyond its wall of 4 m" in refused(data)
    wall["windows"][0]["x_m"] = 3.0
    assert parse_house(json.dumps(data), where="x").surfaces[0].windows[0].x_m == 3.0


def shared_wall(zone: str, beyond: str) -> dict[str, Any]:
    return {
        "name": f"{zone} side",
        "zone": zone,
        "construction": "board",
        "area_m2": 9.0,
        "tilt_deg": 90,
        "boundary": {"kind": "zone", "zone": beyond},
    }


def test_wall_between_zones_stands_once() -> None:
    data = small_house()
    data["zones"].append({**SELF, "leakage": AIR})
    data["surfaces"] += [shared_wall("room", "den")]
    assert len(parse_house(json.dumps(data), where="x").zones) == 2
    data["surfaces"] += [shared_wall("den", "room")]
    assert "surfaces.3: this wall between 'den' and 'room' is surfaces.2 seen from the other" in refused(data)


def test_zones_that_only_know_each_other_are_refused() -> None:
    data = small_house()
    data["zones"] += [SELF, {"name": "loft", "volume_m3": 9.0}]
    data["surfaces"] += [shared_wall("den", "loft")]
    assert "zones.1: 'den' exchanges heat with nothing but zones that do not either" in refused(data)


@pytest.mark.parametrize(
    ("drop", "needs"),
    [
        ("zones.0.leakage", "Needs zones.0.leakage"),
        ("surfaces.0.azimuth_deg", "Needs surfaces.0.azimuth_deg"),
        ("surfaces.1.tilt_deg", "Needs surfaces.1.tilt_deg"),
    ],
)
def test_missing_value_that_matters_is_asked_for(drop: str, needs: str) -> None:
    data = small_house()
    part, number, key = drop.split(".")
    del data[part][int(number)][key]
    with pytest.raises(CannotSay) as caught:
        parse_house(json.dumps(data), where="house.json")
    assert caught.value.line().startswith("house.json: cannot say ")
    assert needs in caught.value.line()


def test_plant_without_a_family_is_asked_for() -> None:
    data = small_house() | {"plant": {}}
    with pytest.raises(CannotSay, match=r"cannot say what the plant uses\. Needs household"):
        parse_house(json.dumps(data), where="x")


def test_plant_in_a_zone_that_is_not_there_is_refused() -> None:
    stove = {"kind": "burner", "name": "m", "fuel": "wood", "capacity_w": 5000.0, "efficiency": 0.7}
    plant = {"machines": [{**stove, "stands_in": "shed"}]}
    assert "plant.machines.0.stands_in: no zone is called 'shed'" in refused(small_house() | {"plant": plant})


def test_a_bare_list_is_told_how_a_schedule_is_written() -> None:
    house = small_house()
    zone = {**house["zones"][0], "thermostat": {"heating_c": [20.0] * 23}}
    said = refused(house | {"zones": [zone]})
    assert (
        'zones.0.thermostat.heating_c: must be one number; where the key takes a schedule, {"hours":' in said
    )


@pytest.mark.parametrize("text", ["[" * 100_000, '{"name": ' + "9" * 5000 + "}", '{"name": 1, "name": 2}'])
def test_json_that_no_house_needs_is_one_line(text: str) -> None:
    with pytest.raises(BadHouse) as caught:
        parse_house(text, where="x")
    assert caught.value.line().count("\n") == 0


def test_usual_values_are_told_not_taken_in_silence() -> None:
    found = {one.key: one for one in taken_values(parse_house(json.dumps(small_house()), where="x"))}
    assert (found["surfaces.*.inside_absorptance"].value, found["surfaces.*.inside_absorptance"].count) == (
        0.6,
        2,
    )
    assert found["zones.*.gains"].value == "none"
    assert "zones.*.thermostat" not in found
    data = small_house()
    del data["surfaces"][0]["tilt_deg"]
    upright = taken_values(parse_house(json.dumps(data), where="x"))
    assert ("surfaces.*.tilt_deg", 90.0, 1) in [(one.key, one.value, one.count) for one in upright]
    for surface in data["surfaces"]:
        surface["inside_absorptance"] = 0.6
    told = taken_values(parse_house(json.dumps(data), where="x"))
    assert "surfaces.*.inside_absorptance" not in {one.key for one in told}


def test_a_schedule_of_the_wrong_length_is_told_by_its_length_not_by_its_sort() -> None:
    data = small_house()
    data["zones"][0]["gains"] = [{"power_w": {"hours": [100.0] * 23}}]
    assert "zones.0.gains.0.power_w: needs 24 or 8760 values, has 23" in refused(data)


def test_a_house_without_zones_and_an_empty_file_are_told_plainly() -> None:
    assert "zones: needs at least 1, has 0" in refused(small_house() | {"zones": []})
    with pytest.raises(BadHouse, match="the file is empty"):
        parse_house(" \n", where="x")
