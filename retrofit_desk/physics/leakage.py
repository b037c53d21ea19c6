"""Air leakage: from a blower-door test to the air that enters hour by hour."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from retrofit_desk.physics.errors import ImpossibleValue, require_between, require_positive
from retrofit_desk.physics.over_arrays import over_arrays

Array: TypeAlias = NDArray[np.float64]

REFERENCE_DENSITY_KG_M3 = 1.2
DRY_AIR_GAS_CONSTANT_J_KGK = 287.055  # ASTM E779
STANDARD_DENSITY_KG_M3, STANDARD_VISCOSITY_PA_S = 1.2041, 1.813e-5  # ASTM E779, 20 °C
DEFAULT_EXPONENT = 0.65  # ASTM E779 practice where one pressure was measured (from memory)
FEWEST_TEST_POINTS = 2
# Sherman & Grimsrud 1980 shelter coefficients for classes 1 to 5 (from memory)
SHELTER_COEFFICIENT = (0.324, 0.285, 0.240, 0.185, 0.102)
OPEN_ONE_STOREY_WIND = 319e-6  # ASHRAE Fundamentals ch. 16, basic model, class 1 (from memory)
STOREY_STACK = 145e-6  # the same table, (L/s)2/(cm4·K) for each storey


class Terrain(Enum):
    """Boundary layer in m and exponent of the wind profile. ASHRAE Fundamentals ch. 24 (from memory)."""

    CITY = (460.0, 0.33)
    SUBURB = (370.0, 0.22)
    OPEN = (270.0, 0.14)
    WATER = (210.0, 0.10)


@dataclass(frozen=True)
class PowerLaw:
    """Leakage flow = coefficient·pressure^exponent, m3/s and Pa."""

    coefficient_m3_s_pan: float
    exponent: float

    def __post_init__(self) -> None:
        require_positive("flow coefficient in m3/(s·Pa^n)", self.coefficient_m3_s_pan)
        require_between("flow exponent", self.exponent, 0.45, 1.05)

    def flow_m3_s(self, pressure_pa: ArrayLike) -> Array:
        """Flow at a pressure across the envelope, same shape."""
        return np.asarray(self.coefficient_m3_s_pan * np.asarray(pressure_pa) ** self.exponent, dtype=float)

    def leakage_area_m2(
        self,
        pressure_pa: float = 4.0,
        discharge: float = 1.0,
        density_kg_m3: float = REFERENCE_DENSITY_KG_M3,
    ) -> float:
        """Area of a hole of equal flow: effective at 4 Pa and discharge 1, equivalent at 10 Pa and 0.611.

        Source: ASTM E779, E1827 (from memory).
        """
        speed = math.sqrt(2.0 * pressure_pa / density_kg_m3)
        return float(self.flow_m3_s(pressure_pa)) / (discharge * speed)


def power_law_from_one_point(
    flow_m3_s: float, pressure_pa: float = 50.0, exponent: float = DEFAULT_EXPONENT
) -> PowerLaw:
    """Leakage from a single test pressure."""
    require_positive("test flow in m3/s", flow_m3_s)
    require_positive("test pressure in Pa", pressure_pa)
    return PowerLaw(flow_m3_s / float(pressure_pa**exponent), exponent)


def power_law_from_points(pressures_pa: Sequence[float], flows_m3_s: Sequence[float]) -> PowerLaw:
    """Leakage from several test pressures: unweighted straight line through the logarithms. ASTM E779."""
    if len(pressures_pa) != len(flows_m3_s) or len(set(pressures_pa)) < FEWEST_TEST_POINTS:
        raise ImpossibleValue("a leakage test needs a flow for each of at least two pressures")
    for value in (*pressures_pa, *flows_m3_s):
        require_positive("a test reading", value)
    slope, intercept = np.polyfit(np.log(pressures_pa), np.log(flows_m3_s), 1)
    return PowerLaw(math.exp(intercept), float(slope))


@over_arrays
def air_changes_at_50_pa(flow_at_50_pa_m3_s: float, volume_m3: float) -> float:
    """ACH50, 1/h."""
    require_positive("volume in m3", volume_m3)
    return flow_at_50_pa_m3_s * 3600.0 / volume_m3


@over_arrays
def leakage_area_at_m2(
    area_m2: float,
    exponent: float,
    from_reference: tuple[float, float],
    to_reference: tuple[float, float],
) -> float:
    """The same leak at another reference; a reference is (pressure in Pa, discharge coefficient)."""
    pressure = to_reference[0] / from_reference[0]
    return area_m2 * from_reference[1] / to_reference[1] * math.pow(pressure, exponent - 0.5)


def air_density_kg_m3(temp_c: ArrayLike, pressure_pa: ArrayLike) -> Array:
    """Density of dry air, same shape. ASTM E779."""
    kelvin = np.asarray(temp_c, dtype=float) + 273.15
    return np.asarray(np.asarray(pressure_pa) / (DRY_AIR_GAS_CONSTANT_J_KGK * kelvin), dtype=float)


@over_arrays
def envelope_flow_m3_s(
    fan_flow_m3_s: float, inside_density_kg_m3: float, outside_density_kg_m3: float, *, depressurized: bool
) -> float:
    """Flow through the leaks from the flow through the test fan. ASTM E779."""
    ratio = inside_density_kg_m3 / outside_density_kg_m3
    return fan_flow_m3_s * (ratio if depressurized else 1.0 / ratio)


def at_standard_air(law: PowerLaw, viscosity_pa_s: float, density_kg_m3: float) -> PowerLaw:
    """The coefficient at 20 °C from that at the test's air. ASTM E779 (from memory)."""
    n = law.exponent
    viscosity = math.pow(viscosity_pa_s / STANDARD_VISCOSITY_PA_S, 2.0 * n - 1.0)
    density = math.pow(density_kg_m3 / STANDARD_DENSITY_KG_M3, 1.0 - n)
    return PowerLaw(law.coefficient_m3_s_pan * viscosity * density, n)


def wind_at_house_m_s(
    station_wind_m_s: ArrayLike,
    height_m: float,
    site: Terrain,
    station: Terrain = Terrain.OPEN,
    station_height_m: float = 10.0,
) -> Array:
    """Wind at a height beside the house from that at the station, same shape.

    Source: ASHRAE Fundamentals ch. 24, power-law profiles (from memory).
    """
    require_positive("height in m", height_m)
    (layer_met, a_met), (layer, a) = station.value, site.value
    factor = math.pow(layer_met / station_height_m, a_met) * math.pow(height_m / layer, a)
    return np.asarray(np.asarray(station_wind_m_s, dtype=float) * factor, dtype=float)


@over_arrays
def stack_coefficient(storeys: float) -> float:
    """Basic-model stack coefficient, (L/s)2/(cm4·K). ASHRAE Fundamentals ch. 16 (from memory)."""
    require_between("storeys", storeys, 1.0, 3.0)
    return STOREY_STACK * storeys


@over_arrays
def wind_coefficient(storeys: float, shelter_class: int) -> float:
    """Basic-model wind coefficient, (L/s)2/(cm4·(m/s)2), for the station's wind; class 1 open to 5 next door.

    The published table follows this rule within one unit of its last digit. ASHRAE Fundamentals ch. 16;
    shelter coefficients of Sherman & Grimsrud 1980 (from memory).
    """
    require_between("storeys", storeys, 1.0, 3.0)
    require_between("shelter class", shelter_class, 1, 5)
    shelter = SHELTER_COEFFICIENT[shelter_class - 1] / SHELTER_COEFFICIENT[0]
    return OPEN_ONE_STOREY_WIND * shelter**2 * math.pow(storeys, 0.4)


def infiltration_m3_s(
    effective_leakage_area_m2: float,
    stack_coefficient: float,
    wind_coefficient: float,
    dt_k: ArrayLike,
    wind_m_s: ArrayLike,
) -> Array:
    """Air entering by stack and wind, shapes broadcast; `wind_m_s` is the station's.

    `effective_leakage_area_m2` at 4 Pa. Within 20 to 40 % for one house. ASHRAE Fundamentals ch. 16, basic
    model (from memory).
    """
    driving = stack_coefficient * np.abs(np.asarray(dt_k, dtype=float))
    driving = driving + wind_coefficient * np.asarray(wind_m_s, dtype=float) ** 2
    return np.asarray(10.0 * effective_leakage_area_m2 * np.sqrt(driving), dtype=float)


def with_fans_m3_s(
    infiltration_m3_s: ArrayLike, balanced_m3_s: ArrayLike, unbalanced_m3_s: ArrayLike
) -> Array:
    """All air entering when fans run: balanced flow adds, unbalanced adds in quadrature; shapes broadcast.

    An exhaust fan in a tight house can back-draft an open flue. ASHRAE Fundamentals ch. 16 (from memory).
    """
    unbalanced, leaks = np.asarray(unbalanced_m3_s, dtype=float), np.asarray(infiltration_m3_s, dtype=float)
    return np.asarray(np.asarray(balanced_m3_s) + np.hypot(unbalanced, leaks), dtype=float)
