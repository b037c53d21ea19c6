"""All systems of a plant together, repeated until the ground's water and the machines' heat agree."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.borefield import FieldResponse, field_response
from retrofit_desk.physics.heat_pump import run
from retrofit_desk.physics.plant_description import PlantDescription
from retrofit_desk.physics.plant_results import FieldYear, NamedStoreYear, SystemYear
from retrofit_desk.physics.plant_systems import (
    Given,
    Step,
    SystemTask,
    capacity_share,
    finish,
    first_step,
    into_ground_w,
    lacking_water_w,
    machine_share,
    store_ask,
)
from retrofit_desk.physics.thermal_storage import StoreAsk, StoreYear, run_store
from retrofit_desk.physics.weather import HOURS

Array = NDArray[np.float64]
GROUND_PASSES = 12
GROUND_SETTLED_K = 0.1  # root mean square between passes; 0.1 K is about 0.25 % of the power


@dataclass(frozen=True, eq=False)
class PlantRun:
    """Years of all systems, in the order of the tasks."""

    years: tuple[SystemYear, ...]
    steps: tuple[Step, ...]
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
        years = _finish_all(tasks, steps, stores)
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
        asks = {
            cooling: [store_ask(t, s) for t, s in _users(store.name, cooling, tasks, steps)]
            for cooling in (False, True)
        }
        if asks[False] or asks[True]:
            joined = (
                _within_sun(
                    _joined(asks[cooling], cooling=cooling), _users(store.name, cooling, tasks, steps)
                )
                for cooling in (False, True)
            )
            found[store.name] = run_store(store, *joined)
    return found


def _within_sun(ask: StoreAsk | None, users: list[tuple[SystemTask, Step]]) -> StoreAsk | None:
    """Charging that draws no more than the sun leaves when the rooms have theirs; the machine cycles."""
    if ask is None or users[0][0].charge_power_w is None or users[0][1].charging is None:
        return ask
    power = users[0][0].charge_power_w - sum(run(s.direct, s.rest_w).power_w for _, s in users)
    share = np.clip(power / np.maximum(users[0][1].charging.power_w, 1e-9), 0.0, 1.0)
    return replace(ask, charge_capacity_w=ask.charge_capacity_w * share)


def _users(
    store: str, cooling: bool, tasks: list[SystemTask], steps: list[Step]
) -> list[tuple[SystemTask, Step]]:
    pairs = zip(tasks, steps, strict=True)
    return [(t, s) for t, s in pairs if t.store and t.store.name == store and t.cooling == cooling]


def _joined(asks: list[StoreAsk], *, cooling: bool) -> StoreAsk | None:
    """Several systems on one store and machine ask as one: the sum of loads at the hardest supply."""
    if len(asks) < 2:
        return asks[0] if asks else None
    load = np.sum([a.load_w for a in asks], axis=0)
    hardest = np.minimum.reduce if cooling else np.maximum.reduce
    weights = [np.where(load > 0, a.load_w / np.maximum(load, 1e-9), 1.0 / len(asks)) for a in asks]
    back = np.sum([a.return_c * w for a, w in zip(asks, weights, strict=True)], axis=0)
    first = asks[0]
    return StoreAsk(
        load,
        hardest([a.need_c for a in asks]),
        back,
        first.direct_capacity_w,
        first.charge_capacity_w,
        first.may_charge,
        first.ambient_c,
    )


def _finish_all(tasks: list[SystemTask], steps: list[Step], stores: dict[str, StoreYear]) -> list[SystemYear]:
    """Systems in their order: those named first take the machine and the backup they share first."""
    rough = [machine_share(step) for step in steps]
    taken: dict[str, Array] = {}
    helped_w: dict[str, Array] = {}
    done: list[SystemYear] = []
    for i, (task, step) in enumerate(zip(tasks, steps, strict=True)):
        name = task.machine.name
        others = [r for j, r in enumerate(rough) if j != i and tasks[j].machine.name == name]
        from_store, charge = _of_store(task, step, tasks, steps, stores)
        before = taken.get(name, np.zeros(HOURS))
        also = sum(others, np.zeros(HOURS))
        helper = None if task.backup is None else task.backup.name
        helped = np.zeros(HOURS) if helper is None else helped_w.get(helper, np.zeros(HOURS))
        year = finish(task, step, Given(from_store, charge, before, also, helped))
        taken[name] = before + capacity_share(step, year)
        if helper is not None:
            helped_w[helper] = helped + year.backup_w + lacking_water_w(task, step)
        done.append(year)
    return done


def _of_store(
    task: SystemTask, step: Step, tasks: list[SystemTask], steps: list[Step], stores: dict[str, StoreYear]
) -> tuple[Array, Array]:
    """This system's part of the discharge by its load; the first system on a store charges it."""
    zero = np.zeros(HOURS)
    if task.store is None or task.store.name not in stores:
        return zero, zero
    year = stores[task.store.name]
    mine = year.holds_cold if task.cooling else 1.0 - year.holds_cold
    users = _users(task.store.name, task.cooling, tasks, steps)
    total = sum((s.rest_w for _, s in users), zero)
    part = np.where(total > 0, step.rest_w / np.maximum(total, 1e-9), 0.0)
    charge = year.charge_w * mine if users[0][0] is task else zero
    return year.discharge_w * mine * part, charge


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
            heat += into_ground_w(year)
            free = np.where(year.free_w > 0, 1.0, 0.0)
            share += np.maximum(year.running_share + step.water_share, free)
    return heat, np.minimum(share, 1.0)
