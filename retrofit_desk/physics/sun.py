"""Where the sun stands in every hour, and what falls on a plane of any tilt."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.weather import HOURS, MONTH_OF_HOUR, YEAR, WeatherYear

Array = NDArray[np.float64]
SHORTEST_SUNLIT_H = 1.0 / 60.0
PEREZ_BELOW_ZENITH_DEG = 89.5


@dataclass(frozen=True, eq=False)
class SunPath:
    """Sun in the middle of each hour's sunlit part, 8,760 values; azimuth clockwise from north."""

    zenith_deg: Array
    azimuth_deg: Array
    up: NDArray[np.bool_]
    extraterrestrial_w_m2: Array
    air_mass: Array

    @property
    def direction(self) -> Array:
        """Unit vectors towards the sun, (8760, 3): east, north, up."""
        z, a = np.radians(self.zenith_deg), np.radians(self.azimuth_deg)
        return np.stack([np.sin(z) * np.sin(a), np.sin(z) * np.cos(a), np.cos(z)], axis=1)


@dataclass(frozen=True, eq=False)
class PlaneSun:
    """Parts of the sun on an unshaded plane, W/m2, 8,760 values; `cos_incidence` not below 0."""

    cos_incidence: Array
    beam: Array
    circumsolar: Array
    isotropic: Array
    horizon: Array
    ground: Array

    @property
    def total(self) -> Array:
        return self.beam + self.circumsolar + self.isotropic + self.horizon + self.ground


@lru_cache(maxsize=8)
def sun_path(latitude_deg: float, longitude_deg: float, elevation_m: float, utc_offset_h: float) -> SunPath:
    """Sun by the full algorithm (Reda and Andreas, NREL/TP-560-34302), at the middle of the sunlit part."""
    import pandas as pd
    from pvlib import irradiance, solarposition

    start = np.datetime64(f"{YEAR}-01-01T00:00") - np.timedelta64(round(utc_offset_h * 60), "m")

    def position(hours: Array) -> tuple[Array, Array]:
        stamps = start + (hours * 3600.0).round().astype("timedelta64[s]")
        found = solarposition.spa_python(
            pd.DatetimeIndex(stamps, tz="UTC"), latitude_deg, longitude_deg, altitude=elevation_m
        )
        return found["zenith"].to_numpy(dtype=float), found["azimuth"].to_numpy(dtype=float)

    edges = 90.0 - position(np.arange(HOURS + 1, dtype=float))[0]
    middle, up = _sunlit_middle(edges)
    zenith, azimuth = position(middle)
    up &= zenith < 90.0
    day = np.repeat(np.arange(1, 366), 24)
    extra = np.asarray(irradiance.get_extra_radiation(day, method="spencer"), dtype=float)
    with np.errstate(invalid="ignore"):
        mass = 1.0 / (
            np.cos(np.radians(zenith)) + 0.50572 * np.maximum(96.07995 - zenith, 1e-3) ** -1.6364
        )  # Kasten and Young 1989
    return SunPath(zenith, azimuth, up, extra, mass)


def _sunlit_middle(edge_altitude_deg: Array) -> tuple[Array, NDArray[np.bool_]]:
    """Hours (from the year's start) in the middle of each hour's sunlit part, and whether there is one."""
    before, after = edge_altitude_deg[:-1], edge_altitude_deg[1:]
    hour = np.arange(HOURS, dtype=float)
    middle = hour + 0.5
    with np.errstate(divide="ignore", invalid="ignore"):
        crossing = before / (before - after)
    rises, sets = (before <= 0) & (after > 0), (before > 0) & (after <= 0)
    middle = np.where(rises, hour + (crossing + 1.0) / 2.0, middle)
    middle = np.where(sets, hour + crossing / 2.0, middle)
    lit = np.where(rises, 1.0 - crossing, np.where(sets, crossing, 1.0))
    return middle, ((before > 0) | (after > 0)) & (lit > SHORTEST_SUNLIT_H)


def path_of(weather: WeatherYear) -> SunPath:
    """The sun path at the weather's place."""
    return sun_path(weather.latitude_deg, weather.longitude_deg, weather.elevation_m, weather.utc_offset_h)


@lru_cache(maxsize=64)
def plane_sun(
    weather: WeatherYear, tilt_deg: float, azimuth_deg: float, reflectance: tuple[float, ...]
) -> PlaneSun:
    """Sun on a plane, the sky by Perez et al. (1990); `reflectance` of the ground: one value or twelve.

    Hours in which the sun never clears the horizon keep their diffuse light as an even sky.
    """
    from pvlib import irradiance

    path = path_of(weather)
    tilt, facing = np.radians(tilt_deg), np.radians(azimuth_deg)
    normal = np.array([np.sin(facing) * np.sin(tilt), np.cos(facing) * np.sin(tilt), np.cos(tilt)])
    cosine = np.where(path.up, np.maximum(path.direction @ normal, 0.0), 0.0)
    sky = irradiance.perez(
        tilt_deg,
        azimuth_deg,
        weather.dhi_w_m2,
        weather.dni_w_m2,
        path.extraterrestrial_w_m2,
        path.zenith_deg,
        path.azimuth_deg,
        path.air_mass,
        return_components=True,
    )
    even = weather.dhi_w_m2 * (1.0 + np.cos(tilt)) / 2.0
    usable = path.up & (path.zenith_deg < PEREZ_BELOW_ZENITH_DEG) & (weather.dhi_w_m2 > 0)

    def part(name: str, otherwise: Array) -> Array:
        return np.where(usable, np.nan_to_num(np.asarray(sky[name], dtype=float)), otherwise)

    none = np.zeros(HOURS)

    albedo = np.array(reflectance)[MONTH_OF_HOUR] if len(reflectance) > 1 else reflectance[0]
    return PlaneSun(
        cosine,
        weather.dni_w_m2 * cosine,
        part("poa_circumsolar", none),
        part("poa_isotropic", even),
        part("poa_horizon", none),
        weather.ghi_w_m2 * albedo * (1.0 - np.cos(tilt)) / 2.0,
    )
