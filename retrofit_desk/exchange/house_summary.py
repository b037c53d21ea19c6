"""What is in a described house, in numbers with stable keys: counts, areas, resistances, U-values."""

from __future__ import annotations

from retrofit_desk.physics.built_layers import as_layers, built_u_w_m2k
from retrofit_desk.physics.description import House, Surface, Window
from retrofit_desk.physics.elements import GlazingPart
from retrofit_desk.physics.films import HeatFlow, heat_flow_through
from retrofit_desk.physics.layer_parts import Construction
from retrofit_desk.physics.layers import assembly_resistance
from retrofit_desk.physics.network import glass_conductance_w_m2k
from retrofit_desk.physics.surface_films import SurfaceFilms, surface_films, window_films

Json = dict[str, object]
WEAKEST_FILM_W_M2K = 0.1
"""A face that exchanges less is as good as cut off; a U-value would say nothing."""


def house_summary(house: House) -> Json:
    """Counts of all parts, and each construction, surface and window with its own films."""
    constructions = {one.name: one for one in house.constructions}
    glazings = {one.name: one for one in house.glazings}
    return {
        "zones": len(house.zones),
        "surfaces": len(house.surfaces),
        "windows": sum(len(one.windows) for one in house.surfaces),
        "floor_area_m2": sum(zone.floor_area_m2 or 0.0 for zone in house.zones),
        "volume_m3": sum(zone.volume_m3 for zone in house.zones),
        "has_plant": house.plant is not None,
        "constructions": [_construction(one) for one in house.constructions],
        "surface_list": [_surface(one, constructions[one.construction]) for one in house.surfaces],
        "window_list": [
            _window(surface, window, glazings[window.glazing])
            for surface in house.surfaces
            for window in surface.windows
        ],
    }


def _construction(construction: Construction) -> Json:
    upright = HeatFlow.HORIZONTAL
    found = assembly_resistance(as_layers(construction.layers, upright, 0.0), 0.0, 0.0)
    return {
        "name": construction.name,
        "resistance_m2k_w": 1.0 / built_u_w_m2k(construction.layers, upright, 0.0, 0.0),
        "parallel_path_m2k_w": found.parallel_path_m2k_w,
        "isothermal_planes_m2k_w": found.isothermal_planes_m2k_w,
    }


def _surface(surface: Surface, construction: Construction) -> Json:
    films = surface_films(surface)
    open_sided = surface.boundary.kind in ("outdoors", "zone") and _tell_a_u_value(films)
    return {
        "name": surface.name,
        "zone": surface.zone,
        "boundary": surface.boundary.kind,
        "area_m2": surface.area_m2,
        "opaque_area_m2": surface.opaque_area_m2,
        "u_value_w_m2k": built_u_w_m2k(
            construction.layers,
            heat_flow_through(surface.tilt_deg),
            1.0 / films.inside,
            1.0 / films.outside,
        )
        if open_sided
        else None,
    }


def _window(surface: Surface, window: Window, glazing: GlazingPart) -> Json:
    films = window_films(surface, window)
    core = glass_conductance_w_m2k(glazing)
    return {
        "name": window.name,
        "surface": surface.name,
        "area_m2": window.area_m2,
        "u_value_w_m2k": 1.0 / (1.0 / films.inside + 1.0 / films.outside + 1.0 / core)
        if _tell_a_u_value(films)
        else None,
    }


def _tell_a_u_value(films: SurfaceFilms) -> bool:
    return min(films.inside, films.outside) >= WEAKEST_FILM_W_M2K
