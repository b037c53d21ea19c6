"""Fuel and electricity by end use, from what the household, the heater and the systems did."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics import appliances
from retrofit_desk.physics.plant_delivery import CoolingSystem
from retrofit_desk.physics.plant_description import (
    HeatPumpTank,
    HouseholdUse,
    IndirectTank,
    PlantDescription,
)
from retrofit_desk.physics.plant_machines import Burner, Fuel, HeatPump, Machine, OutdoorAir, WellWater
from retrofit_desk.physics.plant_results import EndUse, FuelUse, SystemYear
from retrofit_desk.physics.plant_rooms import standby_w, years_of
from retrofit_desk.physics.plant_run import PlantRun
from retrofit_desk.physics.plant_systems import Step, SystemTask, lacking_water_w, nominal_w
from retrofit_desk.physics.schedules import hourly
from retrofit_desk.physics.water_heating import HotWaterYear
from retrofit_desk.physics.weather import HOURS

Array = NDArray[np.float64]


def water_uses(plant: PlantDescription, water: HotWaterYear | None) -> list[FuelUse]:
    """The heater's own fuel and electricity; an indirect tank's is with its heating system."""
    heater = plant.water_heater
    if heater is None or water is None:
        return []
    found = [FuelUse("hot water", "electricity", water.electric_w)]
    if not isinstance(heater, IndirectTank | HeatPumpTank) and heater.fuel != "electricity":
        found.append(FuelUse("hot water", heater.fuel, water.fuel_w + water.pilot_w))
    return found


def household_uses(plant: PlantDescription, use: HouseholdUse) -> list[FuelUse]:
    """Lights, plugs, ventilation, cooking, drying, car and the rest."""
    plugs = appliances.spread(use.plug_kwh_per_year, appliances.PLUG_SHAPE)
    lights = appliances.spread(use.light_kwh_per_year, appliances.LIGHT_SHAPE)
    found = [
        FuelUse("lights and plugs", "electricity", plugs + lights),
        FuelUse("ventilation", "electricity", hourly(plant.ventilation_fan_w, 0.0)),
    ]
    if plant.cooking is not None:
        kwh = use.cooking_useful_kwh_per_year / plant.cooking.efficiency
        cooking = appliances.spread(kwh, appliances.COOKING_SHAPE) + plant.cooking.pilot_w
        found.append(FuelUse("cooking", plant.cooking.fuel, cooking))
    if plant.dryer is not None:
        dryer = plant.dryer
        kwh = appliances.dryer_kwh(use.dryer_loads_per_year, use.dryer_kg_per_load, dryer.kg_per_kwh)
        shape = appliances.spread(kwh, appliances.DRYER_SHAPE)
        motor = 1.0 if dryer.fuel == "electricity" else dryer.electric_share
        found.append(FuelUse("drying", "electricity", shape * motor))
        found.append(FuelUse("drying", dryer.fuel, shape * (1.0 - motor)))
    if plant.car is not None:
        found.append(FuelUse("car", "electricity", appliances.car_load_w(plant.car, use)))
    found += [FuelUse("other", "electricity", hourly(o.power_w, 0.0)) for o in plant.other_electric]
    return found


def system_uses(plant: PlantDescription, tasks: list[SystemTask], run: PlantRun) -> list[FuelUse]:
    """Machines, backups, fans and pumps, and what stands idle."""
    found: list[FuelUse] = []
    pumps = np.zeros(HOURS)
    for task, step, year in zip(tasks, run.steps, run.years, strict=True):
        machine = task.machine
        use: EndUse = "cooling" if task.cooling else "heating"
        fuel: Fuel = machine.fuel if isinstance(machine, Burner) else "electricity"
        found.append(FuelUse(use, fuel, year.power_w))
        found.append(FuelUse("hot water", fuel, year.water_power_w))
        if task.backup is not None:
            backup_fuel: Fuel = task.backup.fuel if isinstance(task.backup, Burner) else "electricity"
            found.append(FuelUse("backup heating", backup_fuel, year.backup_power_w))
            lacking = lacking_water_w(task, step)
            efficiency = task.backup.efficiency if isinstance(task.backup, Burner) else 1.0
            found.append(FuelUse("hot water", backup_fuel, lacking / efficiency))
        pumps += _moving_w(plant, task, step, year)
    found.append(FuelUse("fans and pumps", "electricity", pumps))
    for machine in plant.machines:
        found += _idle_uses(machine, years_of(plant, machine.name, run))
    return found


def _moving_w(plant: PlantDescription, task: SystemTask, step: Step, year: SystemYear) -> Array:
    """Fans, circulators, loop pump and burner motors of one system."""
    # fans run with the machine, or as long as backup heat needs them; water runs while any heat flows
    served = year.delivered_w + year.from_store_w + year.free_w + year.backup_w
    capacity = nominal_w(task.machine, cooling=task.cooling)
    blowing = np.maximum(year.running_share, np.minimum(served / capacity, 1.0))
    total = task.ask.fan_w * blowing + task.ask.pump_w * (served > 0)
    if isinstance(task.machine, Burner):
        firing = (year.delivered_w + year.charge_w + year.water_w) / task.machine.capacity_w
        total = total + task.machine.electric_w * np.minimum(firing, 1.0)
    if isinstance(task.backup, Burner):
        firing = (year.backup_w + lacking_water_w(task, step)) / task.backup.capacity_w
        total = total + task.backup.electric_w * np.minimum(firing, 1.0)
    if isinstance(task.machine, HeatPump) and isinstance(task.machine.source, WellWater):
        total = total + task.machine.source.pump_w * year.running_share
    if task.field is not None:
        loop = next(f for f in plant.bore_fields if f.name == task.field)
        total = total + loop.pump_w * np.minimum(year.running_share + step.water_share, 1.0)
    if isinstance(task.system, CoolingSystem) and task.system.free_cooling is not None:
        free = task.system.free_cooling
        total = total + free.pump_w * np.minimum(year.free_w / free.capacity_w, 1.0)
    return np.asarray(total)


def _idle_uses(machine: Machine, years: list[SystemYear]) -> list[FuelUse]:
    """Pilot, jacket loss and crankcase heater: once per machine, however many systems it serves."""
    if isinstance(machine, Burner):
        idle = machine.pilot_w + standby_w(machine, years) / machine.efficiency
        return [FuelUse("heating", machine.fuel, idle)]
    if (
        isinstance(machine, HeatPump)
        and isinstance(machine.source, OutdoorAir)
        and machine.source.crankcase_w
    ):
        running = np.minimum(sum((y.running_share for y in years), np.zeros(HOURS)), 1.0)
        use: EndUse = "cooling" if machine.heating is None else "heating"
        return [FuelUse(use, "electricity", machine.source.crankcase_w * (1.0 - running))]
    return []
