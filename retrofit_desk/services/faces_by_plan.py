"""The faces of a room as the plan tells them: walls by its edges, the rest by what lies below and above.

All of it is assumed until the owner looks at it: a face is made of what most faces of its kind are made of.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models import Boundary, SurfaceKind
from retrofit_desk.services.house_facts import CannotBe
from retrofit_desk.services.plan_shapes import (
    AZIMUTH_DEG,
    Outline,
    Rectangle,
    Side,
    covered_m2,
    rectangle_of,
    touching_m,
)

LEAST_M, LEAST_M2 = 0.1, 0.5
ABSORPTANCE = {SurfaceKind.WALL: 0.6, SurfaceKind.ROOF: 0.85}
"""Of middling paint and dark shingles; common practice, no source."""
ON_EACH_OTHER_M2 = 0.5
"""Rooms of a storey that cover more of each other are drawn on each other."""
NEAR_GROUND_M = 1.5
"""A lowest floor no higher than so stands on the ground where nothing is recorded below it."""


@dataclass(frozen=True)
class _Laid:
    """One face before it has a key."""

    name: str
    kind: SurfaceKind
    boundary: Boundary
    area_m2: float
    tilt_deg: float = 90.0
    azimuth_deg: float | None = None
    other: m.Room | None = None
    edge: int | None = None
    perimeter_m: float | None = None


def lay_faces(session: Session, room: m.Room, shape: Rectangle) -> list[m.Surface]:
    """Give a room that has none its walls, floor and ceiling."""
    rooms = [one for one in session.scalars(select(m.Room)) if one is not room]
    laid, open_edge_m = _walls(room, shape, rooms)
    laid += _below(room, shape, rooms, open_edge_m)
    laid += _above(room, shape, rooms)
    made = [_surface(session, room, one) for one in laid]
    room.surfaces.extend(made)
    return made


def to_room(other: m.Room) -> Boundary:
    return Boundary.ROOM if other.is_heated else Boundary.UNHEATED


def usual_construction(session: Session, kind: SurfaceKind, boundary: Boundary) -> m.Construction | None:
    """What most faces of that kind are made of, those alike beyond first; None where there are none yet."""
    made = select(m.Surface).where(m.Surface.kind == kind, m.Surface.construction_id.is_not(None))
    rows = session.scalars(made).all()
    alike = [row for row in rows if row.boundary is boundary] or list(rows)
    counted = Counter(row.construction_id for row in alike)
    return session.get(m.Construction, counted.most_common(1)[0][0]) if counted else None


def outline_of(room: m.Room) -> Outline:
    return tuple((corner[0], corner[1]) for corner in room.outline or ())


def lies_free(session: Session, storey_id: int, room_id: int | None, outline: Outline) -> None:
    """Raises `CannotBe` where a room would be drawn on another one."""
    shape = rectangle_of(outline)
    if shape is None:
        return
    for other in session.scalars(select(m.Room).where(m.Room.storey_id == storey_id)):
        if other.id != room_id and covered_m2(shape, outline_of(other)) > ON_EACH_OTHER_M2:
            raise CannotBe(
                f"it would lie on {other.name}",
                where="On the plan",
                kept="nothing was changed",
                do="move its corner, or make the other one smaller first",
            )


def _walls(room: m.Room, shape: Rectangle, rooms: list[m.Room]) -> tuple[list[_Laid], float]:
    """Walls to the rooms beside it, and outdoors for the rest; how long the open edges are."""
    beside = [one for one in rooms if one.storey_id == room.storey_id]
    laid, open_edge_m = [], 0.0
    for edge, side in enumerate(Side):
        left_m = shape.edge_m(side)
        for other in beside:
            shared = min(touching_m(shape, side, outline_of(other)), left_m)
            if shared < LEAST_M:
                continue
            left_m -= shared
            area = shared * room.height_m
            name = f"Wall to {other.name}"
            laid.append(_Laid(name, SurfaceKind.PARTITION, to_room(other), area, other=other, edge=edge))
        if left_m >= LEAST_M:
            open_edge_m += left_m
            area, azimuth = left_m * room.height_m, AZIMUTH_DEG[side]
            name = f"{side.capitalize()} wall"
            laid.append(
                _Laid(name, SurfaceKind.WALL, Boundary.OUTDOORS, area, azimuth_deg=azimuth, edge=edge)
            )
    return laid, open_edge_m


def _below(room: m.Room, shape: Rectangle, rooms: list[m.Room], open_edge_m: float) -> list[_Laid]:
    laid, left_m2 = _across(room, shape, rooms, SurfaceKind.FLOOR)
    if left_m2 < LEAST_M2:
        return laid
    if room.storey.level_m < NEAR_GROUND_M:
        rest = _Laid(
            "Floor on the ground", SurfaceKind.FLOOR, Boundary.GROUND, left_m2, 180.0, perimeter_m=open_edge_m
        )
    else:
        rest = _Laid("Floor over the open", SurfaceKind.FLOOR, Boundary.OUTDOORS, left_m2, 180.0)
    return [*laid, rest]


def _above(room: m.Room, shape: Rectangle, rooms: list[m.Room]) -> list[_Laid]:
    laid, left_m2 = _across(room, shape, rooms, SurfaceKind.CEILING)
    if left_m2 >= LEAST_M2:
        laid.append(_Laid("Roof", SurfaceKind.ROOF, Boundary.OUTDOORS, left_m2, 0.0))
    return laid


def _across(
    room: m.Room, shape: Rectangle, rooms: list[m.Room], kind: SurfaceKind
) -> tuple[list[_Laid], float]:
    """Floors over, or ceilings under, the rooms of the next storey; what area is left, m2."""
    is_above = kind is SurfaceKind.CEILING
    words, tilt_deg = ("Ceiling under", 0.0) if is_above else ("Floor over", 180.0)
    laid, left_m2 = [], shape.area_m2
    for other in _next_to(room, rooms, is_above=is_above):
        covered = min(covered_m2(shape, outline_of(other)), left_m2)
        if covered >= LEAST_M2:
            left_m2 -= covered
            laid.append(_Laid(f"{words} {other.name}", kind, to_room(other), covered, tilt_deg, other=other))
    return laid, left_m2


def _next_to(room: m.Room, rooms: list[m.Room], *, is_above: bool) -> list[m.Room]:
    """Rooms of the next storey above or below."""
    here = room.storey.level_m
    levels = {one.storey.level_m for one in rooms}
    beyond = [level for level in levels if (level > here if is_above else level < here)]
    if not beyond:
        return []
    wanted = min(beyond) if is_above else max(beyond)
    return [one for one in rooms if one.storey.level_m == wanted]


def _surface(session: Session, room: m.Room, one: _Laid) -> m.Surface:
    made = usual_construction(session, one.kind, one.boundary)
    if made is None and one.kind is SurfaceKind.PARTITION:  # built against what was the outer wall
        made = usual_construction(session, SurfaceKind.WALL, Boundary.OUTDOORS)
    return m.Surface(
        key=free_key(session, m.Surface, f"{room.key}-{one.name}"),
        name=one.name,
        kind=one.kind,
        boundary=one.boundary,
        other_room=one.other,
        construction=made,
        area_m2=one.area_m2,
        azimuth_deg=one.azimuth_deg,
        tilt_deg=one.tilt_deg,
        outline_edge=one.edge,
        exposed_perimeter_m=one.perimeter_m,
        solar_absorptance=ABSORPTANCE.get(one.kind) if one.boundary is Boundary.OUTDOORS else None,
    )


def free_key(
    session: Session, model: type[m.Room] | type[m.Surface] | type[m.Opening] | type[m.Storey], name: str
) -> str:
    """A key made of a name that no row of that table has yet."""
    wished = "-".join("".join(one if one.isalnum() else " " for one in name.casefold()).split()) or "new"
    taken = set(session.scalars(select(model.key)))
    if wished not in taken:
        return wished
    return next(key for number in range(2, 10_000) if (key := f"{wished}-{number}") not in taken)
