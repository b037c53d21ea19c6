"""Windows chosen for the sun: what comes in when it is wanted and when not, before and after."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.estimate.sizing.design import Basis
from retrofit_desk.estimate.sizing.size import Size, about, at_least, changed
from retrofit_desk.estimate.sizing.walls import INSIDE_C, INSIDE_HUMIDITY
from retrofit_desk.physics.description import House
from retrofit_desk.physics.moisture import (
    dew_point_c,
    saturation_pa,
    surface_temperature_c,
    temperature_factor,
)
from retrofit_desk.physics.network import glass_conductance_w_m2k
from retrofit_desk.physics.noon_sun import DECEMBER_DAY, JUNE_DAY, noon_altitude_deg, noon_azimuth_deg
from retrofit_desk.physics.results import YearResult
from retrofit_desk.physics.shading import Rectangle, plane_axes, shaded_fraction
from retrofit_desk.physics.weather import MONTH_OF_HOUR
from retrofit_desk.values.quantity import Dimension

SUN_RULE = "hourly model: sky, overhangs, shades, glass by angle"
NOON_RULE = "exact plane geometry; the sun's height by Cooper 1969 (from memory)"
DEW_RULE = "dew point of room air at 40% on the plain glass: ISO 13788 (from memory), film 0.13 m²·K/W"
GLASS_FILM_M2K_W, OUTSIDE_FILM_M2K_W = 0.13, 0.04


def window_sizes(basis: Basis, names: tuple[str, ...]) -> tuple[Size, ...]:
    """Three months of cold and of heat, noon in December and June, and dew on the glass."""
    from retrofit_desk.physics.engine import run_year

    years = tuple(run_year(case.house, basis.weather) for case in (basis.ahead, basis.after))
    by_warmth = np.argsort(basis.weather.monthly_mean_temp_c())
    found: list[Size] = []
    for name in names:
        cold, warm = (_let_in_kwh(years, name, months) for months in (by_warmth[:3], by_warmth[-3:]))
        lines = [
            changed("Sun let in, the three coldest months", Dimension.ENERGY, *cold, SUN_RULE),
            changed("Sun let in, the three warmest months", Dimension.ENERGY, *warm, SUN_RULE),
            *_at_noon(basis, name),
            *_dew(basis, name),
        ]
        found += about(name, lines)
    return tuple(found)


def _let_in_kwh(years: tuple[YearResult, ...], name: str, months: NDArray[np.intp]) -> tuple[float, float]:
    hours = np.isin(MONTH_OF_HOUR, months)
    let_in = [
        next(one for one in year.windows if one.name == name).transmitted_sun_w[hours].sum() for year in years
    ]
    before, after = (float(watt_hours) / 1000.0 for watt_hours in let_in)
    return before, after


def _at_noon(basis: Basis, name: str) -> list[Size]:
    days = (("December 21", DECEMBER_DAY), ("June 21", JUNE_DAY))
    found = []
    for words, day in days:
        before, after = (
            _sunlit(case.house, name, basis.weather.latitude_deg, day) for case in (basis.ahead, basis.after)
        )
        if before is not None and after is not None:
            subject = f"Share of the glass in the sun at noon of {words}"
            found.append(changed(subject, Dimension.SHARE, before, after, NOON_RULE))
    return found


def _sunlit(house: House, name: str, latitude_deg: float, day: int) -> float | None:
    """None where the window has no place on its wall or the noon sun does not stand before it."""
    surface, window = next(
        (surface, window) for surface in house.surfaces for window in surface.windows if window.name == name
    )
    if window.x_m is None or window.sill_m is None:
        return None
    altitude, azimuth = np.radians(
        (noon_altitude_deg(latitude_deg, day), noon_azimuth_deg(latitude_deg, day))
    )
    sun = np.array([np.cos(altitude) * np.sin(azimuth), np.cos(altitude) * np.cos(azimuth), np.sin(altitude)])
    toward = plane_axes(surface.tilt_deg, surface.azimuth_deg) @ sun
    if altitude <= 0.0 or toward[2] <= 0.0:
        return None
    glass = Rectangle(window.x_m, window.sill_m, window.width_m, window.height_m)
    return 1.0 - float(shaded_fraction(glass, surface.plates, toward[np.newaxis, :])[0])


def _dew(basis: Basis, name: str) -> list[Size]:
    house = basis.after.house
    window = next(one for surface in house.surfaces for one in surface.windows if one.name == name)
    glazing = next(one for one in house.glazings if one.name == window.glazing)
    films = GLASS_FILM_M2K_W + OUTSIDE_FILM_M2K_W
    u_value = 1.0 / (films + 1.0 / glass_conductance_w_m2k(glazing))
    face_c = surface_temperature_c(temperature_factor(u_value, GLASS_FILM_M2K_W), INSIDE_C, basis.heating_c)
    dew_c = dew_point_c(INSIDE_HUMIDITY * saturation_pa(INSIDE_C))
    says = (
        "The edge of the glass is colder: look there first."
        if face_c >= dew_c
        else "Expect wet glass that day."
    )
    subject = "Inner face of the glass on the design day, against dew"
    return [at_least(subject, Dimension.TEMPERATURE, dew_c, face_c, DEW_RULE, says)]
