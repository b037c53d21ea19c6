"""Steps of the usual order: what a measure usually brings, with waits in ranges and what comes first."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.tasks import TaskKind, TaskState
from retrofit_desk.records.project import Project
from retrofit_desk.records.table_rows import StepOrder, StepTemplate
from retrofit_desk.records.tables import Tables, tables_of
from retrofit_desk.rules.holds import HoldAction
from retrofit_desk.rules.schedule import Step, StepKind, only_steps, plan
from retrofit_desk.services.dated_steps import steps_of, tasks_in
from retrofit_desk.services.days import today_of
from retrofit_desk.services.measures import MeasureGone
from retrofit_desk.services.signing import programmes_chosen
from retrofit_desk.services.usual_holds import take_usual
from retrofit_desk.values.errors import DeskError

FOR_THE_HOUSE = frozenset({"hazard_survey"})
"""Steps done once, whatever the measures."""
OF_SIGNING, OF_PERMITS = frozenset({"sign"}), frozenset({"permits", "finals"})
ALWAYS_FIRST = frozenset({"hazard_survey"})


class NothingToPlan(DeskError):
    """No step was chosen, or everything chosen is planned already."""


@dataclass(frozen=True)
class OfferedStep:
    """A step of the usual order. `is_usual`: it belongs to this measure as it stands on record."""

    key: str
    title: str
    kind: TaskKind
    days: float
    days_low: float | None
    days_high: float | None
    after: tuple[str, ...]
    """Titles of what comes before it."""
    is_usual: bool
    is_planned: bool


class StepPlanService:
    """Copies steps of the usual order into the plan; the owner's own changes stay his."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def offered(self, measure_id: int) -> tuple[OfferedStep, ...]:
        """Every step that can belong to the measure, in the usual order. Raises `MeasureGone`."""
        templates = self._tables.step_templates
        with self._project.session() as session:
            measure = _measure(session, measure_id)
            planned = _planned(session, measure)
            usual = _usual(session, measure, templates)
            titles = {one.step.key: one.step.title for one in templates}
            return tuple(
                OfferedStep(
                    key=one.step.key,
                    title=one.step.title,
                    kind=TaskKind(one.step.kind.value),
                    days=one.step.days,
                    days_low=one.step.days_low,
                    days_high=one.step.days_high,
                    after=tuple(titles[need.key] for need in one.step.after),
                    is_usual=one.step.key in usual,
                    is_planned=one.step.key in planned,
                )
                for one in templates
                if not one.measures or measure.kind in one.measures
            )

    def plan(self, measure_id: int, keys: Iterable[str] | None = None) -> tuple[int, ...]:
        """Add the steps named (all usual ones if none are) with their links; returns the new ids.

        What is planned already is not planned twice; new steps wait for it where the usual order says so.
        Between measures the same holds: dense-pack waits for the sealing.
        Raises `MeasureGone`, `NothingToPlan`, and `CircularPlan` where the owner's links say the opposite.
        """
        templates = self._tables.step_templates
        with self._project.action("Plan the steps of a measure") as work:
            session = work.session
            measure = _measure(session, measure_id)
            planned = _planned(session, measure)
            wanted = frozenset(_usual(session, measure, templates) if keys is None else keys)
            new = [one for one in templates if one.step.key in wanted and one.step.key not in planned]
            if not new:
                raise NothingToPlan(
                    "there is no step left to plan", where=measure.title, kept="nothing was changed"
                )
            # the house must never be without heat: what takes the old heating out comes with its hold
            removing = {one.key for one in self._tables.hold_templates if one.action == HoldAction.REMOVE}
            take_usual(session, self._tables, measure, {one.hold for one in new} & removing)
            rows = {one.step.key: _row(session, measure, one) for one in new}
            session.add_all(rows.values())
            session.flush()
            known = {**planned, **{key: row.id for key, row in rows.items()}}
            for step in only_steps([one.step for one in templates], frozenset(known)):
                if step.key in rows:
                    _link(session, rows[step.key].id, step, known)
            _link_across(session, measure, rows, self._tables.step_orders)
            session.flush()
            plan(steps_of(session, tasks_in(session)), today_of(session))
            return tuple(row.id for row in rows.values())

    @property
    def _tables(self) -> Tables:
        return tables_of(self._project)


def _measure(session: Session, measure_id: int) -> m.Measure:
    measure = session.get(m.Measure, measure_id)
    if measure is None:
        raise MeasureGone("this measure is no longer recorded", do="choose another one")
    return measure


def _planned(session: Session, measure: m.Measure) -> dict[str, int]:
    """Template key -> task: those of this measure, and those of the house as a whole."""
    rows = session.scalars(select(m.Task).where(m.Task.template_key != "", m.Task.state != TaskState.DROPPED))
    return {
        row.template_key: row.id
        for row in rows
        if row.measure_id == measure.id or row.template_key in FOR_THE_HOUSE
    }


def _usual(session: Session, measure: m.Measure, templates: Sequence[StepTemplate]) -> frozenset[str]:
    """Steps that name the kind of work, and of the others those that the record asks for."""
    usual = {one.step.key for one in templates if measure.kind in one.measures} | ALWAYS_FIRST
    if not measure.own_work:
        usual |= OF_SIGNING
    if programmes_chosen(session, measure.id):
        usual.add("reservation")
    if measure.needs_permit:
        usual |= OF_PERMITS
    return frozenset(usual)


def _row(session: Session, measure: m.Measure, template: StepTemplate) -> m.Task:
    step = template.step
    is_house = step.key in FOR_THE_HOUSE
    return m.Task(
        key=f"{step.key}-{'house' if is_house else measure.id}",
        title=step.title,
        kind=TaskKind(step.kind.value),
        measure_id=None if is_house else measure.id,
        template_key=step.key,
        days=step.days,
        days_low=step.days_low,
        days_high=step.days_high,
        with_whom=_whom(template),
        hold_id=_hold(session, measure, template.hold),
    )


def _whom(template: StepTemplate) -> str:
    """A wait is with somebody even before the owner says who."""
    return (template.with_whom or "the office") if template.step.kind is StepKind.WAIT else ""


def _hold(session: Session, measure: m.Measure, template_key: str) -> int | None:
    if not template_key:
        return None
    return session.scalar(
        select(m.Hold.id).where(m.Hold.template_key == template_key, m.Hold.measure_id == measure.id)
    )


def _link_across(
    session: Session, measure: m.Measure, rows: Mapping[str, m.Task], orders: Sequence[StepOrder]
) -> None:
    """New steps wait for those of other measures, and those of other measures for them."""
    for order in orders:
        if order.step in rows and measure.kind in order.measures:
            for other in _of_others(session, measure, order.before, order.before_measures):
                session.add(m.TaskLink(before_id=other.id, after_id=rows[order.step].id))
        if order.before in rows and measure.kind in order.before_measures:
            for other in _of_others(session, measure, order.step, order.measures):
                if other.state is TaskState.OPEN:
                    session.add(m.TaskLink(before_id=rows[order.before].id, after_id=other.id))


def _of_others(session: Session, measure: m.Measure, key: str, kinds: Sequence[str]) -> Sequence[m.Task]:
    query = (
        select(m.Task)
        .join(m.Measure, m.Measure.id == m.Task.measure_id)
        .where(
            m.Task.template_key == key,
            m.Task.state != TaskState.DROPPED,
            m.Measure.kind.in_(kinds),
            m.Measure.id != measure.id,
        )
    )
    return session.scalars(query.order_by(m.Task.id)).all()


def _link(session: Session, task_id: int, step: Step, known: dict[str, int]) -> None:
    for need in step.after:
        session.add(m.TaskLink(before_id=known[need.key], after_id=task_id, lag_days=need.lag_days))
