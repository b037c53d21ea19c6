"""Dividing a room along a straight wall: each part keeps the faces that lie on its side."""

from __future__ import annotations

from dataclasses import dataclass, replace

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models import Boundary, Certainty, SurfaceKind
from retrofit_desk.records.project import Project
from retrofit_desk.services.faces_by_plan import free_key, outline_of, to_room, usual_construction
from retrofit_desk.services.house_edits import NOTHING, above_zero, note_facts, openings_fit, recorded
from retrofit_desk.services.house_facts import Because, CannotBe
from retrofit_desk.services.materials import materials
from retrofit_desk.services.plan_shapes import AZIMUTH_DEG, Rectangle, Side, rectangle_of
from retrofit_desk.values.stated import StatedValue

SHARED = Because(Certainty.ASSUMED, "shared by floor area when the room was divided")
BY_PLAN = Because(Certainty.CALCULATED, "from the plan when the room was divided")
MADE_LIKE = Because(Certainty.ASSUMED, "made as most inside walls")
OFF_DEG = 45.0
"""A wall belongs to the side that it looks to most nearly."""


@dataclass(frozen=True)
class Division:
    """What is cut off: a strip `wide_m` along a side. `passage_m2` stands open in the new wall."""

    name: str
    kind: str
    side: Side
    wide_m: float
    passage_m2: float | None = None


class HouseDividingService:
    """One undo step for a division with all that follows from it."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def shape(self, room_id: int) -> Rectangle | None:
        """The room's rectangle; None where it has another shape, or none, and cannot be divided so."""
        with self._project.session() as session:
            return rectangle_of(outline_of(recorded(session, m.Room, room_id, "room")))

    def divide(self, room_id: int, told: Division) -> int:
        """Cut a new room off. Windows stay with the part their wall goes to; a wall that is shared keeps them
        in the old one. Returns the new room's id. Raises `CannotBe`, `NotRecorded`.
        """
        above_zero("Width of the new room", told.wide_m)
        with self._project.action(f"Divide off {told.name}") as work:
            session = work.session
            room = recorded(session, m.Room, room_id, "room")
            shape = rectangle_of(outline_of(room))
            if shape is None:
                raise CannotBe("only a room with four corners can be divided", where=room.name, kept=NOTHING)
            across = shape.depth_m if told.side in (Side.SOUTH, Side.NORTH) else shape.length_m
            if told.wide_m >= across:
                raise CannotBe("nothing would be left of the old room", where=room.name, kept=NOTHING)
            share = told.wide_m / across
            new = _new_room(session, room, told, shape, share)
            _share_faces(session, room, new, told.side, share)
            _wall_between(session, room, new, told, shape.edge_m(told.side))
            _serve(session, room, new)
            _measures_reach(session, room.key, new.key)
            session.flush()
            return new.id


def _new_room(session: Session, room: m.Room, told: Division, shape: Rectangle, share: float) -> m.Room:
    strip, rest = shape.cut(told.side, told.wide_m)
    new = m.Room(
        key=free_key(session, m.Room, told.name),
        name=told.name,
        kind=m.RoomKind(told.kind),
        storey=room.storey,
        outline=[list(corner) for corner in strip.outline],
        floor_area_m2=room.floor_area_m2 * share,
        height_m=room.height_m,
        is_heated=room.is_heated,
        is_cooled=room.is_cooled,
        heating_set_point_c=room.heating_set_point_c,
        heating_setback_c=room.heating_setback_c,
        cooling_set_point_c=room.cooling_set_point_c,
    )
    new.set_stated("internal_gain_w", _part(room.stated("internal_gain_w"), share))
    new.set_stated("air_changes_per_hour", room.stated("air_changes_per_hour"))
    room.set_stated("internal_gain_w", _part(room.stated("internal_gain_w"), 1.0 - share))
    room.outline = [list(corner) for corner in rest.outline]
    room.floor_area_m2 *= 1.0 - share
    session.add(new)
    session.flush()
    for row in (room, new):
        note_facts(session, "room", row.id, ["floor_area_m2"], BY_PLAN)
        if row.internal_gain_w is not None:
            note_facts(session, "room", row.id, ["internal_gain_w"], SHARED)
    return new


def _part(value: StatedValue[float], share: float) -> StatedValue[float]:
    return value if value.value is None else replace(value, value=value.value * share)


def _share_faces(session: Session, room: m.Room, new: m.Room, side: Side, share: float) -> None:
    """Walls on the side go over, those opposite stay, all others are shared by length or area."""
    theirs = select(m.Surface).where(m.Surface.other_room_id == room.id)
    for face in [*room.surfaces, *session.scalars(theirs)]:
        turned = _turned_deg(face, room, side)
        if turned is not None and turned > 180.0 - OFF_DEG:
            continue
        if turned is not None and turned < OFF_DEG:
            _hand_over(face, room, new)
        else:
            _share_face(session, face, room, new, share)


def _turned_deg(face: m.Surface, room: m.Room, side: Side) -> float | None:
    """How far the way a wall of the room looks lies from the side; None for level faces and no direction."""
    azimuth = face.azimuth_deg
    if azimuth is None and face.outline_edge is not None and face.outline_edge < len(Side):
        azimuth = AZIMUTH_DEG[list(Side)[face.outline_edge]]
    if azimuth is None or not 45.0 < face.tilt_deg < 135.0:
        return None
    if face.room is not room:
        azimuth += 180.0
    return abs((azimuth - AZIMUTH_DEG[side] + 180.0) % 360.0 - 180.0)


def _hand_over(face: m.Surface, room: m.Room, new: m.Room) -> None:
    if face.room is room:
        face.room = new
    else:
        face.other_room = new


def _share_face(session: Session, face: m.Surface, room: m.Room, new: m.Room, share: float) -> None:
    """The new room's part as a face of its own; windows and open passages stay where they were."""
    is_own = face.room is room
    key = free_key(session, m.Surface, f"{new.key}-{face.name}")
    part = m.Surface(
        key=key,
        name=face.name,
        kind=face.kind,
        boundary=face.boundary,
        room=new if is_own else face.room,
        other_room=face.other_room if is_own else new,
        construction=face.construction,
        area_m2=face.area_m2 * share,
        azimuth_deg=face.azimuth_deg,
        tilt_deg=face.tilt_deg,
        outline_edge=face.outline_edge,
        exposed_perimeter_m=_times(face.exposed_perimeter_m, share),
        depth_below_ground_m=face.depth_below_ground_m,
        solar_absorptance=face.solar_absorptance,
        emittance=face.emittance,
    )
    session.add(part)
    face.area_m2 *= 1.0 - share
    face.exposed_perimeter_m = _times(face.exposed_perimeter_m, 1.0 - share)
    openings_fit(face, face.area_m2)
    if face.passage_area_m2 and face.passage_area_m2 >= face.area_m2:
        raise CannotBe("its open passage is as large as what is left of it", where=face.name, kept=NOTHING)
    session.flush()
    _measures_reach(session, face.key, part.key)
    for row in (face, part):
        note_facts(session, "surface", row.id, ["area_m2"], BY_PLAN)


def _times(value: float | None, share: float) -> float | None:
    return None if value is None else value * share


def _wall_between(session: Session, room: m.Room, new: m.Room, told: Division, long_m: float) -> None:
    area = long_m * room.height_m
    if told.passage_m2 is not None and not 0.0 < told.passage_m2 < area:
        raise CannotBe("it must be more than 0 and less than the new wall", where="Open passage in it")
    made = usual_construction(session, SurfaceKind.PARTITION, Boundary.ROOM) or _light_wall(session)
    wall = m.Surface(
        key=free_key(session, m.Surface, f"{new.key}-wall-to-{room.key}"),
        name=f"Wall to {room.name}",
        kind=SurfaceKind.PARTITION,
        boundary=to_room(room),
        room=new,
        other_room=room,
        construction=made,
        area_m2=area,
        tilt_deg=90.0,
        passage_area_m2=told.passage_m2,
        outline_edge=(list(Side).index(told.side) + 2) % len(Side),
    )
    session.add(wall)
    session.flush()
    note_facts(session, "surface", wall.id, ["area_m2"], BY_PLAN)
    note_facts(session, "surface", wall.id, ["construction_id"], MADE_LIKE)


def _light_wall(session: Session) -> m.Construction:
    """Gypsum board on both sides of an empty bay: common practice, no source."""
    board = materials()["gypsum_board"]

    def side(position: int) -> m.ConstructionLayer:
        return m.ConstructionLayer(
            position=position,
            name="Gypsum board",
            material_key=board.key,
            thickness_m=0.0127,
            conductivity_w_mk=board.conductivity_w_mk,
            density_kg_m3=board.density_kg_m3,
            specific_heat_j_kgk=board.specific_heat_j_kgk,
            vapor_resistance_factor=board.vapor_resistance_factor,
        )

    bay = m.ConstructionLayer(position=1, name="Empty stud bay", resistance_m2k_w=0.18)
    made = m.Construction(
        key="inner-wall",
        name="Inside wall, gypsum on studs",
        source="Assumed: common practice, no source",
        layers=[side(0), bay, side(2)],
    )
    taken = session.scalar(select(m.Construction).where(m.Construction.key == made.key))
    if taken is not None:
        return taken
    session.add(made)
    session.flush()
    return made


def _serve(session: Session, room: m.Room, new: m.Room) -> None:
    """Whatever serves the old room by name serves the new one too."""
    for machine in session.scalars(select(m.Equipment)):
        if room.key in machine.serves:
            machine.serves = [*machine.serves, new.key]


def _measures_reach(session: Session, key: str, new_key: str) -> None:
    """A measure whose own facts list a room or face does the part cut off it too."""
    for measure in session.scalars(select(m.Measure)):
        inputs = {
            name: [*told, new_key] if isinstance(told, list) and key in told else told
            for name, told in measure.inputs.items()
        }
        if inputs != measure.inputs:
            measure.inputs = inputs
