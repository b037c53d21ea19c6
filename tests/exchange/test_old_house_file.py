"""An old house as a house file: stove, crawl space, steam or a series loop, stairs between the storeys."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from retrofit_desk.exchange.house_file import BadHouse, parse_house
from retrofit_desk.exchange.weather import sand_point
from retrofit_desk.physics.plant_results import PlantYear
from retrofit_desk.services.described_house import DescribedYear, run_described

EXAMPLE = Path(__file__).parents[2] / "assets" / "example_houses" / "two_storeys.json"
STEAM = {"layout": "steam", "pump_w": 0.0}
LOOP = {"layout": "series loop", "pump_w": 60.0}


def old_house(**radiators: Any) -> dict[str, Any]:
    """Two storeys with an oil boiler, a wood stove downstairs, a crawl space and open stairs."""
    house: dict[str, Any] = json.loads(EXAMPLE.read_text())
    rooms = ("downstairs", "upstairs")
    emitters = [{"zone": zone, "rated_w": 7000.0, "rated_difference_k": 80.0} for zone in rooms]
    boiler = {"kind": "burner", "name": "boiler", "fuel": "oil", "capacity_w": 25000.0, "efficiency": 0.76}
    stove = {"kind": "burner", "name": "stove", "fuel": "wood", "capacity_w": 6000.0, "efficiency": 0.6}
    house["plant"] = {
        "machines": [boiler, stove],
        "heating": [
            {
                "name": "radiators",
                "machine": "boiler",
                "serves": [{"zone": "downstairs", "share": 0.6}, {"zone": "upstairs"}],
                "delivery": {"kind": "water_emitters", "emitters": emitters} | radiators,
            },
            {
                "name": "stove",
                "machine": "stove",
                "serves": [{"zone": "downstairs", "share": 0.4}],
                "delivery": {"kind": "in_room"},
            },
        ],
    }
    house["air_paths"] = [{"name": "stairs", "zone_a": "downstairs", "zone_b": "upstairs", "flow_m3_s": 0.05}]
    floor = next(one for one in house["surfaces"] if one["zone"] == "downstairs" and one["tilt_deg"] == 180)
    house["zones"].append({"name": "crawl space", "volume_m3": 40.0, "leakage": {"air_changes_per_h": 3.0}})
    soil = {"kind": "slab_on_ground", "exposed_perimeter_m": 32.0, "floor_area_m2": floor["area_m2"]}
    under = {"name": "crawl floor", "zone": "crawl space", "boundary": soil}
    house["surfaces"].append(floor | under)
    floor["boundary"] = {"kind": "zone", "zone": "crawl space"}
    return house


def run(house: dict[str, Any]) -> tuple[DescribedYear, PlantYear]:
    answer = run_described(parse_house(json.dumps(house), where="house"), sand_point())
    assert answer.plant is not None
    return answer, answer.plant


@pytest.mark.parametrize("radiators", [STEAM, LOOP], ids=["steam", "series loop"])
def test_an_old_house_runs_its_year_and_its_heat_is_shared_out(radiators: dict[str, Any]) -> None:
    answer, plant = run(old_house(**radiators))
    assert abs(answer.year.balance.residual_share) < 1e-9
    downstairs, upstairs = (answer.year.zone(name).heating_w.sum() for name in ("downstairs", "upstairs"))
    given = plant.kwh("oil") * 0.76 + plant.kwh("wood") * 0.6
    assert given == pytest.approx((downstairs + upstairs) / 1000.0, rel=1e-6)
    assert plant.kwh("wood") * 0.6 == pytest.approx(0.4 * downstairs / 1000.0, rel=1e-6)
    crawl = answer.year.zone("crawl space").air_c
    assert sand_point().temp_c.mean() < crawl.mean() < 20.0


def test_open_stairs_bring_the_storeys_together() -> None:
    shut = old_house(**LOOP)
    shut["air_paths"] = []
    for house in (shut, open_house := old_house(**LOOP)):
        next(one for one in house["zones"] if one["name"] == "upstairs")["thermostat"] = None
        house["plant"]["heating"][0]["serves"] = [{"zone": "downstairs", "share": 0.6}]
    apart, together = (
        (answer.year.zone("downstairs").air_c - answer.year.zone("upstairs").air_c).mean()
        for answer, _plant in (run(shut), run(open_house))
    )
    assert together < 0.7 * apart


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"layout": "one pipe"}, "plant.heating.0.delivery"),
        (STEAM | {"reset": {
            "cold_outdoor_c": -10, "supply_when_cold_c": 75, "warm_outdoor_c": 15, "supply_when_warm_c": 45
        }}, "steam has no reset line"),
    ],
)  # fmt: skip
def test_radiators_that_cannot_be_are_one_line(change: dict[str, Any], says: str) -> None:
    with pytest.raises(BadHouse, match=says) as told:
        parse_house(json.dumps(old_house(**(LOOP | change))), where="house")
    assert "\n" not in told.value.line()


def test_steam_takes_a_burner_and_no_store_of_water() -> None:
    house = old_house(**STEAM)
    house["plant"]["machines"][0] = {"kind": "resistance", "name": "boiler", "capacity_w": 9000.0}
    with pytest.raises(BadHouse, match="'boiler' makes no steam"):
        parse_house(json.dumps(house), where="house")
    house = old_house(**STEAM)
    clock = {"kind": "clock", "hours": [11, 12]}
    house["plant"]["stores"] = [
        {"name": "tank", "volume_m3": 1.0, "loss_w_k": 3.0, "hot_charge_c": 60.0, "charge": clock}
    ]
    house["plant"]["heating"][0]["store"] = "tank"
    with pytest.raises(BadHouse, match="takes no steam"):
        parse_house(json.dumps(house), where="house")
