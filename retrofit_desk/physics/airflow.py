"""Outdoor air into every zone: leakage, fans with recovery, windows opened by the family."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.description import BlowerDoorLeakage, House, Opening
from retrofit_desk.physics.leakage import (
    air_density_kg_m3,
    infiltration_m3_s,
    power_law_from_one_point,
    stack_coefficient,
    wind_coefficient,
)
from retrofit_desk.physics.leakage_enhanced import (
    enhanced_coefficients,
    enhanced_infiltration_m3_s,
    located_infiltration_m3_s,
)
from retrofit_desk.physics.schedules import hourly
from retrofit_desk.physics.weather import HOURS, WeatherYear

Array = NDArray[np.float64]

REFERENCE_PRESSURE_PA = 4.0
SEA_LEVEL_DENSITY_KG_M3 = 1.2
WIND_TERM, TURBULENT_TERM, STACK_TERM = 0.001, 0.01, 0.0035  # EN 16798-7, single-sided airing


@dataclass(frozen=True, eq=False)
class OutdoorAir:
    """By zone and hour: volume flow (for moisture), and the flow whose heat is not recovered."""

    leakage_m3_s: Array  # (8760, zones)
    fan_m3_s: Array
    heat_m3_s: Array
    moist_m3_s: Array
    fan_heat_w: Array


@dataclass(frozen=True, eq=False)
class Openings:
    """One entry an opening; flow m3/s = sqrt(wind + stack x |difference|), wind -1 where not allowed."""

    zone: NDArray[np.int64]
    wind: Array  # (8760, openings)
    stack: Array
    open_above_c: Array
    close_below_c: Array


def outdoor_air(house: House, weather: WeatherYear) -> OutdoorAir:
    """Flows that do not depend on the room's own temperature."""
    count = len(house.zones)
    leak, fan, heat, moist, warmth = (np.zeros((HOURS, count)) for _ in range(5))
    for k, zone in enumerate(house.zones):
        if zone.leakage is not None:
            leak[:, k] += hourly(zone.leakage.air_changes_per_h, 0.0) * zone.volume_m3 / 3600.0
        for part in zone.fans:
            flow = hourly(part.flow_m3_s, 0.0)
            recovers = np.ones(HOURS)
            if part.recovery_off_above_outdoor_c is not None:
                recovers = (weather.temp_c <= part.recovery_off_above_outdoor_c).astype(float)
            fan[:, k] += flow
            heat[:, k] += flow * (1.0 - part.sensible_recovery * recovers)
            moist[:, k] += flow * (1.0 - part.latent_recovery * recovers)
            warmth[:, k] += part.fan_power_w * part.fan_heat_share * (flow > 0)
    if house.blower_door is not None:
        leak += _tested_leakage(house, house.blower_door, weather)
    return OutdoorAir(leak, fan, leak + heat, leak + moist, warmth)


def _tested_leakage(house: House, test: BlowerDoorLeakage, weather: WeatherYear) -> Array:
    """Stack and wind through the tested leaks, over the zones by volume. ASHRAE Fundamentals ch. 16."""
    whole = _by_basic_model(test, weather) if test.foundation is None else _by_enhanced_model(test, weather)
    names = test.zones or tuple(z.name for z in house.zones if z.thermostat is not None)
    names = names or tuple(z.name for z in house.zones)
    volume = np.array([z.volume_m3 if z.name in names else 0.0 for z in house.zones])
    return np.outer(whole, volume / volume.sum())


def _by_basic_model(test: BlowerDoorLeakage, weather: WeatherYear) -> Array:
    at_reference = test.flow_at_50_pa_m3_s * (REFERENCE_PRESSURE_PA / 50.0) ** test.exponent
    area = at_reference * np.sqrt(SEA_LEVEL_DENSITY_KG_M3 / (2.0 * REFERENCE_PRESSURE_PA))
    return infiltration_m3_s(
        float(area),
        stack_coefficient(test.storeys),
        wind_coefficient(test.storeys, test.shelter_class),
        weather.temp_c - test.indoor_reference_c,
        weather.wind_m_s,
    )


def _by_enhanced_model(test: BlowerDoorLeakage, weather: WeatherYear) -> Array:
    assert test.foundation is not None
    law = power_law_from_one_point(test.flow_at_50_pa_m3_s, exponent=test.exponent)
    found = enhanced_coefficients(test.storeys, test.shelter_class, test.foundation, flue=bool(test.flue))
    dt_k = weather.temp_c - test.indoor_reference_c
    if test.places is None:
        return enhanced_infiltration_m3_s(law, found, dt_k, weather.wind_m_s)
    return located_infiltration_m3_s(
        law,
        ceiling_and_floor=test.places.ceiling_and_floor_share,
        ceiling_less_floor=test.places.ceiling_less_floor_share,
        height_m=test.places.eave_height_m,
        inside_c=test.indoor_reference_c,
        outside_density_kg_m3=air_density_kg_m3(weather.temp_c, weather.pressure_pa),
        dt_k=dt_k,
        sheltered_wind_m_s=found.shelter * found.wind_speed_factor * weather.wind_m_s,
    )


def openings(house: House, weather: WeatherYear) -> Openings:
    """Airing windows with the wind's part worked out for every hour."""
    parts = [(k, o) for k, zone in enumerate(house.zones) for o in zone.openings]
    wind = np.full((HOURS, len(parts)), -1.0)
    stack = np.zeros(len(parts))
    for i, (_, part) in enumerate(parts):
        half = (0.5 * part.area_m2 * opened_share(part)) ** 2
        speed = weather.wind_m_s * catch(part, weather.wind_dir_deg)
        allowed = hourly(part.allowed, 0.0) > 0
        wind[:, i] = np.where(allowed, half * (TURBULENT_TERM + WIND_TERM * speed**2), -1.0)
        stack[i] = half * STACK_TERM * part.height_m
    return Openings(
        np.array([k for k, _ in parts], dtype=np.int64),
        wind,
        stack,
        np.array([p.open_above_c for _, p in parts], dtype=float),
        np.array([p.close_below_c for _, p in parts], dtype=float),
    )


def opened_share(opening: Opening) -> float:
    """Share of the full opening at its angle: EN 15242 polynomial (from memory); a slider opens half."""
    if opening.hinge == "sliding":
        return 0.5
    angle = min(opening.open_angle_deg, 90.0)
    return min(1.0, 2.6e-7 * angle**3 - 1.19e-4 * angle**2 + 1.86e-2 * angle)


def catch(opening: Opening, wind_dir_deg: Array) -> Array:
    """How much of the wind an opening catches, 0.5 to 1.5 for a casement, 1 for a slider.

    A casement's open leaf scoops wind that comes along the wall towards it: hinged at the right (seen from
    outside) it catches wind from its left. Strength by common practice, no source.
    """
    if opening.hinge not in ("left", "right"):
        return np.ones(HOURS)
    relative = np.radians(wind_dir_deg - opening.faces_deg)
    from_left = np.sin(relative)  # facing south, left seen from outside is west: wind from 270
    scoop = from_left if opening.hinge == "right" else -from_left
    leaf = np.sin(np.radians(min(opening.open_angle_deg, 90.0)))
    return np.asarray(1.0 + 0.5 * scoop * leaf * (np.cos(relative) > -0.5))
