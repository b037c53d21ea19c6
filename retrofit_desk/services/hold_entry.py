"""A hold in the owner's own words: what must not be done, and until when."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.records.models.holds import HoldSubject
from retrofit_desk.records.project import Project
from retrofit_desk.rules.holds import HoldAction, NeedKind
from retrofit_desk.services.days import today_of
from retrofit_desk.values.errors import DeskError

__all__ = ["OWN_NEEDS", "HoldAction", "HoldEntryService", "NeedKind", "WrittenHold"]

OWN_NEEDS = (NeedKind.PAPER, NeedKind.PHOTO_SET, NeedKind.TEST, NeedKind.INSPECTION, NeedKind.OTHER)
"""What the owner can ask for; each is answered by a paper filed for it."""


class HoldUnclear(DeskError):
    """A hold that cannot be recorded as it stands."""


@dataclass(frozen=True)
class WrittenHold:
    """Don't `action` `what` until `until`; `not_before`: not before that day either."""

    measure_id: int
    action: HoldAction
    what: str
    until: str
    kind: NeedKind = NeedKind.PAPER
    count: int = 1
    not_before: date | None = None
    with_whom: str = ""
    because: str = ""


class HoldEntryService:
    """Writing a hold is one undo step."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def today(self) -> date:
        with self._project.session() as session:
            return today_of(session)

    def write(self, told: WrittenHold) -> int:
        """Raises `HoldUnclear` without what it protects or what it waits for."""
        what, until = told.what.strip(), told.until.strip()
        if not what or not until:
            raise HoldUnclear("a hold says what must wait, and until when", do="fill in both")
        with self._project.action(f"Write a hold: {told.action} {what}") as work:
            session = work.session
            taken = set(session.scalars(select(m.Hold.key)))
            stem = f"own-{told.action}-{told.measure_id}"
            row = m.Hold(
                key=next(key for number in range(1, 10_000) if (key := f"{stem}-{number}") not in taken),
                action=told.action,
                what=what,
                subject=HoldSubject.MEASURE,
                subject_id=told.measure_id,
                measure_id=told.measure_id,
                because=told.because.strip(),
                source="owner",
                made_on=today_of(session),
                needs=[
                    m.HoldNeed(
                        kind=told.kind,
                        text=until,
                        count=told.count,
                        not_before=told.not_before,
                        with_whom=told.with_whom.strip(),
                    )
                ],
            )
            session.add(row)
            session.flush()
            return row.id
