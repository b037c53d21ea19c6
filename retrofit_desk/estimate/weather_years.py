"""A typical year made as cold as a single year may be."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.weather import HOURS, WeatherYear

Array = NDArray[np.float64]
BASE_C = 18.3
"""65 °F, the base of published degree-days."""
COLDEST_K = 5.0


def heating_degree_days_k(weather: WeatherYear) -> float:
    """Of daily means below 65 °F, in kelvin days."""
    return _degree_days(weather.temp_c)


def colder(weather: WeatherYear, share: float) -> WeatherYear:
    """The year with `share` more heating degree-days: every hour is cooler by the same, the air as damp.

    The sky cools with the air; sun and wind stay.
    """
    from scipy.optimize import brentq

    goal = heating_degree_days_k(weather) * (1.0 + share)
    drop_k = float(brentq(lambda drop: _degree_days(weather.temp_c - drop) - goal, -COLDEST_K, COLDEST_K))
    sky = weather.ir_sky_w_m2 * (1.0 - drop_k / (weather.temp_c + 273.15)) ** 4
    return replace(
        weather,
        name=f"{weather.name}, {share:+.0%} degree-days",
        temp_c=weather.temp_c - drop_k,
        dew_point_c=weather.dew_point_c - drop_k,
        ir_sky_w_m2=sky,
    )


def _degree_days(temp_c: Array) -> float:
    daily = temp_c.reshape(HOURS // 24, 24).mean(axis=1)
    return float(np.maximum(BASE_C - daily, 0.0).sum())
