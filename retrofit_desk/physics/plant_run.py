"""All systems of a plant together, repeated until the ground's water and the machines' heat agree."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.borefield import FieldResponse, field_response
from retrofit_desk.physics.plant_description import PlantDescription
from retrofit_desk.physics.plant_results import FieldYear, NamedStoreYear, SystemYear
from retrofit_desk.physics.plant_systems import (
    Step,
    SystemTask,
    finish,
    first_step,
    into_ground_w,
    store_ask,
)
from retrofit_desk.physics.thermal_storage import StoreYear, run_store
from retrofit_desk.physics.weather import HOURS

Array = NDArray[np.float64]
GROUND_PASSES = 12
GROUND_SETTLED_K = 0.1  # root mean square between passes; 0.1 K is about 0.25 % of the power


@dataclass(frozen=True, eq=False)
class PlantRun:
    """Years of all systems, in the order of the tasks."""

    years: tuple[SystemYear, ...]
    steps: tuple[Step, ...]
    backups: tuple[Array, ...]
    stores: tuple[NamedStoreYear, ...]
    fields: tuple[FieldYear, ...]


@dataclass(frozen=True, eq=False)
class _Water:
    """Ground water of one field in one pass."""

    response: FieldResponse
    entering_c: Array
    wall_c: Array


def settle(plant: PlantDescription, tasks: list[SystemTask]) -> PlantRun:
    """Run all systems; with bores, repeat until the ground's water and the machine's heat agree."""
    ground: dict[str, _Water] = {}
    for field in plant.bore_fields:
        if any(t.field == field.name for t in tasks):
            still = np.full(HOURS, field.ground_temp_c)
            ground[field.name] = _Water(field_response(field), still, still)
    settled = {name: False for name in ground}
    for _ in range(GROUND_PASSES if ground else 1):
        steps = [_first(task, ground) for task in tasks]
        stores = _stores(plant, tasks, steps)
        done = [
            finish(t, s, stores.get(t.store.name) if t.store is not None else None)
            for t, s in zip(tasks, steps, strict=True)
        ]
        years = [year for year, _ in done]
        heat = {name: _field_heat(name, tasks, steps, years) for name in ground}
        for name, water in ground.items():
            into, share = heat[name]
            wall = water.response.wall_c(into)
            entering = water.response.entering_c(wall, into, share)
            settled[name] = bool(np.sqrt(np.mean((entering - water.entering_c) ** 2)) < GROUND_SETTLED_K)
            ground[name] = _Water(water.response, entering, wall)
        if all(settled.values()):
            break
    return PlantRun(
        tuple(years),
        tuple(steps),
        tuple(power for _, power in done),
        tuple(_named(n, y, tasks, years) for n, y in stores.items()),
        tuple(FieldYear(n, heat[n][0], w.entering_c, w.wall_c, settled[n]) for n, w in ground.items()),
    )


def _first(task: SystemTask, ground: dict[str, _Water]) -> Step:
    water = ground.get(task.field) if task.field is not None else None
    if water is None:
        return first_step(task, None, None, None)
    return first_step(task, water.entering_c, water.response, water.wall_c)


def _stores(plant: PlantDescription, tasks: list[SystemTask], steps: list[Step]) -> dict[str, StoreYear]:
    found = {}
    for store in plant.stores:
        asks = {}
        for task, step in zip(tasks, steps, strict=True):
            if task.store is not None and task.store.name == store.name:
                asks[task.cooling] = store_ask(task, step)
        if asks:
            found[store.name] = run_store(store, asks.get(False), asks.get(True))
    return found


def _named(name: str, year: StoreYear, tasks: list[SystemTask], years: list[SystemYear]) -> NamedStoreYear:
    power = sum(
        (y.charge_power_w for t, y in zip(tasks, years, strict=True) if t.store and t.store.name == name),
        np.zeros(HOURS),
    )
    return NamedStoreYear(name, year, power)


def _field_heat(
    name: str, tasks: list[SystemTask], steps: list[Step], years: list[SystemYear]
) -> tuple[Array, Array]:
    heat, share = np.zeros(HOURS), np.zeros(HOURS)
    for task, step, year in zip(tasks, steps, years, strict=True):
        if task.field == name:
            heat += into_ground_w(task, step, year)
            free = np.where(year.free_w > 0, 1.0, 0.0)
            share += np.maximum(year.running_share + step.water_share, free)
    return heat, np.minimum(share, 1.0)
