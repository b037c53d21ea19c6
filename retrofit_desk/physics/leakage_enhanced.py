"""Air leakage by the enhanced model, which knows the flue, the foundation and where the leaks are."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from retrofit_desk.physics.errors import require_between, require_positive
from retrofit_desk.physics.films import KELVIN
from retrofit_desk.physics.leakage import PowerLaw
from retrofit_desk.physics.over_arrays import over_arrays

Array: TypeAlias = NDArray[np.float64]

GRAVITY_M_S2 = 9.81


class Foundation(StrEnum):
    """What the house stands on."""

    SLAB = "slab or basement"
    CRAWL_SPACE = "crawl space"


# ASHRAE Fundamentals ch. 16, enhanced model (from memory); one, two, three storeys
WIND_SPEED_FACTOR = (0.48, 0.59, 0.67)
STACK = {False: (0.054, 0.078, 0.098), True: (0.069, 0.089, 0.107)}  # by flue, (Pa/K)^n
WIND = {  # by foundation and flue, (Pa·s2/m2)^n
    (Foundation.SLAB, False): (0.156, 0.170, 0.170),
    (Foundation.SLAB, True): (0.142, 0.156, 0.167),
    (Foundation.CRAWL_SPACE, False): (0.128, 0.142, 0.151),
    (Foundation.CRAWL_SPACE, True): (0.128, 0.142, 0.154),
}
SHELTER = (1.00, 0.90, 0.70, 0.50, 0.30)  # classes 1 to 5, no flue
FLUE_SHARE = (0.20, 0.14, 0.106)  # share of the wind effect felt at the flue top; fitted to the printed rows
FLUE_TOP_SHELTER = 1.5


@dataclass(frozen=True)
class EnhancedCoefficients:
    """Stack and wind coefficients, shelter, and the ratio of eave wind to station wind."""

    stack: float
    wind: float
    shelter: float
    wind_speed_factor: float


def enhanced_coefficients(
    storeys: int, shelter_class: int, foundation: Foundation, *, flue: bool
) -> EnhancedCoefficients:
    """The published coefficients for one to three storeys. ASHRAE Fundamentals ch. 16 (from memory)."""
    require_between("storeys", storeys, 1, 3)
    i = int(storeys) - 1
    shelter = flue_shelter(shelter_class, storeys) if flue else _shelter(shelter_class)
    return EnhancedCoefficients(STACK[flue][i], WIND[foundation, flue][i], shelter, WIND_SPEED_FACTOR[i])


@over_arrays
def flue_shelter(shelter_class: int, storeys: int) -> float:
    """Shelter of a house whose flue top stands above it, in open wind. Walker & Wilson 1998 (from memory)."""
    require_between("storeys", storeys, 1, 3)
    share = FLUE_SHARE[int(storeys) - 1]
    return _shelter(shelter_class) * (1.0 - share) + FLUE_TOP_SHELTER * share


def enhanced_infiltration_m3_s(
    law: PowerLaw, coefficients: EnhancedCoefficients, dt_k: ArrayLike, station_wind_m_s: ArrayLike
) -> Array:
    """Air entering by stack and wind added in quadrature, shapes broadcast. ASHRAE Fundamentals ch. 16."""
    c, n = law.coefficient_m3_s_pan, law.exponent
    wind = np.asarray(station_wind_m_s, dtype=float) * coefficients.wind_speed_factor
    by_stack = c * coefficients.stack * np.abs(np.asarray(dt_k, dtype=float)) ** n
    by_wind = c * coefficients.wind * (coefficients.shelter * wind) ** (2.0 * n)
    return np.asarray(np.hypot(by_stack, by_wind), dtype=float)


@over_arrays
def stack_factor(exponent: float, ceiling_and_floor: float, ceiling_less_floor: float) -> float:
    """Share of the leaks that the stack drives, f_s; arguments R and X are shares of the total leakage.

    Source: Walker & Wilson, HVAC&R Research 4 (1998), no flue (from memory).
    """
    r, x, n = ceiling_and_floor, ceiling_less_floor, exponent
    require_between("ceiling and floor share", r, 0.0, 1.0)
    require_between("ceiling less floor share", abs(x), 0.0, r)
    skew = min(1.0, x**2 / (2.0 - r))
    shape = math.pow(0.5 - 0.5 * math.pow(skew, 1.25), n + 1.0)
    return (1.0 + n * r) / (n + 1.0) * shape


@over_arrays
def wind_factor(exponent: float, ceiling_and_floor: float, ceiling_less_floor: float) -> float:
    """Share of the leaks that the wind drives, f_w, on a slab or basement. The same source."""
    return 0.19 * (2.0 - exponent) * (1.0 - math.pow((ceiling_less_floor + ceiling_and_floor) / 2.0, 1.5))


def located_infiltration_m3_s(
    law: PowerLaw,
    *,
    ceiling_and_floor: float,
    ceiling_less_floor: float,
    height_m: float,
    inside_c: float,
    outside_density_kg_m3: ArrayLike,
    dt_k: ArrayLike,
    sheltered_wind_m_s: ArrayLike,
) -> Array:
    """Air entering a house whose leaks are placed, no flue; wind at the eave after shelter; shapes broadcast.

    Source: Walker & Wilson, HVAC&R Research 4 (1998) (from memory).
    """
    require_positive("height in m", height_m)
    c, n = law.coefficient_m3_s_pan, law.exponent
    density = np.asarray(outside_density_kg_m3, dtype=float)
    stack_pa = density * GRAVITY_M_S2 * height_m * np.abs(np.asarray(dt_k)) / (inside_c + KELVIN)
    wind_pa = density * np.asarray(sheltered_wind_m_s, dtype=float) ** 2 / 2.0
    by_stack = c * stack_factor(n, ceiling_and_floor, ceiling_less_floor) * stack_pa**n
    by_wind = c * wind_factor(n, ceiling_and_floor, ceiling_less_floor) * wind_pa**n
    together = by_stack ** (1.0 / n) + by_wind ** (1.0 / n)
    shared = (by_stack * by_wind) ** (1.0 / (2.0 * n)) / 3.0
    return np.asarray((together - shared) ** n, dtype=float)


def _shelter(shelter_class: int) -> float:
    require_between("shelter class", shelter_class, 1, 5)
    return SHELTER[shelter_class - 1]
