"""Electricity from the roof by the hour (simple model of Dobos 2014, NREL/TP-6A20-62641)."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.description import OPEN_SITE, Site
from retrofit_desk.physics.plant_description import Inverter, Mounting, SolarArray
from retrofit_desk.physics.sun_on_house import sun_on_plane
from retrofit_desk.physics.weather import MONTH_OF_HOUR, WeatherYear

Array = NDArray[np.float64]
REFERENCE_EFFICIENCY = 0.9637

# a, b, dT: King et al. 2004, Sandia module temperature (second-hand)
MODULE_TEMPERATURE: dict[Mounting, tuple[float, float, float]] = {
    "open rack": (-3.47, -0.0594, 3.0),
    "flush on roof": (-2.98, -0.0471, 1.0),
    "open rack, plastic back": (-3.56, -0.075, 3.0),
    "insulated back": (-2.81, -0.0455, 0.0),
}


def combined_loss(losses: tuple[float, ...]) -> float:
    """1 - product(1 - L), fractions."""
    return 1.0 - math.prod(1.0 - loss for loss in losses)


def dc_power_w(sun_w_m2: Any, cell_c: Any, nameplate_w: float, per_k: float) -> Any:
    """Direct current before losses."""
    return sun_w_m2 / 1000.0 * nameplate_w * (1.0 + per_k * (cell_c - 25.0))


def cell_temp_c(sun_w_m2: Any, air_c: Any, wind_m_s: Any, mounting: Mounting) -> Any:
    """Cell temperature (King et al. 2004)."""
    a, b, delta = MODULE_TEMPERATURE[mounting]
    back = air_c + sun_w_m2 * np.exp(a + b * wind_m_s)
    return back + sun_w_m2 / 1000.0 * delta


def cell_temp_by_u_c(sun_w_m2: Any, air_c: Any, wind_m_s: Any, u0: float = 25.0, u1: float = 6.84) -> Any:
    """Cell temperature by a heat-loss coefficient (Faiman 2008)."""
    return air_c + sun_w_m2 / (u0 + u1 * wind_m_s)


def ac_power_w(dc_w: Any, ac_limit_w: float, efficiency: float) -> Any:
    """Inverter output, clipped; no light, no output."""
    dc_limit = ac_limit_w / efficiency
    zeta = np.maximum(np.asarray(dc_w, dtype=float) / dc_limit, 0.0)
    safe = np.maximum(zeta, 1e-9)
    curve = efficiency / REFERENCE_EFFICIENCY * (-0.0162 * safe - 0.0059 / safe + 0.9858)
    return np.where(zeta > 0, np.clip(curve * zeta * dc_limit, 0.0, ac_limit_w), 0.0)


@lru_cache(maxsize=64)
def array_dc_w(array: SolarArray, weather: WeatherYear, site: Site = OPEN_SITE) -> Array:
    """Direct current of one array, (8760,) W, after its losses, shading and age.

    Stated monthly shading is the whole of it; without it the hills and trees of the site shade the array.
    """
    plane = sun_on_plane(site, array.tilt_deg, array.azimuth_deg, weather)
    if array.monthly_shading:
        sun = plane.unshaded_w_m2 * (1.0 - np.array(array.monthly_shading))[MONTH_OF_HOUR]
    else:
        sun = plane.incident_w_m2
    cell = cell_temp_c(sun, weather.temp_c, weather.wind_m_s, array.mounting)
    power = dc_power_w(sun, cell, array.dc_w, array.temp_coefficient_per_k)
    kept = (1.0 - array.losses) * (1.0 - array.fade_per_year) ** array.age_years
    out = np.maximum(power * kept, 0.0)
    out.setflags(write=False)
    return np.asarray(out)


def generation_w(
    arrays: tuple[SolarArray, ...],
    inverters: tuple[Inverter, ...],
    weather: WeatherYear,
    site: Site = OPEN_SITE,
) -> Array:
    """Alternating current of all inverters, (8760,) W; each clips the sum of its arrays."""
    total = np.zeros(weather.temp_c.shape)
    for inverter in inverters:
        mine = [array_dc_w(a, weather, site) for a in arrays if a.inverter == inverter.name]
        if mine:
            total += ac_power_w(np.sum(mine, axis=0), inverter.ac_limit_w, inverter.efficiency)
    return total
