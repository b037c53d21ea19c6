"""Adding to the described house: a storey, a room with its place on the plan, a face, a window or door."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import func, select

from retrofit_desk.records import models as m
from retrofit_desk.records.models import Certainty
from retrofit_desk.records.project import Project
from retrofit_desk.services.faces_by_plan import free_key, lay_faces, lies_free, outline_of
from retrofit_desk.services.house_edits import (
    above_zero,
    applied,
    note_facts,
    opening_can_be,
    openings_fit,
    recorded,
    room_can_be,
    surface_can_be,
)
from retrofit_desk.services.house_facts import Because, CannotBe, OpeningFacts, RoomFacts, SurfaceFacts
from retrofit_desk.services.plan_shapes import rectangle_of

NOTHING = "nothing was changed"
BY_PLAN = Because(Certainty.ASSUMED, "from the plan, made as most faces of its kind")


@dataclass(frozen=True)
class StoreyFacts:
    """What is recorded of a storey; named as its columns."""

    name: str
    level_m: float
    height_m: float


@dataclass(frozen=True)
class StoreyRow:
    """A storey with what stands on it."""

    id: int
    facts: StoreyFacts
    rooms: int


@dataclass(frozen=True)
class RoomChoice:
    """A room as a form offers it."""

    id: int
    name: str
    storey: str


class HousePartService:
    """Every addition is one undo step."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def storeys(self) -> tuple[StoreyRow, ...]:
        """All of them, the highest first."""
        with self._project.session() as session:
            rows = session.scalars(select(m.Storey).order_by(m.Storey.level_m.desc()))
            return tuple(
                StoreyRow(row.id, StoreyFacts(row.name, row.level_m, row.height_m), len(row.rooms))
                for row in rows
            )

    def rooms(self) -> tuple[RoomChoice, ...]:
        """All rooms in the order in which they were recorded."""
        with self._project.session() as session:
            rows = session.scalars(select(m.Room).order_by(m.Room.id))
            return tuple(RoomChoice(row.id, row.name, row.storey.name) for row in rows)

    def free_corner(self, storey_id: int) -> tuple[float, float]:
        """The southwest corner, m, of a place to the east of what stands on a storey."""
        with self._project.session() as session:
            rows = session.scalars(select(m.Room).where(m.Room.storey_id == storey_id))
            corners = [corner for row in rows for corner in outline_of(row)]
        if not corners:
            return 0.0, 0.0
        return max(x for x, _ in corners), min(y for _, y in corners)

    def kept_warm_at_c(self) -> float | None:
        """What most heated rooms are kept at."""
        query = select(m.Room.heating_set_point_c).where(m.Room.is_heated)
        by_number = query.group_by(m.Room.heating_set_point_c).order_by(func.count().desc())
        with self._project.session() as session:
            return session.scalars(by_number).first()

    def put_storey(self, storey_id: int | None, facts: StoreyFacts) -> int:
        """Add a storey (`storey_id` none) or change one. Raises `CannotBe`, `NotRecorded`."""
        above_zero("Height", facts.height_m)
        with self._project.action(f"Record {facts.name}") as work:
            session = work.session
            if storey_id is None:
                last = session.scalar(select(func.max(m.Storey.position)))
                row = m.Storey(
                    key=free_key(session, m.Storey, facts.name), position=0 if last is None else last + 1
                )
                session.add(row)
            else:
                row = recorded(session, m.Storey, storey_id, "story")
            row.name, row.level_m, row.height_m = facts.name, facts.level_m, facts.height_m
            session.flush()
            return row.id

    def add_room(self, storey_id: int, facts: RoomFacts, because: Because, *, faces_by_plan: bool) -> int:
        """Add a room; with `faces_by_plan` its walls, floor and ceiling are laid as assumed ones.

        Raises `CannotBe`, `NotRecorded`.
        """
        room_can_be(facts)
        shape = rectangle_of(facts.outline)
        if shape is None:
            raise CannotBe("a new room has a length and a depth", where="On the plan", kept=NOTHING)
        with self._project.action(f"Add {facts.name}") as work:
            session = work.session
            storey = recorded(session, m.Storey, storey_id, "story")
            lies_free(session, storey_id, None, facts.outline)
            row = m.Room(
                key=free_key(session, m.Room, facts.name), storey=storey, kind=m.RoomKind(facts.kind)
            )
            changed = applied(row, facts)
            session.add(row)
            session.flush()
            note_facts(session, "room", row.id, changed, because)
            if faces_by_plan:
                for face in lay_faces(session, row, shape):
                    session.flush()
                    note_facts(session, "surface", face.id, ["area_m2", "construction_id"], BY_PLAN)
            return row.id

    def add_surface(self, room_id: int, facts: SurfaceFacts, because: Because) -> int:
        """Add a face to a room. Raises `CannotBe`, `NotRecorded`."""
        surface_can_be(facts, room_id)
        with self._project.action(f"Add {facts.name}") as work:
            session = work.session
            room = recorded(session, m.Room, room_id, "room")
            row = m.Surface(
                key=free_key(session, m.Surface, f"{room.key}-{facts.name}"),
                room=room,
                kind=m.SurfaceKind(facts.kind),
                boundary=m.Boundary(facts.boundary),
            )
            changed = ["boundary", *applied(row, facts)]
            session.add(row)
            session.flush()
            note_facts(session, "surface", row.id, changed, because)
            return row.id

    def add_opening(
        self, surface_id: int, facts: OpeningFacts, because: Because, u_because: Because | None = None
    ) -> int:
        """Add a window or door; `u_because` as in changing one. Raises `CannotBe`, `NotRecorded`."""
        opening_can_be(facts)
        with self._project.action(f"Add {facts.name}") as work:
            session = work.session
            surface = recorded(session, m.Surface, surface_id, "face")
            row = m.Opening(
                key=free_key(session, m.Opening, f"{surface.room.key}-{facts.name}"),
                kind=m.OpeningKind(facts.kind),
                operation=m.Operation(facts.operation),
                hinge=m.Hinge(facts.hinge),
                frame=m.Frame(facts.frame),
                shade=m.ShadeKind(facts.shade),
            )
            changed = applied(row, facts)
            surface.openings.append(row)
            openings_fit(surface, surface.area_m2)
            session.flush()
            told = [one for one in changed if getattr(row, one) not in (None, "", 0.0)]
            note_facts(session, "opening", row.id, told, because)
            if u_because is not None:
                note_facts(session, "opening", row.id, ["u_value_w_m2k"], u_because)
            return row.id
