"""Surface films: how strongly a surface exchanges heat with its room or with the outdoors."""

from __future__ import annotations

from enum import StrEnum

from retrofit_desk.physics.errors import require_between
from retrofit_desk.physics.over_arrays import over_arrays

STEFAN_BOLTZMANN_W_M2K4 = 5.670374e-8
KELVIN = 273.15


class HeatFlow(StrEnum):
    """Direction of heat flow through a surface."""

    UP = "up"
    HORIZONTAL = "horizontal"
    DOWN = "down"


# ISO 6946:2017, surface resistance annex (from memory), W/m2K
INSIDE_CONVECTION_W_M2K = {HeatFlow.UP: 5.0, HeatFlow.HORIZONTAL: 2.5, HeatFlow.DOWN: 0.7}
# ISO 6946:2017, design values of surface resistances (from memory), m2K/W
DESIGN_R_SI_M2K_W = {HeatFlow.UP: 0.10, HeatFlow.HORIZONTAL: 0.13, HeatFlow.DOWN: 0.17}
DESIGN_R_SE_M2K_W = 0.04


def heat_flow_through(tilt_deg: float, *, warm_inside: bool = True) -> HeatFlow:
    """Direction of flow through a surface of this tilt: 0 a flat ceiling, 90 a wall, 180 a floor.

    A surface within 30° of upright counts as a wall. Source: ISO 6946:2017, 6.8 (from memory).
    """
    require_between("tilt in degrees", tilt_deg, 0.0, 180.0)
    if 60.0 <= tilt_deg <= 120.0:
        return HeatFlow.HORIZONTAL
    return HeatFlow.UP if (tilt_deg < 60.0) == warm_inside else HeatFlow.DOWN


@over_arrays
def radiative_coefficient_w_m2k(mean_temp_c: float, emissivity: float = 1.0) -> float:
    """Linear long-wave coefficient 4·emissivity·sigma·T^3 at a mean temperature. ISO 6946:2017."""
    require_between("emissivity", emissivity, 0.0, 1.0)
    return emissivity * 4.0 * STEFAN_BOLTZMANN_W_M2K4 * (mean_temp_c + KELVIN) ** 3


@over_arrays
def inside_resistance_m2k_w(flow: HeatFlow, emissivity: float = 0.9, mean_temp_c: float = 20.0) -> float:
    """Inside surface resistance R_si of a plane surface. ISO 6946:2017, surface resistance annex."""
    return 1.0 / (INSIDE_CONVECTION_W_M2K[flow] + radiative_coefficient_w_m2k(mean_temp_c, emissivity))


@over_arrays
def outside_resistance_m2k_w(
    wind_m_s: float = 4.0, emissivity: float = 0.9, mean_temp_c: float = 0.0
) -> float:
    """Outside surface resistance R_se at a wind speed beside the surface. ISO 6946:2017, the same annex."""
    require_between("wind in m/s", wind_m_s, 0.0, 60.0)
    return 1.0 / (4.0 + 4.0 * wind_m_s + radiative_coefficient_w_m2k(mean_temp_c, emissivity))
