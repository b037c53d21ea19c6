"""The house as the window asks for it: storeys in plan, rooms and faces, where each fact came from."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.estimate.design_load import DesignAnswer, design_load
from retrofit_desk.estimate.from_records import recorded_rooms
from retrofit_desk.estimate.surface_heat import opaque_area_m2, resistance_of
from retrofit_desk.physics.loads import RoomLoad
from retrofit_desk.records import models as m
from retrofit_desk.records.models import Certainty
from retrofit_desk.records.project import Project
from retrofit_desk.rules.states import PATH, MeasureState
from retrofit_desk.services.house_facts import RoomFacts, facts_of
from retrofit_desk.services.places import found
from retrofit_desk.services.weather import weather_in_use
from retrofit_desk.values.errors import CannotSay, DeskError
from retrofit_desk.values.place import Found


class Tint(StrEnum):
    """What the plan can be tinted by."""

    HEAT_LOSS = "design heat loss by area"
    SUMMER_PEAK = "summer peak by area"
    IN_PLACE = "measures in place"


class NotRecorded(DeskError):
    """The thing asked for is not, or no longer, in the record."""


@dataclass(frozen=True)
class RoomMark:
    """One room of the plan. `value`: W/m2, or the share of its measures in place; None with the reason."""

    id: int
    name: str
    outline_m: tuple[tuple[float, float], ...]
    is_conditioned: bool
    value: float | None
    words: str = ""


@dataclass(frozen=True)
class StoreyPlan:
    """One storey, as drawn."""

    id: int
    name: str
    level_m: float
    rooms: tuple[RoomMark, ...]


@dataclass(frozen=True)
class Plan:
    """All storeys, the highest first. `cannot_say` is the one line why rooms have no number."""

    tint: Tint
    storeys: tuple[StoreyPlan, ...]
    cannot_say: str = ""


@dataclass(frozen=True)
class LoadLine:
    """Design heating load of the house as described, before any measure."""

    heating_w: float
    w_per_m2: float
    outside_c: float
    wind_m_s: float
    air_m3_s: float


@dataclass(frozen=True)
class FactSource:
    """Where one recorded value came from."""

    column: str
    certainty: Certainty
    source: str
    as_of: date | None


@dataclass(frozen=True)
class SurfaceRow:
    """One face of a room. U-value and resistance are those of its layers; None with `cannot_say`."""

    id: int
    name: str
    kind: str
    beyond: str
    area_m2: float
    openings_count: int
    opaque_m2: float
    u_value_w_m2k: float | None
    resistance_m2k_w: float | None
    cannot_say: str = ""


@dataclass(frozen=True)
class RoomSheet:
    """One room with its faces and what is done in it."""

    id: int
    facts: RoomFacts
    storey_id: int
    storey: str
    load: RoomLoad | None
    design_c: float | None
    surfaces: tuple[SurfaceRow, ...]
    measures: tuple[MeasureTouch, ...]
    sources: tuple[FactSource, ...]


@dataclass(frozen=True)
class MeasureTouch:
    """A measure that touches this room or face."""

    found: Found
    state: MeasureState
    since: date | None


class HouseService:
    """Reads the described house."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def plan(self, tint: Tint, peaks: dict[int, float] | None = None) -> Plan:
        """The storeys in plan. `peaks`: room id -> W/m2, when the summer peak has been worked out."""
        with self._project.session() as session:
            rooms = recorded_rooms(session)
            marks, cannot_say = self._marks(session, rooms, tint, peaks or {})
            by_storey: dict[int, list[RoomMark]] = {}
            for room in rooms:
                by_storey.setdefault(room.storey_id, []).append(marks[room.id])
            storeys = session.scalars(select(m.Storey).order_by(m.Storey.level_m.desc()))
            plans = [
                StoreyPlan(storey.id, storey.name, storey.level_m, tuple(by_storey.get(storey.id, ())))
                for storey in storeys
            ]
        return Plan(tint, tuple(plan for plan in plans if plan.rooms), cannot_say)

    def load(self) -> LoadLine:
        """The design load of the house. Raises `CannotSay`."""
        with self._project.session() as session:
            answer = self._design(session, recorded_rooms(session))
        load = answer.load
        return LoadLine(
            load.total_w, load.w_per_m2, answer.outside_c, answer.wind_m_s, answer.air_m3_h / 3600.0
        )

    def room(self, room_id: int) -> RoomSheet:
        """One room. Raises `NotRecorded`."""
        with self._project.session() as session:
            rooms = recorded_rooms(session)
            room = next((one for one in rooms if one.id == room_id), None)
            if room is None:
                raise NotRecorded("this room is not recorded any more", do="undo brings it back")
            load, design_c = self._room_load(session, rooms, room_id)
            return RoomSheet(
                id=room.id,
                facts=facts_of(RoomFacts, room),
                storey_id=room.storey_id,
                storey=room.storey.name,
                load=load,
                design_c=design_c,
                surfaces=tuple(surface_row(one, room) for one in _faces(room, rooms)),
                measures=touching(session, m.MeasurePlace.room_id == room_id),
                sources=sources_of(session, "room", room_id),
            )

    def room_of_surface(self, surface_id: int) -> int:
        """The room a face belongs to. Raises `NotRecorded`."""
        with self._project.session() as session:
            surface = session.get(m.Surface, surface_id)
            if surface is None:
                raise NotRecorded("this face is not recorded any more", do="undo brings it back")
            return surface.room_id

    def summer_peaks(self, report: Callable[[float, str], None]) -> dict[int, float]:
        """Highest hourly cooling of each cooled room over the year of weather: room id -> W/m2.

        Runs the house as described, before any measure, through its year; `report` may raise to stop it.
        Raises `CannotSay`.
        """
        from retrofit_desk.estimate.from_records import house_of
        from retrofit_desk.physics.engine import run_year

        with self._project.session() as session:
            house = house_of(session)
            report(0.1, "reading the year of weather")
            weather = weather_in_use(self._project, session)
            rooms = {room.key: (room.id, room.floor_area_m2) for room in session.scalars(select(m.Room))}
        report(0.3, "running the house through its year")
        year = run_year(house, weather)
        cooled = {zone.name for zone in house.zones if zone.thermostat and zone.thermostat.cooling_c}
        return {
            rooms[zone.name][0]: float(zone.cooling_w.max()) / rooms[zone.name][1]
            for zone in year.zones
            if zone.name in cooled
        }

    def _marks(
        self, session: Session, rooms: Sequence[m.Room], tint: Tint, peaks: dict[int, float]
    ) -> tuple[dict[int, RoomMark], str]:
        if tint is Tint.IN_PLACE:
            return {room.id: _measure_mark(session, room) for room in rooms}, ""
        if tint is Tint.SUMMER_PEAK:
            values, why = peaks, "" if peaks else "The summer peak has not been worked out yet."
        else:
            values, why = self._heat_loss(session, rooms)
        return {room.id: _quantity_mark(room, values, tint) for room in rooms}, why

    def _heat_loss(self, session: Session, rooms: Sequence[m.Room]) -> tuple[dict[int, float], str]:
        try:
            answer = self._design(session, rooms)
        except CannotSay as error:
            return {}, error.line()
        loads = zip(answer.room_ids, answer.load.rooms, strict=True)
        return {room_id: load.w_per_m2 for room_id, load in loads}, ""

    def _room_load(
        self, session: Session, rooms: Sequence[m.Room], room_id: int
    ) -> tuple[RoomLoad | None, float | None]:
        """The room's load; for an unheated space its temperature on the design day."""
        try:
            answer = self._design(session, rooms)
        except CannotSay:
            return None, None
        loads = dict(zip(answer.room_ids, answer.load.rooms, strict=True))
        return loads.get(room_id), dict(answer.unheated).get(room_id)

    def _design(self, session: Session, rooms: Sequence[m.Room]) -> DesignAnswer:
        site = session.scalar(select(m.Site))
        if site is None:
            raise CannotSay("the design heat loss", "the place of the house")
        mean_c = float(weather_in_use(self._project, session).temp_c.mean())
        return design_load(rooms, site, as_found_test(session), mean_c)


def as_found_test(session: Session) -> m.LeakageTest | None:
    """The first leakage test that no measure came before."""
    query = select(m.LeakageTest).where(m.LeakageTest.after_measure_id.is_(None))
    return session.scalars(query.order_by(m.LeakageTest.tested_on)).first()


def sources_of(session: Session, table: str, row_id: int) -> tuple[FactSource, ...]:
    """Where the values of one row came from, as far as that was said."""
    notes = session.scalars(select(m.FactNote).where(m.FactNote.table == table, m.FactNote.row_id == row_id))
    return tuple(FactSource(note.column, note.certainty, note.source, note.as_of) for note in notes)


def surface_row(surface: m.Surface, seen_from: m.Room) -> SurfaceRow:
    """One face as a room's list shows it."""
    u_value: float | None = None
    resistance: float | None = None
    cannot_say = ""
    try:
        whole = resistance_of(surface)
        u_value, resistance = whole.u_value_w_m2k, whole.mean_m2k_w
    except DeskError as error:
        cannot_say = error.line()
    return SurfaceRow(
        id=surface.id,
        name=surface.name,
        kind=str(surface.kind),
        beyond=beyond_words(surface, seen_from),
        area_m2=surface.area_m2,
        openings_count=sum(opening.count for opening in surface.openings),
        opaque_m2=opaque_area_m2(surface),
        u_value_w_m2k=u_value,
        resistance_m2k_w=resistance,
        cannot_say=cannot_say,
    )


def beyond_words(surface: m.Surface, seen_from: m.Room) -> str:
    """What lies behind a face, seen from one of its rooms."""
    if surface.room_id != seen_from.id:
        return f"to {surface.room.name}"
    if surface.other_room is not None:
        return f"to {surface.other_room.name}"
    if surface.boundary is m.Boundary.OUTDOORS and surface.azimuth_deg is not None:
        return f"outdoors, faces {compass_word(surface.azimuth_deg)}"
    return {
        m.Boundary.OUTDOORS: "outdoors",
        m.Boundary.GROUND: "on the ground",
        m.Boundary.SAME: "to a space as warm",
        m.Boundary.ROOM: "to a room not named",
        m.Boundary.UNHEATED: "to an unheated space not named",
    }[surface.boundary]


def compass_word(azimuth_deg: float) -> str:
    """North, northeast ... by eighths of the circle."""
    names = ("north", "northeast", "east", "southeast", "south", "southwest", "west", "northwest")
    return names[round(azimuth_deg / 45.0) % 8]


def touching(session: Session, where: object) -> tuple[MeasureTouch, ...]:
    """Measures whose places fulfil a condition, in line-up order, with the day of their last step."""
    query = (
        select(m.Measure)
        .join(m.MeasurePlace, m.MeasurePlace.measure_id == m.Measure.id)
        .where(where)  # type: ignore[arg-type]
        .distinct()
        .order_by(m.Measure.position)
    )
    return tuple(
        MeasureTouch(found(one), one.state, one.changes[-1].on if one.changes else None)
        for one in session.scalars(query)
    )


def _faces(room: m.Room, rooms: Sequence[m.Room]) -> list[m.Surface]:
    """The room's own faces, then those recorded with the room on the other side."""
    across = [surface for other in rooms for surface in other.surfaces if surface.other_room_id == room.id]
    return [*room.surfaces, *across]


def _quantity_mark(room: m.Room, values: dict[int, float], tint: Tint) -> RoomMark:
    value = values.get(room.id)
    words = ""
    if value is None:
        conditioned = room.is_heated if tint is Tint.HEAT_LOSS else room.is_cooled
        verb = "heated" if tint is Tint.HEAT_LOSS else "cooled"
        words = "cannot say yet" if conditioned else f"not {verb}"
    return RoomMark(room.id, room.name, _outline(room), room.is_heated, value, words)


def _measure_mark(session: Session, room: m.Room) -> RoomMark:
    states = [
        touch.state
        for touch in touching(session, m.MeasurePlace.room_id == room.id)
        if not touch.state.is_over
    ]
    before = PATH[: PATH.index(MeasureState.IN_PLACE)]
    done = sum(1 for state in states if state not in before)
    share = done / len(states) if states else None
    words = f"{done} of {len(states)}" if states else "none here"
    return RoomMark(room.id, room.name, _outline(room), room.is_heated, share, words)


def _outline(room: m.Room) -> tuple[tuple[float, float], ...]:
    return tuple((corner[0], corner[1]) for corner in room.outline or ())
