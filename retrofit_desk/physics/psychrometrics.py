"""Moist air: saturation, dew point, humidity ratio, wet bulb, enthalpy and the pressure at a height."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from threading import Lock
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from retrofit_desk.physics.errors import require_between

Array: TypeAlias = NDArray[np.float64]

SEA_LEVEL_PA = 101325.0
_FIRST = Lock()
"""Held while the library is loaded and compiled."""


@dataclass(frozen=True)
class MoistAir:
    """Properties of moist air, arrays of one shape; per kg of dry air."""

    vapor_pressure_pa: Array
    humidity_ratio_kg_kg: Array
    dew_point_c: Array
    wet_bulb_c: Array
    enthalpy_kj_kg: Array
    volume_m3_kg: Array


def standard_pressure_pa(altitude_m: ArrayLike) -> Array:
    """Pressure of the standard atmosphere. ASHRAE Fundamentals ch. 1 (from memory)."""
    return np.asarray(SEA_LEVEL_PA * (1.0 - 2.25577e-5 * np.asarray(altitude_m)) ** 5.2559, dtype=float)


def saturation_pressure_pa(temp_c: ArrayLike) -> Array:
    """Saturation pressure over water, or ice below 0 °C, same shape. Hyland & Wexler as in ASHRAE.

    Constructions use the ISO form in `moisture`; the two are never mixed within one wall.
    """
    return np.asarray(_library().GetSatVapPres(np.asarray(temp_c, dtype=float)), dtype=float)


def dew_point_c(temp_c: ArrayLike, relative_humidity: ArrayLike) -> Array:
    """Dew point of air at a relative humidity (0 to 1), shapes broadcast. ASHRAE Fundamentals ch. 1."""
    humidity = _humidity(relative_humidity)
    return np.asarray(
        _library().GetTDewPointFromRelHum(np.asarray(temp_c, dtype=float), humidity), dtype=float
    )


def relative_humidity(temp_c: ArrayLike, dew_point_c: ArrayLike) -> Array:
    """Relative humidity (0 to 1) from a dew point, shapes broadcast."""
    share = saturation_pressure_pa(dew_point_c) / saturation_pressure_pa(temp_c)
    return np.asarray(np.minimum(share, 1.0), dtype=float)


def moist_air(
    temp_c: ArrayLike, relative_humidity: ArrayLike, pressure_pa: ArrayLike = SEA_LEVEL_PA
) -> MoistAir:
    """All properties at a temperature and relative humidity (0 to 1). ASHRAE Fundamentals ch. 1."""
    lib, t, p = _library(), np.asarray(temp_c, dtype=float), np.asarray(pressure_pa, dtype=float)
    rh = _humidity(relative_humidity)
    w = lib.GetHumRatioFromRelHum(t, rh, p)
    columns = (
        lib.GetVapPresFromRelHum(t, rh),
        w,
        lib.GetTDewPointFromRelHum(t, rh),
        lib.GetTWetBulbFromRelHum(t, rh, p),
        lib.GetMoistAirEnthalpy(t, w) / 1000.0,
        lib.GetMoistAirVolume(t, w, p),
    )
    return MoistAir(*(np.asarray(column, dtype=float) for column in columns))


def humidity_ratio_from_wet_bulb(
    temp_c: ArrayLike, wet_bulb_c: ArrayLike, pressure_pa: ArrayLike = SEA_LEVEL_PA
) -> Array:
    """Humidity ratio in kg/kg from dry and wet bulb. ASHRAE Fundamentals ch. 1."""
    t, tw = np.asarray(temp_c, dtype=float), np.asarray(wet_bulb_c, dtype=float)
    p = np.asarray(pressure_pa, dtype=float)
    return np.asarray(_library().GetHumRatioFromTWetBulb(t, tw, p), dtype=float)


def relative_humidity_from_ratio(
    temp_c: ArrayLike, humidity_ratio_kg_kg: ArrayLike, pressure_pa: ArrayLike = SEA_LEVEL_PA
) -> Array:
    """Relative humidity (0 to 1) from a humidity ratio."""
    t, w = np.asarray(temp_c, dtype=float), np.asarray(humidity_ratio_kg_kg, dtype=float)
    p = np.asarray(pressure_pa, dtype=float)
    return np.asarray(_library().GetRelHumFromHumRatio(t, w, p), dtype=float)


def cooled_surface_limit_c(room_c: float, room_humidity: float, margin_k: float = 2.0) -> float:
    """Coldest a cooled floor, ceiling, pipe or manifold may get: dew point and a margin.

    Common practice: 1 K under a controlled sensor, 2 K without; guard the coldest part, not the mean.
    """
    return float(dew_point_c(room_c, room_humidity)) + margin_k


def _humidity(relative_humidity: ArrayLike) -> Array:
    share = np.asarray(relative_humidity, dtype=float)
    require_between("relative humidity", float(share.min()), 0.001, 1.0)
    require_between("relative humidity", float(share.max()), 0.001, 1.0)
    return share


@cache
def _library() -> Any:
    # compiles itself at the first call of each function: loaded only where moist air is asked for
    with _FIRST:
        import psychrolib

        psychrolib.SetUnitSystem(psychrolib.SI)
        psychrolib.GetSatVapPres(np.zeros(1))  # the one that side-by-side years would compile twice
        return psychrolib
