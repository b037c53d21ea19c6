"""A small described house with old plant, for measures to be tried on."""

from __future__ import annotations

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.physics.description import House
from retrofit_desk.physics.plant_description import HouseholdUse, PlantDescription

STUD = {
    "name": "pine",
    "conductivity_w_mk": 0.12,
    "thickness_m": 0.089,
    "density_kg_m3": 500,
    "specific_heat_j_kgk": 1600,
}
OLD_BATT = STUD | {"kind": "solid", "name": "old batt", "conductivity_w_mk": 0.045, "density_kg_m3": 15}
SIDING = STUD | {"kind": "solid", "name": "siding", "thickness_m": 0.018}
BOARD = STUD | {"kind": "solid", "name": "board", "conductivity_w_mk": 0.16, "thickness_m": 0.0127}
FRAMED = {"kind": "framed", "name": "studs", "cavity": OLD_BATT, "framing": STUD, "framing_fraction": 0.2}
AIR = {"kind": "massless", "name": "air space", "resistance_m2k_w": 0.16}


def a_house() -> House:
    """One room, 6 x 5 m, with two south windows in a framed wall and an empty slope above."""
    outdoors = {"kind": "outdoors"}
    window = {"glazing": "old glass", "width_m": 1.2, "height_m": 1.2, "sill_m": 0.9}
    windows = [window | {"name": "left", "x_m": 0.8}, window | {"name": "right", "x_m": 3.5}]
    walls = [
        {
            "name": f"{side} wall",
            "zone": "room",
            "construction": "wall",
            "area_m2": 14.0,
            "azimuth_deg": azimuth,
        }
        | {"boundary": outdoors}
        for side, azimuth in (("north", 0), ("east", 90), ("west", 270))
    ]
    south = walls[0] | {"name": "south wall", "azimuth_deg": 180, "windows": windows}
    slope = {
        "name": "slope",
        "zone": "room",
        "construction": "slope",
        "area_m2": 34.0,
        "tilt_deg": 30,
        "boundary": outdoors,
    }
    floor = {
        "name": "floor",
        "zone": "room",
        "construction": "floor",
        "area_m2": 30.0,
        "tilt_deg": 180,
        "boundary": {"kind": "fixed_temperature", "temperature_c": 14.0},
    }
    return House.model_validate(
        {
            "name": "one room",
            "constructions": [
                {"name": "wall", "layers": [SIDING, FRAMED, BOARD]},
                {"name": "slope", "layers": [SIDING, AIR, BOARD]},
                {"name": "floor", "layers": [BOARD, BOARD | {"name": "oak"}]},
            ],
            "glazings": [{"kind": "label", "name": "old glass", "u_value_w_m2k": 2.8, "shgc": 0.7}],
            "zones": [
                {
                    "name": "room",
                    "volume_m3": 75.0,
                    "floor_area_m2": 30.0,
                    "thermostat": {"heating_c": 20.0, "cooling_c": 25.0},
                    "openings": [{"name": "left", "area_m2": 0.7, "height_m": 1.2, "faces_deg": 180}],
                }
            ],
            "surfaces": [*walls, south, slope, floor],
            "blower_door": {"flow_at_50_pa_m3_s": 0.3},
        }
    )


def an_old_plant() -> PlantDescription:
    run = {"area_m2": 12.0, "resistance_m2k_w": 0.7, "leakage": 0.1}
    ducts = {"kind": "ducts", "supply": run, "back": run, "flow_m3_s": 0.5, "fan_w": 400}
    point = {"source_c": 35.0, "capacity_w": 7000, "power_w": 2600}
    return PlantDescription.model_validate(
        {
            "machines": [
                {"kind": "burner", "name": "furnace", "fuel": "gas", "capacity_w": 20000, "efficiency": 0.78},
                {
                    "kind": "heat_pump",
                    "name": "old cooling",
                    "source": {"kind": "outdoor_air"},
                    "cooling": {"points": [point]},
                },
            ],
            "heating": [
                {"name": "furnace", "machine": "furnace", "serves": [{"zone": "room"}], "delivery": ducts}
            ],
            "cooling": [
                {"name": "cooling", "machine": "old cooling", "serves": [{"zone": "room"}], "delivery": ducts}
            ],
            "water_heater": {
                "kind": "storage",
                "fuel": "gas",
                "volume_l": 150,
                "loss_w_k": 3.0,
                "recovery_efficiency": 0.76,
            },
            "cooking": {"fuel": "gas", "efficiency": 0.32},
        }
    )


def a_case() -> HouseCase:
    use = HouseholdUse(
        occupants=3,
        hot_water_l_per_day=180,
        plug_kwh_per_year=1800,
        light_kwh_per_year=400,
        cooking_useful_kwh_per_year=250,
    )
    return HouseCase(a_house(), an_old_plant(), use)
