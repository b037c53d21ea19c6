"""The second view of design loads, in the US trade's own form and units."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

# ASHRAE Fundamentals 2013-2021, ch. 17 throughout (from memory). Expect 20 to 30 % against an hourly run.
SENSIBLE_BTU_H_CFM_F, LATENT_BTU_H_CFM = 1.10, 4840.0


@dataclass(frozen=True)
class CoolingFactors:
    """Offset by temperature difference, by absorbed sun (slope and start) and by daily range."""

    by_difference: float
    by_absorptance: float
    offset: float
    by_daily_range: float


class OpaqueSurface(Enum):
    """Opaque cooling factors by surface, °F and Btu/h·ft2."""

    CEILING_UNDER_VENTED_ATTIC = CoolingFactors(0.62, 25.7, -8.1, -0.19)
    ROOF = CoolingFactors(1.0, 68.9, -12.6, -0.36)
    SUNLIT_WALL = CoolingFactors(1.0, 0.0, 14.8, -0.36)
    SHADED_WALL = CoolingFactors(1.0, 0.0, 0.0, -0.36)
    FLOOR_OVER_AIR = CoolingFactors(1.0, 0.0, 0.0, -0.06)
    FLOOR_OVER_CRAWL_SPACE = CoolingFactors(0.33, 0.0, 0.0, -0.28)


@dataclass(frozen=True)
class LoadParts:
    """Design heating parts in Btu/h."""

    transmission_btu_h: tuple[float, ...]
    slab_btu_h: float
    air_btu_h: float
    distribution_share: float = 0.0

    @property
    def total_btu_h(self) -> float:
        parts = sum(self.transmission_btu_h) + self.slab_btu_h + self.air_btu_h
        return parts * (1.0 + self.distribution_share)


def heating_load(
    elements: tuple[tuple[float, float], ...],
    *,
    dt_f: float,
    slab_perimeter_ft: float,
    slab_factor_btu_h_ft_f: float,
    air_cfm: float,
    pressure_ratio: float = 1.0,
    distribution_share: float = 0.0,
) -> LoadParts:
    """Design heating load from (area in ft2, U in Btu/h·ft2·°F) of each element; no gains credited."""
    return LoadParts(
        tuple(area * u * dt_f for area, u in elements),
        slab_factor_btu_h_ft_f * slab_perimeter_ft * dt_f,
        sensible_air_btu_h(air_cfm, dt_f, pressure_ratio),
        distribution_share,
    )


def sensible_air_btu_h(air_cfm: float, dt_f: float, pressure_ratio: float = 1.0) -> float:
    """Sensible load of outdoor air."""
    return SENSIBLE_BTU_H_CFM_F * pressure_ratio * air_cfm * dt_f


def latent_air_btu_h(air_cfm: float, humidity_ratio_difference: float, pressure_ratio: float = 1.0) -> float:
    """Latent load of outdoor air; the difference in lb/lb."""
    return LATENT_BTU_H_CFM * pressure_ratio * air_cfm * humidity_ratio_difference


def opaque_cooling_btu_h_ft2(
    surface: OpaqueSurface, u_value: float, dt_f: float, daily_range_f: float, solar_absorptance: float = 0.0
) -> float:
    """Cooling load of each ft2 of an opaque surface; `u_value` in Btu/h·ft2·°F."""
    f = surface.value
    sun = f.by_absorptance * solar_absorptance + f.offset
    return u_value * (f.by_difference * dt_f + sun + f.by_daily_range * daily_range_f)


def window_cooling_btu_h_ft2(
    *,
    u_value: float,
    dt_f: float,
    daily_range_f: float,
    peak_sun_btu_h_ft2: float,
    shgc: float,
    shade_factor: float,
    load_share: float,
) -> float:
    """Cooling load of each ft2 of window: conduction and its share of the peak sun."""
    return u_value * (dt_f - 0.46 * daily_range_f) + peak_sun_btu_h_ft2 * shgc * shade_factor * load_share


def indoor_gains_btu_h(floor_area_ft2: float, people: float) -> tuple[float, float]:
    """Sensible and latent gains of people and appliances."""
    return 464.0 + 0.7 * floor_area_ft2 + 75.0 * people, 68.0 + 0.07 * floor_area_ft2 + 41.0 * people
