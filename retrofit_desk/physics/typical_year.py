"""A typical year by the hour, made from twelve months of normals: for a place without a weather file.

Daily means spread as degree-days are known to fall, days by their clearness, hours by the mean course of a
day. What moves from hour to hour (fronts, gusts, clouds) is not in it: lower confidence than hourly rows.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike, NDArray

from retrofit_desk.physics.errors import ImpossibleValue, require_between
from retrofit_desk.physics.sun import SunPath, sun_path
from retrofit_desk.physics.weather import (
    DAYS_IN_MONTH,
    HOURS,
    MONTH_OF_HOUR,
    WeatherYear,
    density_factor,
    sky_infrared_w_m2,
)

Array = NDArray[np.float64]
MONTH_OF_DAY = MONTH_OF_HOUR[::24]
SEA_LEVEL_PA = 101_325.0
DULLEST_DAY = 0.05
LARGEST_BEAM_W_M2 = 1100.0

# Daily course of the air temperature, Erbs, Klein & Beckman 1983 (Duffie & Beckman ch. 9; from memory):
# amplitude and phase of four harmonics of the hour of the day
COURSE = ((0.4632, 3.805), (0.0984, 0.360), (0.0168, 0.822), (0.0138, 3.513))


@dataclass(frozen=True)
class MonthlyNormals:
    """A place and twelve values of each, January first."""

    name: str
    source: str
    latitude_deg: float
    longitude_deg: float
    elevation_m: float
    utc_offset_h: float
    mean_temp_c: tuple[float, ...]
    daily_range_k: tuple[float, ...]
    dew_point_c: tuple[float, ...]
    sun_kwh_m2_day: tuple[float, ...]
    wind_m_s: tuple[float, ...]
    wind_dir_deg: tuple[float, ...]

    def __post_init__(self) -> None:
        for field in fields(self):
            value = getattr(self, field.name)
            if isinstance(value, tuple) and len(value) != 12:
                raise ImpossibleValue(f"{field.name} needs 12 values, has {len(value)}", where=self.name)


def typical_year(normals: MonthlyNormals) -> WeatherYear:
    """8,760 hours whose months keep the normals. Raises `ImpossibleValue` where they cannot be kept."""
    path = sun_path(normals.latitude_deg, normals.longitude_deg, normals.elevation_m, normals.utc_offset_h)
    temp = _temperature(normals)
    dew = np.minimum(np.array(normals.dew_point_c)[MONTH_OF_HOUR], temp)
    ghi, clearness = _global_sun(normals, path)
    dni, dhi = _split(ghi, path)
    cloud = np.repeat(10.0 * np.clip((0.75 - clearness) / 0.5, 0.0, 1.0), 24)  # own judgment
    return WeatherYear(
        name=f"{normals.name}, a typical year made from monthly normals",
        source=f"{normals.source}; lower confidence than hourly rows",
        latitude_deg=normals.latitude_deg,
        longitude_deg=normals.longitude_deg,
        elevation_m=normals.elevation_m,
        utc_offset_h=normals.utc_offset_h,
        temp_c=temp,
        dew_point_c=dew,
        rh_percent=100.0 * _vapor_pa(dew) / _vapor_pa(temp),
        pressure_pa=np.full(HOURS, SEA_LEVEL_PA * density_factor(normals.elevation_m)),
        wind_m_s=np.array(normals.wind_m_s, dtype=float)[MONTH_OF_HOUR],
        wind_dir_deg=np.array(normals.wind_dir_deg, dtype=float)[MONTH_OF_HOUR],
        ghi_w_m2=ghi,
        dni_w_m2=dni,
        dhi_w_m2=dhi,
        ir_sky_w_m2=sky_infrared_w_m2(temp, dew, cloud),
        cloud_tenths=cloud,
    )


def spread_of_days_k(mean_c: Array) -> Array:
    """Standard deviation of each month's mean temperature from year to year, (12,).

    Erbs, Klein & Beckman 1983 (WEA-7, from memory); the yearly deviation of the twelve means by n - 1.
    """
    return np.asarray(1.45 - 0.0290 * mean_c + 0.0664 * mean_c.std(ddof=1))


def diffuse_share(clearness: ArrayLike) -> Array:
    """Diffuse part of the sun on the level, by its clearness 0 to 1 (same shape).

    Erbs, Klein & Duffie 1982, Solar Energy 28 (from memory).
    """
    k = np.asarray(clearness, dtype=float)
    middle = 0.9511 - 0.1604 * k + 4.388 * k**2 - 16.638 * k**3 + 12.336 * k**4
    return np.where(k <= 0.22, 1.0 - 0.09 * k, np.where(k <= 0.80, middle, 0.165))


def _temperature(normals: MonthlyNormals) -> Array:
    """Daily means in the logistic spread that the degree-day formula implies, then the course of the day."""
    means = np.array(normals.mean_temp_c, dtype=float)
    daily = np.empty(365)
    for month, days in enumerate(DAYS_IN_MONTH):
        share = (np.arange(days) + 0.5) / days
        scale = float(spread_of_days_k(means)[month]) * np.sqrt(days) / 3.396
        sorted_c = means[month] + scale * np.log(share / (1.0 - share))
        daily[month == MONTH_OF_DAY] = sorted_c[_ranks(month, days, spell_days=7.3)]
    hour = np.arange(24) + 0.5
    angle = 2.0 * np.pi * (hour - 1.0) / 24.0
    course = sum((a * np.cos((k + 1) * angle - phase) for k, (a, phase) in enumerate(COURSE)), np.zeros(24))
    course = (course - course.mean()) / np.ptp(course)
    swing = np.array(normals.daily_range_k, dtype=float)[MONTH_OF_DAY]
    return np.asarray((daily[:, None] + swing[:, None] * course).ravel())


def _ranks(month: int, days: int, spell_days: float) -> NDArray[np.int64]:
    """An order of days with spells of about a week, the same each time."""
    day = np.arange(days) + 40.0 * month
    wave = np.sin(2.0 * np.pi * day / spell_days) + 0.6 * np.sin(2.0 * np.pi * day / 3.1 + 1.0)
    return np.argsort(np.argsort(wave))


def _global_sun(normals: MonthlyNormals, path: SunPath) -> tuple[Array, Array]:
    """Global sun by the hour, and the clearness of each day, (365,)."""
    above = np.where(path.up, path.extraterrestrial_w_m2 * np.cos(np.radians(path.zenith_deg)), 0.0)
    above_days = above.reshape(365, 24).sum(axis=1)
    clearness = np.zeros(365)
    for month, days in enumerate(DAYS_IN_MONTH):
        rows = month == MONTH_OF_DAY
        sun_wh = normals.sun_kwh_m2_day[month] * 1000.0
        limit = float(above_days[rows].mean())
        if limit <= 0.0:
            require_between("sun of a month without daylight in kWh/m2 a day", sun_wh, 0.0, 0.0)
            continue
        mean = sun_wh / limit
        require_between(
            f"clearness of month {month + 1} (its sun against the sun above the air)", mean, 0.08, 0.82
        )
        kept = _clear_days(mean, days)[_ranks(month, days, spell_days=5.7)]
        clearness[rows] = kept * sun_wh * days / float(kept @ above_days[rows])
    shape = above * _air_course(above)
    day_sum = shape.reshape(365, 24).sum(axis=1)
    share = np.divide(clearness * above_days, day_sum, out=np.zeros(365), where=day_sum > 0)
    return shape * np.repeat(share, 24), clearness


def _clear_days(mean: float, days: int) -> Array:
    """Sorted clearness of the days of a month with that mean.

    Bendt, Collares-Pereira & Rabl 1981 (Duffie & Beckman 2.9, from memory): exponential between the dullest
    and the clearest day; the exponent is solved for the mean.
    """
    from scipy.optimize import brentq

    clearest = min(0.6313 + 0.267 * mean - 11.9 * (mean - 0.75) ** 8, 0.86)
    clearest = max(clearest, mean + 0.02)
    share = (np.arange(days) + 0.5) / days

    def spread(bend: float) -> Array:
        if abs(bend) < 1e-6:
            return DULLEST_DAY + share * (clearest - DULLEST_DAY)
        low, high = np.exp(bend * (DULLEST_DAY - clearest)), 1.0
        return np.asarray(clearest + np.log(low + share * (high - low)) / bend)

    bend = float(brentq(lambda one: float(spread(one).mean()) - mean, -200.0, 200.0))
    return spread(bend)


def _air_course(above_w_m2: Array) -> Array:
    """A low sun loses more on its way through the air: share by its height, own judgment."""
    return np.asarray(0.6 + 0.4 * above_w_m2 / 1361.0)


def _split(ghi_w_m2: Array, path: SunPath) -> tuple[Array, Array]:
    """Beam and diffuse by the clearness of the hour."""
    height = np.where(path.up, np.cos(np.radians(path.zenith_deg)), 0.0)
    above = np.maximum(path.extraterrestrial_w_m2 * height, 1e-9)
    share = diffuse_share(np.clip(ghi_w_m2 / above, 0.0, 1.0))
    beam = np.divide(ghi_w_m2 * (1.0 - share), height, out=np.zeros(HOURS), where=height > 0.0)
    beam = np.minimum(beam, LARGEST_BEAM_W_M2)
    return beam, np.maximum(ghi_w_m2 - beam * height, 0.0)


def _vapor_pa(temp_c: Array) -> Array:
    """Saturation over water, Magnus form of WMO-No. 8."""
    return np.asarray(611.2 * np.exp(17.62 * temp_c / (243.12 + temp_c)))
