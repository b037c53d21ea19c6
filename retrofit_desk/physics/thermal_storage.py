"""A water tank or bag that holds heat or cold for later, hour by hour; and what it holds and weighs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

from retrofit_desk.physics.errors import require_positive
from retrofit_desk.physics.over_arrays import over_arrays
from retrofit_desk.physics.plant_delivery import ClockCharge, ThermalStore
from retrofit_desk.physics.weather import MONTH_OF_HOUR

Array = NDArray[np.float64]
BTU_PER_GAL_F = 8.34
WATER_WH_M3K = 988.08 * 4181.1 / 3600.0  # at 50 degC (CoolProp)
LOOK_AHEAD_H = 24
SETTLING_H = 720  # run before the year, so that it starts in a state of its own
PSI_PER_FT = 0.433
LB_PER_GAL = 8.34


def held_btu(gallons: float, difference_f: float) -> float:
    """Heat in a tank over a temperature difference."""
    return BTU_PER_GAL_F * gallons * difference_f


def held_kwh(volume_m3: float, difference_k: float) -> float:
    """The same in SI, water at 50 degC."""
    return volume_m3 * WATER_WH_M3K * difference_k / 1000.0


@over_arrays
def floor_pressure_psf(gallons: float, footprint_ft2: float, vessel_lb: float = 0.0) -> float:
    """Load on the floor. House floors are made for 30-40 psf live load: an engineer must look at it."""
    require_positive("footprint_ft2", footprint_ft2)
    return (gallons * LB_PER_GAL + vessel_lb) / footprint_ft2


def head_psi(water_ft: float) -> float:
    """Pressure at the foot of standing water."""
    return PSI_PER_FT * water_ft


@dataclass(frozen=True, eq=False)
class StoreAsk:
    """What the house and the machine offer the store in each hour, (hours,)."""

    load_w: Array
    need_c: Array
    return_c: Array
    direct_capacity_w: Array
    charge_capacity_w: Array
    may_charge: Array
    ambient_c: Array


@dataclass(frozen=True, eq=False)
class StoreYear:
    """What the store did in each hour, (hours,). Heats in W; cold counts as positive charge of cold."""

    charge_w: Array
    discharge_w: Array
    loss_w: Array
    mean_c: Array
    holds_cold: Array

    @property
    def discharged_kwh(self) -> float:
        return float(self.discharge_w.sum()) / 1000.0


def may_charge(store: ThermalStore, surplus_w: Array) -> Array:
    """1 in hours in which the rule lets it charge: by the clock, or with sun to spare."""
    if isinstance(store.charge, ClockCharge):
        return np.isin(np.arange(surplus_w.size) % 24, store.charge.hours).astype(float)
    return (surplus_w > store.charge.surplus_above_w).astype(float)


def holds_cold(store: ThermalStore) -> NDArray[np.bool_]:
    """Hours in which it is a store of cold."""
    if store.hot_charge_c is None:
        return np.ones(MONTH_OF_HOUR.size, dtype=bool)
    return np.isin(MONTH_OF_HOUR + 1, store.cold_months)


def run_store(store: ThermalStore, hot: StoreAsk | None, cold: StoreAsk | None) -> StoreYear:
    """Charge in allowed hours with what the machine has left, discharge in the others.

    It charges no more than the load of the coming day outside charging hours (a forecast taken as
    perfect), and gives only water that is warm (cold) enough for the rooms.
    """
    is_cold = holds_cold(store)
    sign = np.where(is_cold, -1.0, 1.0)
    asks = {True: cold, False: hot}
    columns = []
    for name in (
        "load_w",
        "need_c",
        "return_c",
        "direct_capacity_w",
        "charge_capacity_w",
        "may_charge",
        "ambient_c",
    ):
        either = [np.zeros(sign.size) if (a := asks[c]) is None else getattr(a, name) for c in (False, True)]
        columns.append(np.where(is_cold, either[1], either[0]))
    hot_c, cold_c = store.hot_charge_c, store.cold_charge_c
    inlet = np.where(is_cold, np.nan if cold_c is None else cold_c, np.nan if hot_c is None else hot_c)
    columns[5] = np.where(np.isnan(inlet), 0.0, columns[5])
    ahead = _coming_load(columns[0] * (1.0 - columns[5]))
    numbers = (
        store.volume_m3 * WATER_WH_M3K / store.layers,
        store.loss_w_k / store.layers,
        float(store.layers),
    )
    out = _store_loop(numbers, (*columns, np.nan_to_num(inlet), ahead, sign))
    charge, discharge, loss, mean = out
    return StoreYear(charge, discharge, loss, mean, is_cold.astype(float))


def _coming_load(load_w: Array) -> Array:
    """Sum of the next day's load, Wh, the year taken as a circle."""
    total = np.cumsum(np.concatenate([load_w, load_w[:LOOK_AHEAD_H]]))
    return np.asarray(total[LOOK_AHEAD_H:] - total[: load_w.size])


@njit(cache=True, nogil=True)  # type: ignore[untyped-decorator, unused-ignore]
def _draw(t: Any, step: Any, wanted_w: float, need: float, back: float) -> Any:
    # Water leaves at the useful end and comes back spent; returns the heat given, Wh.
    layer, dt = step
    if wanted_w <= 0 or t[0] <= need or t[0] <= back + 0.1:
        return 0.0
    flow = min(wanted_w / (t[0] - back), layer / dt)
    if t.size == 1:  # a mixed tank is useful only down to the supply the rooms need
        flow = min(flow, layer * (t[0] - need) / dt / (t[0] - back))
    given = flow * (t[0] - back) * dt
    for k in range(t.size):
        below = t[k + 1] if k < t.size - 1 else back
        t[k] += flow * dt / layer * (below - t[k])
    return given


@njit(cache=True, nogil=True)  # type: ignore[untyped-decorator, unused-ignore]
def _fill(t: Any, step: Any, power_w: float, inlet: float, room_wh: float) -> Any:
    # Water enters at the useful end at the charging temperature; returns the heat taken, Wh.
    layer, dt = step
    last = t.size - 1
    if power_w <= 0 or inlet <= t[last] + 0.5 or room_wh <= 0:
        return 0.0
    flow = min(min(power_w, room_wh / dt) / (inlet - t[last]), layer / dt)
    taken = flow * (inlet - t[last]) * dt
    for k in range(last, -1, -1):
        above = t[k - 1] if k > 0 else inlet
        t[k] += flow * dt / layer * (above - t[k])
    return taken


@njit(cache=True, nogil=True)  # type: ignore[untyped-decorator, unused-ignore]
def _settle(t: Any, step: Any, loss_w_k: float, ambient: float) -> Any:
    # Loss of each layer, then lighter water rises; returns the loss, Wh.
    layer, dt = step
    lost = 0.0
    for k in range(t.size):
        q = loss_w_k * (t[k] - ambient) * dt
        t[k] -= q / layer
        lost += q
    for k in range(t.size - 1, 0, -1):
        if t[k] > t[k - 1]:
            t[k] = t[k - 1] = 0.5 * (t[k] + t[k - 1])
    return lost


@njit(cache=True, nogil=True)  # type: ignore[untyped-decorator, unused-ignore]
def _store_loop(numbers: Any, hours: Any) -> Any:
    # Layers from useful to spent; cold is handled as heat of opposite sign. It loops because the tank
    # remembers; the last days of the year are run first, to find the state it starts in.
    layer, loss_each, count = numbers
    load, need, back, direct, spare, may, ambient, inlet, ahead, sign = hours
    n, m = load.shape[0], int(count)
    steps = max(4, m)
    step = (layer, 1.0 / steps)  # Wh/K and h
    charge, discharge, loss, mean = np.zeros(n), np.zeros(n), np.zeros(n), np.zeros(n)
    t = np.full(m, ambient[0] * sign[0])
    before, stock = sign[0], 0.0
    for h in range(-min(SETTLING_H, n), n):
        i = h % n
        s = sign[i]
        if s != before:
            t = -t[::-1].copy()
            before, stock = s, 0.0
        by_machine = min(load[i], direct[i]) * may[i]
        left = 1.0 - by_machine / direct[i] if direct[i] > 0 else 0.0
        into = out = lost = 0.0
        for _ in range(steps):
            # no more than was put in: what its place warmed (cooled) would have to be made up there
            wanted = min(load[i] - by_machine, stock * steps)
            given = _draw(t, step, wanted, s * need[i], s * back[i])
            out, stock = out + given, stock - given
            if may[i] > 0 and ahead[i] > 0:
                held = 0.0
                for k in range(m):
                    held += layer * max(t[k] - s * back[i], 0.0)
                taken = _fill(t, step, spare[i] * left * may[i], s * inlet[i], ahead[i] - held)
                into, stock = into + taken, stock + taken
            lost += _settle(t, step, loss_each, s * ambient[i])
        charge[i], discharge[i], loss[i], mean[i] = into, out, s * lost, s * t.mean()
    return charge, discharge, loss, mean
