"""Heat that machines and tanks leave in (take from) the rooms they stand in, and what loads that leaves."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.plant_description import InstantHeater, PlantDescription
from retrofit_desk.physics.plant_machines import Burner
from retrofit_desk.physics.plant_results import LoadYear, SystemYear
from retrofit_desk.physics.plant_run import PlantRun
from retrofit_desk.physics.water_heating import HotWaterYear
from retrofit_desk.physics.weather import HOURS

Array = NDArray[np.float64]


def by_water_and_pilots_w(
    plant: PlantDescription, zones: tuple[str, ...], water: HotWaterYear | None
) -> Array:
    """What no system changes: the water heater's tank and standing pilots, (8760, zones) W."""
    left = np.zeros((HOURS, len(zones)))
    heater = plant.water_heater
    if (
        water is not None
        and heater is not None
        and not isinstance(heater, InstantHeater)
        and heater.stands_in
    ):
        left[:, zones.index(heater.stands_in)] += water.to_zone_w
    for machine in plant.machines:
        if isinstance(machine, Burner) and machine.stands_in:
            left[:, zones.index(machine.stands_in)] += machine.pilot_w
    return left


def by_systems_w(plant: PlantDescription, zones: tuple[str, ...], run: PlantRun) -> Array:
    """Jackets of burners that stand hot and idle, and thermal stores, (8760, zones) W."""
    left = np.zeros((HOURS, len(zones)))
    for machine in plant.machines:
        if isinstance(machine, Burner) and machine.stands_in:
            left[:, zones.index(machine.stands_in)] += standby_w(machine, years_of(plant, machine.name, run))
    rooms = {store.name: store.stands_in for store in plant.stores}
    for store in run.stores:
        room = rooms[store.name]
        if room is not None and store.year.charge_w.any():  # never charged it follows its room, as furniture
            left[:, zones.index(room)] += store.year.loss_w
    return left


def years_of(plant: PlantDescription, machine: str, run: PlantRun) -> list[SystemYear]:
    """Years of the systems that a machine carries."""
    pairs = zip(plant.systems, run.years, strict=True)
    return [year for system, year in pairs if system.machine == machine]


def standby_w(burner: Burner, years: list[SystemYear]) -> Array:
    """Heat lost while it stands hot and idle, on days on which it fires, (8760,) W."""
    output = sum((y.delivered_w + y.charge_w + y.water_w for y in years), np.zeros(HOURS))
    fires = np.repeat(output.reshape(-1, 24).any(axis=1), 24)
    idle = np.where(fires, 1.0 - np.minimum(output / burner.capacity_w, 1.0), 0.0)
    return np.asarray(burner.standby_loss_w * idle)


@dataclass(frozen=True, eq=False)
class LeftToDo:
    """Heating and cooling that the rooms still ask of the systems, (8760, zones) W."""

    heating_w: Array
    cooling_w: Array

    def is_near(self, other: LeftToDo, limit_w: float) -> bool:
        """Root mean square of the difference, within the limit in every room."""
        pairs = (self.heating_w, other.heating_w), (self.cooling_w, other.cooling_w)
        return all(np.sqrt(((mine - theirs) ** 2).mean(axis=0)).max() < limit_w for mine, theirs in pairs)


def left_to_do(loads: LoadYear, left_w: Array) -> LeftToDo:
    """Loads less what is left in the rooms; a room that asks for nothing in an hour takes nothing."""
    return LeftToDo(
        np.where(loads.heating_w > 0, np.maximum(loads.heating_w - left_w, 0.0), 0.0),
        np.where(loads.cooling_w > 0, np.maximum(loads.cooling_w + left_w, 0.0), 0.0),
    )
