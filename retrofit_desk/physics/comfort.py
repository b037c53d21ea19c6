"""Thermal comfort: predicted vote, operative temperature, local discomfort, adaptive range."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from retrofit_desk.physics.errors import ImpossibleValue, require_between
from retrofit_desk.physics.over_arrays import over_arrays

Array: TypeAlias = NDArray[np.float64]

MET_W_M2, CLO_M2K_W = 58.15, 0.155
ISO_KELVIN = 273.0  # ISO 7730 writes its formula with 273, not 273.15
RADIATION_ISO = 3.96e-8
STOP_K, MOST_ITERATIONS = 0.015, 150  # ISO 7730:2005, annex D
ADAPTIVE_RANGE_C = (10.0, 33.5)
ADAPTIVE_BAND_K = {80: 3.5, 90: 2.5}  # ASHRAE 55, 5.4: half band by percent acceptable (from memory)


def vapor_pressure_pa(air_c: ArrayLike, relative_humidity: ArrayLike) -> Array:
    """Vapor pressure as ISO 7730 computes it; humidity 0 to 1."""
    share = np.asarray(relative_humidity, dtype=float)
    require_between("lowest relative humidity, 0 to 1,", float(share.min()), 0.0, 1.0)
    require_between("highest relative humidity, 0 to 1,", float(share.max()), 0.0, 1.0)
    saturated = 1000.0 * np.exp(16.6536 - 4030.183 / (np.asarray(air_c, dtype=float) + 235.0))
    return np.asarray(share * saturated, dtype=float)


def predicted_vote(
    air_c: ArrayLike,
    radiant_c: ArrayLike,
    air_speed_m_s: ArrayLike,
    relative_humidity: ArrayLike,
    *,
    met: float,
    clo: float,
) -> Array:
    """Predicted mean vote, -3 cold to +3 hot, shapes broadcast; humidity 0 to 1, speed relative to the body.

    Valid for votes within 2, air 10-30 °C, radiant 10-40 °C, speed to 1 m/s, 0.8-4 met, 0-2 clo. Source:
    ISO 7730:2005, clause 4 and annex D (from memory).
    """
    require_between("activity in met", met, 0.8, 4.0)
    require_between("clothing in clo", clo, 0.0, 2.0)
    ta, tr = np.asarray(air_c, dtype=float), np.asarray(radiant_c, dtype=float)
    pa, speed = vapor_pressure_pa(ta, relative_humidity), np.asarray(air_speed_m_s, dtype=float)
    m = met * MET_W_M2
    dry = _dry_loss_w_m2(ta, tr, speed, m, clo)
    skin = 3.05e-3 * (5733.0 - 6.99 * m - pa) + 0.42 * max(0.0, m - MET_W_M2)
    breath = 1.7e-5 * m * (5867.0 - pa) + 0.0014 * m * (34.0 - ta)
    sensitivity = 0.303 * np.exp(-0.036 * m) + 0.028
    return np.asarray(sensitivity * (m - skin - breath - dry), dtype=float)


def predicted_dissatisfied_pct(vote: ArrayLike) -> Array:
    """Predicted percentage of dissatisfied people. ISO 7730:2005, clause 5 (from memory)."""
    v = np.asarray(vote, dtype=float)
    return np.asarray(100.0 - 95.0 * np.exp(-0.03353 * v**4 - 0.2179 * v**2), dtype=float)


def operative_c(air_c: ArrayLike, radiant_c: ArrayLike, air_speed_m_s: ArrayLike) -> Array:
    """Operative temperature, shapes broadcast; the mean of both below 0.2 m/s. ISO 7726 (from memory)."""
    ta, tr = np.asarray(air_c, dtype=float), np.asarray(radiant_c, dtype=float)
    speed = np.asarray(air_speed_m_s, dtype=float)
    root = np.where(speed < 0.2, 1.0, np.sqrt(10.0 * np.maximum(speed, 0.0)))
    return np.asarray((ta * root + tr) / (1.0 + root), dtype=float)


def operative_ashrae_c(air_c: ArrayLike, radiant_c: ArrayLike, air_speed_m_s: ArrayLike) -> Array:
    """Operative temperature with the weights of ASHRAE 55 (0.5, 0.6, 0.7 by air speed; from memory)."""
    speed = np.asarray(air_speed_m_s, dtype=float)
    weight = np.where(speed < 0.2, 0.5, np.where(speed < 0.6, 0.6, 0.7))
    return np.asarray(weight * np.asarray(air_c) + (1.0 - weight) * np.asarray(radiant_c), dtype=float)


# Percent dissatisfied with one discomfort alone. ISO 7730:2005, clause 6 (from memory)


@over_arrays
def draft_pct(air_c: float, air_speed_m_s: float, turbulence_pct: float) -> float:
    """Draft rate at the neck, 20-26 °C, below 0.5 m/s."""
    speed = max(0.05, air_speed_m_s)
    rate = (34.0 - air_c) * (speed - 0.05) ** 0.62 * (0.37 * speed * turbulence_pct + 3.14)
    return float(min(100.0, max(0.0, rate)))


@over_arrays
def vertical_difference_pct(head_less_ankle_k: float) -> float:
    """Warm head and cold feet, below 8 K."""
    require_between("head to ankle difference in K", head_less_ankle_k, 0.0, 8.0)
    return _logistic_pct(5.76, 0.856, head_less_ankle_k)


@over_arrays
def floor_pct(floor_c: float) -> float:
    """Warm or cold floor under shoes."""
    return float(100.0 - 94.0 * np.exp(-1.387 + 0.118 * floor_c - 0.0025 * floor_c**2))


@over_arrays
def warm_ceiling_pct(asymmetry_k: float) -> float:
    """Radiant asymmetry of a warm ceiling, below 23 K."""
    require_between("radiant asymmetry in K", asymmetry_k, 0.0, 23.0)
    return max(0.0, _logistic_pct(2.84, 0.174, asymmetry_k) - 5.5)


@over_arrays
def cool_wall_pct(asymmetry_k: float) -> float:
    """Radiant asymmetry of a cool wall or window, below 15 K."""
    require_between("radiant asymmetry in K", asymmetry_k, 0.0, 15.0)
    return _logistic_pct(6.61, 0.345, asymmetry_k)


@over_arrays
def cool_ceiling_pct(asymmetry_k: float) -> float:
    """Radiant asymmetry of a cooled ceiling, below 15 K."""
    require_between("radiant asymmetry in K", asymmetry_k, 0.0, 15.0)
    return _logistic_pct(9.93, 0.50, asymmetry_k)


@over_arrays
def warm_wall_pct(asymmetry_k: float) -> float:
    """Radiant asymmetry of a warm wall, below 35 K."""
    require_between("radiant asymmetry in K", asymmetry_k, 0.0, 35.0)
    return max(0.0, _logistic_pct(3.72, 0.052, asymmetry_k) - 3.5)


def adaptive_range_c(running_outdoor_mean_c: float, acceptable_pct: int = 80) -> tuple[float, float]:
    """Operative temperatures that 80 or 90 % accept in a house with open windows and no cooling on.

    `running_outdoor_mean_c` is the prevailing mean of the last days; outside 10-33.5 °C the method does not
    apply. Source: ASHRAE 55, 5.4 (from memory).
    """
    if acceptable_pct not in ADAPTIVE_BAND_K:
        raise ImpossibleValue(f"the adaptive range is given for 80 and 90%, not {acceptable_pct}%")
    low, high = ADAPTIVE_RANGE_C
    if not low <= running_outdoor_mean_c <= high:
        mean = f"{running_outdoor_mean_c:g} °C"
        raise ImpossibleValue(f"the adaptive range is not applicable at an outdoor mean of {mean}")
    center, band = 0.31 * running_outdoor_mean_c + 17.8, ADAPTIVE_BAND_K[acceptable_pct]
    return center - band, center + band


def _logistic_pct(offset: float, slope: float, difference_k: float) -> float:
    return float(100.0 / (1.0 + np.exp(offset - slope * difference_k)))


def _dry_loss_w_m2(ta: Array, tr: Array, speed: Array, m: float, clo: float) -> Array:
    """Radiation and convection from the clothed body.

    The clothing's temperature is iterated and stopped as the program of ISO 7730, annex D, does: its printed
    table follows that stop, which leaves up to 0.015 K.
    """
    icl = clo * CLO_M2K_W
    fcl = 1.0 + 1.29 * icl if icl <= 0.078 else 1.05 + 0.645 * icl
    shape = np.broadcast_shapes(ta.shape, tr.shape, speed.shape)
    air, radiant = np.broadcast_to(ta, shape) + ISO_KELVIN, np.broadcast_to(tr, shape) + ISO_KELVIN
    radiation = RADIATION_ISO * icl * fcl
    gains = ISO_KELVIN + 35.7 - 0.028 * m + radiation * radiant**4
    solved = air + (35.5 - (air - ISO_KELVIN)) / (3.5 * (6.45 * icl + 0.1))
    guess, hc = 2.0 * solved, np.zeros(shape)
    for _ in range(MOST_ITERATIONS):
        open_ = np.abs(solved - guess) > STOP_K
        if not open_.any():
            break
        guess = np.where(open_, (guess + solved) / 2.0, guess)
        moved = np.maximum(2.38 * np.abs(guess - air) ** 0.25, 12.1 * np.sqrt(speed))
        hc = np.where(open_, moved, hc)
        improved = (gains + icl * fcl * hc * air - radiation * guess**4) / (1.0 + icl * fcl * hc)
        solved = np.where(open_, improved, solved)
    radiated = RADIATION_ISO * fcl * (solved**4 - radiant**4)
    return np.asarray(radiated + fcl * hc * (solved - air), dtype=float)
