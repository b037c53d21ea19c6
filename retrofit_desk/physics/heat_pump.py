"""Heat pumps by the hour: capacity and power apart, cycling, frost, cut-out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

from retrofit_desk.physics.errors import ImpossibleValue
from retrofit_desk.physics.over_arrays import over_arrays
from retrofit_desk.physics.plant_machines import OutdoorAir, RatingPoint, Ratings

Array = NDArray[np.float64]
KELVIN = 273.15

# 17, 35, 45 and 47 degF of 10 CFR 430 Subpart B App. M1 4.2.1
FROST_COLD_C, FROST_MIDDLE_C, FROST_WARM_C, NOMINAL_C = -25.0 / 3.0, 5.0 / 3.0, 65.0 / 9.0, 25.0 / 3.0
FROST_CAPACITY, FROST_POWER = 0.90, 0.985

# A machine known by one point only: capacity per kelvin of source, and how far the refrigerant runs
# from air and from water. Common practice, no source; heating water keeps a plain share of Carnot.
ONE_POINT_HEATING_PER_K, ONE_POINT_COOLING_PER_K = 0.025, -0.010
AIR_APPROACH_K, WATER_APPROACH_K = 12.0, 5.0
ONE_POINT_SOURCES_C = (-30.0, -15.0, 0.0, 10.0, 20.0, 35.0)
ONE_POINT_LOADS_C = (5.0, 20.0, 35.0, 45.0, 55.0, 65.0)
SMALLEST_LIFT_K = 5.0


@over_arrays
def carnot_cop_heating(hot_c: float, cold_c: float) -> float:
    """T_hot / (T_hot - T_cold), absolute; no real machine is above it."""
    if hot_c <= cold_c:
        raise ImpossibleValue(f"hot_c must be above cold_c, not {hot_c:g} against {cold_c:g}")
    return (hot_c + KELVIN) / (hot_c - cold_c)


@over_arrays
def constant_fraction_cop(fraction: float, hot_c: float, cold_c: float) -> float:
    """COP as a fixed share of Carnot between source and water."""
    return fraction * carnot_cop_heating(hot_c, cold_c)


def balance_temp_c(loss_w_k: float, base_c: float, cold: RatingPoint, warm: RatingPoint) -> float:
    """Outdoor temperature at which capacity equals load, straight lines (common practice)."""
    slope = (warm.capacity_w - cold.capacity_w) / (warm.source_c - cold.source_c)
    return (loss_w_k * base_c - cold.capacity_w + slope * cold.source_c) / (loss_w_k + slope)


@dataclass(frozen=True, eq=False)
class PerformanceMap:
    """Capacity and power, W, on a grid (sources, loads); a map to air has one load column."""

    sources_c: Array
    loads_c: Array
    capacity_w: Array
    power_w: Array

    def at(self, source_c: Array, load_c: Array) -> tuple[Array, Array]:
        """Capacity and power for each hour, (hours,) W; linear between the points and beyond them."""
        grid = self.sources_c, self.loads_c
        return _bilinear(*grid, self.capacity_w, source_c, load_c), _bilinear(
            *grid, self.power_w, source_c, load_c
        )


def map_of(points: tuple[RatingPoint, ...], *, cooling: bool = False) -> PerformanceMap:
    """Grid of rating points. One point alone is scaled by a constant share of Carnot."""
    if len(points) == 1:
        return _map_of_one(points[0], cooling=cooling)
    sources = sorted({p.source_c for p in points})
    loads = sorted({0.0 if p.load_c is None else p.load_c for p in points})
    capacity, power = np.zeros((len(sources), len(loads))), np.zeros((len(sources), len(loads)))
    for point in points:
        i = sources.index(point.source_c)
        j = loads.index(0.0 if point.load_c is None else point.load_c)
        capacity[i, j], power[i, j] = point.capacity_w, point.power_w
    return PerformanceMap(np.array(sources), np.array(loads), capacity, power)


def _map_of_one(point: RatingPoint, *, cooling: bool) -> PerformanceMap:
    # a machine to air keeps its room side: 20 degC in winter, 26.7 degC in summer
    room = 26.7 if cooling else 20.0
    to_air = point.load_c is None
    rated_load = room if point.load_c is None else point.load_c
    loads = (rated_load,) if to_air else ONE_POINT_LOADS_C
    shape = len(ONE_POINT_SOURCES_C), len(loads)
    capacity, power = np.zeros(shape), np.zeros(shape)
    share = point.capacity_w / point.power_w / _carnot(point.source_c, rated_load, cooling, to_air)
    per_k = ONE_POINT_COOLING_PER_K if cooling else ONE_POINT_HEATING_PER_K
    for i, source in enumerate(ONE_POINT_SOURCES_C):
        for j, load in enumerate(loads):
            capacity[i, j] = point.capacity_w * max(0.1, 1.0 + per_k * (source - point.source_c))
            power[i, j] = capacity[i, j] / (share * _carnot(source, load, cooling, to_air))
    return PerformanceMap(np.array(ONE_POINT_SOURCES_C), np.array(loads), capacity, power)


def _carnot(source_c: float, load_c: float, cooling: bool, to_air: bool) -> float:
    """Between refrigerant temperatures for air and for cold, between water and source for warm water."""
    approach = AIR_APPROACH_K if to_air else WATER_APPROACH_K if cooling else 0.0
    hot, cold = (source_c, load_c) if cooling else (load_c, source_c)
    hot, cold = hot + approach, cold - approach
    used = cold if cooling else hot
    return (used + KELVIN) / max(hot - cold, SMALLEST_LIFT_K)


@njit(cache=True, nogil=True)  # type: ignore[untyped-decorator, unused-ignore]
def _bilinear(xs: Any, ys: Any, z: Any, x: Any, y: Any) -> Any:
    out = np.empty(x.shape[0])
    nx, ny = xs.shape[0], ys.shape[0]
    for h in range(x.shape[0]):
        i = min(max(np.searchsorted(xs, x[h]) - 1, 0), max(nx - 2, 0))
        j = min(max(np.searchsorted(ys, y[h]) - 1, 0), max(ny - 2, 0))
        u = (x[h] - xs[i]) / (xs[i + 1] - xs[i]) if nx > 1 else 0.0
        v = (y[h] - ys[j]) / (ys[j + 1] - ys[j]) if ny > 1 else 0.0
        i2, j2 = min(i + 1, nx - 1), min(j + 1, ny - 1)
        low = z[i, j] * (1.0 - u) + z[i2, j] * u
        high = z[i, j2] * (1.0 - u) + z[i2, j2] * u
        out[h] = low * (1.0 - v) + high * v
    return out


@dataclass(frozen=True, eq=False)
class HourlyLimits:
    """What a machine can do in each hour, (hours,) W, while running at full and at lowest speed."""

    capacity_w: Array
    power_w: Array
    low_capacity_w: Array
    low_power_w: Array
    available: Array
    cycling_coefficient: float

    def can_give_w(self) -> Array:
        """Most heat (or cold) of the hour, W."""
        return self.capacity_w * self.available


def limits(
    ratings: Ratings, source_c: Array, load_c: Array, *, air: OutdoorAir | None = None, cooling: bool = False
) -> HourlyLimits:
    """Capacity and power in each hour from source and load temperatures, (hours,) degC.

    Heating from air: the frost default of App. M1 4.2.1 between 17 and 45 degF; off below the
    cut-out and where the COP would fall under 1, half on between the two cut-out temperatures.
    """
    full = map_of(ratings.points, cooling=cooling)
    low = map_of(ratings.low_speed_points, cooling=cooling) if ratings.low_speed_points else full
    capacity, power = full.at(source_c, load_c)
    low_capacity, low_power = (capacity, power) if low is full else low.at(source_c, load_c)
    available = np.ones(source_c.shape)
    if air is not None and not cooling:
        if air.frost_dip:
            capacity, power = _frosted(full, source_c, load_c, capacity, power)
            if low is full:
                low_capacity, low_power = capacity, power
            else:
                low_capacity, low_power = _frosted(low, source_c, load_c, low_capacity, low_power)
        available = _availability(air, source_c)
    floor = 0.02 * float(full.capacity_w.min())
    capacity = np.maximum(capacity, floor)
    power = np.maximum(power, 0.02 * float(full.power_w.min()))
    if air is not None and not cooling:
        available = np.where(capacity < power, 0.0, available)
    low_capacity = np.clip(low_capacity, floor, capacity)
    low_power = np.clip(low_power, 0.02 * float(low.power_w.min()), power)
    return HourlyLimits(capacity, power, low_capacity, low_power, available, ratings.cycling_coefficient)


def _frosted(
    grid: PerformanceMap, source_c: Array, load_c: Array, capacity: Array, power: Array
) -> tuple[Array, Array]:
    cold_q, cold_p = grid.at(np.full_like(source_c, FROST_COLD_C), load_c)
    warm_q, warm_p = grid.at(np.full_like(source_c, NOMINAL_C), load_c)
    middle_q = FROST_CAPACITY * (cold_q + 0.6 * (warm_q - cold_q))
    middle_p = FROST_POWER * (cold_p + 0.6 * (warm_p - cold_p))
    part = (source_c - FROST_COLD_C) / (FROST_MIDDLE_C - FROST_COLD_C)
    frosty = (source_c > FROST_COLD_C) & (source_c < FROST_WARM_C)
    return (
        np.where(frosty, cold_q + (middle_q - cold_q) * part, capacity),
        np.where(frosty, cold_p + (middle_p - cold_p) * part, power),
    )


def _availability(air: OutdoorAir, outdoor_c: Array) -> Array:
    if air.off_below_c is None:
        return np.ones(outdoor_c.shape)
    on = air.off_below_c if air.on_again_above_c is None else air.on_again_above_c
    half = np.where(outdoor_c > on, 1.0, 0.5)
    return np.asarray(np.where(outdoor_c <= air.off_below_c, 0.0, half))


@dataclass(frozen=True, eq=False)
class Running:
    """What a machine did in each hour, (hours,)."""

    delivered_w: Array
    power_w: Array
    running_share: Array

    @property
    def cop(self) -> Array:
        """Delivered by power; not a number in hours without power."""
        out = np.full(self.power_w.shape, np.nan)
        np.divide(self.delivered_w, self.power_w, out=out, where=self.power_w > 0)
        return out


def run(able: HourlyLimits, asked_w: Array, *, also_running: Array | float = 0.0) -> Running:
    """Serve a load, (hours,) W: slow down to the lowest speed, then cycle (PLF = 1 - C_D (1 - X)).

    `also_running` is the share of the hour in which the machine runs for another load: it cycles less.
    """
    given = np.minimum(asked_w, able.can_give_w())
    # below the lowest speed: on for a share of the hour
    low = np.maximum(able.low_capacity_w * np.where(able.available > 0, able.available, 1.0), 1e-9)
    share = np.minimum(given / low, 1.0)
    idle = 1.0 - np.minimum(share + also_running, 1.0)
    cycling = share * able.low_power_w / (1.0 - able.cycling_coefficient * idle)
    span = np.maximum(able.capacity_w - able.low_capacity_w, 1e-9)
    up = np.clip((given - able.low_capacity_w) / span, 0.0, 1.0)
    turning = able.low_power_w + up * (able.power_w - able.low_power_w)
    # half on: full-speed hours count by their share
    part_hour = np.where(able.available > 0, able.available, 1.0)
    power = np.where(given < low, cycling * part_hour, turning * part_hour)
    power = np.where(given > 0, power, 0.0)
    return Running(given, power, np.where(given > 0, share * part_hour, 0.0))
