"""Film coefficients of a surface: stated ones, else ISO 6946:2017 by tilt and emittance."""

from __future__ import annotations

from dataclasses import dataclass

from retrofit_desk.physics.description import Surface, Window
from retrofit_desk.physics.elements import Films, OtherZone, Outdoors
from retrofit_desk.physics.over_arrays import over_arrays

SIGMA_W_M2K4 = 5.670374419e-8
OUTSIDE_CONVECTIVE_W_M2K = 20.0  # 4 + 4 v at 4 m/s, ISO 6946:2017
STILL_OUTSIDE_W_M2K = 4.0  # the same at 0 m/s
FLAT_BELOW_DEG, FLOOR_ABOVE_DEG = 60.0, 120.0  # heat flow counts as horizontal within 30 degrees
INSIDE_MEAN_C, OUTSIDE_MEAN_C = 20.0, 10.0


@dataclass(frozen=True)
class SurfaceFilms:
    """W/m2K; `outside_radiative` is towards surroundings at air temperature, or the other zone's faces."""

    inside_convective: float
    inside_radiative: float
    outside_convective: float
    outside_radiative: float

    @property
    def inside(self) -> float:
        return self.inside_convective + self.inside_radiative

    @property
    def outside(self) -> float:
        return self.outside_convective + self.outside_radiative


@over_arrays
def inside_convective_w_m2k(tilt_deg: float) -> float:
    """5.0 under a roof or ceiling, 2.5 at a wall, 0.7 over a floor: ISO 6946:2017, heating season."""
    if tilt_deg < FLAT_BELOW_DEG:
        return 5.0
    return 0.7 if tilt_deg > FLOOR_ABOVE_DEG else 2.5


def radiative_w_m2k(emittance: float, mean_c: float) -> float:
    """4 e s T^3, ISO 6946:2017."""
    return 4.0 * emittance * SIGMA_W_M2K4 * (mean_c + 273.15) ** 3


def surface_films(surface: Surface) -> SurfaceFilms:
    """Films of the opaque part; between two zones the outside films are those of the other room."""
    boundary = surface.boundary
    indoors = isinstance(boundary, OtherZone)
    still = isinstance(boundary, Outdoors) and not boundary.wind
    outside = STILL_OUTSIDE_W_M2K if still else OUTSIDE_CONVECTIVE_W_M2K
    return _films(
        surface.films,
        inside_convective_w_m2k(surface.tilt_deg),
        surface.inside_emittance,
        inside_convective_w_m2k(180.0 - surface.tilt_deg) if indoors else outside,
        surface.outside_emittance,
        INSIDE_MEAN_C if indoors else OUTSIDE_MEAN_C,
    )


def window_films(surface: Surface, window: Window) -> SurfaceFilms:
    """Films of a window in that surface."""
    return _films(
        window.films,
        inside_convective_w_m2k(surface.tilt_deg),
        window.inside_emittance,
        OUTSIDE_CONVECTIVE_W_M2K,
        window.outside_emittance,
        OUTSIDE_MEAN_C,
    )


def _films(
    stated: Films,
    inside_convective: float,
    inside_emittance: float,
    outside_convective: float,
    outside_emittance: float,
    outside_mean_c: float,
) -> SurfaceFilms:
    def first(value: float | None, otherwise: float) -> float:
        return otherwise if value is None else value

    return SurfaceFilms(
        first(stated.inside_convective_w_m2k, inside_convective),
        first(stated.inside_radiative_w_m2k, radiative_w_m2k(inside_emittance, INSIDE_MEAN_C)),
        first(stated.outside_convective_w_m2k, outside_convective),
        first(stated.outside_radiative_w_m2k, radiative_w_m2k(outside_emittance, outside_mean_c)),
    )
