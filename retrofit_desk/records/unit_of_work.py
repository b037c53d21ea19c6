"""One unit of work, and the reading session that refuses to write."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

from sqlalchemy import event
from sqlalchemy.orm import Session
from sqlalchemy.orm.unitofwork import UOWTransaction

from retrofit_desk.records.papers_store import FiledContent, PapersStore


@dataclass
class Work:
    """One unit of work in progress: its session, and the papers it files."""

    session: Session
    papers: PapersStore
    _filed: list[str] = field(default_factory=list)

    def file(self, source: Path) -> FiledContent:
        """File a paper's bytes; they go again if the action fails. Raises as `PapersStore.put_file`."""
        return self._keep(self.papers.put_file(source))

    def file_bytes(self, content: bytes, name: str) -> FiledContent:
        """File bytes the program made (a packet, a generated sheet)."""
        return self._keep(self.papers.put_bytes(content, name))

    def keep_papers(self) -> None:
        """The action is kept, and so are its papers, whatever comes now."""
        kept, self._filed = self._filed, []
        with suppress(OSError):  # a mark that stays is swept at the next opening
            for sha256 in kept:
                self.papers.settle(sha256)

    def take_back_papers(self) -> None:
        """The action failed: leave no file behind that was not there before."""
        for sha256 in self._filed:
            self.papers.discard(sha256)

    def _keep(self, content: FiledContent) -> FiledContent:
        if content.is_new:
            self._filed.append(content.sha256)
        return content


class ReadingSession(Session):
    """Refuses to write anything."""


@event.listens_for(ReadingSession, "before_flush")
def _refuse_writing(session: Session, context: UOWTransaction, instances: object) -> None:
    if session.new or session.dirty or session.deleted:
        raise RuntimeError("this session only reads; write with Project.action()")
