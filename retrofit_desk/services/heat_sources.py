"""The machines that heat the house and make hot water by the plan, and the steps that end a gap."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.equipment import EquipmentKind, EquipmentStatus
from retrofit_desk.records.models.holds import HoldSubject
from retrofit_desk.records.models.tasks import TaskKind
from retrofit_desk.records.project import Project
from retrofit_desk.rules import gaps as rules
from retrofit_desk.rules.gaps import Gap, Source, Span
from retrofit_desk.rules.holds import HoldAction
from retrofit_desk.services.dated_steps import ScheduleView, StepRow
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.errors import CannotSay

HEATS = frozenset(
    {
        EquipmentKind.FURNACE,
        EquipmentKind.BOILER,
        EquipmentKind.AIR_SOURCE_HEAT_PUMP,
        EquipmentKind.GROUND_SOURCE_HEAT_PUMP,
        EquipmentKind.ELECTRIC_HEATER,
        EquipmentKind.STOVE,
    }
)
MAKES_HOT_WATER = frozenset({EquipmentKind.WATER_HEATER, EquipmentKind.HEAT_PUMP_WATER_HEATER})
BRING_HEAT = frozenset(
    {"ground_source_heat_pump", "air_source_heat_pump", "air_to_water_heat_pump", "water_source_heat_pump"}
)
BRING_HOT_WATER = frozenset({"heat_pump_water_heater", "indirect_water_tank"})
"""Kinds of measures whose machine counts as planned before it is on record."""
NO_HEAT_ABOVE_C = (
    15.0  # mean of a month in which a house of its time asks for no heat; common practice, no source
)
LOOK_AHEAD_DAYS = 365


@dataclass(frozen=True)
class GapEnd:
    """By when a step must end so that no gap opens, and why: for itself, and for what comes before it."""

    must_end_by: date
    why: str
    why_before: str


@dataclass(frozen=True)
class Machine:
    """A machine as a source. `is_planned`: it is not tested yet; `ended_by`: the steps that make it run."""

    plain: Source
    is_planned: bool
    ended_by: tuple[int, ...] = ()


def heat_machines(session: Session, schedule: ScheduleView) -> list[Machine]:
    """What heats the house, and what is planned to."""
    return [*_on_record(session, HEATS, schedule), *_to_come(session, HEATS, BRING_HEAT, schedule)]


def water_machines(session: Session, schedule: ScheduleView) -> list[Machine]:
    """What makes hot water, and what is planned to."""
    kinds = MAKES_HOT_WATER
    return [*_on_record(session, kinds, schedule), *_to_come(session, kinds, BRING_HOT_WATER, schedule)]


def _on_record(session: Session, kinds: frozenset[EquipmentKind], schedule: ScheduleView) -> list[Machine]:
    """Machines of these kinds, gone ones among them when the day is known."""
    found = []
    for row in session.scalars(select(m.Equipment).order_by(m.Equipment.id)):
        if row.kind not in kinds or (row.status is EquipmentStatus.REMOVED and row.removed_on is None):
            continue
        if row.status is EquipmentStatus.OUT_OF_ORDER:
            broken = Source(row.name, row.tested_on, row.removed_on, is_broken=True)
            found.append(Machine(broken, is_planned=False))
            continue
        removal = next((step for step in schedule.open_steps if _removes(step, row.id)), None)
        gone = row.removed_on or (removal.start if removal is not None else None)
        if row.tested_on is not None:
            found.append(Machine(Source(row.name, row.tested_on, gone), is_planned=False))
        elif row.status in (EquipmentStatus.IN_USE, EquipmentStatus.STANDBY):
            found.append(Machine(Source(row.name, row.installed_on or date.min, gone), is_planned=False))
        else:
            found.append(_planned(row.name, row.measure_id, gone, schedule))
    return found


def _to_come(
    session: Session, kinds: frozenset[EquipmentKind], brought_by: frozenset[str], schedule: ScheduleView
) -> list[Machine]:
    """Machines that open steps will bring and that are not on record yet, called as their measure."""
    here = set(session.scalars(select(m.Equipment.measure_id).where(m.Equipment.kind.in_(kinds))))
    coming = session.execute(
        select(m.Measure.id, m.Measure.title).where(
            m.Measure.kind.in_(brought_by),
            m.Measure.state.not_in((m.MeasureState.DROPPED, m.MeasureState.REPLACED)),
        )
    )
    found = [_planned(title, key, None, schedule) for key, title in coming if key not in here]
    return [one for one in found if one.ended_by]


def _planned(name: str, measure_id: int | None, gone: date | None, schedule: ScheduleView) -> Machine:
    """It runs on the day after the last work on it."""
    work = _work_on(measure_id, schedule)
    runs = max((step.last_day for step in work), default=None)
    last = tuple(step.id for step in work if step.last_day == runs)
    source = Source(name, runs + timedelta(days=1) if runs else None, gone)
    return Machine(source, is_planned=True, ended_by=last)


def needed_spans(project: Project, session: Session, whole: Span) -> tuple[Span, ...]:
    """The days that ask for heat, by the weather in use. Raises `CannotSay` when none is chosen."""
    from retrofit_desk.services.gap_sums import GapSums  # the year of weather takes long to load

    months = rules.heating_months(GapSums(project, session).monthly_means_c(), NO_HEAT_ABOVE_C)
    return rules.heating_spans(whole.first, whole.last, months)


def gaps_by_plan(
    project: Project, session: Session, schedule: ScheduleView
) -> list[tuple[Gap, list[Machine]]]:
    """Every gap of heat or hot water, with the machines that are looked at.

    The weather is looked at only when there are days without any source at all.
    """
    whole = Span(schedule.today, schedule.today + timedelta(days=LOOK_AHEAD_DAYS))
    heat = heat_machines(session, schedule)
    gaps = rules.heat_gaps([one.plain for one in heat], [whole])
    if gaps:
        try:
            gaps = rules.heat_gaps([one.plain for one in heat], needed_spans(project, session, whole))
        except CannotSay:
            gaps = ()
    water = water_machines(session, schedule)
    dry = rules.hot_water_gaps([one.plain for one in water], [whole])
    return [*((one, heat) for one in gaps), *((one, water) for one in dry)]


def gap_ends(project: Project, session: Session, schedule: ScheduleView) -> dict[int, GapEnd]:
    """Steps that end a gap of heat or hot water -> by when they must end; empty when there is no gap."""
    found: dict[int, GapEnd] = {}
    for gap, machines in gaps_by_plan(project, session, schedule):
        if (machine := _ends_it(gap, machines)) is not None:
            end = _gap_end(gap, machine, schedule.today)
            found |= {task_id: end for task_id in machine.ended_by if task_id not in found}
    return found


def _ends_it(gap: Gap, machines: Sequence[Machine]) -> Machine | None:
    """The machine that is to run first after the gap began; none where the record holds no other machine."""
    if all(one.is_planned for one in machines):
        return None
    coming = [
        (one.plain.running_from, at, one)
        for at, one in enumerate(machines)
        if one.is_planned and one.plain.running_from is not None and one.plain.running_from > gap.span.first
    ]
    return min(coming)[2] if coming else None


def _gap_end(gap: Gap, machine: Machine, today: date) -> GapEnd:
    """A gap that runs already cannot be avoided any more: then not a day may be lost."""
    subject = gap.subject.replace("-", " ")
    runs, first = machine.plain.running_from, day_text(gap.span.first)
    if gap.span.first <= today and runs is not None:
        until = f"the house has no {subject} until"
        return GapEnd(runs - timedelta(days=1), f"{until} this is done", f"{until} what follows is done")
    until = f"from {first} the house has no {subject} until"
    return GapEnd(
        gap.span.first - timedelta(days=1), f"{until} this is done", f"{until} what follows is done"
    )


def _removes(step: StepRow, equipment_id: int) -> bool:
    hold = step.hold
    return (
        hold is not None
        and hold.answer.hold.action is HoldAction.REMOVE
        and hold.subject is HoldSubject.EQUIPMENT
        and hold.subject_id == equipment_id
    )


def _work_on(measure_id: int | None, schedule: ScheduleView) -> list[StepRow]:
    """Open work of a measure, but for taking something else out and what waits for that."""
    after_removal: set[int] = set()
    found = []
    for step in schedule.open_steps:  # what comes before stands before
        hold = step.hold
        removes = hold is not None and hold.answer.hold.action is HoldAction.REMOVE
        if removes or after_removal.intersection(step.waits_for_ids):
            after_removal.add(step.id)
        elif measure_id is not None and step.measure_id == measure_id and step.kind is TaskKind.WORK:
            found.append(step)
    return found
