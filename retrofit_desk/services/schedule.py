"""The schedule: the steps in dates, pressed by the days on which the house would be without heat."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from sqlalchemy.orm import Session

from retrofit_desk.records.project import Project
from retrofit_desk.rules import schedule as rules
from retrofit_desk.rules.schedule import Step
from retrofit_desk.services.dated_steps import ScheduleView, dated_steps, steps_of, tasks_in
from retrofit_desk.services.days import today_of
from retrofit_desk.services.heat_sources import GapEnd, gap_ends, gaps_by_plan
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
    """What moves when one step takes longer, and the new end.

    `gaps`: days without heat or hot water that the plan would then have, in one sentence each.
    `days_before`, `days_after`: how many such days there are as planned, and then.
    """

    moved: tuple[MovedStep, ...]
    ends_on: date | None
    ends_later_by: int
    gaps: tuple[str, ...]
    days_before: int
    days_after: int


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
            today = today_of(session)
            holds = holds_in(session, today)
            before = dated_steps(session, today, holds)
            after = dated_steps(session, today, holds, {task_id: days})
            was = {one.id: one.start for one in before.steps}
            gaps = [
                [gap for gap, _machines in gaps_by_plan(self._project, session, view)]
                for view in (before, after)
            ]
            ends = (before.ends_on, after.ends_on)
            return Slip(
                moved=tuple(
                    MovedStep(one.title, was[one.id], one.start)
                    for one in after.steps
                    if one.start != was[one.id]
                ),
                ends_on=after.ends_on,
                ends_later_by=(ends[1] - ends[0]).days if ends[0] and ends[1] else 0,
                gaps=tuple(gap.sentence for gap in gaps[1]),
                days_before=sum(gap.span.days for gap in gaps[0]),
                days_after=sum(gap.span.days for gap in gaps[1]),
            )


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
