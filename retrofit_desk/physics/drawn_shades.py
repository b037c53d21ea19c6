"""When the movable shades of windows are drawn, and the heat they then keep in."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.description import House, Surface, Window
from retrofit_desk.physics.elements import Blind, Schedule
from retrofit_desk.physics.network import glass_conductance_w_m2k
from retrofit_desk.physics.schedules import hourly
from retrofit_desk.physics.sun import path_of
from retrofit_desk.physics.surface_films import window_films
from retrofit_desk.physics.weather import HOURS, WeatherYear
from retrofit_desk.physics.window_u import with_shutter_u_w_m2k

Array = NDArray[np.float64]


def drawn(blind: Blind, incident_w_m2: Array, weather: WeatherYear) -> Array:
    """1 drawn, 0 open, (8760,): by the clock or the sun on the glass, and after dark where it is so used."""
    if isinstance(blind.drawn, float | Schedule):
        by_day = hourly(blind.drawn, off=0.0)
    else:
        bright = incident_w_m2 > blind.sun_above_w_m2
        by_day = (bright & (weather.temp_c > blind.outdoor_above_c)).astype(float)
    return np.maximum(by_day, ~path_of(weather).up) if blind.by_night else by_day


def kept_w_k(house: House, incident_w_m2: tuple[Array, ...], weather: WeatherYear) -> Array:
    """Conductance that the drawn shades take from each zone's windows towards outdoors, (8760, zones), W/K.

    A window of U-value U behind a shade of added resistance R has 1/(1/U + R): ISO 10077-1:2017, 6. Two
    shades add up while both are drawn.
    `incident_w_m2`: sun on each window, in the order of the surfaces and their windows.
    """
    numbers = {zone.name: k for k, zone in enumerate(house.zones)}
    kept = np.zeros((HOURS, len(house.zones)))
    windows = [(surface, window) for surface in house.surfaces for window in surface.windows]
    for (surface, window), incident in zip(windows, incident_w_m2, strict=True):
        warm = [blind for blind in window.blinds if blind.added_resistance_m2k_w]
        if not warm or surface.boundary.kind != "outdoors":
            continue
        open_w_m2k = _u_value_w_m2k(house, surface, window)
        states = [(np.ones(HOURS), 0.0)]  # share of the hour, and the resistance drawn in it
        for blind in warm:
            share, more = drawn(blind, incident, weather), blind.added_resistance_m2k_w
            states = [
                *((of_hour * (1.0 - share), added) for of_hour, added in states),
                *((of_hour * share, added + more) for of_hour, added in states),
            ]
        for of_hour, added in states:
            less_w_m2k = open_w_m2k - with_shutter_u_w_m2k(open_w_m2k, added)
            kept[:, numbers[surface.zone]] += of_hour * less_w_m2k * window.area_m2
    return kept


def _u_value_w_m2k(house: House, surface: Surface, window: Window) -> float:
    """With the films the window really has in this house."""
    glazing = next(one for one in house.glazings if one.name == window.glazing)
    films = window_films(surface, window)
    return 1.0 / (1.0 / films.inside + 1.0 / glass_conductance_w_m2k(glazing) + 1.0 / films.outside)
