"""Packets: what each needs, making the PDF, filing it, and what was sent to whom."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.paperwork.contents import PacketKind, ReadinessLine
from retrofit_desk.paperwork.file_names import upload_name
from retrofit_desk.paperwork.kinds import PROFILES, profile_of
from retrofit_desk.paperwork.packet import PacketMade, PacketNotWritten, make_packet
from retrofit_desk.paperwork.readiness import counts
from retrofit_desk.records import models as m
from retrofit_desk.records.errors import OnlyForReading
from retrofit_desk.records.models.papers import PaperKind, PaperSubject
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import Tables, tables_of
from retrofit_desk.rules.matching import Readiness
from retrofit_desk.services.days import now_of, today_of, zone_of
from retrofit_desk.services.packet_aims import Aim, aim_of, aims_of
from retrofit_desk.services.packet_contents import Gathering, Worked, contents_of, readiness_lines
from retrofit_desk.services.packet_papers import filed_papers, papers_in
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.place import Place
from retrofit_desk.values.quantity import Units

Progress = Callable[[float, str], None]
FOLDER = "packets"
"""Folder inside the project for PDFs that are ready to be sent."""


class PacketGone(DeskError):
    """A made packet is asked for that is no longer recorded."""


class CopyFailed(DeskError):
    """A copy of a packet could not be put where it was asked for."""

    exit_code = 3


@dataclass(frozen=True)
class PacketSubject:
    """One thing a packet can be about: a claim, a loan, a visit. `id` None: the whole house."""

    id: int | None
    title: str
    reader: str
    due_on: date | None
    place: Place


@dataclass(frozen=True)
class PacketEntry:
    """One kind of packet with what it can be about, the most pressing first; none: nothing yet."""

    kind: PacketKind
    title: str
    subjects: tuple[PacketSubject, ...]
    nothing: str
    """Why there is nothing to make, and what to do; empty when there is."""


@dataclass(frozen=True)
class PacketState:
    """One packet as it would be made today. `ready`: how many lines carry each word."""

    kind: PacketKind
    subject: PacketSubject
    lines: tuple[ReadinessLine, ...]
    ready: dict[Readiness, int]

    @property
    def needs_owner(self) -> bool:
        return any(line.word is not Readiness.HAVE for line in self.lines)


@dataclass(frozen=True)
class MadePacket:
    """A finished packet: where it lies, and what it still lacks in words."""

    id: int
    path: Path
    pages: int
    sha256: str
    readiness_lines: tuple[str, ...]
    readiness_counts: dict[str, int]


@dataclass(frozen=True)
class SentRow:
    """A packet once made. `path` None: its filed PDF is gone."""

    id: int
    kind: PacketKind
    title: str
    made_at: datetime
    pages: int
    readiness: str
    sent_on: date | None
    to_whom: str
    how: str
    paper_id: int | None
    path: Path | None
    saved_as: Path | None
    """Its named copy in the project's folder of packets, while that is still the same."""


class PacketService:
    """What the window and the command line do with packets."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def kinds(self) -> tuple[PacketEntry, ...]:
        """Every kind of packet, in one fixed order."""
        with self._project.session() as session:
            return tuple(self._entry(session, kind) for kind in PROFILES)

    def readiness(self, kind: PacketKind | str, about: int | None = None) -> PacketState:
        """What the packet has and lacks. `about`: which claim, loan, request or visit.

        None: the most pressing one. Raises `NothingToPack`.
        """
        kind = PacketKind(kind)
        with self._project.session() as session:
            aim = aim_of(session, self._tables(), kind, about)
            lines = readiness_lines(self._gathering(session), aim)
            return PacketState(kind, _subject(aim), lines, counts(lines))

    def overview(self, chosen: Mapping[PacketKind, int | None] | None = None) -> tuple[PacketState, ...]:
        """The state of one packet of each kind there is anything for; `chosen` says which, by kind."""
        with self._project.session() as session:
            with_, tables, states = self._gathering(session), self._tables(), []
            for kind in PROFILES:
                aims = aims_of(session, tables, kind)
                wanted = chosen.get(kind) if chosen is not None else None
                aim = next((one for one in aims if one.id == wanted), aims[0] if aims else None)
                if aim is not None:
                    lines = readiness_lines(with_, aim)
                    states.append(PacketState(kind, _subject(aim), lines, counts(lines)))
            return tuple(states)

    def make(
        self,
        kind: PacketKind | str,
        out_path: Path | None = None,
        progress: Progress | None = None,
        *,
        about: int | None = None,
        units: Units | None = None,
    ) -> MadePacket:
        """Make the PDF, file it, and note that it was made; one undo step.

        `out_path`: where its copy goes; left out, into the project's folder of packets. Raises
        `NothingToPack`, `PacketNotWritten`, `OnlyForReading`.
        """
        kind = PacketKind(kind)
        title = profile_of(kind).title
        if self._project.is_read_only:
            raise OnlyForReading(f"Make {title}")
        tell = progress or (lambda _share, _what: None)
        tell(0.0, "gathering what the record says")
        with self._project.session() as session:
            aim = aim_of(session, self._tables(), kind, about)
            contents = contents_of(self._gathering(session, units), aim)
        target = out_path or self._named(aim, contents.cover.made_on)
        made = make_packet(contents, target, progress)
        row_id = self._file(aim, made, contents.cover.made_on)
        return MadePacket(
            id=row_id,
            path=made.path,
            pages=made.pages,
            sha256=made.sha256,
            readiness_lines=tuple(_in_words(line) for line in made.readiness if _is_open(line)),
            readiness_counts={word.value: count for word, count in counts(made.readiness).items()},
        )

    def sent(self) -> tuple[SentRow, ...]:
        """Every packet ever made, the newest first, sent or not."""
        with self._project.session() as session:
            rows = session.scalars(select(m.SentPacket).order_by(m.SentPacket.id.desc()))
            return tuple(self._sent_row(session, row) for row in rows)

    def record_sent(self, packet_id: int, to_whom: str, how: str, sent_on: date | None = None) -> None:
        """Note to whom a made packet went and how; today if no day is given. Raises `PacketGone`."""
        with self._project.action("Note a packet as sent") as work:
            row = work.session.get(m.SentPacket, packet_id)
            if row is None:
                raise PacketGone("this packet is no longer recorded", do="undo, or make it again")
            row.to_whom, row.how = to_whom.strip(), how.strip()
            row.sent_on = sent_on or today_of(work.session)

    def today(self) -> date:
        with self._project.session() as session:
            return today_of(session)

    def save_copy(self, packet_id: int, target: Path) -> None:
        """Put a copy where it is asked for. Raises `PacketGone`, `PaperLost`, `CopyFailed`."""
        with self._project.session() as session:
            row = session.get(m.SentPacket, packet_id)
            if row is None:
                raise PacketGone("this packet is no longer recorded", do="undo, or make it again")
            content = self._project.papers.read(row.sha256, row.title)
        try:
            target.write_bytes(content)
        except OSError as error:
            raise CopyFailed(
                f"the copy could not be written ({error.strerror or error})",
                where=str(target),
                kept="the packet itself is kept among the papers",
                do="choose a folder that can be written to and has room",
            ) from error

    def _entry(self, session: Session, kind: PacketKind) -> PacketEntry:
        aims = aims_of(session, self._tables(), kind)
        nothing = ""
        if not aims:
            try:
                aim_of(session, self._tables(), kind, None)
            except DeskError as error:
                told = error.line()
                nothing = f"{told[:1].upper()}{told[1:]}"
        return PacketEntry(kind, profile_of(kind).title, tuple(_subject(aim) for aim in aims), nothing)

    def _tables(self) -> Tables:
        return tables_of(self._project)

    def _gathering(self, session: Session, units: Units | None = None) -> Gathering:
        site = session.scalar(select(m.Site))
        recorded = Units.SI if site is not None and site.units is m.Units.SI else Units.US
        papers = papers_in(session)
        return Gathering(
            session=session,
            papers=papers,
            filed=filed_papers(session, papers),
            tables=self._tables(),
            store=self._project.papers,
            units=units or recorded,
            today=today_of(session),
            worked=self._worked(),
        )

    def _worked(self) -> Worked:
        # the estimator takes long to load, so only a packet that was asked for loads it
        from retrofit_desk.services.worth import WorthService
        from retrofit_desk.services.worth_years import WorthYearsService

        worth = WorthService(self._project)
        latest = worth.latest()
        if latest is None:
            return Worked()
        return Worked(latest, worth.is_out_of_date(), WorthYearsService(self._project).of(latest))

    def _named(self, aim: Aim, made_on: date) -> Path:
        folder = self._project.path / FOLDER
        try:
            folder.mkdir(exist_ok=True)
        except OSError as error:
            raise PacketNotWritten.of(folder, error) from error
        return folder / upload_name(f"{profile_of(aim.kind).title} {made_on:%Y-%m-%d} {aim.short}", ".pdf")

    def _file(self, aim: Aim, made: PacketMade, made_on: date) -> int:
        title = f"{profile_of(aim.kind).title}, {aim.title}"
        known = self._known(made.sha256)
        if known is not None:
            return known
        with self._project.action(f"Make {title}") as work:
            filed = work.file(made.path)
            paper = m.Paper(
                kind=PaperKind.PACKET,
                title=title,
                original_name=made.path.name,
                sha256=filed.sha256,
                size_bytes=filed.size_bytes,
                media_type=filed.media_type,
                on_paper=made_on,
                filed_at=now_of(work.session),
                pages=made.pages,
                is_private=True,
                uses=[m.PaperUse(subject=subject, subject_id=row_id) for subject, row_id in _serves(aim)],
            )
            work.session.add(paper)
            work.session.flush()
            row = m.SentPacket(
                kind=str(aim.kind),
                title=title,
                made_at=now_of(work.session),
                to_whom=aim.reader.organization or aim.reader.name,
                paper_id=paper.id,
                sha256=made.sha256,
                pages=made.pages,
                readiness="\n".join(_in_words(line) for line in made.readiness if _is_open(line)),
            )
            work.session.add(row)
            work.session.flush()
            return row.id

    def _known(self, sha256: str) -> int | None:
        """The record of exactly this packet, made before from an unchanged record."""
        with self._project.session() as session:
            query = select(m.SentPacket).where(
                m.SentPacket.sha256 == sha256, m.SentPacket.paper_id.is_not(None)
            )
            row = session.scalars(query.order_by(m.SentPacket.id.desc())).first()
            return None if row is None else row.id

    def _sent_row(self, session: Session, row: m.SentPacket) -> SentRow:
        paper = session.get(m.Paper, row.paper_id) if row.paper_id else None
        filed = self._project.papers.path(row.sha256)
        named = self._project.path / FOLDER / paper.original_name if paper is not None else None
        return SentRow(
            id=row.id,
            kind=PacketKind(row.kind),
            title=row.title,
            made_at=row.made_at.astimezone(zone_of(session)),
            pages=row.pages,
            readiness=row.readiness,
            sent_on=row.sent_on,
            to_whom=row.to_whom,
            how=row.how,
            paper_id=row.paper_id,
            path=filed if filed.is_file() else None,
            saved_as=named if named is not None and _same_size(named, filed) else None,
        )


def _same_size(one: Path, other: Path) -> bool:
    return one.is_file() and other.is_file() and one.stat().st_size == other.stat().st_size


def _subject(aim: Aim) -> PacketSubject:
    reader = aim.reader.organization or aim.reader.name
    return PacketSubject(aim.id, aim.title, reader, aim.due_on, aim.place)


_SERVES = {
    PacketKind.REBATE: PaperSubject.PROGRAMME,
    PacketKind.LENDER: PaperSubject.LOAN,
    PacketKind.INSPECTOR: PaperSubject.INSPECTION,
}


def _serves(aim: Aim) -> list[tuple[PaperSubject, int]]:
    """The claim, loan or visit; a request for quotes serves its measure."""
    if aim.kind in _SERVES and aim.id is not None:
        return [(_SERVES[aim.kind], aim.id)]
    if aim.kind is PacketKind.CONTRACTOR:
        return [(PaperSubject.MEASURE, measure_id) for measure_id in aim.measure_ids]
    return []


def _is_open(line: ReadinessLine) -> bool:
    return line.word is not Readiness.HAVE


def _in_words(line: ReadinessLine) -> str:
    return f"{line.word}: {line.need}" + (f" ({line.found})" if line.found else "")
