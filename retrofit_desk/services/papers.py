"""Papers and photos: filing once, finding again, and what each is used for."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, tzinfo
from pathlib import Path
from typing import Any

from sqlalchemy import func, or_, select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import Direction, PaperKind, PaperSubject
from retrofit_desk.records.papers_store import media_type
from retrofit_desk.records.project import Project
from retrofit_desk.records.unit_of_work import Work
from retrofit_desk.rules.matching import Fact, FactKind
from retrofit_desk.services.days import now_of, today_of, zone_of
from retrofit_desk.services.holds import HoldEffect, effect_between, holds_in
from retrofit_desk.services.paper_checks import mismatches
from retrofit_desk.services.paper_places import Names, rooms_and_measures
from retrofit_desk.services.places import named
from retrofit_desk.services.site_tests import settle
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.place import Found

__all__ = [
    "Choice",
    "Direction",
    "Fact",
    "FactKind",
    "Filed",
    "Filing",
    "FilingChoices",
    "PaperGone",
    "PaperKind",
    "PaperRow",
    "PaperService",
    "PaperSheet",
    "PaperSubject",
    "Use",
    "file_in",
]


class PaperGone(DeskError):
    """The record of a paper is asked for that is no longer there."""


class PaperInUse(DeskError):
    """A paper cannot be taken out while something on record stands on it."""


@dataclass(frozen=True)
class Use:
    """One thing that a paper serves."""

    subject: PaperSubject
    subject_id: int


@dataclass(frozen=True)
class Asked:
    """Who asked for a paper, and the day on which it runs out."""

    by: str
    ends_on: date | None


@dataclass(frozen=True)
class Filing:
    """What the owner says about a file when filing it."""

    kind: PaperKind
    title: str
    on_paper: date | None = None
    facts: tuple[Fact, ...] = ()
    uses: tuple[Use, ...] = ()
    direction: Direction | None = None
    tape_in_view: bool | None = None
    is_private: bool = False
    asked_by: str = ""
    ends_on: date | None = None


@dataclass(frozen=True)
class PaperRow:
    """One line of the list of papers."""

    id: int
    kind: PaperKind
    title: str
    original_name: str
    on_paper: date | None
    filed_on: date
    rooms: tuple[str, ...]
    measures: tuple[str, ...]
    used: int
    is_photo: bool
    is_private: bool
    is_missing: bool
    ends_on: date | None


@dataclass(frozen=True)
class PaperSheet:
    """One paper with all that is known of it; `path` is None when its file is gone."""

    row: PaperRow
    path: Path | None
    media_type: str
    size_bytes: int
    pages: int | None
    sha256: str
    direction: Direction | None
    tape_in_view: bool | None
    notes: str
    facts: tuple[Fact, ...]
    used_for: tuple[Found, ...]
    disagrees: tuple[str, ...]
    """What it says otherwise than the record or other papers, near misses explained."""
    asked_by: str
    same_content: tuple[str, ...]


@dataclass(frozen=True)
class Choice:
    """One thing that a paper may serve."""

    use: Use
    words: str
    room_id: int | None = None


@dataclass(frozen=True)
class FilingChoices:
    """What a paper may be filed for: measures, rooms, surfaces, and what holds wait for."""

    measures: tuple[Choice, ...]
    rooms: tuple[Choice, ...]
    surfaces: tuple[Choice, ...]
    needs: tuple[Choice, ...]


@dataclass(frozen=True)
class Filed:
    """The answer to filing: the paper, the title its content was filed under before, what it frees."""

    paper_id: int
    already_filed_as: str | None
    effect: HoldEffect
    damage: str = ""
    """What is wrong with a picture that cannot be drawn whole; it is kept as it is all the same."""


class PaperService:
    """Everything the window and the command line do with papers."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def rows(self) -> tuple[PaperRow, ...]:
        """All papers, the newest first."""
        with self._project.session() as session:
            rooms, measures = rooms_and_measures(session)
            zone = zone_of(session)
            uses = select(m.PaperUse.paper_id, func.count()).group_by(m.PaperUse.paper_id)
            used = {row[0]: row[1] for row in session.execute(uses)}
            papers = session.execute(select(*_ROW).order_by(m.Paper.on_paper.desc(), m.Paper.id.desc()))
            kept = self._project.papers.names()
            return tuple(
                _row(one, used.get(one.id, 0), rooms, measures, zone, is_missing=one.sha256 not in kept)
                for one in papers
            )

    def sheet(self, paper_id: int) -> PaperSheet:
        """Raises `PaperGone` if there is no such record."""
        with self._project.session() as session:
            paper = _paper(session, paper_id)
            same = session.scalars(
                select(m.Paper).where(m.Paper.sha256 == paper.sha256, m.Paper.id != paper.id)
            )
            uses = (named(session, use.subject, use.subject_id) for use in paper.uses)
            placed, zone = rooms_and_measures(session, paper_id), zone_of(session)
            path = self._project.papers.path(paper.sha256)
            is_missing = not path.is_file()
            return PaperSheet(
                row=_row(paper, len(paper.uses), *placed, zone, is_missing=is_missing),
                path=None if is_missing else path,
                media_type=paper.media_type,
                size_bytes=paper.size_bytes,
                pages=paper.pages,
                sha256=paper.sha256,
                direction=paper.direction,
                tape_in_view=paper.tape_in_view,
                notes=paper.notes,
                facts=tuple(Fact(fact.kind, fact.value, fact.label) for fact in paper.facts),
                used_for=tuple(use for use in uses if use is not None),
                disagrees=tuple(one.line for one in mismatches(session) if paper.id in one.paper_ids),
                asked_by=paper.asked_by,
                same_content=tuple(other.title for other in same),
            )

    def file(self, path: Path, filing: Filing) -> Filed:
        """File one paper: its bytes once, its facts, and all that it serves. One undo step."""
        with self._project.action(f"File {filing.title}") as work:
            before = holds_in(work.session, today_of(work.session))
            paper_id, same = file_in(work, path, filing)
            measures = [use.subject_id for use in filing.uses if use.subject is PaperSubject.MEASURE]
            after = holds_in(work.session, today_of(work.session))
            effect = effect_between(before, after, measures[0] if measures else None)
            media_type = work.session.get_one(m.Paper, paper_id).media_type
            return Filed(paper_id, same, effect, _damage(path) if media_type in _DRAWN else "")

    def choices(self) -> FilingChoices:
        """Everything a new paper may be filed for, in the order of the house and of the line-up."""
        with self._project.session() as session:
            measures = session.scalars(select(m.Measure).order_by(m.Measure.position, m.Measure.id))
            rooms = session.scalars(select(m.Room).order_by(m.Room.id)).all()
            needs = session.scalars(select(m.HoldNeed).where(m.HoldNeed.answered_on.is_(None)))
            return FilingChoices(
                tuple(Choice(Use(PaperSubject.MEASURE, row.id), row.title) for row in measures),
                tuple(Choice(Use(PaperSubject.ROOM, row.id), row.name) for row in rooms),
                tuple(
                    Choice(Use(PaperSubject.SURFACE, face.id), face.name, room.id)
                    for room in rooms
                    for face in room.surfaces
                ),
                tuple(
                    Choice(Use(PaperSubject.HOLD_NEED, need.id), f"{need.hold.what}: {need.text}")
                    for need in needs
                    if need.hold.done_on is None
                ),
            )

    def note_facts(self, paper_id: int, facts: Iterable[Fact], asked: Asked | None = None) -> None:
        """Write down what stands on a filed paper, in place of what was noted. Raises `PaperGone`.

        `asked` none: that stays as it is.
        """
        with self._project.action("Note what stands on a paper") as work:
            paper = _paper(work.session, paper_id)
            if asked is not None:
                paper.asked_by, paper.ends_on = asked.by.strip(), asked.ends_on
            paper.facts = [m.PaperFact(kind=one.kind, label=one.label, value=one.value) for one in facts]

    def serve(self, paper_id: int, *uses: Use) -> HoldEffect:
        """Let a filed paper serve more than it did. Raises `PaperGone`."""
        with self._project.action("Use a paper once more") as work:
            session, today = work.session, today_of(work.session)
            paper, before = _paper(session, paper_id), holds_in(session, today)
            known = {(kept.subject, kept.subject_id) for kept in paper.uses}
            new = [use for use in uses if (use.subject, use.subject_id) not in known]
            paper.uses += [m.PaperUse(subject=use.subject, subject_id=use.subject_id) for use in new]
            settle(session, _tests_of(new))
            session.flush()
            return effect_between(before, holds_in(session, today), None)

    def take_out(self, paper_id: int) -> None:
        """Remove a paper's record; its bytes stay until the record can no longer be restored.

        Raises `PaperInUse` while something on record stands on it, such as a contract or a made packet.
        """
        with self._project.action("Take a paper out") as work:
            paper = _paper(work.session, paper_id)
            holding = _stands_on(work.session, paper_id)
            if holding:
                raise PaperInUse(
                    f"a {' and a '.join(holding)} on record stands on this paper",
                    where=paper.title,
                    kept="the paper was kept",
                    do="take that out first, or leave the paper",
                )
            work.session.delete(paper)

    @staticmethod
    def media_type_of(path: Path) -> str:
        """What kind of file lies there, by its first bytes and its ending."""
        with path.open("rb") as file:
            return media_type(file.read(4096), path.name)

    def today(self) -> date:
        with self._project.session() as session:
            return today_of(session)


def file_in(work: Work, path: Path, filing: Filing) -> tuple[int, str | None]:
    """Inside an action: file one paper. Returns its id, and the title of an equal one filed before."""
    stored = work.file(path)
    same = work.session.scalar(select(m.Paper).where(m.Paper.sha256 == stored.sha256))
    paper = m.Paper(
        kind=filing.kind,
        title=filing.title,
        original_name=path.name,
        sha256=stored.sha256,
        size_bytes=stored.size_bytes,
        media_type=stored.media_type,
        on_paper=filing.on_paper,
        filed_at=now_of(work.session),
        ends_on=filing.ends_on,
        direction=filing.direction,
        tape_in_view=filing.tape_in_view,
        is_private=filing.is_private,
        asked_by=filing.asked_by,
        facts=[m.PaperFact(kind=one.kind, label=one.label, value=one.value) for one in filing.facts],
        uses=[m.PaperUse(subject=use.subject, subject_id=use.subject_id) for use in filing.uses],
    )
    work.session.add(paper)
    settle(work.session, _tests_of(filing.uses))
    return paper.id, same.title if same is not None else None


_ROW = (
    *(m.Paper.id, m.Paper.kind, m.Paper.title, m.Paper.original_name, m.Paper.on_paper, m.Paper.filed_at),
    *(m.Paper.is_private, m.Paper.sha256, m.Paper.ends_on),
)
"""What a line of the list shows: of thousands of papers only these columns are read."""


_DRAWN = ("image/jpeg", "image/png", "image/webp", "image/tiff", "image/gif")


def _damage(path: Path) -> str:
    from PIL import Image

    try:
        with Image.open(path) as picture:
            picture.load()
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        return "the picture is damaged or cut off; it is kept as it is. Copy it again, or take it anew"
    return ""


def _row(paper: Any, used: int, rooms: Names, measures: Names, zone: tzinfo, *, is_missing: bool) -> PaperRow:
    return PaperRow(
        id=paper.id,
        kind=paper.kind,
        title=paper.title,
        original_name=paper.original_name,
        on_paper=paper.on_paper,
        filed_on=paper.filed_at.astimezone(zone).date(),
        rooms=rooms[paper.id],
        measures=measures[paper.id],
        used=used,
        is_photo=paper.kind is PaperKind.PHOTO,
        is_private=paper.is_private,
        is_missing=is_missing,
        ends_on=paper.ends_on,
    )


def _tests_of(uses: Iterable[Use | m.PaperUse]) -> set[int]:
    return {use.subject_id for use in uses if use.subject is PaperSubject.TEST}


def _paper(session: Session, paper_id: int) -> m.Paper:
    paper = session.get(m.Paper, paper_id)
    if paper is None:
        raise PaperGone("this paper is no longer filed", do="undo, or file it again")
    return paper


def _stands_on(session: Session, paper_id: int) -> list[str]:
    """What on record points to a paper, in words; its own facts and uses go with it."""
    own = {m.PaperFact.__tablename__, m.PaperUse.__tablename__}
    found = []
    for table in m.Base.metadata.sorted_tables:
        columns = [key.parent for key in table.foreign_keys if key.column.table.name == m.Paper.__tablename__]
        if table.name in own or not columns:
            continue
        if session.execute(
            select(table.c.id).where(or_(*(column == paper_id for column in columns)))
        ).first():
            found.append(table.name.replace("_", " "))
    return found
