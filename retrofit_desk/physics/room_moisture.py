"""Water vapor of the room air by the hour: outdoor air, people, a dehumidifier, buffering surfaces."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numba import njit
from numpy.typing import NDArray

from retrofit_desk.physics.network import AIR_SPECIFIC_HEAT_J_KGK
from retrofit_desk.physics.psychrometrics import saturation_pressure_pa
from retrofit_desk.physics.schedules import hourly
from retrofit_desk.physics.stepping import Model, Run
from retrofit_desk.physics.weather import HOURS

Array = NDArray[np.float64]

HOUR_S = 3600.0
LATENT_HEAT_J_KG = 2.45e6  # at room temperature
MOLAR_MASS_RATIO = 0.621945


@dataclass(frozen=True, eq=False)
class MoistureYear:
    """(8760, zones): hourly mean humidity ratio in kg/kg and the water taken out, kg/s."""

    humidity_ratio: Array
    removed_kg_s: Array

    @property
    def latent_cooling_w(self) -> Array:
        return np.asarray(self.removed_kg_s * LATENT_HEAT_J_KG)


def humidity_ratio(dew_point_c: Array, pressure_pa: Array) -> Array:
    """kg of water a kg of dry air, shapes broadcast. ASHRAE Fundamentals ch. 1."""
    vapor = saturation_pressure_pa(dew_point_c)
    return np.asarray(MOLAR_MASS_RATIO * vapor / (pressure_pa - vapor))


def limit_ratio(temp_c: Array, rh_percent: float, pressure_pa: Array) -> Array:
    """Humidity ratio of air at that relative humidity, shapes broadcast. ASHRAE Fundamentals ch. 1."""
    vapor = rh_percent / 100.0 * saturation_pressure_pa(temp_c)
    return np.asarray(MOLAR_MASS_RATIO * vapor / (pressure_pa - vapor))


def room_moisture(model: Model, run: Run) -> MoistureYear:
    """Moisture of every zone over a stepped year; water is taken out down to the stated relative humidity."""
    house, weather, density = model.house, model.weather, model.air_heat_j_m3k / AIR_SPECIFIC_HEAT_J_KGK
    count = len(house.zones)
    air = np.array([z.volume_m3 * density * z.moisture_capacity_factor for z in house.zones])
    flow, gain, limit = run.air.moist_m3_s.copy(), np.zeros((HOURS, count)), np.full((HOURS, count), np.inf)
    opening = 0
    for k, zone in enumerate(house.zones):
        for _ in zone.openings:
            flow[:, k] += run.opening_m3_s[:, opening]
            opening += 1
        for part in zone.gains:
            latent = hourly(part.power_w, 0.0) * (1.0 - part.sensible_fraction) / LATENT_HEAT_J_KG
            gain[:, k] += latent + hourly(part.moisture_kg_h, 0.0) / HOUR_S
        if zone.thermostat is not None and zone.thermostat.dehumidify_above_rh_percent is not None:
            limit[:, k] = limit_ratio(
                run.air_c[:, k], zone.thermostat.dehumidify_above_rh_percent, weather.pressure_pa
            )
    names = {zone.name: k for k, zone in enumerate(house.zones)}
    between = np.zeros((count, count))
    for path in house.air_paths:
        a, b = names[path.zone_a], names[path.zone_b]
        between[a, b] += path.flow_m3_s * density
        between[b, a] += path.flow_m3_s * density
    outdoor = humidity_ratio(weather.dew_point_c, weather.pressure_pa)
    return step_moisture(air, flow * density, outdoor, between, gain, limit)


def step_moisture(
    air_kg: Array,
    outdoor_kg_s: Array,
    outdoor_ratio: Array,
    between_kg_s: Array,
    gain_kg_s: Array,
    limit: Array,
) -> MoistureYear:
    """The exact hourly balance of well-mixed rooms.

    air_kg (zones): dry air with what surfaces buffer; outdoor_kg_s and gain_kg_s (8760, zones); between_kg_s
    (zones, zones): equal exchange; limit (8760, zones): ratio above which water is taken out, inf for none.
    Rooms exchange at the last hour's ratios. Standard mass balance, ASHRAE Fundamentals ch. 1 and 16.
    """
    ratio, removed = np.empty_like(outdoor_kg_s), np.zeros_like(outdoor_kg_s)
    start = np.full(len(air_kg), float(outdoor_ratio[:744].mean()))
    for last in (744, 744, 744, len(outdoor_ratio)):
        _step(
            last, air_kg, outdoor_kg_s, outdoor_ratio, between_kg_s, gain_kg_s, limit, start, ratio, removed
        )
    return MoistureYear(ratio, removed)


@njit(cache=True, nogil=True)
def _step(last, air_kg, outdoor_kg_s, outdoor, between, gain, limit, now, ratio, removed):  # type: ignore[no-untyped-def]
    zones = now.shape[0]
    before = np.empty(zones)
    for t in range(last):
        before[:] = now
        for k in range(zones):
            exchange = outdoor_kg_s[t, k]
            source = gain[t, k] + exchange * outdoor[t]
            for j in range(zones):
                exchange += between[k, j]
                source += between[k, j] * before[j]
            x = exchange * HOUR_S / air_kg[k]
            keep = np.exp(-x)
            follow = (1.0 - keep) / exchange if x > 1e-12 else HOUR_S / air_kg[k]
            end = keep * before[k] + follow * source
            removed[t, k] = max(end - limit[t, k], 0.0) / follow
            end = min(end, limit[t, k])
            mean_share = (1.0 - keep) / x if x > 1e-12 else 1.0
            level = (source - removed[t, k]) / exchange if x > 1e-12 else end
            ratio[t, k] = level + (before[k] - level) * mean_share
            now[k] = end
