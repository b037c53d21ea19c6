"""The sun on every surface and through every window of a house, hour by hour."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.description import Site, Surface, Window
from retrofit_desk.physics.drawn_shades import drawn
from retrofit_desk.physics.elements import GlazingPart
from retrofit_desk.physics.network import glass_conductance_w_m2k
from retrofit_desk.physics.optics import window_optics
from retrofit_desk.physics.shading import Rectangle, diffuse_left, plane_axes, shaded_fraction
from retrofit_desk.physics.skyline import Skyline, skyline
from retrofit_desk.physics.sun import PlaneSun, path_of, plane_sun
from retrofit_desk.physics.surface_films import window_films
from retrofit_desk.physics.weather import HOURS, WeatherYear

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class SunOnSurface:
    """W/m2 on the opaque part of one surface, shade and skyline taken off."""

    incident_w_m2: Array
    unshaded_w_m2: Array


@dataclass(frozen=True, eq=False)
class SunOnWindow:
    """One window: incident W/m2 and, in W, what it lets in and what its panes absorb."""

    surface: int
    incident_w_m2: Array
    transmitted_w: Array
    absorbed_outer_w: Array
    absorbed_inner_w: Array
    lets_out: float  # share of indoor diffuse light that leaves by it
    holds: float  # share of indoor diffuse light its inner pane absorbs


@dataclass(frozen=True, eq=False)
class SunOnHouse:
    """All surfaces in order, all windows in the order of their surfaces."""

    surfaces: tuple[SunOnSurface, ...]
    windows: tuple[SunOnWindow, ...]


@lru_cache(maxsize=6)
def sun_on_house(
    surfaces: tuple[Surface, ...], glazings: tuple[GlazingPart, ...], site: Site, weather: WeatherYear
) -> SunOnHouse:
    """Work out the sun on a house; equal surfaces, glazings, site and weather are worked out once."""
    by_name = {g.name: g for g in glazings}
    found: list[SunOnSurface] = []
    windows: list[SunOnWindow] = []
    dark = np.zeros(HOURS)
    dark.setflags(write=False)
    for number, surface in enumerate(surfaces):
        if surface.boundary.kind != "outdoors" or not surface.boundary.sun:
            found.append(SunOnSurface(dark, dark))
            windows.extend(SunOnWindow(number, dark, dark, dark, dark, 0.0, 0.0) for _ in surface.windows)
            continue
        plane = _plane_of(site, surface.tilt_deg, surface.azimuth_deg, weather)
        line = skyline(site, surface.tilt_deg, surface.azimuth_deg, weather)
        shades = [_shade(surface, _place(w), weather) for w in surface.windows]
        wall = _wall_shade(surface, shades, weather)
        found.append(SunOnSurface(_incident(plane, line, wall), plane.total))
        windows.extend(
            _sun_on_window(number, surface, window, by_name[window.glazing], plane, line, shade, weather)
            for window, shade in zip(surface.windows, shades, strict=True)
        )
    return SunOnHouse(tuple(found), tuple(windows))


def _plane_of(site: Site, tilt_deg: float, azimuth_deg: float, weather: WeatherYear) -> PlaneSun:
    reflectance = site.monthly_ground_reflectance or (site.ground_reflectance,)
    return plane_sun(weather, tilt_deg, azimuth_deg, reflectance)


def sun_on_plane(site: Site, tilt_deg: float, azimuth_deg: float, weather: WeatherYear) -> SunOnSurface:
    """The sun on a plane that only hills and trees shade, such as modules on the roof."""
    plane = _plane_of(site, tilt_deg, azimuth_deg, weather)
    line = skyline(site, tilt_deg, azimuth_deg, weather)
    return SunOnSurface(_incident(plane, line, _OPEN), np.maximum(plane.total, 0.0))


@dataclass(frozen=True, eq=False)
class _Shade:
    beam_left: Array | float
    sky_left: float
    horizon_left: float
    ground_left: float


_OPEN = _Shade(1.0, 1.0, 1.0, 1.0)


def _place(window: Window) -> Rectangle:
    return Rectangle(window.x_m or 0.0, window.sill_m or 0.0, window.width_m, window.height_m)


def _shade(surface: Surface, rectangle: Rectangle, weather: WeatherYear) -> _Shade:
    if not surface.plates:
        return _OPEN
    path = path_of(weather)
    left = np.zeros(HOURS)
    local = path.direction[path.up] @ plane_axes(surface.tilt_deg, surface.azimuth_deg).T
    left[path.up] = 1.0 - shaded_fraction(rectangle, surface.plates, local)
    diffuse = diffuse_left(rectangle, surface.plates, surface.tilt_deg, surface.azimuth_deg)
    return _Shade(left, diffuse.sky, diffuse.horizon, diffuse.ground)


def _wall_shade(surface: Surface, windows: list[_Shade], weather: WeatherYear) -> _Shade:
    """Shade on the opaque part: the whole wall less its windows."""
    if not surface.plates or surface.width_m is None or surface.height_m is None:
        return _OPEN
    whole = _shade(surface, Rectangle(0.0, 0.0, surface.width_m, surface.height_m), weather)
    area, opaque = surface.width_m * surface.height_m, surface.opaque_area_m2
    if opaque <= 0.01 * area:
        return whole

    def rest(all_left: Array | float, parts: list[Array | float]) -> Array:
        glass = sum(p * w.area_m2 for p, w in zip(parts, surface.windows, strict=True))
        return np.clip((np.asarray(all_left) * area - glass) / opaque, 0.0, 1.0)

    return _Shade(
        rest(whole.beam_left, [s.beam_left for s in windows]),
        float(rest(whole.sky_left, [s.sky_left for s in windows])),
        float(rest(whole.horizon_left, [s.horizon_left for s in windows])),
        float(rest(whole.ground_left, [s.ground_left for s in windows])),
    )


def _direct(plane: PlaneSun, line: Skyline, shade: _Shade) -> Array:
    return np.asarray((plane.beam + plane.circumsolar) * shade.beam_left * line.beam)


def _diffuse(plane: PlaneSun, line: Skyline, shade: _Shade) -> Array:
    # a band darker than the sky is part of it: hidden alone, it would leave more sun than an open view
    band_left = np.where(plane.horizon < 0.0, line.sky, line.horizon)
    sky = plane.isotropic * shade.sky_left * line.sky + plane.horizon * shade.horizon_left * band_left
    return np.asarray(np.maximum(sky, 0.0) + plane.ground * shade.ground_left)


def _incident(plane: PlaneSun, line: Skyline, shade: _Shade) -> Array:
    return _direct(plane, line, shade) + _diffuse(plane, line, shade)


def _sun_on_window(
    number: int,
    surface: Surface,
    window: Window,
    glazing: GlazingPart,
    plane: PlaneSun,
    line: Skyline,
    shade: _Shade,
    weather: WeatherYear,
) -> SunOnWindow:
    rated = (
        glazing.rated_outside_film_w_m2k if glazing.kind != "panes" else window_films(surface, window).outside
    )
    optics = window_optics(glazing, rated, glass_conductance_w_m2k(glazing))
    direct, diffuse = _direct(plane, line, shade), _diffuse(plane, line, shade)
    area = window.area_m2 * (1.0 - window.frame_fraction)
    left: Array | float = 1.0
    for blind in window.blinds:  # what is thrown to and fro between two of them is left out
        left = left * (1.0 - drawn(blind, direct + diffuse, weather) * (1.0 - blind.solar_factor))
    parts = [
        (direct * at + diffuse * even) * area * left
        for at, even in zip(optics.at(plane.cos_incidence), optics.hemispherical, strict=True)
    ]
    through, _, inner = optics.hemispherical
    tabulated = glazing.kind == "angles" and bool(glazing.absorptance_inner)
    holds = inner if glazing.kind == "panes" or tabulated else 0.0
    return SunOnWindow(number, direct + diffuse, parts[0], parts[1], parts[2], through, holds)
