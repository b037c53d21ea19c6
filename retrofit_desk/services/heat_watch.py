"""Days on which nothing tested and running could heat the house or make hot water, as the plan stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.records.models.equipment import EquipmentKind, EquipmentStatus
from retrofit_desk.records.models.holds import HoldSubject
from retrofit_desk.records.models.tasks import TaskKind
from retrofit_desk.records.project import Project
from retrofit_desk.rules import gaps as rules
from retrofit_desk.rules.gaps import Gap, Source, Span
from retrofit_desk.rules.holds import HoldAction
from retrofit_desk.services.days import today_of
from retrofit_desk.services.holds import holds_in
from retrofit_desk.services.schedule import ScheduleView, StepRow, schedule_in
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.place import PageKey, Place

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
NO_HEAT_ABOVE_C = (
    15.0  # mean of a month in which a house of its time asks for no heat; common practice, no source
)
LOOK_AHEAD_DAYS = 365


@dataclass(frozen=True)
class GapWarning:
    """One gap. `coldest_c`: the coldest hour of those days in the weather in use.

    `temporary_heat_w`: what would carry the house as described through that hour; none: cannot say.
    """

    sentence: str
    is_heat: bool
    days: int
    coldest_c: float | None
    temporary_heat_w: float | None
    place: Place


@dataclass(frozen=True)
class HeatWatch:
    """The gaps, and in words which machine carries the house until when."""

    gaps: tuple[GapWarning, ...]
    heat: str
    hot_water: str


class HeatWatchService:
    """Reads only; the first look loads the weather."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def look(self) -> HeatWatch:
        """Raises `CannotSay` when no weather is chosen, `CircularPlan`."""
        # the year of weather and the design load take long to load; nobody else needs them here
        from retrofit_desk.services.gap_sums import GapSums

        with self._project.session() as session:
            today = today_of(session)
            schedule = schedule_in(session, today, holds_in(session, today))
            whole = Span(today, today + timedelta(days=LOOK_AHEAD_DAYS))
            machines = list(session.scalars(select(m.Equipment).order_by(m.Equipment.id)))
            heat = _sources(machines, HEATS, schedule)
            water = _sources(machines, MAKES_HOT_WATER, schedule)
            sums = GapSums(self._project, session)
            months = rules.heating_months(sums.monthly_means_c(), NO_HEAT_ABOVE_C)
            cold = rules.heating_spans(whole.first, whole.last, months)
            found = []
            for gap in rules.heat_gaps([one.plain for one in heat], cold):
                coldest_c = sums.coldest_c(gap.span)
                needed_w = sums.heat_needed_w(coldest_c)
                found.append(GapWarning(_by_plan(gap), True, gap.span.days, coldest_c, needed_w, _house()))
            dry = rules.hot_water_gaps([one.plain for one in water], [whole])
            found += [GapWarning(_by_plan(gap), False, gap.span.days, None, None, _house()) for gap in dry]
            return HeatWatch(
                tuple(found), _in_words("Heat", heat, today), _in_words("Hot water", water, today)
            )


@dataclass(frozen=True)
class _Machine:
    plain: Source
    is_planned: bool


def _sources(
    machines: Sequence[m.Equipment], kinds: frozenset[EquipmentKind], schedule: ScheduleView
) -> list[_Machine]:
    found = []
    for row in machines:
        if row.kind not in kinds or (row.status is EquipmentStatus.REMOVED and row.removed_on is None):
            continue
        if row.status is EquipmentStatus.OUT_OF_ORDER:
            broken = Source(row.name, row.tested_on, row.removed_on, is_broken=True)
            found.append(_Machine(broken, is_planned=False))
            continue
        removal = next((step for step in schedule.open_steps if _removes(step, row.id)), None)
        gone = row.removed_on or (removal.start if removal is not None else None)
        runs, is_planned = row.tested_on, False
        if runs is None and row.status in (EquipmentStatus.IN_USE, EquipmentStatus.STANDBY):
            runs = row.installed_on or date.min
        elif runs is None:
            runs, is_planned = _planned_running(row, schedule), True
        found.append(_Machine(Source(row.name, runs, gone), is_planned))
    return found


def _removes(step: StepRow, equipment_id: int) -> bool:
    hold = step.hold
    return (
        hold is not None
        and hold.answer.hold.action is HoldAction.REMOVE
        and hold.subject is HoldSubject.EQUIPMENT
        and hold.subject_id == equipment_id
    )


def _planned_running(row: m.Equipment, schedule: ScheduleView) -> date | None:
    """The day after the last work on it that does not wait for taking something else out."""
    mine = [step for step in schedule.open_steps if step.measure_id == row.measure_id]
    out = [step.start for step in mine if step.hold and step.hold.answer.hold.action is HoldAction.REMOVE]
    until = min(out, default=date.max)
    work = [step.last_day for step in mine if step.kind is TaskKind.WORK and step.start < until]
    return max(work) + timedelta(days=1) if work and row.measure_id is not None else None


def _by_plan(gap: Gap) -> str:
    return f"As the plan stands: {gap.sentence[:1].lower()}{gap.sentence[1:]}"


def _house() -> Place:
    return Place(PageKey.MEASURES, "schedule")


def _in_words(subject: str, machines: Sequence[_Machine], today: date) -> str:
    """Who carries it now, until when, and who follows."""
    parts = []
    for one in machines:
        source = one.plain
        if source.gone_on is not None and source.gone_on <= today:
            continue
        if source.is_broken:
            parts.append(f"{source.name}, out of order")
        elif source.running_from is None:
            parts.append(f"{source.name}, not tested and without a planned day")
        elif one.is_planned:
            parts.append(f"{source.name} from {day_text(source.running_from)}, if its tests pass")
        elif source.gone_on is not None:
            parts.append(f"{source.name} until it goes on {day_text(source.gone_on)}")
        else:
            parts.append(f"{source.name}, tested and running")
    return f"{subject}: {'; '.join(parts)}." if parts else f"{subject}: nothing on record could give it."
