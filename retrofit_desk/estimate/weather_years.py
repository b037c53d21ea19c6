"""A typical year made as cold as a single year may be, or as a year that was."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.outside_temps import OutsideTemps
from retrofit_desk.physics.weather import HOURS, YEAR, WeatherYear

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
    return _warmer(weather, np.full(HOURS, -drop_k), f"{weather.name}, {share:+.0%} degree-days")


def as_it_was(weather: WeatherYear, calendar: int, temps: OutsideTemps) -> WeatherYear:
    """The typical year with the daily means of a calendar year; days that are not known stay typical.

    The hours of a day move together; sun and wind stay.
    """
    first = date(YEAR, 1, 1)
    days = [(first + timedelta(days=number)).replace(year=calendar) for number in range(HOURS // 24)]
    typical = weather.temp_c.reshape(-1, 24).mean(axis=1)
    means = [(temps.actual_f[day] - 32.0) / 1.8 if day in temps.actual_f else np.nan for day in days]
    rise_k = np.nan_to_num(np.array(means) - typical)
    return _warmer(weather, np.repeat(rise_k, 24), f"{weather.name}, with the temperatures of {calendar}")


def _warmer(weather: WeatherYear, rise_k: Array, name: str) -> WeatherYear:
    """Every hour warmer by its own, (8760,); the sky warms with the air."""
    sky = weather.ir_sky_w_m2 * (1.0 + rise_k / (weather.temp_c + 273.15)) ** 4
    return replace(
        weather,
        name=name,
        temp_c=weather.temp_c + rise_k,
        dew_point_c=weather.dew_point_c + rise_k,
        ir_sky_w_m2=sky,
    )


def _degree_days(temp_c: Array) -> float:
    daily = temp_c.reshape(HOURS // 24, 24).mean(axis=1)
    return float(np.maximum(BASE_C - daily, 0.0).sum())
