"""The fabric of a new house from a few answers: a box with an attic, walls and windows of its age."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from math import cos, radians, sqrt

from retrofit_desk.records import models as m
from retrofit_desk.records.models import Boundary, OpeningKind, Operation, RoomKind, SurfaceKind
from retrofit_desk.services.house_eras import Era
from retrofit_desk.services.materials import materials

# Of a plain house where nothing was measured; common practice, no source
LENGTH_TO_DEPTH = 1.4
ROOM_HEIGHT_M, ATTIC_HEIGHT_M, CRAWL_HEIGHT_M, BASEMENT_HEIGHT_M = 2.44, 1.0, 0.9, 2.1
GLASS_SHARE = 0.13  # glass area over floor area
WINDOW_M = (0.9, 1.4)
ROOF_PITCH_DEG = 22.6  # 5 in 12
STUD_M, JOIST_M = 0.089, 0.184
WALL_FRAMING, JOIST_FRAMING = 0.25, 0.09
ATTIC_AIR_CHANGES, CRAWL_AIR_CHANGES, BASEMENT_AIR_CHANGES = 3.0, 2.0, 0.5
SETTLED_INSULATION_W_MK = 0.045
HEATED_TO_C, COOLED_TO_C = 20.0, 24.5
SIDES = (("south", 180.0, True), ("east", 90.0, False), ("north", 0.0, True), ("west", 270.0, False))


class Foundation(StrEnum):
    """What is below the lowest floor."""

    SLAB = "slab on the ground"
    CRAWL_SPACE = "crawl space"
    BASEMENT = "unheated basement"


@dataclass(frozen=True)
class Fabric:
    """Rows to be recorded: storeys with their rooms, faces and windows."""

    storeys: tuple[m.Storey, ...]
    volume_m3: float


@dataclass(frozen=True)
class _Plan:
    length_m: float
    depth_m: float

    @property
    def area_m2(self) -> float:
        return self.length_m * self.depth_m

    @property
    def outline(self) -> list[list[float]]:
        return [[0.0, 0.0], [self.length_m, 0.0], [self.length_m, self.depth_m], [0.0, self.depth_m]]


def fabric_of(
    floor_area_m2: float, storeys: int, foundation: Foundation, era: Era, gain_w: float, is_cooled: bool
) -> Fabric:
    """A box of that floor area, one room to a storey, under an attic; the storeys share `gain_w`."""
    area = floor_area_m2 / storeys
    plan = _Plan(sqrt(area * LENGTH_TO_DEPTH), sqrt(area / LENGTH_TO_DEPTH))
    made = _Constructions(era)
    rooms = [_living_room(number, plan, made, gain_w / storeys, is_cooled) for number in range(storeys)]
    for lower, upper in pairwise(rooms):
        upper.surfaces.append(_inner("floor", "Floor between", upper, lower, made.between, plan.area_m2))
    attic = _attic(plan, made)
    top = rooms[-1]
    top.surfaces.append(
        _face("ceiling", "Ceiling under the attic", SurfaceKind.CEILING, Boundary.UNHEATED, plan.area_m2, top)
    )
    top.surfaces[-1].other_room, top.surfaces[-1].construction = attic, made.ceiling
    top.surfaces[-1].tilt_deg = 0.0
    below = _below(foundation, plan, rooms[0], made)
    levels = [_storey(room, number * (ROOM_HEIGHT_M + 0.3)) for number, room in enumerate(rooms)]
    levels.append(_storey(attic, storeys * (ROOM_HEIGHT_M + 0.3)))
    if below is not None:
        levels.append(_storey(below, -below.height_m))
    for position, storey in enumerate(levels):
        storey.position = position
    return Fabric(tuple(levels), floor_area_m2 * ROOM_HEIGHT_M)


def _living_room(number: int, plan: _Plan, made: _Constructions, gain_w: float, is_cooled: bool) -> m.Room:
    name = ("Main level", "Upper level", "Top level")[number]
    room = m.Room(
        key=name.lower().replace(" ", "-"),
        name=name,
        kind=RoomKind.LIVING,
        outline=plan.outline,
        floor_area_m2=plan.area_m2,
        height_m=ROOM_HEIGHT_M,
        is_heated=True,
        is_cooled=is_cooled,
        heating_set_point_c=HEATED_TO_C,
        cooling_set_point_c=COOLED_TO_C,
        internal_gain_w=gain_w,
    )
    for edge, (side, azimuth, is_long) in enumerate(SIDES):
        length = plan.length_m if is_long else plan.depth_m
        area = length * ROOM_HEIGHT_M
        wall = _face(side, f"{side.capitalize()} wall", SurfaceKind.WALL, Boundary.OUTDOORS, area, room)
        wall.azimuth_deg, wall.outline_edge, wall.solar_absorptance = azimuth, edge, 0.6
        wall.construction = made.wall
        wall.openings.append(_windows(room, side, plan.area_m2 * GLASS_SHARE / len(SIDES), made.era))
        room.surfaces.append(wall)
    return room


def _windows(room: m.Room, side: str, area_m2: float, era: Era) -> m.Opening:
    width, height = WINDOW_M
    return m.Opening(
        key=f"{room.key}-{side}-windows",
        name=f"{side.capitalize()} windows",
        kind=OpeningKind.WINDOW,
        operation=Operation.DOUBLE_HUNG,
        width_m=width,
        height_m=height,
        sill_m=0.8,
        count=max(1, round(area_m2 / (width * height))),
        u_value_w_m2k=era.window_u_w_m2k,
        shgc=era.window_shgc,
        panes=era.panes,
    )


def _attic(plan: _Plan, made: _Constructions) -> m.Room:
    attic = _space("attic", "Attic", RoomKind.ATTIC, plan, ATTIC_HEIGHT_M, ATTIC_AIR_CHANGES)
    half = plan.area_m2 / 2.0 / cos(radians(ROOF_PITCH_DEG))
    for side, azimuth in (("south", 180.0), ("north", 0.0)):
        name = f"{side.capitalize()} slope"
        slope = _face(f"{side}-slope", name, SurfaceKind.ROOF, Boundary.OUTDOORS, half, attic)
        slope.azimuth_deg, slope.tilt_deg, slope.solar_absorptance = azimuth, ROOF_PITCH_DEG, 0.85
        slope.construction = made.roof
        attic.surfaces.append(slope)
    return attic


def _below(foundation: Foundation, plan: _Plan, room: m.Room, made: _Constructions) -> m.Room | None:
    """The lowest floor of the house, and the space below it if there is one."""
    edge = 2.0 * (plan.length_m + plan.depth_m)
    if foundation is Foundation.SLAB:
        slab = _face("slab", "Slab", SurfaceKind.FLOOR, Boundary.GROUND, plan.area_m2, room)
        slab.tilt_deg, slab.exposed_perimeter_m, slab.construction = 180.0, edge, made.slab
        room.surfaces.append(slab)
        return None
    if foundation is Foundation.CRAWL_SPACE:
        space = _space(
            "crawl-space", "Crawl space", RoomKind.CRAWL_SPACE, plan, CRAWL_HEIGHT_M, CRAWL_AIR_CHANGES
        )
    else:
        space = _space(
            "basement", "Basement", RoomKind.BASEMENT, plan, BASEMENT_HEIGHT_M, BASEMENT_AIR_CHANGES
        )
    is_deep = foundation is Foundation.BASEMENT
    boundary = Boundary.GROUND if is_deep else Boundary.OUTDOORS
    walls = _face("walls", "Foundation walls", SurfaceKind.WALL, boundary, edge * space.height_m, space)
    walls.construction, walls.exposed_perimeter_m = made.block, edge
    ground = _face("ground", "Earth floor", SurfaceKind.FLOOR, Boundary.GROUND, plan.area_m2, space)
    ground.tilt_deg, ground.exposed_perimeter_m = 180.0, edge
    ground.construction = made.slab if is_deep else made.earth
    if is_deep:
        ground.name = "Basement floor"
        walls.depth_below_ground_m = ground.depth_below_ground_m = space.height_m
    else:
        walls.azimuth_deg, walls.solar_absorptance = 0.0, 0.6
    space.surfaces += [walls, ground]
    floor = _inner("floor", f"Floor over the {space.name.lower()}", room, space, made.floor, plan.area_m2)
    floor.boundary = Boundary.UNHEATED
    room.surfaces.append(floor)
    return space


def _space(key: str, name: str, kind: RoomKind, plan: _Plan, height_m: float, air_changes: float) -> m.Room:
    return m.Room(
        key=key,
        name=name,
        kind=kind,
        outline=plan.outline,
        floor_area_m2=plan.area_m2,
        height_m=height_m,
        is_heated=False,
        is_cooled=False,
        internal_gain_w=0.0,
        air_changes_per_hour=air_changes,
    )


def _storey(room: m.Room, level_m: float) -> m.Storey:
    return m.Storey(
        key=f"{room.key}-storey", name=room.name, level_m=level_m, height_m=room.height_m, rooms=[room]
    )


def _face(
    key: str, name: str, kind: SurfaceKind, boundary: Boundary, area_m2: float, room: m.Room
) -> m.Surface:
    return m.Surface(key=f"{room.key}-{key}", name=name, kind=kind, boundary=boundary, area_m2=area_m2)


def _inner(
    key: str, name: str, room: m.Room, other: m.Room, construction: m.Construction, area_m2: float
) -> m.Surface:
    face = _face(key, name, SurfaceKind.FLOOR, Boundary.ROOM, area_m2, room)
    face.other_room, face.construction, face.tilt_deg = other, construction, 180.0
    return face


class _Constructions:
    """The constructions of one era, outside to inside."""

    def __init__(self, era: Era) -> None:
        self.era = era
        gypsum = ("Gypsum board", "gypsum_board", 0.0127)
        boards = (("Plank subfloor", "softwood", 0.019), ("Strip floor", "hardwood", 0.019))
        self.wall = self._made(
            "wall",
            "Sided wall, 2x4 studs",
            _solid("Siding", "softwood", 0.016),
            _solid("Sheathing", "soft_fiberboard", 0.0127),
            self._bay("Stud bay", era.wall_cavity_r_m2kw, STUD_M, WALL_FRAMING),
            _solid(*gypsum),
        )
        self.ceiling = self._made(
            "ceiling",
            "Ceiling under the attic",
            self._fill("Insulation between joists", era.ceiling_r_m2kw),
            _solid(*gypsum),
        )
        floor = [self._bay("Joist bay", era.floor_r_m2kw, JOIST_M, JOIST_FRAMING)] if era.floor_r_m2kw else []
        self.floor = self._made("floor", "Wood floor", *floor, *(_solid(*one) for one in boards))
        self.between = self._made(
            "between",
            "Floor between levels",
            _solid(*gypsum),
            _space_of("Joist bay", 0.2),
            _solid(*boards[0]),
        )
        self.roof = self._made(
            "roof",
            "Shingles on bare rafters",
            _solid("Asphalt shingles", "asphalt_shingle", 0.006),
            _solid("Plywood deck", "plywood", 0.0127),
        )
        self.slab = self._made("slab", "Concrete slab", _solid("Concrete", "concrete_medium", 0.1))
        self.block = self._made(
            "block", "Concrete block", _other("Concrete block", 0.19, 0.9, 1300.0, 1000.0)
        )
        self.earth = self._made("earth", "Bare earth", _other("Earth", 0.1, 2.0, 1800.0, 1100.0))

    def _made(self, key: str, name: str, *layers: m.ConstructionLayer) -> m.Construction:
        for position, layer in enumerate(layers):
            layer.position = position
        return m.Construction(
            key=key, name=name, source=f"Assumed: {self.era.words}; {self.era.source}", layers=list(layers)
        )

    @staticmethod
    def _bay(name: str, resistance_m2k_w: float, depth_m: float, share: float) -> m.ConstructionLayer:
        """A framed bay with glass batt of that resistance, or empty."""
        bay = (
            _solid(f"{name} with batt", "glass_fiber_batt", depth_m)
            if resistance_m2k_w
            else _space_of(f"Empty {name.lower()}", 0.18)
        )
        if resistance_m2k_w:
            bay.conductivity_w_mk = depth_m / resistance_m2k_w
        bay.thickness_m, bay.framing_fraction = depth_m, share
        wood = materials()["softwood"]
        bay.framing_material_key = wood.key
        bay.framing_conductivity_w_mk = wood.conductivity_w_mk
        bay.framing_density_kg_m3 = wood.density_kg_m3
        bay.framing_specific_heat_j_kgk = wood.specific_heat_j_kgk
        return bay

    def _fill(self, name: str, resistance_m2k_w: float) -> m.ConstructionLayer:
        depth = resistance_m2k_w * SETTLED_INSULATION_W_MK
        return self._bay(name, resistance_m2k_w, depth, JOIST_FRAMING)


def _solid(name: str, key: str, thickness_m: float) -> m.ConstructionLayer:
    material = materials()[key]
    return m.ConstructionLayer(
        name=name,
        material_key=key,
        thickness_m=thickness_m,
        conductivity_w_mk=material.conductivity_w_mk,
        density_kg_m3=material.density_kg_m3,
        specific_heat_j_kgk=material.specific_heat_j_kgk,
        vapor_resistance_factor=material.vapor_resistance_factor,
        framing_fraction=0.0,
    )


def _other(
    name: str, thickness_m: float, conductivity_w_mk: float, density_kg_m3: float, heat_j_kgk: float
) -> m.ConstructionLayer:
    return m.ConstructionLayer(
        name=name,
        thickness_m=thickness_m,
        conductivity_w_mk=conductivity_w_mk,
        density_kg_m3=density_kg_m3,
        specific_heat_j_kgk=heat_j_kgk,
        framing_fraction=0.0,
    )


def _space_of(name: str, resistance_m2k_w: float) -> m.ConstructionLayer:
    return m.ConstructionLayer(name=name, resistance_m2k_w=resistance_m2k_w, framing_fraction=0.0)
