"""Recorded steps in dates: what may not slip, two weeks ahead, firms wanted twice."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil
from typing import NamedTuple

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.columns import all_as_tuples
from retrofit_desk.records.models.tasks import TaskKind, TaskState
from retrofit_desk.rules import schedule as rules
from retrofit_desk.rules.double_booking import double_bookings
from retrofit_desk.rules.schedule import After, Pace, Plan, PlannedStep, Step, StepKind
from retrofit_desk.services.booking import earliest_visits
from retrofit_desk.services.holds import HoldView
from retrofit_desk.services.work_days import calendar_in
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.place import PageKey, Place

LOOK_AHEAD_DAYS = 14


class TaskRow(NamedTuple):
    """The columns of `m.Task` that the plan needs."""

    id: int
    key: str
    title: str
    kind: TaskKind
    state: TaskState
    measure_id: int | None
    inspection_id: int | None
    hold_id: int | None
    firm_id: int | None
    days: float
    days_low: float | None
    days_high: float | None
    not_before: date | None
    must_end_by: date | None
    planned_on: date | None
    is_confirmed: bool
    started_on: date | None
    done_on: date | None
    with_whom: str
    since: date | None
    ask_again_on: date | None
    notes: str


@dataclass(frozen=True)
class StepRow:
    """One step in dates. `waits_for`, `waits_for_ids`: open steps before it; `hold`: what keeps it shut."""

    id: int
    title: str
    kind: TaskKind
    measure_id: int | None
    measure: str
    firm: str
    start: date
    last_day: date
    start_by: date
    days_to_spare: int
    slipped_days: int
    is_critical: bool
    is_done: bool
    is_started: bool
    agreed_on: date | None
    is_confirmed: bool
    not_before: date | None
    must_end_by: date | None
    days: float
    days_low: float | None
    days_high: float | None
    with_whom: str
    since: date | None
    ask_again_on: date | None
    waits_for: tuple[str, ...]
    waits_for_ids: tuple[int, ...]
    hold: HoldView | None
    inspection_id: int | None
    notes: str
    backups: tuple[str, ...] = ()
    """Firms of the same trade that would step in."""
    presses: str = ""
    """Why it must end sooner than the steps alone say."""

    @property
    def place(self) -> Place:
        return Place(PageKey.MEASURES, "task", self.id)

    @property
    def is_wait(self) -> bool:
        return self.kind is TaskKind.WAIT


@dataclass(frozen=True)
class ScheduleView:
    """The whole plan as of today; ends also when every wait goes quickly, or slowly."""

    today: date
    steps: tuple[StepRow, ...]
    ends_on: date | None
    ends_if_quick: date | None
    ends_if_slow: date | None
    double_booked: tuple[str, ...]

    @property
    def open_steps(self) -> tuple[StepRow, ...]:
        return tuple(one for one in self.steps if not one.is_done)

    @property
    def critical(self) -> tuple[StepRow, ...]:
        """The critical path, in order."""
        return tuple(one for one in self.steps if one.is_critical)

    @property
    def look_ahead(self) -> tuple[StepRow, ...]:
        """What happens within two weeks, by day."""
        until = self.today + timedelta(days=LOOK_AHEAD_DAYS)
        near = [one for one in self.open_steps if one.start <= until and not one.is_wait]
        return tuple(sorted(near, key=lambda one: (one.start, one.days_to_spare)))


def dated_steps(
    session: Session, today: date, holds: Sequence[HoldView], longer: Mapping[int, int] | None = None
) -> ScheduleView:
    """The plan in the state of this session, by what is recorded of its steps alone.

    `longer`: days that steps would take more than recorded, by their ids. Raises `CircularPlan`.
    """
    more = longer or {}
    tasks = [task._replace(days=task.days + more.get(task.id, 0)) for task in tasks_in(session)]
    days = calendar_in(session)
    plan = rules.plan(steps_of(session, tasks), today, days)
    ends = {pace: rules.last_day_at(plan, today, pace, days) for pace in (Pace.SHORT, Pace.LONG)}
    by_key = {task.key: task for task in tasks}
    rows = _rows(session, plan, by_key, holds)
    firms = {row.id: row.name for row in session.scalars(select(m.Firm))}
    twice = double_bookings(
        plan.steps, {task.key: firms[task.firm_id] for task in tasks if task.firm_id is not None}
    )
    return ScheduleView(
        today=today,
        steps=rows,
        ends_on=plan.last_day,
        ends_if_quick=ends[Pace.SHORT],
        ends_if_slow=ends[Pace.LONG],
        double_booked=tuple(
            f"{one.firm} is planned twice from {day_text(one.on)}: "
            f"{one.first.step.title}; {one.second.step.title}."
            for one in twice
        ),
    )


def tasks_in(session: Session) -> list[TaskRow]:
    """Every step that is not dropped."""
    rows = all_as_tuples(session, TaskRow, m.Task, m.Task.id)
    return [row for row in rows if row.state is not TaskState.DROPPED]


def steps_of(session: Session, tasks: Sequence[TaskRow]) -> tuple[Step, ...]:
    """The recorded steps as the rules plan them; links to dropped steps fall away."""
    keys = {task.id: task.key for task in tasks}
    offices = earliest_visits(session)
    needs: defaultdict[int, list[After]] = defaultdict(list)
    columns = select(m.TaskLink.before_id, m.TaskLink.after_id, m.TaskLink.lag_days)
    for before_id, after_id, lag_days in session.execute(columns.order_by(m.TaskLink.id)):
        if before_id in keys:
            needs[after_id].append(After(keys[before_id], ceil(lag_days)))
    return tuple(
        Step(
            key=task.key,
            title=task.title,
            kind=StepKind(task.kind.value),
            days=task.days,
            days_low=task.days_low,
            days_high=task.days_high,
            after=tuple(needs[task.id]),
            not_before=_not_before(task, offices),
            must_end_by=task.must_end_by,
            agreed_on=task.planned_on,
            started_on=task.started_on if task.state is not TaskState.OPEN else None,
            done_on=task.done_on if task.state is TaskState.DONE else None,
        )
        for task in tasks
    )


def _not_before(task: TaskRow, offices: Mapping[int, date]) -> date | None:
    """Its own day, and for a visit not booked yet the first day on which its office can come."""
    days = [task.not_before, offices.get(task.inspection_id or 0)]
    return max((day for day in days if day is not None), default=None)


def _rows(
    session: Session, plan: Plan, by_key: dict[str, TaskRow], holds: Sequence[HoldView]
) -> tuple[StepRow, ...]:
    measures = {key: title for key, title in session.execute(select(m.Measure.id, m.Measure.title))}
    firms = {row.id: row for row in session.scalars(select(m.Firm))}
    by_hold = {view.id: view for view in holds}
    done = {one.step.key for one in plan.steps if one.step.done_on is not None}
    return tuple(
        _row(one, by_key[one.step.key], by_key, done, measures, firms, by_hold) for one in plan.steps
    )


def _row(
    one: PlannedStep,
    task: TaskRow,
    by_key: dict[str, TaskRow],
    done: set[str],
    measures: dict[int, str],
    firms: dict[int, m.Firm],
    holds: dict[int, HoldView],
) -> StepRow:
    hold = holds.get(task.hold_id or 0)
    waits_for = [by_key[need.key] for need in one.step.after if need.key not in done]
    return StepRow(
        id=task.id,
        title=task.title,
        kind=task.kind,
        measure_id=task.measure_id,
        measure=measures.get(task.measure_id or 0, ""),
        firm=firms[task.firm_id].name if task.firm_id in firms else "",
        start=one.first_day,
        last_day=one.last_day,
        start_by=one.start_by,
        days_to_spare=one.days_to_spare,
        slipped_days=one.slipped_days,
        is_critical=one.is_critical,
        is_done=one.step.done_on is not None,
        is_started=one.step.started_on is not None,
        agreed_on=task.planned_on,
        is_confirmed=task.is_confirmed,
        not_before=task.not_before,
        must_end_by=task.must_end_by,
        days=task.days,
        days_low=task.days_low,
        days_high=task.days_high,
        with_whom=task.with_whom,
        since=task.since,
        ask_again_on=task.ask_again_on,
        waits_for=tuple(before.title for before in waits_for),
        waits_for_ids=tuple(before.id for before in waits_for),
        hold=hold if hold is not None and not hold.is_done else None,
        inspection_id=task.inspection_id,
        notes=task.notes,
        backups=_backups(task.firm_id, firms),
    )


def _backups(firm_id: int | None, firms: dict[int, m.Firm]) -> tuple[str, ...]:
    """Same trade, or the same words in it: "heating and cooling" stands in for "heating"."""
    firm = firms.get(firm_id or 0)
    if firm is None or not firm.trade:
        return ()
    words = set(firm.trade.casefold().split()) - {"and"}
    return tuple(
        one.name
        for one in firms.values()
        if one.is_backup and one.id != firm.id and words & set(one.trade.casefold().split())
    )
