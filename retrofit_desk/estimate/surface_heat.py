"""How readily one recorded surface or opening passes heat, and how its layers share a temperature step."""

from __future__ import annotations

from dataclasses import dataclass

from retrofit_desk.estimate.constructions import layers_of
from retrofit_desk.physics.films import DESIGN_R_SE_M2K_W, DESIGN_R_SI_M2K_W, heat_flow_through
from retrofit_desk.physics.ground import GroundFloor, Soil, heated_basement, slab_on_ground
from retrofit_desk.physics.layers import AssemblyResistance, Layer, assembly_resistance, equivalent_layers
from retrofit_desk.physics.moisture import Climate, Plane, VaporLayer, planes, sd_of_layer_m
from retrofit_desk.records import models as m
from retrofit_desk.values.errors import CannotSay

GROUND = Soil(2.0, 2.0e6)  # ISO 13370:2017, sand or gravel, where nothing is known (from memory)
WALL_ON_SLAB_M = 0.25  # common practice for a brick-veneer or block wall, no source
AIR_SPACE_SD_M = 0.01  # ISO 13788:2012, air layers (from memory)


@dataclass(frozen=True)
class Films:
    """Surface resistances of one surface, m2K/W."""

    inside_m2k_w: float
    outside_m2k_w: float


def films_of(surface: m.Surface) -> Films:
    """Design films of a surface by its tilt: indoor ones on both sides where another space lies behind, none
    towards the ground.

    Source: ISO 6946:2017, design values of surface resistances.
    """
    inside = DESIGN_R_SI_M2K_W[heat_flow_through(surface.tilt_deg)]
    if surface.boundary is m.Boundary.GROUND:
        return Films(inside, 0.0)
    is_inner = surface.boundary in (m.Boundary.ROOM, m.Boundary.UNHEATED, m.Boundary.SAME)
    return Films(inside, inside if is_inner else DESIGN_R_SE_M2K_W)


def resistance_of(surface: m.Surface) -> AssemblyResistance:
    """Resistance through layers and films, the ground left out. Raises `CannotSay`."""
    films = films_of(surface)
    return assembly_resistance(_layers(surface), films.inside_m2k_w, films.outside_m2k_w)


def surface_u_w_m2k(surface: m.Surface) -> float:
    """U-value of the opaque part of a surface that borders air. Raises `CannotSay`."""
    return resistance_of(surface).u_value_w_m2k


def ground_u_w_m2k(surface: m.Surface) -> float:
    """Equivalent U-value of a floor or wall on the ground. ISO 13370:2017. Raises `CannotSay`."""
    is_wall = surface.kind is m.SurfaceKind.WALL
    depth = surface.depth_below_ground_m
    if not is_wall and not depth:
        return slab_on_ground(_ground_floor(surface), _bare_m2k_w(surface)).floor_u_w_m2k
    on_ground = [one for one in surface.room.surfaces if one.boundary is m.Boundary.GROUND]
    floor = next((one for one in on_ground if one.kind is not m.SurfaceKind.WALL), None)
    wall = next((one for one in on_ground if one.kind is m.SurfaceKind.WALL), None)
    if not depth or floor is None or wall is None:
        needs = "its depth, and the room's floor and walls on the ground"
        raise CannotSay("its loss to the ground", needs, where=_where(surface))
    basement = heated_basement(_ground_floor(floor), depth, _bare_m2k_w(floor), _bare_m2k_w(wall))
    assert basement.wall_u_w_m2k is not None  # a basement always answers with its wall
    return basement.wall_u_w_m2k if is_wall else basement.floor_u_w_m2k


def opening_u_w_m2k(opening: m.Opening) -> float:
    """U-value as stated for a window or door. Raises `CannotSay`."""
    if opening.u_value_w_m2k is None:
        where = f"{opening.surface.room.name}, {opening.name}"
        raise CannotSay("its heat loss", f"its U-value, which is {opening.u_value_is}", where=where)
    return opening.u_value_w_m2k


def opaque_area_m2(surface: m.Surface) -> float:
    """Gross area less its openings."""
    return surface.area_m2 - sum(one.width_m * one.height_m * one.count for one in surface.openings)


def layer_resistances_m2k_w(surface: m.Surface) -> tuple[float, ...]:
    """Resistance of each layer, outside to inside, framing counted by the mean of both limits."""
    films = films_of(surface)
    layers = equivalent_layers(_layers(surface), films.inside_m2k_w, films.outside_m2k_w)
    return tuple(layer.resistance_m2k_w for layer in layers)


def faces_of(surface: m.Surface, climate: Climate) -> tuple[Plane, ...]:
    """Temperature and vapor at every face, outside to inside. ISO 13788. Raises `CannotSay`."""
    films = films_of(surface)
    rows = _construction(surface).layers
    layers = [
        VaporLayer(row.name, resistance, _sd_m(row))
        for row, resistance in zip(rows, layer_resistances_m2k_w(surface), strict=True)
    ]
    inward = planes(layers[::-1], climate, films.inside_m2k_w, films.outside_m2k_w)
    return inward[::-1]


def _sd_m(row: m.ConstructionLayer) -> float:
    if row.resistance_m2k_w is not None:
        return AIR_SPACE_SD_M
    if row.vapor_resistance_factor is None or row.thickness_m is None:
        raise CannotSay("its dew points", "how it holds vapor back", where=row.name)
    return sd_of_layer_m(row.vapor_resistance_factor, row.thickness_m)


def _construction(surface: m.Surface) -> m.Construction:
    if surface.construction is None:
        raise CannotSay("what it resists", "its construction", where=_where(surface))
    return surface.construction


def _layers(surface: m.Surface) -> tuple[Layer, ...]:
    return layers_of(_construction(surface), heat_flow_through(surface.tilt_deg))


def _bare_m2k_w(surface: m.Surface) -> float:
    return assembly_resistance(_layers(surface), 0.0, 0.0).mean_m2k_w


def _ground_floor(surface: m.Surface) -> GroundFloor:
    if surface.exposed_perimeter_m is None:
        raise CannotSay("its loss to the ground", "its exposed edge", where=_where(surface))
    return GroundFloor(surface.area_m2, surface.exposed_perimeter_m, WALL_ON_SLAB_M, GROUND)


def _where(surface: m.Surface) -> str:
    return f"{surface.room.name}, {surface.name}"
