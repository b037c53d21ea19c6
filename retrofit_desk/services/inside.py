"""What is inside a wall or floor: everything recorded in it, its photos and tests, to find it in minutes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from math import sqrt
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.exchange.inside_picture import (
    DrawnPhoto,
    DrawnRect,
    DrawnThing,
    InsidePicture,
    write_inside_page,
    write_inside_phone,
)
from retrofit_desk.records import models as m
from retrofit_desk.records.models.house import SurfaceKind
from retrofit_desk.records.models.inside import HiddenKind
from retrofit_desk.records.models.papers import PaperKind, PaperSubject
from retrofit_desk.records.project import Project
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.place import PageKey, Place
from retrofit_desk.values.quantity import Dimension, Units, count_text, show

__all__ = [
    "FoundInside",
    "HiddenKind",
    "InsidePhoto",
    "InsideService",
    "KeptMark",
    "MarkUnclear",
    "WrittenHidden",
]
FLAT = (SurfaceKind.FLOOR, SurfaceKind.CEILING, SurfaceKind.ROOF)
UPRIGHT_CORNER = "lower left corner, seen from the room"
FLAT_CORNER = "southwest corner, north up"
MOST_POINTS = 3
"""A run of more points is told by its ends; the drawing shows the rest."""
CAUTION = (
    "Drawn from what was written down. Before drilling or cutting: look with a detector, shut off water, gas "
    "and power. Local code and licensed people decide."
)


class MarkUnclear(DeskError):
    """A mark that cannot be drawn as it stands."""


@dataclass(frozen=True)
class WrittenHidden:
    """Something inside a face. `path`: points [x, y] in m from its lower left corner, seen from the room."""

    kind: HiddenKind
    name: str
    surface_id: int
    path: tuple[tuple[float, float], ...]
    depth_m: float | None = None
    notes: str = ""


@dataclass(frozen=True)
class KeptMark:
    """A mark on record. `where`: its points in words; `came_with`: the work it was written down with."""

    id: int
    written: WrittenHidden
    words: str
    where: str
    came_with: str


@dataclass(frozen=True)
class InsidePhoto:
    """A photo of this face. `path` none: its file is gone."""

    title: str
    taken_on: date | None
    direction: str
    tape_in_view: bool
    path: Path | None
    place: Place


@dataclass(frozen=True)
class FoundInside:
    """One face: its size in m, everything in it, what was written, tested and photographed there."""

    surface_id: int
    title: str
    width_m: float
    height_m: float
    openings: tuple[DrawnRect, ...]
    marks: tuple[KeptMark, ...]
    written: tuple[str, ...]
    tests: tuple[str, ...]
    photos: tuple[InsidePhoto, ...]
    shut_offs: tuple[str, ...]
    """Where water, gas and power are shut off, anywhere in the house."""
    corner: str = UPRIGHT_CORNER
    """Where its rulers begin and from where it is seen."""
    covered_on: date | None = None
    """None while it stands open, or nobody said that it was covered."""

    @property
    def things(self) -> tuple[DrawnThing, ...]:
        """The marks as they are drawn, in their order."""
        return tuple(DrawnThing(str(one.written.kind), one.words, one.written.path) for one in self.marks)

    @property
    def lines(self) -> tuple[str, ...]:
        """What is told about it, in sentences."""
        covered = (f"Covered {day_text(self.covered_on)}",) if self.covered_on is not None else ()
        return (*covered, *self.written, *self.tests, *self.shut_offs)


class InsideService:
    """Reads what is inside; a mark is one step that undo takes back."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def faces(self) -> tuple[tuple[int, str], ...]:
        """Every face of the house by room, (id, words), the inside of the outer walls first."""
        with self._project.session() as session:
            rooms = session.scalars(select(m.Room).order_by(m.Room.id))
            return tuple((face.id, f"{room.name}, {face.name}") for room in rooms for face in room.surfaces)

    def look(self, surface_id: int, units: Units = Units.US) -> FoundInside:
        """Raises `MarkUnclear` when the face is no longer recorded."""
        with self._project.session() as session:
            surface = _surface(session, surface_id)
            width, height = _size(surface)
            entries = _entries(session, surface)
            places = [place for entry in entries for place in entry.places if place.surface_id == surface.id]
            return FoundInside(
                surface_id=surface.id,
                title=f"{surface.room.name}, {surface.name}",
                width_m=width,
                height_m=height,
                openings=tuple(
                    DrawnRect(
                        row.name, row.left_offset_m or 0.0, row.sill_m or 0.0, row.width_m, row.height_m
                    )
                    for row in surface.openings
                ),
                marks=tuple(_mark(session, row, units) for row in _hidden(session, surface)),
                written=tuple(_written(entry, surface.id) for entry in entries),
                tests=tuple(_tested(entry, test) for entry in entries for test in entry.tests),
                photos=tuple(self._photo(paper) for paper in _photos(session, surface)),
                shut_offs=tuple(_shut_offs(session)),
                corner=FLAT_CORNER if surface.kind in FLAT else UPRIGHT_CORNER,
                covered_on=max(
                    (one.covered_on for one in places if one.covered_on and not one.reopened_on), default=None
                ),
            )

    def mark(self, *things: WrittenHidden) -> None:
        """Write down where things lie. Raises `MarkUnclear` for no name, no point or one outside."""
        name = (
            things[0].name.strip() or str(things[0].kind)
            if len(things) == 1
            else count_text(len(things), "thing")
        )
        with self._project.action(f"Mark {name} inside a face") as work:
            for written in things:
                mark_in(work.session, written)

    def correct(self, mark_id: int, written: WrittenHidden) -> None:
        """It lies otherwise than was marked, or in another face. Raises `MarkUnclear` as `mark`."""
        with self._project.action(f"Correct where {written.name.strip() or written.kind} lies") as work:
            row = _marked(work.session, mark_id)
            _set(row, written, _checked(work.session, written, "the mark stays as it was"))

    def take_out(self, mark_id: int) -> None:
        """The mark was wrong, or the thing is gone. Raises `MarkUnclear` when it is not recorded."""
        with self._project.action("Take a mark out") as work:
            work.session.delete(_marked(work.session, mark_id))

    def write_page(self, surface_id: int, path: Path, units: Units = Units.US) -> Path:
        """One printable page (PDF)."""
        return write_inside_page(self._picture(surface_id, units), path)

    def write_phone(self, surface_id: int, path: Path, units: Units = Units.US) -> Path:
        """One picture of the size of a telephone's screen (PNG)."""
        return write_inside_phone(self._picture(surface_id, units), path)

    def _picture(self, surface_id: int, units: Units) -> InsidePicture:
        found = self.look(surface_id, units)
        return InsidePicture(
            title=found.title,
            width_m=found.width_m,
            height_m=found.height_m,
            meter=1.0 if units is Units.SI else 0.3048,
            unit="m" if units is Units.SI else "ft",
            openings=found.openings,
            things=found.things,
            lines=found.lines,
            photos=tuple(
                DrawnPhoto(photo.path, _caption(photo)) for photo in found.photos if photo.path is not None
            ),
            caution=CAUTION,
            corner=found.corner,
        )

    def _photo(self, paper: m.Paper) -> InsidePhoto:
        path = self._project.papers.path(paper.sha256)
        return InsidePhoto(
            paper.title,
            paper.on_paper,
            str(paper.direction) if paper.direction else "",
            bool(paper.tape_in_view),
            path if path.is_file() else None,
            Place(PageKey.PAPERS, "paper", paper.id),
        )


def mark_in(
    session: Session,
    written: WrittenHidden,
    entry: m.WorkEntry | None = None,
    kept: str = "nothing was marked",
) -> m.HiddenThing:
    """Inside an action: write down where something lies. Raises `MarkUnclear`."""
    surface = _checked(session, written, kept)
    row = m.HiddenThing(entry_id=entry.id if entry is not None else None)
    _set(row, written, surface)
    session.add(row)
    session.flush()
    return row


def _set(row: m.HiddenThing, written: WrittenHidden, surface: m.Surface) -> None:
    row.kind, row.name = written.kind, written.name.strip()
    row.surface_id, row.room_id = surface.id, surface.room_id
    row.path = [list(point) for point in written.path]
    row.depth_m, row.notes = written.depth_m, written.notes.strip()


def _marked(session: Session, mark_id: int) -> m.HiddenThing:
    row = session.get(m.HiddenThing, mark_id)
    if row is None:
        raise MarkUnclear("this mark is no longer recorded", do="look at the face again")
    return row


def _checked(session: Session, written: WrittenHidden, kept: str) -> m.Surface:
    surface = _surface(session, written.surface_id)
    _check(written, surface, kept)
    return surface


def _surface(session: Session, surface_id: int) -> m.Surface:
    surface = session.get(m.Surface, surface_id)
    if surface is None:
        raise MarkUnclear("this wall or floor is no longer recorded", do="choose another one")
    return surface


def _size(surface: m.Surface) -> tuple[float, float]:
    """Width and height in m: from the outline, else the room's height, else as a square."""
    outline = surface.room.outline or []
    if surface.kind in FLAT and outline:
        xs, ys = [point[0] for point in outline], [point[1] for point in outline]
        return max(xs) - min(xs), max(ys) - min(ys)
    height = surface.room.height_m if surface.kind not in FLAT else None
    if height:
        return surface.area_m2 / height, height
    side = sqrt(surface.area_m2)
    return side, side


def _hidden(session: Session, surface: m.Surface) -> list[m.HiddenThing]:
    query = select(m.HiddenThing).where(m.HiddenThing.surface_id == surface.id)
    return list(session.scalars(query.order_by(m.HiddenThing.id)))


def _entries(session: Session, surface: m.Surface) -> list[m.WorkEntry]:
    query = (
        select(m.WorkEntry)
        .join(m.WorkPlace)
        .where(m.WorkPlace.surface_id == surface.id, m.WorkEntry.is_draft.is_(False))
        .order_by(m.WorkEntry.worked_on, m.WorkEntry.id)
    )
    return list(dict.fromkeys(session.scalars(query)))


def _photos(session: Session, surface: m.Surface) -> list[m.Paper]:
    query = (
        select(m.Paper)
        .join(m.PaperUse)
        .where(
            m.PaperUse.subject == PaperSubject.SURFACE,
            m.PaperUse.subject_id == surface.id,
            m.Paper.kind == PaperKind.PHOTO,
        )
        .order_by(m.Paper.on_paper, m.Paper.id)
    )
    return list(dict.fromkeys(session.scalars(query)))


def _shut_offs(session: Session) -> list[str]:
    rows = session.scalars(select(m.HiddenThing).where(m.HiddenThing.kind == HiddenKind.SHUT_OFF))
    rooms = {room.id: room.name for room in session.scalars(select(m.Room))}
    return [
        f"Shut-off, {row.name}: {rooms.get(row.room_id or 0, '')} {row.notes}".strip().rstrip(":")
        for row in rows
    ]


def _mark(session: Session, row: m.HiddenThing, units: Units) -> KeptMark:
    depth = f", {show(row.depth_m, Dimension.THICKNESS, units)} deep" if row.depth_m is not None else ""
    path = tuple((point[0], point[1]) for point in row.path or ())
    surface = session.get(m.Surface, row.surface_id) if row.surface_id is not None else None
    is_flat = surface is not None and surface.kind in FLAT
    across, along = ("east", "north") if is_flat else ("from the left", "up")
    points = [
        f"{show(x, Dimension.LENGTH, units)} {across} and {show(y, Dimension.LENGTH, units)} {along}"
        for x, y in path
    ]
    if len(points) > MOST_POINTS:
        points = [points[0], f"{len(points) - 2} turns", points[-1]]
    entry = session.get(m.WorkEntry, row.entry_id) if row.entry_id is not None else None
    return KeptMark(
        id=row.id,
        written=WrittenHidden(row.kind, row.name, row.surface_id or 0, path, row.depth_m, row.notes),
        words=f"{row.name}{depth}",
        where=", then ".join(points),
        came_with=f"{entry.measure.title}, {day_text(entry.worked_on)}" if entry is not None else "",
    )


def _written(entry: m.WorkEntry, surface_id: int) -> str:
    inside = "; ".join(
        p.what_is_inside for p in entry.places if p.surface_id == surface_id and p.what_is_inside
    )
    return f"{day_text(entry.worked_on)}, {entry.who}: {inside or entry.notes}"


def _tested(entry: m.WorkEntry, test: m.CommissioningTest) -> str:
    word = "incomplete" if test.passed is None else "passed" if test.passed else "failed"
    return f"{day_text(entry.worked_on)}, test: {test.quantity}, {word}"


def _caption(photo: InsidePhoto) -> str:
    parts = [
        day_text(photo.taken_on) if photo.taken_on else "",
        photo.direction and f"looking {photo.direction}",
    ]
    parts.append("tape in view" if photo.tape_in_view else "")
    return ", ".join(part for part in parts if part)


def _check(written: WrittenHidden, surface: m.Surface, kept: str) -> None:
    where = f"{surface.room.name}, {surface.name}"
    if not written.name.strip():
        raise MarkUnclear("the thing has no name", where=where, kept=kept, do="say what lies there")
    if not written.path:
        raise MarkUnclear("no place is given", where=where, kept=kept, do="give at least one point")
    width, height = _size(surface)
    if any(not (-0.01 <= x <= width + 0.01 and -0.01 <= y <= height + 0.01) for x, y in written.path):
        raise MarkUnclear(
            f"a point lies outside the face of {width:.2f} by {height:.2f} m",
            where=where,
            kept=kept,
            do="measure from its lower left corner, seen from the room",
        )
    if written.depth_m is not None and written.depth_m < 0:
        raise MarkUnclear("a depth cannot be below zero", where=where, kept=kept)
