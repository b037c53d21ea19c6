"""A house made ready for its year, and the year stepped: arrays in, arrays out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics import airflow
from retrofit_desk.physics.description import Emitter, House
from retrofit_desk.physics.drawn_shades import kept_w_k
from retrofit_desk.physics.forcing import FabricForcing, fabric_forcing, lit_parts
from retrofit_desk.physics.network import (
    AIR_DENSITY_SEA_LEVEL_KG_M3,
    AIR_SPECIFIC_HEAT_J_KGK,
    AT_ONCE_S,
    SLICE_OF_HOURLY_DEPTH,
    Modes,
    Network,
    fabric_of,
    modes_of,
    network_of,
)
from retrofit_desk.physics.schedules import hourly
from retrofit_desk.physics.weather import HOURS, WeatherYear, density_factor

Array = NDArray[np.float64]
HOUR_S = 3600.0
MOST_START_REPEATS = 60
JANUARY_H = 744
START_SETTLED_K = 1e-4
FIRST_GUESS_C = 15.0


@dataclass(frozen=True, eq=False)
class Model:
    """A house ready to be stepped through its year; fabric, modes and forcing are shared between variants."""

    house: House
    weather: WeatherYear
    network: Network
    modes: Modes
    forcing: FabricForcing
    air_heat_j_m3k: float


def build_model(
    house: House,
    weather: WeatherYear,
    slice_share: float = SLICE_OF_HOURLY_DEPTH,
    at_once_s: float = AT_ONCE_S,
) -> Model:
    """Network, modes and forcing of a house.

    `slice_share` sets how fine the layers are cut, `at_once_s` which modes follow at once.
    """
    factor = house.site.density_factor
    if factor is None:
        factor = density_factor(weather.elevation_m)
    density = AIR_DENSITY_SEA_LEVEL_KG_M3 * factor
    fabric = fabric_of(house, density, slice_share)
    network = network_of(fabric)
    modes, forcing = (
        modes_of(network, at_once_s),
        fabric_forcing(fabric, lit_parts(house), weather, at_once_s),
    )
    return Model(house, weather, network, modes, forcing, density * AIR_SPECIFIC_HEAT_J_KGK)


@dataclass(frozen=True, eq=False)
class _Entry:
    """How heat enters each zone: node patterns (zones, nodes), limits in W, hours of look-ahead."""

    heat: Array
    cold: Array
    limit_heat_w: Array
    limit_cold_w: Array
    look_ahead_h: Array


@dataclass(frozen=True, eq=False)
class Kernel:
    """Arrays of the recursion that do not depend on the hour."""

    decay: Array
    gain: Array
    mean_of_state: Array
    mean_of_forcing: Array
    air_in: Array
    star_in: Array
    heat_in: Array
    cool_in: Array
    mean_row: Array
    control_row: Array
    mean_forcing_row: Array
    control_forcing_row: Array
    control_at_once: Array  # (zones, nodes) K/W by the fast modes; of the air: the first rows of the modes'
    response: Array


def _entries(model: Model) -> _Entry:
    count = len(model.house.zones)
    heat, cold = np.zeros((count, model.network.size)), np.zeros((count, model.network.size))
    limits_h, limits_c, ahead = np.zeros(count), np.zeros(count), np.ones(count)
    for k, zone in enumerate(model.house.zones):
        for emitter, pattern, limits in ((zone.heating, heat, limits_h), (zone.cooling, cold, limits_c)):
            pattern[k] = _pattern(model, k, emitter)
            limits[k] = np.inf if emitter.capacity_w is None else emitter.capacity_w
            ahead[k] = max(ahead[k], emitter.look_ahead_h)
    return _Entry(heat, cold, limits_h, limits_c, ahead)


def _pattern(model: Model, zone: int, emitter: Emitter) -> Array:
    pattern = np.zeros(model.network.size)
    if emitter.kind == "ideal":
        pattern[model.network.air[zone]] += 1.0 - emitter.radiative_fraction
        pattern[model.network.star[zone]] += emitter.radiative_fraction
        return pattern
    numbers = [i for i, s in enumerate(model.house.surfaces) if s.name in emitter.surfaces]
    area = np.array([model.house.surfaces[i].opaque_area_m2 for i in numbers])
    for i, share in zip(numbers, area / area.sum(), strict=True):
        pipe = model.network.surfaces[i].pipe
        assert pipe is not None
        pattern[pipe] += share
    return pattern


def _kernel(model: Model, entry: _Entry) -> Kernel:
    rates, shape, network = model.modes.rates_per_s, model.modes.shape, model.network
    decay, gain = _decay_and_gain(rates, HOUR_S)
    mean_state = gain / HOUR_S
    slow = rates * HOUR_S < 1e-6
    safe = np.where(slow, 1.0, rates)
    mean_forcing = np.where(slow, HOUR_S / 2.0, (1.0 - mean_state) / safe)
    air = shape[network.air]
    by_star = _by_star(model.house)
    air_at_once, star_at_once = np.split(model.modes.at_once_k_w[: 2 * len(air)], 2)
    sensed = _sensed(by_star, air, shape[network.star])
    sensed_at_once = _sensed(by_star, air_at_once, star_at_once)
    control, control_forcing = np.empty_like(sensed), np.empty_like(sensed)
    for k, hours in enumerate(entry.look_ahead_h):
        at_end, by_forcing = _decay_and_gain(rates, HOUR_S * hours)
        entering, at_once = entry.heat[k] @ shape, float(sensed_at_once[k] @ entry.heat[k])
        weight = 1.0 if hours > 1 else _end_weight(sensed[k], mean_forcing, by_forcing, entering, at_once)
        control[k] = sensed[k] * (weight * at_end + (1.0 - weight) * mean_state)
        control_forcing[k] = sensed[k] * (weight * by_forcing + (1.0 - weight) * mean_forcing)
    air_nodes = np.eye(network.size)[network.air]
    enters = [air_nodes, entry.heat, entry.cold]
    mean_forcing_row = air * mean_forcing
    rows = (mean_forcing_row, air_at_once), (control_forcing, sensed_at_once)
    response = np.array([row @ (e @ shape).T + at_once @ e.T for row, at_once in rows for e in enters])
    return Kernel(
        decay,
        gain,
        mean_state,
        mean_forcing,
        np.ascontiguousarray(air),
        np.ascontiguousarray(shape[network.star]),
        np.ascontiguousarray(entry.heat @ shape),
        np.ascontiguousarray(entry.cold @ shape),
        np.ascontiguousarray(air * mean_state),
        np.ascontiguousarray(control),
        mean_forcing_row,
        control_forcing,
        sensed_at_once,
        np.ascontiguousarray(response),
    )


def _by_star(house: House) -> NDArray[np.bool_]:
    """Zones whose thermostat feels the walls as much as the air."""
    return np.array([z.thermostat is not None and z.thermostat.controls != "air" for z in house.zones])


def _sensed(by_star: NDArray[np.bool_], air: Array, star: Array) -> Array:
    """Rows (zones, columns) of what each thermostat feels: the air, or the mean of air and radiant."""
    return np.where(by_star[:, None], (air + star) / 2.0, air)


def _end_weight(
    sensed: Array, mean_forcing: Array, end_forcing: Array, enters: Array, at_once_k_w: float
) -> float:
    """How far a set-point holds the hour's end instead of its mean, 0 to 1.

    A room that answers within the hour is held at its mean, as a real thermostat does. One that answers like
    a store (its mean moves half as much as its end) would swing from hour to hour, so its end is held.
    """
    mean, end = (float(sensed * forcing @ enters) + at_once_k_w for forcing in (mean_forcing, end_forcing))
    quickness = mean / end
    return float(np.clip((0.65 - quickness) / 0.15, 0.0, 1.0))


def _decay_and_gain(rates_per_s: Array, seconds: float) -> tuple[Array, Array]:
    decay = np.exp(-rates_per_s * seconds)
    safe = np.where(rates_per_s * seconds < 1e-12, 1.0, rates_per_s)
    return decay, np.where(rates_per_s * seconds < 1e-12, seconds, -np.expm1(-safe * seconds) / safe)


@dataclass(frozen=True, eq=False)
class Run:
    """Raw arrays of a stepped year, (8760, zones) unless said."""

    air_c: Array
    power_w: Array
    outdoor_air_w: Array
    shades_w: Array  # kept from the windows' loss by drawn shades
    opening_m3_s: Array
    air: airflow.OutdoorAir
    gains_w: Array
    seen_c: Array  # hourly means of the seen nodes, (8760, seen nodes); empty where not wanted
    start_modes: Array
    end_modes: Array
    total_modes: Array  # sum of the hourly means
    entered_wh: Array  # the year's heat into each node, (nodes,)
    repeats: int
    settled: bool
    unsettled: int


class _Steps(NamedTuple):
    """What the compiled loop takes before its outputs, in its order; `stepper.step_hours` tells each."""

    forcing: Array
    gains: tuple[Array, Array]
    modal: tuple[Array, ...]
    entering: tuple[Array, ...]
    rows: tuple[Array, Array]
    bases: tuple[Array, Array]
    response: Array
    air: tuple[Array, Array, float]
    controls: tuple[Array, ...]
    opened: tuple[NDArray[np.int64] | Array, ...]
    carried: tuple[NDArray[np.int64] | Array, ...]


def step_year(model: Model, *, keep_states: bool = True) -> Run:
    """Step a model through its year from a cyclic January; hourly states cost memory and are optional."""
    from retrofit_desk.physics.stepper import step_hours

    entry = _entries(model)
    house, weather, zones = model.house, model.weather, len(model.house.zones)
    air, opened = airflow.outdoor_air(house, weather), airflow.openings(house, weather)
    kept = kept_w_k(house, tuple(sun.incident_w_m2 for sun in model.forcing.sun.windows), weather)
    gains = _gains(model, air.fan_heat_w)
    modes, doors = len(model.modes.rates_per_s), len(opened.zone)
    z = model.modes.to_modes @ np.full(model.network.size, FIRST_GUESS_C)
    steps = _steps(model, entry, (air.heat_m3_s * model.air_heat_j_m3k - kept, opened), gains, z)
    repeats, settled = _repeat_january(model, steps, z, doors)
    start, total = z.copy(), np.zeros(modes)
    mean, power, air_w = (np.empty((HOURS, zones)) for _ in range(3))
    flow = np.zeros((HOURS, doors))
    keep = np.empty((HOURS if keep_states else 0, modes))
    unsettled = int(step_hours(HOURS, *steps, (mean, power, air_w, flow, keep, total)))
    if keep_states:
        total = keep.sum(axis=0)
    shades_w = kept * (mean - weather.temp_c[:, None])
    entries = _entered(model, entry, air_w + gains[0], gains[1], power)
    return Run(
        mean,
        power,
        air_w - shades_w,
        shades_w,
        flow,
        air,
        gains[0] + gains[1],
        _seen(model, keep, entries) if keep_states else np.empty((0, len(model.network.seen))),
        start,
        z,
        total,
        model.forcing.year_wh + sum(heat.sum(axis=0) @ nodes for heat, nodes in entries),
        repeats,
        settled,
        unsettled,
    )


def _steps(
    model: Model, entry: _Entry, by_air: tuple[Array, airflow.Openings], gains: tuple[Array, Array], z: Array
) -> _Steps:
    """`by_air`: conductance to outdoors by hour and zone in W/K, and the openings."""
    kernel, (conductance_w_k, opened) = _kernel(model, entry), by_air
    zones, is_open = len(model.house.zones), np.zeros(len(opened.zone), dtype=np.int64)
    return _Steps(
        model.forcing.modal,
        gains,
        (kernel.decay, kernel.gain, kernel.mean_of_state, kernel.mean_of_forcing),
        (kernel.air_in, kernel.star_in, kernel.heat_in, kernel.cool_in),
        (kernel.mean_row, kernel.control_row),
        _bases(model, kernel, *gains),
        kernel.response,
        (conductance_w_k, model.weather.temp_c, model.air_heat_j_m3k),
        (*_set_points(model.house), entry.limit_heat_w, entry.limit_cold_w),
        (opened.zone, opened.wind, opened.stack, opened.open_above_c, opened.close_below_c, is_open),
        (z, np.zeros(zones, dtype=np.int64), np.full(zones, FIRST_GUESS_C)),
    )


def _repeat_january(model: Model, steps: _Steps, z: Array, doors: int) -> tuple[int, bool]:
    """Step January until its end is its beginning; `z` is left there. How often, and whether it settled."""
    from retrofit_desk.physics.stepper import step_hours

    zones, modes = len(model.house.zones), len(z)
    nothing = (*(np.empty((0, zones)) for _ in range(3)), np.empty((0, doors)), np.empty((0, modes)))
    for repeat in range(1, MOST_START_REPEATS + 1):
        before = z.copy()
        step_hours(JANUARY_H, *steps, (*nothing, np.empty(modes)))
        if np.abs(model.modes.shape @ (z - before)).max() < START_SETTLED_K:
            return repeat, True
    return MOST_START_REPEATS, False


def _entered(
    model: Model, entry: _Entry, to_air_w: Array, radiant_w: Array, power_w: Array
) -> tuple[tuple[Array, Array], ...]:
    """Heat besides the forcing (8760, zones), each with the nodes it enters (zones, nodes)."""
    one = np.eye(model.network.size)
    heat, cold = np.maximum(power_w, 0.0), np.minimum(power_w, 0.0)
    air, star = one[model.network.air], one[model.network.star]
    return (to_air_w, air), (radiant_w, star), (heat, entry.heat), (cold, entry.cold)


def _seen(model: Model, mean_modes: Array, entries: tuple[tuple[Array, Array], ...]) -> Array:
    """Hourly mean temperature of the seen nodes by slow and fast modes, (8760, seen nodes)."""
    modes = model.modes
    found = mean_modes @ modes.shape[model.network.seen].T + model.forcing.at_once_k
    for heat, nodes in entries:
        found += heat @ (nodes @ modes.at_once_k_w.T)
    return np.asarray(found)


def _gains(model: Model, fan_heat_w: Array) -> tuple[Array, Array]:
    """Sensible gains to the air and radiant, (hours, zones) in W."""
    to_air, radiant = fan_heat_w.copy(), np.zeros_like(fan_heat_w)
    for k, zone in enumerate(model.house.zones):
        for gain in zone.gains:
            sensible = hourly(gain.power_w, 0.0) * gain.sensible_fraction
            to_air[:, k] += sensible * (1.0 - gain.radiative_fraction)
            radiant[:, k] += sensible * gain.radiative_fraction
    return to_air, radiant


def _bases(model: Model, kernel: Kernel, to_air: Array, radiant: Array) -> tuple[Array, Array]:
    """Mean and controlled temperatures by forcing and gains alone, (hours, zones)."""
    zones, modes, network = len(kernel.air_in), model.modes, model.network
    rows = np.vstack([kernel.mean_forcing_row, kernel.control_forcing_row])
    at_once = np.vstack([modes.at_once_k_w[:zones], kernel.control_at_once])
    found = model.forcing.modal @ rows.T
    found += to_air @ (rows @ kernel.air_in.T + at_once[:, network.air]).T
    found += radiant @ (rows @ kernel.star_in.T + at_once[:, network.star]).T
    air_k, star_k = model.forcing.at_once_k[:, :zones], model.forcing.at_once_k[:, zones : 2 * zones]
    found[:, :zones] += air_k
    found[:, zones:] += _sensed(_by_star(model.house), air_k.T, star_k.T).T
    return np.ascontiguousarray(found[:, :zones]), np.ascontiguousarray(found[:, zones:])


def _set_points(house: House) -> tuple[Array, Array]:
    heat_to = np.full((HOURS, len(house.zones)), -np.inf)
    cool_to = np.full((HOURS, len(house.zones)), np.inf)
    for k, zone in enumerate(house.zones):
        if zone.thermostat is not None:
            heat_to[:, k] = hourly(zone.thermostat.heating_c, -np.inf)
            cool_to[:, k] = hourly(zone.thermostat.cooling_c, np.inf)
    return heat_to, cool_to
