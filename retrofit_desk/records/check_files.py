"""Holds the papers folder against the record: what is whole, gone, changed, or known to nobody."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records.models import Change, Paper
from retrofit_desk.values.quantity import count_text

if TYPE_CHECKING:
    from retrofit_desk.records.project import Project


@dataclass(frozen=True)
class CheckedPaper:
    """A filed paper by its record: id, title, and the name it came with."""

    paper_id: int
    title: str
    original_name: str
    sha256: str


@dataclass(frozen=True)
class FilesReport:
    """`unknown` are files in the folder that neither the record nor its history speaks of."""

    whole: int
    kept_for_history: int
    gone: tuple[CheckedPaper, ...]
    changed: tuple[CheckedPaper, ...]
    unknown: tuple[str, ...]

    @property
    def is_sound(self) -> bool:
        return not (self.gone or self.changed or self.unknown)

    def lines(self) -> list[str]:
        """The report in sentences."""
        told = [f"{count_text(self.whole, 'paper is', 'papers are')} whole."]
        if self.kept_for_history:
            kept = count_text(self.kept_for_history, "more is", "more are")
            told.append(f"{kept} kept for undo and for looking back.")
        told += [f"Gone from the papers folder: {one.title} ({one.original_name})." for one in self.gone]
        told += [f"Changed since it was filed: {one.title} ({one.original_name})." for one in self.changed]
        told += [f"Known to no record: papers/{name}." for name in self.unknown]
        return told


def check_files(project: Project) -> FilesReport:
    """Read every paper and compare it with its hash. Changes nothing."""
    with project.session() as session:
        papers = [CheckedPaper(*row) for row in session.execute(_PAPERS)]
        remembered = hashes_in_history(session)
    found = {one.sha256: project.papers.verify(one.sha256) for one in papers}
    in_folder = set(project.papers.all_hashes())
    return FilesReport(
        whole=sum(1 for state in found.values() if state),
        kept_for_history=len((remembered & in_folder) - found.keys()),
        gone=tuple(one for one in papers if found[one.sha256] is None),
        changed=tuple(one for one in papers if found[one.sha256] is False),
        unknown=tuple(sorted(in_folder - found.keys() - remembered)),
    )


def known_hashes(session: Session) -> set[str]:
    """Every hash that the record or its history speaks of."""
    return set(session.scalars(select(Paper.sha256))) | hashes_in_history(session)


def hashes_in_history(session: Session) -> set[str]:
    """Hashes of papers that the record once knew; undo or a day of the past may ask for them again."""
    rows = session.execute(select(Change.before, Change.after).where(Change.table == Paper.__tablename__))
    return {columns["sha256"] for row in rows for columns in row if columns}


_PAPERS = select(Paper.id, Paper.title, Paper.original_name, Paper.sha256).order_by(Paper.id)
