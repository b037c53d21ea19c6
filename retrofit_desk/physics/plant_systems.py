"""One heating or cooling system through the year: free cold, store, machine, backup."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.borefield import FieldResponse
from retrofit_desk.physics.delivery import MachineAsk
from retrofit_desk.physics.heat_pump import HourlyLimits, limits, run
from retrofit_desk.physics.plant_delivery import CoolingSystem, HeatingSystem, ThermalStore
from retrofit_desk.physics.plant_machines import Burner, HeatPump, Machine, OutdoorAir, WellWater
from retrofit_desk.physics.plant_results import SystemYear
from retrofit_desk.physics.thermal_storage import StoreAsk

Array = NDArray[np.float64]
System = HeatingSystem | CoolingSystem


@dataclass(frozen=True, eq=False)
class SystemTask:
    """A system with everything about it that does not change from one ground pass to the next."""

    system: System
    machine: Machine
    backup: Machine | None
    ask: MachineAsk
    water_ask_w: Array
    water_supply_c: float
    store: ThermalStore | None
    may_charge: Array
    store_ambient_c: Array
    outdoor_c: Array
    room_c: Array
    field: str | None
    charge_power_w: Array | None = None
    """Most electricity that machine and charging may draw together, (8760,) W; None: no limit."""

    @property
    def cooling(self) -> bool:
        return isinstance(self.system, CoolingSystem)


def nominal_w(machine: Machine, *, cooling: bool) -> float:
    """Largest rated output."""
    if not isinstance(machine, HeatPump):
        return machine.capacity_w
    ratings = machine.cooling if cooling else machine.heating
    assert ratings is not None  # the description has checked it
    return max(p.capacity_w for p in ratings.points)


def source_c(machine: Machine, outdoor_c: Array, entering_c: Array | None) -> Array:
    """Temperature the machine draws from (rejects to)."""
    if isinstance(machine, HeatPump):
        if isinstance(machine.source, WellWater):
            return np.full(outdoor_c.shape, machine.source.entering_c)
        if entering_c is not None:
            return entering_c
    return outdoor_c


def able(machine: Machine, source: Array, load_c: Array, return_c: Array, *, cooling: bool) -> HourlyLimits:
    """What a machine can do in each hour; for a burner power is fuel."""
    if isinstance(machine, HeatPump):
        ratings = machine.cooling if cooling else machine.heating
        assert ratings is not None  # the description has checked it
        air = machine.source if isinstance(machine.source, OutdoorAir) else None
        to_air = ratings.points[0].load_c is None
        return limits(ratings, source, np.zeros(source.shape) if to_air else load_c, air=air, cooling=cooling)
    capacity = np.full(source.shape, machine.capacity_w)
    efficiency = np.ones(source.shape)
    if isinstance(machine, Burner):
        efficiency = burner_efficiency(machine, return_c)
    power = capacity / efficiency
    return HourlyLimits(capacity, power, capacity, power, np.ones(source.shape), 0.0)


def burner_efficiency(burner: Burner, return_c: Array) -> Array:
    """Seasonal value, or by return water where the points are given."""
    if not burner.efficiency_by_return:
        return np.full(return_c.shape, burner.efficiency)
    points = sorted(burner.efficiency_by_return, key=lambda p: p.return_c)
    return np.interp(return_c, [p.return_c for p in points], [p.efficiency for p in points])


@dataclass(frozen=True, eq=False)
class Step:
    """The machine in one ground pass: direct and charging limits and what is left for the rooms."""

    source: Array
    direct: HourlyLimits
    charging: HourlyLimits | None
    water_w: Array
    water_power_w: Array
    water_share: Array
    free_w: Array
    rest_w: Array


def first_step(
    task: SystemTask, entering_c: Array | None, field: FieldResponse | None, wall_c: Array | None
) -> Step:
    """Limits of the pass; hot water of an indirect tank goes first, free cooling before the compressor."""
    source = source_c(task.machine, task.outdoor_c, entering_c)
    direct = able(task.machine, source, task.ask.supply_c, task.ask.return_c, cooling=task.cooling)
    water_w, water_share, water_power = np.zeros((3, source.size))
    if task.water_ask_w.any():
        at = np.full(source.shape, task.water_supply_c)
        limit = able(task.machine, source, at, at, cooling=False)
        water = run(limit, task.water_ask_w)
        water_w, water_power = water.delivered_w, water.power_w
        water_share = np.minimum(water.delivered_w / np.maximum(limit.can_give_w(), 1e-9), 1.0)
    charging = None
    if task.store is not None:
        at_c = task.store.cold_charge_c if task.cooling else task.store.hot_charge_c
        if at_c is not None:
            spread = np.abs(task.ask.supply_c - task.ask.return_c)
            at = np.full(source.shape, at_c)
            charging = able(task.machine, source, at, at - spread, cooling=task.cooling)
    free = _free_cold(task, field, wall_c)
    return Step(source, direct, charging, water_w, water_power, water_share, free, task.ask.asked_w - free)


def _free_cold(task: SystemTask, field: FieldResponse | None, wall_c: Array | None) -> Array:
    system = task.system
    if not isinstance(system, CoolingSystem) or system.free_cooling is None:
        return np.zeros(task.outdoor_c.shape)
    free = system.free_cooling
    wanted = np.minimum(task.ask.asked_w, free.capacity_w)
    reach = task.ask.supply_c - free.approach_k
    if isinstance(task.machine, HeatPump) and isinstance(task.machine.source, WellWater):
        return np.asarray(np.where(reach >= task.machine.source.entering_c, wanted, 0.0))
    if field is None or wall_c is None:
        return np.zeros(task.outdoor_c.shape)
    # water coming up from the ground while this heat goes down
    drop = field.resistance_mk_w / field.length_m - field.half_flow_k_per_w
    most = (
        np.maximum(reach - wall_c, 0.0) / max(drop, 1e-9)
        if drop > 0
        else np.where(reach > wall_c, np.inf, 0.0)
    )
    return np.asarray(np.minimum(wanted, most))


def store_ask(task: SystemTask, step: Step) -> StoreAsk:
    """What this system and the store offer each other."""
    left = 1.0 - step.water_share
    capacity = step.direct.can_give_w() * left
    spare = np.zeros(capacity.shape) if step.charging is None else step.charging.can_give_w() * left
    return StoreAsk(
        step.rest_w,
        task.ask.supply_c,
        task.ask.return_c,
        capacity,
        spare,
        task.may_charge,
        task.store_ambient_c,
    )


@dataclass(frozen=True, eq=False)
class Given:
    """What the store gave to and took from one system, what others take of its machines, (hours,)."""

    from_store_w: Array
    charge_w: Array
    taken_share: Array
    also_running: Array
    backup_taken_w: Array


def machine_share(step: Step) -> Array:
    """Share of the hour the machine would run for this system at its lowest speed."""
    return np.minimum(step.rest_w / np.maximum(step.direct.low_capacity_w, 1e-9), 1.0) + step.water_share


def capacity_share(step: Step, year: SystemYear) -> Array:
    """Share of the machine's hour at full speed that this system took."""
    share = year.delivered_w / np.maximum(step.direct.capacity_w, 1e-9) + step.water_share
    if step.charging is not None:
        share = share + year.charge_w / np.maximum(step.charging.capacity_w, 1e-9)
    return np.minimum(share, 1.0)


def lacking_water_w(task: SystemTask, step: Step) -> Array:
    """Heat of a tank of hot water that the machine cannot give; the backup's, before the rooms have it."""
    return task.water_ask_w - step.water_w


def finish(task: SystemTask, step: Step, given: Given) -> SystemYear:
    """The system's year in this pass."""
    zero = np.zeros(step.rest_w.shape)
    charge_power, charge_share = zero, zero
    if step.charging is not None:
        charge_share = given.charge_w / np.maximum(step.charging.capacity_w, 1e-9)
        charge_power = charge_share * step.charging.power_w
    wanted = np.maximum(step.rest_w - given.from_store_w, 0.0)
    room = np.maximum(1.0 - step.water_share - charge_share - given.taken_share, 0.0)
    most = np.minimum(wanted, step.direct.can_give_w() * room)
    did = run(step.direct, most, also_running=given.also_running)
    missing = wanted - did.delivered_w
    backup, backup_power = zero, zero
    if task.backup is not None:
        left_w = nominal_w(task.backup, cooling=False) - given.backup_taken_w - lacking_water_w(task, step)
        backup = np.minimum(missing, np.maximum(left_w, 0.0))
        backup_power = backup
        if isinstance(task.backup, Burner):
            backup_power = backup / burner_efficiency(task.backup, task.ask.return_c)
    unmet = missing - backup
    unmet = np.where(unmet < 1e-9, 0.0, unmet)
    return SystemYear(
        task.system.name,
        task.cooling,
        task.ask.asked_w,
        did.delivered_w,
        given.from_store_w,
        step.free_w,
        backup,
        unmet,
        given.charge_w,
        did.power_w + charge_power,
        charge_power,
        backup_power,
        step.water_w,
        step.water_power_w,
        step.source,
        task.ask.supply_c,
        task.ask.return_c,
        np.minimum(did.running_share + charge_share, 1.0),
        task.ask.arrives_share,
    )


def into_ground_w(year: SystemYear) -> Array:
    """Heat this system puts into the ground (< 0: takes), W."""
    moved = year.delivered_w + year.charge_w
    if year.cooling:
        return np.asarray(moved + year.power_w + year.free_w)
    return np.asarray(-(moved + year.water_w - year.power_w - year.water_power_w))
