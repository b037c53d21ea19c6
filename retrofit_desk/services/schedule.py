"""The schedule: the steps in dates, pressed by the days on which the house would be without heat."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from sqlalchemy.orm import Session

from retrofit_desk.records.project import Project
from retrofit_desk.rules import schedule as rules
from retrofit_desk.rules.schedule import Plan, Step
from retrofit_desk.services.dated_steps import ScheduleView, dated_steps, steps_of, tasks_in
from retrofit_desk.services.days import today_of
from retrofit_desk.services.heat_sources import GapEnd, gap_ends
from retrofit_desk.services.holds import HoldView, holds_in
from retrofit_desk.services.work_days import calendar_in


@dataclass(frozen=True)
class MovedStep:
    """A step that begins on another day."""

    title: str
    before: date
    after: date

    @property
    def days(self) -> int:
        return (self.after - self.before).days


@dataclass(frozen=True)
class Slip:
    """What moves when one step takes longer, and the new end."""

    moved: tuple[MovedStep, ...]
    ends_on: date | None
    ends_later_by: int


class ScheduleService:
    """Reads the plan; the steps themselves are changed by `StepService`."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def view(self) -> ScheduleView:
        """Raises `CircularPlan` when steps wait for each other."""
        with self._project.session() as session:
            today = today_of(session)
            return schedule_in(self._project, session, today, holds_in(session, today))

    def slip(self, task_id: int, days: int) -> Slip:
        """What `days` more for one step would do; nothing is changed."""
        with self._project.session() as session:
            today, tasks = today_of(session), tasks_in(session)
            steps, calendar = steps_of(session, tasks), calendar_in(session)
            key = next(task.key for task in tasks if task.id == task_id)
            later = tuple(_longer(step, days) if step.key == key else step for step in steps)
            before, after = rules.plan(steps, today, calendar), rules.plan(later, today, calendar)
            titles = {task.key: task.title for task in tasks}
            starts = [{one.step.key: one.start for one in found.steps} for found in (before, after)]
            moved = tuple(
                MovedStep(titles[key], starts[0][key], starts[1][key])
                for key, _days in rules.moved(before, after)
            )
            ends = (before.ends_on, after.ends_on)
            return Slip(moved, _last_day(after), (ends[1] - ends[0]).days if ends[0] and ends[1] else 0)


def schedule_in(project: Project, session: Session, today: date, holds: Sequence[HoldView]) -> ScheduleView:
    """The plan in the state of this session. A gap of heat or hot water takes days to spare.

    Raises `CircularPlan`.
    """
    view = dated_steps(session, today, holds)
    ends = gap_ends(project, session, view)
    return _pressed(session, view, ends) if ends else view


def _pressed(session: Session, view: ScheduleView, ends: Mapping[int, GapEnd]) -> ScheduleView:
    """Days to spare as they are when the steps that end a gap must end before it begins."""
    tasks = tasks_in(session)
    ids = {task.key: task.id for task in tasks}
    steps = [_ends_by(step, ends.get(ids[step.key])) for step in steps_of(session, tasks)]
    plan = rules.plan(steps, view.today, calendar_in(session))
    pressed = {ids[one.step.key]: one for one in plan.steps}
    first = min(ends.values(), key=lambda one: one.must_end_by)
    rows = []
    for row in view.steps:
        one = pressed[row.id]
        if row.is_done or (row.id not in ends and one.days_to_spare >= row.days_to_spare):
            rows.append(row)
            continue
        why = ends[row.id].why if row.id in ends else first.why_before
        rows.append(
            replace(
                row,
                start_by=one.start_by,
                days_to_spare=one.days_to_spare,
                is_critical=one.is_critical,
                presses=why,
            )
        )
    return replace(view, steps=tuple(rows))


def _ends_by(step: Step, end: GapEnd | None) -> Step:
    if end is None:
        return step
    known = step.must_end_by
    return replace(step, must_end_by=end.must_end_by if known is None else min(known, end.must_end_by))


def _longer(step: Step, days: int) -> Step:
    return replace(step, days=step.days + days)


def _last_day(plan: Plan) -> date | None:
    return None if plan.ends_on is None else plan.ends_on - timedelta(days=1)
