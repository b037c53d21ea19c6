"""A year of the plant: from the house's hourly loads to fuel and electricity by end use."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.appliances import held_back_car_w
from retrofit_desk.physics.battery import flows
from retrofit_desk.physics.description import OPEN_SITE, Site
from retrofit_desk.physics.plant_description import HouseholdUse, PlantDescription
from retrofit_desk.physics.plant_heat import heat_year
from retrofit_desk.physics.plant_machines import Fuel
from retrofit_desk.physics.plant_results import EndUse, FuelUse, LoadYear, PlantYear
from retrofit_desk.physics.plant_uses import household_uses
from retrofit_desk.physics.solar_electric import generation_w
from retrofit_desk.physics.weather import HOURS, WeatherYear
from retrofit_desk.values.errors import CannotSay

Array = NDArray[np.float64]


def run_plant(
    plant: PlantDescription,
    use: HouseholdUse,
    loads: LoadYear,
    weather: WeatherYear,
    site: Site = OPEN_SITE,
) -> PlantYear:
    """Turn loads into fuel and electricity by the hour.

    Heat that tanks, pilots and a heat-pump water heater leave in or take from a zone changes that
    zone's load in the same hour; in an hour in which the zone asks for nothing it is lost to the sum.
    Hills and trees of the site shade the modules.
    Raises `CannotSay` where the plant speaks of a zone that the loads do not have.
    """
    unknown = set(plant.zones_named()) - set(loads.zone_names)
    if unknown:
        raise CannotSay("what the plant does", f"loads of the zone {sorted(unknown)[0]!r}", where="plant")
    heat = heat_year(plant, use, loads, weather, site)
    uses = _held_back(plant, use, [*household_uses(plant, use), *heat.uses])
    solar = generation_w(plant.arrays, plant.inverters, weather, site)
    electricity = sum((u.power_w for u in uses if u.fuel == "electricity"), np.zeros(HOURS))
    return PlantYear(
        uses=_merged(uses),
        flows=flows(electricity, solar, plant.battery),
        systems=heat.run.years,
        stores=heat.run.stores,
        fields=heat.run.fields,
        hot_water=heat.hot_water,
        left_in_rooms_w=heat.left_in_rooms_w,
        unserved_heating_w=heat.unserved_heating_w,
        unserved_cooling_w=heat.unserved_cooling_w,
        unserved_latent_w=heat.unserved_latent_w,
        notes=heat.notes,
    )


def _held_back(plant: PlantDescription, use: HouseholdUse, uses: list[FuelUse]) -> list[FuelUse]:
    """The car charges with what the rest of the house leaves under its limit."""
    car = plant.car
    if car is None or car.house_limit_w is None:
        return uses
    others = [one for one in uses if one.end_use != "car"]
    rest = sum((one.power_w for one in others if one.fuel == "electricity"), np.zeros(HOURS))
    held = held_back_car_w(car, use, rest, car.house_limit_w)
    return [*others, FuelUse("car", "electricity", held)]


def _merged(uses: list[FuelUse]) -> tuple[FuelUse, ...]:
    """One entry for each end use and fuel; what is never used is left out."""
    total: dict[tuple[EndUse, Fuel], Array] = {}
    for use in uses:
        key = use.end_use, use.fuel
        total[key] = total[key] + use.power_w if key in total else use.power_w
    return tuple(FuelUse(*key, power) for key, power in total.items() if power.any())
