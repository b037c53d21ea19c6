"""Changes to the described house, each one an action with the reason why it is believed."""

from __future__ import annotations

from dataclasses import fields, replace
from enum import StrEnum
from typing import Any, TypeVar

from pydantic import TypeAdapter, ValidationError
from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.estimate.constructions import AIR_FACES
from retrofit_desk.physics.air_layers import LARGEST_DEPTH_M
from retrofit_desk.physics.elements import Course
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.records.unit_of_work import Work
from retrofit_desk.services.days import today_of
from retrofit_desk.services.faces_by_plan import lies_free
from retrofit_desk.services.house import NotRecorded
from retrofit_desk.services.house_facts import (
    AGAINST_THE_SUN,
    DRAWN_BY_THE_CLOCK,
    TO_A_ROOM,
    TO_OUTDOORS,
    Because,
    CannotBe,
    ConstructionChoice,
    LayerFacts,
    OpeningFacts,
    RoomFacts,
    SurfaceFacts,
)
from retrofit_desk.services.materials import materials
from retrofit_desk.values.stated import StatedValue

T = TypeVar("T", bound=m.Base)
MIDNIGHT = 24
NOTHING = "nothing was changed"
LEVEL_DEG = 1.0
"""Within so much of 0 or 180 a face is level and looks nowhere."""


class HouseEditService:
    """Records changes to rooms, faces, windows and layers."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def constructions(self) -> tuple[ConstructionChoice, ...]:
        """All recorded constructions."""
        with self._project.session() as session:
            rows = session.scalars(select(m.Construction).order_by(m.Construction.name))
            return tuple(ConstructionChoice(row.id, row.name) for row in rows)

    def change_room(self, room_id: int, facts: RoomFacts, because: Because) -> None:
        """Change a room. Raises `CannotBe`, `NotRecorded`."""
        room_can_be(facts)
        with self._project.action(f"Change {facts.name}") as work:
            row = recorded(work.session, m.Room, room_id, "room")
            changed = applied(row, facts)
            if "outline" in changed:
                lies_free(work.session, row.storey_id, room_id, facts.outline)
            note_facts(work.session, "room", room_id, changed, because)

    def change_surface(self, surface_id: int, facts: SurfaceFacts, because: Because) -> None:
        """Change a face. Raises `CannotBe`, `NotRecorded`."""
        with self._project.action(f"Change {facts.name}") as work:
            row = recorded(work.session, m.Surface, surface_id, "face")
            surface_can_be(facts, row.room_id)
            openings_fit(row, facts.area_m2)
            note_facts(work.session, "surface", surface_id, applied(row, facts), because)

    def change_opening(
        self, opening_id: int, facts: OpeningFacts, because: Because, u_because: Because | None = None
    ) -> None:
        """Change a window or door; `u_because`: how a U-value came about that no label told.

        Raises `CannotBe`, `NotRecorded`.
        """
        opening_can_be(facts)
        with self._project.action(f"Change {facts.name}") as work:
            row = recorded(work.session, m.Opening, opening_id, "window")
            changed = applied(row, facts)
            openings_fit(row.surface, row.surface.area_m2)
            note_facts(work.session, "opening", opening_id, changed, because)
            if u_because is not None:
                note_facts(work.session, "opening", opening_id, ["u_value_w_m2k"], u_because)

    def change_layers(
        self, surface_id: int, layers: tuple[LayerFacts, ...], because: Because, *, only_here: bool
    ) -> None:
        """Give a face other layers; all faces of that construction follow, or `only_here` this one.

        Raises `CannotBe`, `NotRecorded`.
        """
        if not layers:
            raise CannotBe("a construction needs a layer", where="Layers", do="add one")
        for layer in layers:
            _layer_can_be(layer)
        with self._project.action("Change the layers") as work:
            surface = recorded(work.session, m.Surface, surface_id, "face")
            construction = _construction_for(work, surface, only_here)
            construction.source = because.source or construction.source
            construction.layers = [_layer(at, facts) for at, facts in enumerate(layers)]
            work.session.flush()
            note_facts(work.session, "construction", construction.id, ["layers"], because)


def room_can_be(facts: RoomFacts) -> None:
    """Raises `CannotBe`."""
    above_zero("Floor area", facts.floor_area_m2)
    above_zero("Height", facts.height_m)


def surface_can_be(facts: SurfaceFacts, room_id: int) -> None:
    """Raises `CannotBe`."""
    above_zero("Area", facts.area_m2)
    if facts.azimuth_deg is not None and not 0.0 <= facts.azimuth_deg <= 360.0:
        raise CannotBe("a direction lies between 0 and 360 degrees", where="Faces", kept=NOTHING)
    if not 0.0 <= facts.tilt_deg <= 180.0:
        raise CannotBe("a tilt lies between 0 and 180 degrees", where="Tilt", kept=NOTHING)
    is_level = min(facts.tilt_deg, 180.0 - facts.tilt_deg) < LEVEL_DEG
    if facts.boundary == TO_OUTDOORS and facts.azimuth_deg is None and not is_level:
        raise CannotBe(
            "a face outdoors that is not level looks somewhere",
            where="Faces",
            do="say which way, 180 is south",
        )
    if facts.boundary in TO_A_ROOM and facts.other_room_id is None:
        raise CannotBe("the room behind it is missing", where="Room behind it", do="choose it")
    if facts.other_room_id is not None and (
        facts.boundary not in TO_A_ROOM or facts.other_room_id == room_id
    ):
        raise CannotBe("another room lies behind it only where it says so", where="Room behind it")
    _passage_fits(facts)


def opening_can_be(facts: OpeningFacts) -> None:
    """Raises `CannotBe`."""
    for word, value in (("Width", facts.width_m), ("Height", facts.height_m), ("Number", facts.count)):
        above_zero(word, value)
    _shade_can_be(facts)
    _course_can_be(facts.shgc_by_angle)


def _shade_can_be(facts: OpeningFacts) -> None:
    drawn = facts.shade != m.ShadeKind.NONE
    passes = facts.shade_solar_factor
    if passes is not None and not 0.0 <= passes <= 1.0:
        raise CannotBe("a share is not below 0 or above 1", where="Sun that the drawn shade lets through")
    by_clock = facts.shade_rule == DRAWN_BY_THE_CLOCK
    if drawn and (by_clock or facts.shade_rule in AGAINST_THE_SUN) and passes is None:
        raise CannotBe(
            f"a shade {facts.shade_rule} needs the share of the sun that it lets through",
            where="Sun that the drawn shade lets through",
            do="type it, or choose another rule",
        )
    for word, value in (
        ("Drawn in sun above", facts.shade_sun_above_w_m2),
        ("The drawn shade adds", facts.shade_added_resistance_m2k_w),
    ):
        if value is not None and value < 0.0:
            raise CannotBe("it is not below 0", where=word)
    if drawn and by_clock:
        _clock_can_be(facts)


def _clock_can_be(facts: OpeningFacts) -> None:
    hours = (facts.shade_from_hour, facts.shade_to_hour)
    if any(hour is None for hour in hours):
        raise CannotBe("a shade drawn by the clock needs its hours", where="Drawn from hour")
    if any(hour is not None and not 0 <= hour <= MIDNIGHT for hour in hours):
        raise CannotBe("an hour of the day lies between 0 and 24", where="Drawn from hour")
    if (facts.shade_from_month is None) != (facts.shade_to_month is None):
        raise CannotBe("the other month is missing", where="In the months", do="choose both, or all year")


def _course_can_be(course: tuple[tuple[float, float], ...]) -> None:
    try:
        TypeAdapter(Course).validate_python([{"angle_deg": angle, "shgc": share} for angle, share in course])
    except ValidationError as error:
        said = error.errors()[0]["msg"].removeprefix("Value error, ")
        raise CannotBe(said[:1].lower() + said[1:], where="SHGC by angle") from None


def applied(row: m.Base, facts: RoomFacts | SurfaceFacts | OpeningFacts) -> list[str]:
    """Set what differs; the names of the columns that did."""
    changed = []
    for field in fields(facts):
        value = getattr(facts, field.name)
        if isinstance(value, StatedValue):
            if row.stated(field.name) != value:
                row.set_stated(field.name, value)
                changed.append(field.name)
        elif (kept := getattr(row, field.name)) != (value := _as_kept(value)):
            setattr(row, field.name, type(kept)(value) if isinstance(kept, StrEnum) else value)
            changed.append(field.name)
    return changed


def _as_kept(value: Any) -> Any:
    """Pairs are kept as a list, none of them as nothing."""
    return ([list(pair) for pair in value] or None) if isinstance(value, tuple) else value


def note_facts(session: Session, table: str, row_id: int, columns: list[str], because: Because) -> None:
    """Keep for each changed column how the owner knows."""
    kept = {
        note.column: note
        for note in session.scalars(
            select(m.FactNote).where(m.FactNote.table == table, m.FactNote.row_id == row_id)
        )
    }
    for column in columns:
        if column in ("name", "notes", "outline"):
            continue
        note = kept.get(column)
        if note is None:
            note = m.FactNote(table=table, row_id=row_id, column=column, certainty=because.certainty)
            session.add(note)
        note.certainty, note.source, note.as_of = because.certainty, because.source, today_of(session)
        note.low = note.high = note.paper_id = None


def _construction_for(work: Work, surface: m.Surface, only_here: bool) -> m.Construction:
    """The face's construction to write into: its own, or a copy of it for this face alone."""
    kept = surface.construction
    if kept is not None and not only_here:
        return kept
    name = f"{kept.name}, at {surface.name}" if kept is not None else surface.name
    made = m.Construction(key=_free_key(work.session, surface.key), name=name)
    work.session.add(made)
    work.session.flush()
    surface.construction_id = made.id
    return made


def _free_key(session: Session, wished: str) -> str:
    taken = set(session.scalars(select(m.Construction.key)))
    if wished not in taken:
        return wished
    return next(key for number in range(2, 10_000) if (key := f"{wished}-{number}") not in taken)


def _layer(at: int, facts: LayerFacts) -> m.ConstructionLayer:
    row = m.ConstructionLayer(
        position=at,
        name=facts.name,
        material_key=facts.material_key,
        conductivity_w_mk=facts.conductivity_w_mk,
        resistance_m2k_w=facts.resistance_m2k_w,
        framing_fraction=facts.framing_fraction,
        framing_material_key=facts.framing_material_key if facts.framing_fraction else "",
    )
    row.set_stated("thickness_m", facts.thickness_m)
    material = materials().get(facts.material_key)
    if material is not None:
        row.density_kg_m3 = material.density_kg_m3
        row.specific_heat_j_kgk = material.specific_heat_j_kgk
        row.vapor_resistance_factor = material.vapor_resistance_factor
    framing = materials().get(row.framing_material_key)
    if framing is not None:
        row.framing_conductivity_w_mk = framing.conductivity_w_mk
        row.framing_density_kg_m3 = framing.density_kg_m3
        row.framing_specific_heat_j_kgk = framing.specific_heat_j_kgk
    return row


def with_material(facts: LayerFacts) -> LayerFacts:
    """The layer with the table's conductivity, or its resistance, where none was typed."""
    material = materials().get(facts.material_key)
    if material is None or facts.conductivity_w_mk is not None or facts.resistance_m2k_w is not None:
        return facts
    return replace(
        facts, conductivity_w_mk=material.conductivity_w_mk, resistance_m2k_w=material.resistance_m2k_w
    )


def _layer_can_be(facts: LayerFacts) -> None:
    where = facts.name or "Layer"
    if not facts.name:
        raise CannotBe("a layer has no name", where="Layers", do="type what it is")
    for word, value in (
        ("thickness", facts.thickness_m.value),
        ("conductivity", facts.conductivity_w_mk),
        ("R-value", facts.resistance_m2k_w),
    ):
        if value is not None and value <= 0.0:
            raise CannotBe(f"its {word} must be more than 0", where=where, do="type it again")
    depth_m = facts.thickness_m.value
    if facts.material_key in AIR_FACES and depth_m is not None and depth_m > LARGEST_DEPTH_M:
        raise CannotBe("this air is deeper than a layer", where=where, do="describe it as a room of its own")
    if not 0.0 <= facts.framing_fraction <= 0.95:
        raise CannotBe("the share of framing must lie between 0 and 95%", where=where, do="type it again")
    if facts.framing_fraction and facts.thickness_m.value is None:
        raise CannotBe("framing needs the depth of its layer", where=where, do="type its thickness")
    if facts.framing_fraction and facts.framing_material_key not in materials():
        raise CannotBe("the framing has no material", where=where, do="choose one")


def _passage_fits(facts: SurfaceFacts) -> None:
    open_m2 = facts.passage_area_m2
    if not open_m2:
        return
    if facts.other_room_id is None:
        raise CannotBe("only a face between two rooms stands open to the next", where="Open passage in it")
    if open_m2 >= facts.area_m2:
        raise CannotBe("the passage is as large as its face", where="Open passage in it", do="correct one")


def openings_fit(surface: m.Surface, area_m2: float) -> None:
    """Raises `CannotBe` where windows and doors are larger than their face."""
    openings = sum(one.width_m * one.height_m * one.count for one in surface.openings)
    if openings > area_m2:
        raise CannotBe(
            f"its windows and doors ({openings:.1f} m²) are larger than the face ({area_m2:.1f} m²)",
            where=surface.name,
            kept=NOTHING,
            do="check the areas",
        )


def above_zero(word: str, value: float) -> None:
    """Raises `CannotBe`."""
    if not value > 0.0:
        raise CannotBe(f"{word} must be more than 0", kept=NOTHING, do="type it again")


def recorded(session: Session, model: type[T], row_id: int, word: str) -> T:
    """Raises `NotRecorded`."""
    row = session.get(model, row_id)
    if row is None:
        raise NotRecorded(f"this {word} is not recorded any more", do="undo brings it back")
    return row
