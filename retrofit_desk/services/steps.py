"""Steps of the schedule: begin, finish, agree a day, ask again, add one more."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.tasks import TaskKind, TaskState
from retrofit_desk.records.project import Project
from retrofit_desk.rules.schedule import plan
from retrofit_desk.services.dated_steps import steps_of, tasks_in
from retrofit_desk.services.days import today_of
from retrofit_desk.services.holds import pass_hold
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.errors import DeskError

NOTHING = "nothing was changed"
KINDS = tuple(TaskKind)


class StepUnclear(DeskError):
    """A step that cannot be recorded as it stands."""


@dataclass(frozen=True)
class WrittenStep:
    """A step as the owner writes it. `days`: working days (calendar days for a wait); `after`: step ids.

    `days_low`, `days_high`: the range of a wait. `hold_id`: what keeps the step shut.
    """

    title: str
    kind: TaskKind
    days: float
    measure_id: int | None = None
    after: tuple[int, ...] = ()
    firm_id: int | None = None
    with_whom: str = ""
    must_end_by: date | None = None
    days_low: float | None = None
    days_high: float | None = None
    hold_id: int | None = None


class StepService:
    """Every change is one step that undo takes back."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def today(self) -> date:
        with self._project.session() as session:
            return today_of(session)

    def begin(self, task_id: int, *, reason: str = "") -> None:
        """It has begun today; a wait is with others since today.

        Raises `NotYet` for work that a hold keeps shut when no reason is given: what has begun is not undone.
        """
        with self._project.action("Begin a step") as work:
            row, today = _task(work.session, task_id), today_of(work.session)
            if row.kind is TaskKind.WORK and row.hold_id is not None:
                pass_hold(work.session, row.hold_id, today, reason=reason, by="owner")
            row.state, row.started_on = TaskState.STARTED, today
            if row.kind is TaskKind.WAIT and row.since is None:
                row.since = today

    def finish(self, task_id: int, *, reason: str = "") -> None:
        """It is done. Raises `NotYet` when a hold keeps it shut and no reason is given."""
        with self._project.action("Finish a step") as work:
            row, today = _task(work.session, task_id), today_of(work.session)
            if row.inspection_id is not None:
                raise StepUnclear(
                    "a visit is finished by its result",
                    where=row.title,
                    kept=NOTHING,
                    do="record it on Permits",
                )
            if row.hold_id is not None:
                pass_hold(work.session, row.hold_id, today, reason=reason, by="owner")
            row.state, row.done_on = TaskState.DONE, today
            row.started_on = row.started_on or today

    def agree_day(self, task_id: int, day: date | None) -> None:
        """The day agreed with whoever does it; none when there is no day any more."""
        with self._project.action("Agree a day") as work:
            row, today = _task(work.session, task_id), today_of(work.session)
            if day is not None and day < today:
                raise StepUnclear(
                    f"{day_text(day)} is past", where=row.title, kept=NOTHING, do="check the day"
                )
            row.planned_on, row.is_confirmed = day, day is not None

    def note_contact(self, task_id: int, said: str, ask_again_on: date | None) -> None:
        """What they said today, and when to ask again."""
        if not said.strip():
            raise StepUnclear("say in a few words what they answered", kept=NOTHING)
        with self._project.action("Note an answer") as work:
            row, today = _task(work.session, task_id), today_of(work.session)
            row.contacts.append(m.TaskContact(on=today, with_whom=row.with_whom, said=said.strip()))
            row.ask_again_on = ask_again_on

    def expect(self, task_id: int, day: date) -> None:
        """A wait is said to end on that day. Raises `StepUnclear` for a day past, or no wait under way."""
        with self._project.action("Note a new day") as work:
            row, today = _task(work.session, task_id), today_of(work.session)
            if row.kind is not TaskKind.WAIT or row.started_on is None or row.state is not TaskState.STARTED:
                raise StepUnclear("this is no wait under way", where=row.title, kept=NOTHING)
            if day < today:
                raise StepUnclear(
                    f"{day_text(day)} is past", where=row.title, kept=NOTHING, do="check the day"
                )
            row.days = float((day - row.started_on).days)
            row.days_low = None if row.days_low is None else min(row.days_low, row.days)
            row.days_high = None if row.days_high is None else max(row.days_high, row.days)

    def add(self, written: WrittenStep) -> int:
        """One more step. Raises `StepUnclear`."""
        if not written.title.strip():
            raise StepUnclear("a step needs a title", do="say what is to be done")
        low, high = written.days_low, written.days_high
        if not (low is None or low <= written.days) or not (high is None or written.days <= high):
            raise StepUnclear(
                "the likely days lie outside their range", where=written.title, do="check the three numbers"
            )
        if written.days < 0 or (low is not None and low < 0):
            raise StepUnclear("a step cannot take less than no time", where=written.title, do="type the days")
        with self._project.action(f"Add {written.title.strip()}") as work:
            session = work.session
            taken = {row.key for row in session.scalars(select(m.Task))}
            stem = "-".join(written.title.casefold().split())[:40]
            row = m.Task(
                key=next(name for number in range(1, 1000) if (name := f"{stem}-{number}") not in taken),
                title=written.title.strip(),
                kind=written.kind,
                days=written.days,
                measure_id=written.measure_id,
                firm_id=written.firm_id,
                with_whom=written.with_whom.strip(),
                must_end_by=written.must_end_by,
                days_low=low,
                days_high=high,
                hold_id=written.hold_id,
            )
            session.add(row)
            session.flush()
            session.add_all(m.TaskLink(before_id=before, after_id=row.id) for before in written.after)
            session.flush()
            return row.id

    def wait_for(self, task_id: int, before_id: int) -> None:
        """One step must wait for another to end. Raises `CircularPlan`."""
        with self._project.action("Let a step wait") as work:
            session = work.session
            row, before = _task(session, task_id), _task(session, before_id)
            if all(link.before_id != before.id for link in row.before_this):
                session.add(m.TaskLink(before_id=before.id, after_id=row.id))
                session.flush()
                session.refresh(row, ["before_this"])
            plan(steps_of(session, tasks_in(session)), today_of(session))


def _task(session: Session, task_id: int) -> m.Task:
    row = session.get(m.Task, task_id)
    if row is None:
        raise StepUnclear("this step is no longer recorded", do="undo, or look at the list again")
    return row
