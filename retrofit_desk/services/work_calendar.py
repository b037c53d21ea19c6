"""Booked visits, agreed days and what runs out, as a calendar file that updates instead of doubling."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from hashlib import sha256
from pathlib import Path

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from retrofit_desk.exchange.calendar_file import CalendarDate, read_calendar, write_calendar
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import Tables, tables_in
from retrofit_desk.rules.permits import InspectionResult
from retrofit_desk.services.dated_steps import dated_steps
from retrofit_desk.services.days import today_of
from retrofit_desk.services.endings import endings_in
from retrofit_desk.services.holds import holds_in
from retrofit_desk.values.dates import day_text

OURS = "@retrofit-desk"
_OF_SOME_PROJECT = re.compile(rf"-[0-9a-f]{{12}}{OURS}$")


class WorkCalendarService:
    """Each entry keeps its name for ever; its revision grows with the history of the project."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def write(self, path: Path) -> int:
        """Write the file; returns how many dates still stand in it.

        Where a file of an earlier day lies there, what stood in it and stands no more is called off in it.
        """
        entries = self.entries()
        with self._project.session() as session:
            mine = _mine(session)
        before = {one.uid: one for one in read_calendar(path) if _is_of(one.uid, mine)}
        newest = max((one.revision for one in before.values()), default=0)
        if entries and newest > entries[0].revision:  # a backup was put back: its history is shorter
            entries = tuple(replace(one, revision=newest + 1) for one in entries)
        write_calendar(path, (*entries, *self._gone(before, entries)), self._project.now())
        return sum(not one.is_called_off for one in entries)

    def _gone(
        self, before: Mapping[str, CalendarDate], entries: Sequence[CalendarDate]
    ) -> Iterator[CalendarDate]:
        """What a calendar may still hold of days to come, though nothing on record stands for it."""
        with self._project.session() as session:
            today, revision = today_of(session), _revision(session)
        known = {one.uid for one in entries}
        for uid, one in before.items():
            if uid not in known and one.last_day >= today:
                newer = one.revision if one.is_called_off else max(revision, one.revision + 1)
                yield replace(one, is_called_off=True, revision=newer)

    def entries(self) -> tuple[CalendarDate, ...]:
        """Visits booked (and those called off since), agreed days of work, days to ask again, ends."""
        with self._project.session() as session:
            today = today_of(session)
            tables = tables_in(session)
            revision, mine = _revision(session), _mine(session)
            found = (
                *_visits(session, revision),
                *_steps(session, today, revision),
                *_ends(session, tables, today, revision),
            )
            return tuple(replace(one, uid=f"{one.uid}{mine}") for one in found)


def _revision(session: Session) -> int:
    """A planned day follows from many rows, so the revision is that of the whole record."""
    return session.scalar(select(func.count()).select_from(m.Action)) or 0


def _mine(session: Session) -> str:
    """The end of every name that this project gives out: two projects may meet in one calendar.

    Told from its first action, which neither undo nor upgrade changes, so that it needs no place of its own.
    """
    first = session.scalar(select(m.Action).order_by(m.Action.id).limit(1))
    told = f"{first.at.isoformat()} {first.title}" if first is not None else ""
    return f"-{sha256(told.encode()).hexdigest()[:12]}{OURS}"


def _is_of(uid: str, mine: str) -> bool:
    """Of this project, or of the time before names told their project."""
    return uid.endswith(mine) or (uid.endswith(OURS) and _OF_SOME_PROJECT.search(uid) is None)


def _visits(session: Session, revision: int) -> Iterator[CalendarDate]:
    for row in session.scalars(select(m.Inspection).order_by(m.Inspection.id)):
        uid = f"visit-{row.id}-{row.permit.key}"
        title = f"{row.title}, {row.permit.title}"
        if row.booked_for is not None and row.result is InspectionResult.BOOKED:
            number = f"booking {row.booking_number}" if row.booking_number else ""
            note = ", ".join(part for part in (row.booked_window, number) if part)
            yield CalendarDate(uid, title, row.booked_for, row.booked_for, revision, note)
        elif (day := _once_booked(session, row)) is not None:
            yield CalendarDate(uid, title, day, day, revision, is_called_off=True)


def _once_booked(session: Session, row: m.Inspection) -> date | None:
    """The day a visit was booked for before it was called off: a calendar may still hold it."""
    if row.result not in (InspectionResult.NOT_BOOKED, InspectionResult.CANCELLED):
        return None
    changes = session.scalars(
        select(m.Change).where(m.Change.table == "inspection", m.Change.row_id == row.id)
    ).all()
    days = [
        change.before["booked_for"] for change in changes if change.before and change.before["booked_for"]
    ]
    return date.fromisoformat(str(days[-1])) if days else None


def _steps(session: Session, today: date, revision: int) -> Iterator[CalendarDate]:
    """Agreed days of work with their planned length, and days on which to ask again."""
    keys = {row.id: row.key for row in session.scalars(select(m.Task))}
    for step in dated_steps(session, today, holds_in(session, today)).open_steps:
        if step.agreed_on is not None and step.inspection_id is None:
            first = min(step.start, step.last_day)
            uid = f"step-{step.id}-{keys[step.id]}"
            yield CalendarDate(uid, step.title, first, step.last_day, revision, step.measure)
        if step.is_wait and step.is_started and step.ask_again_on is not None:
            uid = f"ask-{step.id}-{keys[step.id]}"
            day = step.ask_again_on
            yield CalendarDate(uid, f"Ask {step.with_whom}: {step.title}", day, day, revision, step.measure)


def _ends(session: Session, tables: Tables, today: date, revision: int) -> Iterator[CalendarDate]:
    for line in endings_in(session, tables, today):
        ending = line.seen.ending
        kind, _, row_id = ending.key.partition(":")
        uid = f"ends-{kind}-{row_id}"
        title, day = f"Runs out: {ending.what}", ending.ends_on
        yield CalendarDate(uid, title, day, day, revision, f"{day_text(day)}. {ending.means}".strip())
