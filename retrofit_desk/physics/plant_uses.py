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
from retrofit_desk.physics.plant_run import PlantRun
from retrofit_desk.physics.plant_systems import Step, SystemTask, nominal_w
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
    for task, step, year, backup in zip(tasks, run.steps, run.years, run.backups, strict=True):
        machine = task.machine
        use: EndUse = "cooling" if task.cooling else "heating"
        fuel: Fuel = machine.fuel if isinstance(machine, Burner) else "electricity"
        found.append(FuelUse(use, fuel, year.power_w))
        found.append(FuelUse("hot water", fuel, step.water_power_w))
        if task.backup is not None:
            backup_fuel: Fuel = task.backup.fuel if isinstance(task.backup, Burner) else "electricity"
            found.append(FuelUse("backup heating", backup_fuel, backup))
            lacking = task.water_ask_w - step.water_w  # an indirect tank while the machine stands or is small
            efficiency = task.backup.efficiency if isinstance(task.backup, Burner) else 1.0
            found.append(FuelUse("hot water", backup_fuel, lacking / efficiency))
        pumps += _moving_w(plant, task, step, year)
    found.append(FuelUse("fans and pumps", "electricity", pumps))
    for machine in plant.machines:
        found += _idle_uses(machine, tasks, run)
    return found


def _moving_w(plant: PlantDescription, task: SystemTask, step: Step, year: SystemYear) -> Array:
    """Fans, circulators, loop pump and burner motor of one system."""
    # fans run with the machine, or as long as backup heat needs them; water runs while any heat flows
    served = year.delivered_w + year.from_store_w + year.free_w + year.backup_w
    capacity = nominal_w(task.machine, cooling=task.cooling)
    blowing = np.maximum(year.running_share, np.minimum(served / capacity, 1.0))
    total = task.ask.fan_w * blowing + task.ask.pump_w * (served > 0)
    if isinstance(task.machine, Burner):
        firing = (year.delivered_w + year.charge_w + step.water_w) / task.machine.capacity_w
        total = total + task.machine.electric_w * np.minimum(firing, 1.0)
    if isinstance(task.machine, HeatPump) and isinstance(task.machine.source, WellWater):
        total = total + task.machine.source.pump_w * year.running_share
    if task.field is not None:
        loop = next(f for f in plant.bore_fields if f.name == task.field)
        total = total + loop.pump_w * np.minimum(year.running_share + step.water_share, 1.0)
    if isinstance(task.system, CoolingSystem) and task.system.free_cooling is not None:
        free = task.system.free_cooling
        total = total + free.pump_w * np.minimum(year.free_w / free.capacity_w, 1.0)
    return np.asarray(total)


def _idle_uses(machine: Machine, tasks: list[SystemTask], run: PlantRun) -> list[FuelUse]:
    """Pilot, jacket loss and crankcase heater: once per machine, however many systems it serves."""
    mine = [
        (s, y) for t, s, y in zip(tasks, run.steps, run.years, strict=True) if t.machine.name == machine.name
    ]
    if isinstance(machine, Burner):
        extra = np.full(HOURS, machine.pilot_w)
        if mine and machine.standby_loss_w:
            output = sum((y.delivered_w + y.charge_w + s.water_w for s, y in mine), np.zeros(HOURS))
            season = np.repeat(output.reshape(-1, 24).any(axis=1), 24)
            idle = np.where(season, 1.0 - np.minimum(output / machine.capacity_w, 1.0), 0.0)
            extra = extra + machine.standby_loss_w * idle / machine.efficiency
        return [FuelUse("heating", machine.fuel, extra)]
    if (
        isinstance(machine, HeatPump)
        and isinstance(machine.source, OutdoorAir)
        and machine.source.crankcase_w
    ):
        running = np.minimum(sum((y.running_share for _, y in mine), np.zeros(HOURS)), 1.0)
        use: EndUse = "cooling" if machine.heating is None else "heating"
        return [FuelUse(use, "electricity", machine.source.crankcase_w * (1.0 - running))]
    return []
