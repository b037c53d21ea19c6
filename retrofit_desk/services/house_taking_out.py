"""Taking a storey, room, face, window or door out of the described house, unless the record leans on it."""

from __future__ import annotations

import json
from typing import Any

from sqlalchemy import Column, func, select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.holds import HoldSubject
from retrofit_desk.records.models.papers import PaperSubject
from retrofit_desk.records.project import Project
from retrofit_desk.services.house_edits import NOTHING, recorded
from retrofit_desk.services.house_facts import CannotBe

WORDS = {
    "circuit": "a circuit",
    "equipment": "a machine",
    "hazard_finding": "a find",
    "hidden_thing": "something inside a wall",
    "measure_place": "a measure",
    "panel": "the panel",
    "work_place": "written-up work",
    "correction": "a correction of the inspector",
}
"""What a row of another table is called in a sentence; else the table's own name."""
Part = m.Room | m.Surface | m.Opening


class HouseTakingOutService:
    """Every taking out is one undo step; undo brings the thing back with all that hung on it."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def storey(self, storey_id: int) -> None:
        """Raises `CannotBe` while a room stands on it, `NotRecorded`."""
        with self._project.action("Take out a story") as work:
            row = recorded(work.session, m.Storey, storey_id, "story")
            if row.rooms:
                raise CannotBe(
                    f"{len(row.rooms)} of its rooms are still recorded"
                    if len(row.rooms) > 1
                    else f"{row.rooms[0].name} still stands on it",
                    where=row.name,
                    kept=NOTHING,
                    do="take them out first",
                )
            work.session.delete(row)

    def room(self, room_id: int) -> None:
        """With its own faces. Raises `CannotBe`, `NotRecorded`."""
        with self._project.action("Take out a room") as work:
            session = work.session
            row = recorded(session, m.Room, room_id, "room")
            _nothing_leads_to(session, row)
            openings = [one for face in row.surfaces for one in face.openings]
            _take_out(session, [row, *row.surfaces, *openings], row)

    def surface(self, surface_id: int) -> None:
        """With its windows, doors and bridges. Raises `CannotBe`, `NotRecorded`."""
        with self._project.action("Take out a face") as work:
            row = recorded(work.session, m.Surface, surface_id, "face")
            _take_out(work.session, [row, *row.openings], row)

    def opening(self, opening_id: int) -> None:
        """Raises `CannotBe`, `NotRecorded`."""
        with self._project.action("Take out a window or door") as work:
            row = recorded(work.session, m.Opening, opening_id, "window")
            _take_out(work.session, [row], row)


def _nothing_leads_to(session: Session, room: m.Room) -> None:
    query = select(m.Surface).where(m.Surface.other_room_id == room.id, m.Surface.room_id != room.id)
    faces = [f"{one.name} of {one.room.name}" for one in session.scalars(query)]
    if faces:
        raise CannotBe(
            f"{' and '.join(faces[:2])}{' and others' if len(faces) > 2 else ''} "
            f"{'leads' if len(faces) == 1 else 'lead'} to it",
            where=room.name,
            kept=NOTHING,
            do="take those faces out, or say what else lies behind them, first",
        )


def _take_out(session: Session, rows: list[Part], whole: Part) -> None:
    """All of `rows` with their notes; `whole` is the one the owner named."""
    leaning = sorted({word for row in rows for word in _leaning_on(session, row)})
    if leaning:
        raise CannotBe(
            f"{' and '.join(leaning)} on record {'lean' if len(leaning) > 1 else 'leans'} on it",
            where=whole.name,
            kept=NOTHING,
            do="point that elsewhere first",
        )
    for row in rows:
        notes = select(m.FactNote).where(m.FactNote.table == row.__tablename__, m.FactNote.row_id == row.id)
        for note in session.scalars(notes):
            session.delete(note)
    session.delete(whole)


def _leaning_on(session: Session, row: Part) -> list[str]:
    """What else on record speaks of a row, in words."""
    found = [
        WORDS.get(column.table.name, column.table.name.replace("_", " "))
        for column in _pointing_at(row)
        if session.scalar(select(func.count()).select_from(column.table).where(column == row.id))
    ]
    subject = PaperSubject(row.__tablename__)
    paper = select(m.PaperUse.id).where(m.PaperUse.subject == subject, m.PaperUse.subject_id == row.id)
    if session.scalar(paper.limit(1)) is not None:
        found.append("a paper")
    if row.__tablename__ in set(HoldSubject):
        kept_back = HoldSubject(row.__tablename__)
        hold = select(m.Hold.id).where(m.Hold.subject == kept_back, m.Hold.subject_id == row.id)
        if session.scalar(hold.limit(1)) is not None:
            found.append("a step that waits")
    return [*found, *_named_by(session, row.key)]


def _pointing_at(row: Part) -> list[Column[Any]]:
    """Columns of other tables that point at such a row, but those of the parts that go with it."""
    own = {"surface", "opening", "thermal_bridge"}
    return [
        column
        for table in m.Base.metadata.sorted_tables
        if table.name not in own
        for column in table.columns
        if any(key.column.table.name == row.__tablename__ for key in column.foreign_keys)
    ]


def _named_by(session: Session, key: str) -> list[str]:
    """Machines and measures whose own facts name a key."""
    found = []
    machines = session.scalars(select(m.Equipment)).all()
    if any(key in one.serves or key in one.details.values() for one in machines):
        found.append("a machine")
    quoted = json.dumps(key)
    if any(quoted in json.dumps(inputs) for inputs in session.scalars(select(m.Measure.inputs))):
        found.append("a measure")
    return found
