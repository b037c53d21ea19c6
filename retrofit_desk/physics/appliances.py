"""Cooking, drying, lights, plugs and the car: yearly use and its hours."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.errors import require_positive
from retrofit_desk.physics.over_arrays import over_arrays
from retrofit_desk.physics.plant_description import CarCharger, HouseholdUse

Array = NDArray[np.float64]
DAYS = 365
LB_PER_LOAD = 8.45  # 10 CFR 430 Subpart B App. D2 test load

# Weights of the hours of a usual day, 00:00 first: common practice, no source
PLUG_SHAPE = (5, 4, 4, 4, 4, 5, 7, 8, 8, 7, 7, 7, 7, 7, 7, 7, 8, 10, 12, 13, 13, 12, 10, 7)
LIGHT_SHAPE = (2, 1, 1, 1, 1, 3, 6, 6, 4, 2, 2, 2, 2, 2, 2, 2, 4, 8, 12, 14, 14, 12, 8, 4)
COOKING_SHAPE = (0, 0, 0, 0, 0, 0, 2, 4, 3, 1, 1, 2, 4, 2, 1, 1, 3, 10, 10, 4, 1, 1, 0, 0)
DRYER_SHAPE = (0, 0, 0, 0, 0, 0, 0, 1, 3, 4, 4, 4, 3, 3, 3, 3, 3, 3, 4, 4, 3, 2, 0, 0)


def spread(kwh_per_year: float, shape: tuple[float, ...]) -> Array:
    """A yearly use over equal days, (8760,) W."""
    day = np.array(shape, dtype=float)
    return np.tile(day / day.sum() * kwh_per_year * 1000.0 / DAYS, DAYS)


@over_arrays
def same_pan_kwh(fuel_kwh: float, old_efficiency: float, new_efficiency: float) -> float:
    """Energy of another range that puts the same heat into the pan."""
    require_positive("new_efficiency", new_efficiency)
    return fuel_kwh * old_efficiency / new_efficiency


@over_arrays
def dryer_kwh(loads: float, laundry_per_load: float, laundry_per_kwh: float) -> float:
    """Yearly energy by the combined energy factor (CEF); laundry in one and the same unit of mass."""
    require_positive("laundry_per_kwh", laundry_per_kwh)
    return loads * laundry_per_load / laundry_per_kwh


def car_kwh(distance: float, kwh_per_distance: float) -> float:
    """Yearly charging; both in the same unit of distance."""
    return distance * kwh_per_distance


@over_arrays
def charging_hours_per_day(yearly_kwh: float, charger_kw: float) -> float:
    """Mean hours a day on the charger."""
    require_positive("charger_kw", charger_kw)
    return yearly_kwh / DAYS / charger_kw


def car_load_w(charger: CarCharger, use: HouseholdUse) -> Array:
    """Charging, (8760,) W, filling the allowed hours in their order; what does not fit is left out."""
    left = _car_wh_per_day(charger, use)
    day = np.zeros(24)
    for hour in charger.hours:
        day[hour] = min(left, charger.charger_w)
        left -= day[hour]
    return np.tile(day, DAYS)


def held_back_car_w(charger: CarCharger, use: HouseholdUse, rest_w: Array, limit_w: float) -> Array:
    """Charging, (8760,) W, only as far as the whole house with its other load `rest_w` stays under the limit.

    What a day's hours cannot take waits for the next day. Hours are filled in their order, as without limit.
    """
    room = np.minimum(np.maximum(limit_w - rest_w, 0.0), charger.charger_w).reshape(DAYS, 24)
    load, waiting = np.zeros((DAYS, 24)), 0.0
    for day in range(DAYS):
        waiting += _car_wh_per_day(charger, use)
        for hour in charger.hours:
            load[day, hour] = min(waiting, room[day, hour])
            waiting -= load[day, hour]
    return load.ravel()


def _car_wh_per_day(charger: CarCharger, use: HouseholdUse) -> float:
    return use.car_km_per_year * charger.kwh_per_km * 1000.0 / DAYS
