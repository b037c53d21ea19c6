"""Moist air: saturation, dew point, humidity ratio, wet bulb, enthalpy and the pressure at a height."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from threading import Lock
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from retrofit_desk.physics.errors import require_between
from retrofit_desk.physics.over_arrays import over_arrays

Array: TypeAlias = NDArray[np.float64]

SEA_LEVEL_PA = 101325.0
_ONE_AT_A_TIME = Lock()
"""Held at every call: a function of the library compiles itself, and those it calls, at its first use."""


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
    return _ask("GetSatVapPres", temp_c)


def dew_point_c(temp_c: ArrayLike, relative_humidity: ArrayLike) -> Array:
    """Dew point of air at a relative humidity (0 to 1), shapes broadcast. ASHRAE Fundamentals ch. 1."""
    return _ask("GetTDewPointFromRelHum", temp_c, _humidity(relative_humidity))


def relative_humidity(temp_c: ArrayLike, dew_point_c: ArrayLike) -> Array:
    """Relative humidity (0 to 1) from a dew point, shapes broadcast."""
    share = saturation_pressure_pa(dew_point_c) / saturation_pressure_pa(temp_c)
    return np.asarray(np.minimum(share, 1.0), dtype=float)


def moist_air(
    temp_c: ArrayLike, relative_humidity: ArrayLike, pressure_pa: ArrayLike = SEA_LEVEL_PA
) -> MoistAir:
    """All properties at a temperature and relative humidity (0 to 1). ASHRAE Fundamentals ch. 1."""
    rh = _humidity(relative_humidity)
    w = _ask("GetHumRatioFromRelHum", temp_c, rh, pressure_pa)
    return MoistAir(
        vapor_pressure_pa=_ask("GetVapPresFromRelHum", temp_c, rh),
        humidity_ratio_kg_kg=w,
        dew_point_c=_ask("GetTDewPointFromRelHum", temp_c, rh),
        wet_bulb_c=_ask("GetTWetBulbFromRelHum", temp_c, rh, pressure_pa),
        enthalpy_kj_kg=_ask("GetMoistAirEnthalpy", temp_c, w) / 1000.0,
        volume_m3_kg=_ask("GetMoistAirVolume", temp_c, w, pressure_pa),
    )


def humidity_ratio_from_wet_bulb(
    temp_c: ArrayLike, wet_bulb_c: ArrayLike, pressure_pa: ArrayLike = SEA_LEVEL_PA
) -> Array:
    """Humidity ratio in kg/kg from dry and wet bulb. ASHRAE Fundamentals ch. 1."""
    return _ask("GetHumRatioFromTWetBulb", temp_c, wet_bulb_c, pressure_pa)


def relative_humidity_from_ratio(
    temp_c: ArrayLike, humidity_ratio_kg_kg: ArrayLike, pressure_pa: ArrayLike = SEA_LEVEL_PA
) -> Array:
    """Relative humidity (0 to 1) from a humidity ratio."""
    return _ask("GetRelHumFromHumRatio", temp_c, humidity_ratio_kg_kg, pressure_pa)


@over_arrays
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


def _ask(function: str, *values: ArrayLike) -> Array:
    given = [np.asarray(value, dtype=float) for value in values]
    with _ONE_AT_A_TIME:
        return np.asarray(getattr(_library(), function)(*given), dtype=float)


@cache
def _library() -> Any:
    import psychrolib  # slow to load: only where moist air is asked for

    psychrolib.SetUnitSystem(psychrolib.SI)
    return psychrolib
