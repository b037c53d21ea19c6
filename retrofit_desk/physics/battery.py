"""A battery between roof, house and network, hour by hour; and the shares of sun used at home."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

from retrofit_desk.physics.plant_description import Battery

Array = NDArray[np.float64]
SETTLING_H = 720  # run before the year, so that it starts in a state of its own


@dataclass(frozen=True, eq=False)
class PowerFlows:
    """Electricity by the hour, (hours,) W."""

    load_w: Array
    solar_w: Array
    direct_w: Array
    charge_w: Array
    discharge_w: Array
    import_w: Array
    export_w: Array
    stored_kwh: Array

    @property
    def self_consumption(self) -> float:
        """Share of the roof's electricity used on site (through the battery less its losses)."""
        made = float(self.solar_w.sum())
        return float(self.direct_w.sum() + self.discharge_w.sum()) / made if made else 0.0

    @property
    def self_sufficiency(self) -> float:
        """Share of the load met from the roof."""
        load = float(self.load_w.sum())
        return float(self.direct_w.sum() + self.discharge_w.sum()) / load if load else 0.0


def flows(load_w: Array, solar_w: Array, battery: Battery | None) -> PowerFlows:
    """Sun to the load first, then to the battery, then out; the battery feeds the load, never the network.

    In its charging hours it fills from the network too, and does not feed.
    """
    direct = np.minimum(load_w, solar_w)
    surplus, lacking = solar_w - direct, load_w - direct
    if battery is None:
        zero = np.zeros(load_w.shape)
        return PowerFlows(load_w, solar_w, direct, zero, zero, lacking, surplus, zero)
    hour = np.arange(load_w.size) % 24
    buys = np.isin(hour, battery.charge_hours)
    may = (np.isin(hour, battery.discharge_hours) & ~buys).astype(float)
    offered = np.where(buys, np.inf, surplus)
    # losses are laid half on the way in, half on the way out
    one_way = battery.round_trip**0.5
    numbers = (
        battery.usable_kwh * 1000.0,
        battery.usable_kwh * 1000.0 * battery.reserve,
        battery.power_w,
        one_way,
    )
    charge, discharge, stored = _battery_loop(numbers, offered, lacking, may)
    bought = np.maximum(charge - surplus, 0.0)
    return PowerFlows(
        load_w,
        solar_w,
        direct,
        charge,
        discharge,
        lacking - discharge + bought,
        surplus - charge + bought,
        stored / 1000.0,
    )


@njit(cache=True, nogil=True)  # type: ignore[untyped-decorator, unused-ignore]
def _battery_loop(numbers: Any, offered: Any, lacking: Any, may: Any) -> Any:
    # It loops because the battery remembers; the last days are run first.
    full, reserve, power, one_way = numbers
    n = offered.shape[0]
    charge, discharge, stored = np.zeros(n), np.zeros(n), np.zeros(n)
    held = reserve
    for h in range(-min(SETTLING_H, n), n):
        i = h % n
        into = min(offered[i], power, (full - held) / one_way)
        held += into * one_way
        out = min(lacking[i], power, (held - reserve) * one_way) * may[i]
        held -= out / one_way
        charge[i], discharge[i], stored[i] = into, out, held
    return charge, discharge, stored
