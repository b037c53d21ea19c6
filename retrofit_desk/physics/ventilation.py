"""Air through open windows and by fans, and how much of it a house should have."""

from __future__ import annotations

import math
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from retrofit_desk.physics.errors import require_between, require_positive
from retrofit_desk.physics.over_arrays import over_arrays

Array: TypeAlias = NDArray[np.float64]

GRAVITY_M_S2 = 9.81
AIR_HEAT_WH_M3K = 0.33  # sea level, 20 °C
AIR_HEAT_BTU_H_CFM_F = 1.08  # sea level; ASHRAE Fundamentals (from memory)
KITCHEN_AIR_CHANGES_PER_H = 5.0  # ASHRAE 62.2, local exhaust (from memory)
# ASHRAE 62.2-2016/2019, 4.1 (from memory)
AREA_TERM_62_2, AREA_TERM_IRC, PERSON_TERM_CFM = 0.03, 0.01, 7.5


def one_side_window_m3_s(
    open_area_m2: float, open_height_m: float, wind_at_10_m_m_s: ArrayLike, dt_k: ArrayLike
) -> Array:
    """Air through an open window on one side of a room, shapes broadcast.

    Source: EN 16798-7 (earlier EN 15242:2007), de Gids & Phaff 1982 (from memory).
    """
    wind = np.asarray(wind_at_10_m_m_s, dtype=float)
    driving = 0.01 + 0.001 * wind**2 + 0.0035 * open_height_m * np.abs(np.asarray(dt_k, dtype=float))
    return np.asarray(0.5 * open_area_m2 * np.sqrt(driving), dtype=float)


@over_arrays
def hinged_opening_share(angle_deg: float) -> float:
    """Open area of a bottom-hung sash as a share of its full area. EN 15242:2007 (from memory)."""
    require_between("opening angle in degrees", angle_deg, 0.0, 90.0)
    return 2.6e-7 * angle_deg**3 - 1.19e-4 * angle_deg**2 + 1.86e-2 * angle_deg


@over_arrays
def openings_in_series_m2(area_1_m2: float, area_2_m2: float) -> float:
    """One opening that passes as much as two behind each other."""
    require_positive("open area in m2", area_1_m2)
    require_positive("open area in m2", area_2_m2)
    return 1.0 / math.hypot(1.0 / area_1_m2, 1.0 / area_2_m2)


def cross_flow_m3_s(
    area_m2: float, wind_m_s: ArrayLike, pressure_coefficient_difference: ArrayLike, discharge: float = 0.6
) -> Array:
    """Air across a house, windward to leeward opening, shapes broadcast. ASHRAE Fundamentals ch. 16."""
    difference = np.sqrt(np.abs(np.asarray(pressure_coefficient_difference, dtype=float)))
    return np.asarray(discharge * area_m2 * np.asarray(wind_m_s, dtype=float) * difference, dtype=float)


def wind_opening_m3_s(area_m2: float, wind_m_s: ArrayLike, effectiveness: float) -> Array:
    """Air through inlets facing the wind; `effectiveness` 0.5-0.6 square-on, 0.25-0.35 diagonal.

    Source: ASHRAE Fundamentals ch. 16 (from memory).
    """
    return np.asarray(effectiveness * area_m2 * np.asarray(wind_m_s, dtype=float), dtype=float)


def stack_opening_m3_s(
    area_m2: float,
    height_to_neutral_m: float,
    dt_k: ArrayLike,
    warm_side_k: ArrayLike,
    discharge: float = 0.65,
) -> Array:
    """Air by warmth alone between a low and a high opening. ASHRAE Fundamentals ch. 16 (from memory)."""
    share = np.abs(np.asarray(dt_k, dtype=float)) / np.asarray(warm_side_k, dtype=float)
    speed = np.sqrt(2.0 * GRAVITY_M_S2 * height_to_neutral_m * share)
    return np.asarray(discharge * area_m2 * speed, dtype=float)


def tall_opening_m3_s(
    area_m2: float, open_height_m: float, dt_k: ArrayLike, mean_k: ArrayLike, discharge: float = 0.6
) -> Array:
    """Air by warmth alone both ways through one tall opening. Warren 1977 (from memory)."""
    share = np.abs(np.asarray(dt_k, dtype=float)) / np.asarray(mean_k, dtype=float)
    speed = np.sqrt(GRAVITY_M_S2 * open_height_m * share)
    return np.asarray(discharge / 3.0 * area_m2 * speed, dtype=float)


def level_opening_m3_s(area_m2: float, dt_k: ArrayLike, mean_k: ArrayLike) -> Array:
    """Air by warmth alone both ways through an opening in a floor, colder above. Epstein 1988 (from memory).

    0.055 sqrt(g D^5 dT/T) for a floor thin against the opening's width D; none where the warmer air is above.
    """
    share = np.maximum(np.asarray(dt_k, dtype=float), 0.0) / np.asarray(mean_k, dtype=float)
    width_m = 2.0 * np.sqrt(area_m2 / np.pi)
    return np.asarray(0.055 * np.sqrt(GRAVITY_M_S2 * width_m**5 * share), dtype=float)


def whole_house_air_cfm(floor_area_ft2: float, bedrooms: int) -> float:
    """Total outdoor air a dwelling needs. ASHRAE 62.2-2016/2019, 4.1 (from memory); not the IRC's number."""
    return _whole_house_cfm(AREA_TERM_62_2, floor_area_ft2, bedrooms)


def whole_house_air_irc_cfm(floor_area_ft2: float, bedrooms: int) -> float:
    """Mechanical ventilation by the residential code, not 62.2's. IRC 2015-2021, M1505.4 (from memory)."""
    return _whole_house_cfm(AREA_TERM_IRC, floor_area_ft2, bedrooms)


@over_arrays
def leakage_credit_cfm(flow_at_50_pa_cfm: float, weather_factor: float, height_ft: float) -> float:
    """Yearly leakage that may count as ventilation. ASHRAE 62.2-2016/2019 (from memory).

    `weather_factor` is the station's wsf; `height_ft` of the highest ceiling above grade.
    """
    require_positive("height in ft", height_ft)
    return 0.052 * flow_at_50_pa_cfm * weather_factor * math.pow(height_ft / 8.2, 0.4)


@over_arrays
def needed_fan_cfm(
    total_cfm: float,
    leakage_credit_cfm: float,
    *,
    balanced: bool,
    exterior_share: float = 1.0,
    largest_credit_share: float = 1.0,
) -> float:
    """Fan flow beside the leakage credit. ASHRAE 62.2-2016/2019 (from memory).

    `exterior_share` of the envelope of an attached house; `largest_credit_share` of the total that leakage
    may cover in the adopted edition, applied first.
    """
    require_positive("total ventilation in cfm", total_cfm)
    require_between("exterior share", exterior_share, 0.0, 1.0)
    require_between("largest credit share", largest_credit_share, 0.0, 1.0)
    credit = min(leakage_credit_cfm, largest_credit_share * total_cfm)
    counted = 1.0 if balanced else credit / total_cfm
    return max(0.0, total_cfm - counted * credit * exterior_share)


def kitchen_exhaust_cfm(enclosed_volume_ft3: float) -> float:
    """Continuous exhaust of an enclosed kitchen: 5 air changes. ASHRAE 62.2, local exhaust (from memory)."""
    return KITCHEN_AIR_CHANGES_PER_H * enclosed_volume_ft3 / 60.0


def ventilation_heat_w(
    flow_m3_h: ArrayLike, dt_k: ArrayLike, recovered_share: float = 0.0, pressure_ratio: float = 1.0
) -> Array:
    """Sensible heat to warm outdoor air; `pressure_ratio` is the site's pressure over sea level's."""
    require_between("recovered share", recovered_share, 0.0, 1.0)
    per_k = AIR_HEAT_WH_M3K * pressure_ratio * (1.0 - recovered_share)
    return np.asarray(per_k * np.asarray(flow_m3_h, dtype=float) * np.asarray(dt_k, dtype=float), dtype=float)


@over_arrays
def ventilation_heat_btu_h(
    flow_cfm: float, dt_f: float, recovered_share: float = 0.0, pressure_ratio: float = 1.0
) -> float:
    """The same with the US trade constant 1.08 Btu/h·cfm·°F."""
    require_between("recovered share", recovered_share, 0.0, 1.0)
    return AIR_HEAT_BTU_H_CFM_F * pressure_ratio * (1.0 - recovered_share) * flow_cfm * dt_f


def _whole_house_cfm(area_term: float, floor_area_ft2: float, bedrooms: int) -> float:
    require_positive("floor area in ft2", floor_area_ft2)
    return area_term * floor_area_ft2 + PERSON_TERM_CFM * (max(1, bedrooms) + 1)
