"""The plan in dates: what can start when, what must not slip, and how many days there are to spare."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from enum import StrEnum
from functools import cached_property
from math import ceil

from retrofit_desk.values.errors import DeskError

_DAY = timedelta(days=1)


class StepKind(StrEnum):
    WORK = "work"
    """Takes working days."""
    VISIT = "visit"
    PAPERWORK = "paperwork"
    WAIT = "wait"
    """On others; takes calendar days."""
    MILESTONE = "milestone"
    """Takes no time: a hold that must be free, a delivery that is in."""


class Pace(StrEnum):
    """Which end of the ranges of waits is taken."""

    LIKELY = "likely"
    SHORT = "short"
    LONG = "long"


class CircularPlan(DeskError):
    """Steps wait for each other in a circle."""


class UnknownStep(DeskError):
    """A step waits for one that is not in the plan."""


@dataclass(frozen=True)
class After:
    """Must wait for the step `key` to end, and `lag_days` calendar days more."""

    key: str
    lag_days: int = 0


@dataclass(frozen=True)
class Step:
    """One step of the plan. `days`: working days for work, visits and paperwork, calendar days for waits.

    `agreed_on`: the day agreed with somebody. `started_on`, `done_on`: what happened.
    """

    key: str
    title: str
    kind: StepKind = StepKind.WORK
    days: float = 1.0
    days_low: float | None = None
    days_high: float | None = None
    after: tuple[After, ...] = ()
    not_before: date | None = None
    must_end_by: date | None = None
    agreed_on: date | None = None
    started_on: date | None = None
    done_on: date | None = None

    def days_at(self, pace: Pace) -> int:
        """Whole days at this pace."""
        if self.kind is StepKind.MILESTONE:
            return 0
        chosen = {Pace.LIKELY: self.days, Pace.SHORT: self.days_low, Pace.LONG: self.days_high}[pace]
        return ceil(self.days if chosen is None else chosen)


@dataclass(frozen=True)
class WorkCalendar:
    """Weekdays that count (0 = Monday) and days off. `offices_off`: days on which only offices rest."""

    weekdays: frozenset[int] = frozenset(range(5))
    days_off: frozenset[date] = field(default_factory=frozenset)
    offices_off: frozenset[date] = field(default_factory=frozenset)

    def __post_init__(self) -> None:
        if not self.weekdays:
            raise ValueError("a calendar needs a working weekday")

    @cached_property
    def offices(self) -> WorkCalendar:
        """The days on which an inspector can come."""
        return WorkCalendar(self.weekdays, self.days_off | self.offices_off) if self.offices_off else self

    def of(self, kind: StepKind) -> WorkCalendar:
        """The days that count for a step: waits and milestones know no day off."""
        if kind in (StepKind.WAIT, StepKind.MILESTONE):
            return EVERY_DAY
        return self.offices if kind is StepKind.VISIT else self

    @cached_property
    def _off(self) -> tuple[date, ...]:
        """Days off that would count otherwise, in order."""
        return tuple(sorted(day for day in self.days_off if day.weekday() in self.weekdays))

    def is_open(self, day: date) -> bool:
        return day.weekday() in self.weekdays and day not in self.days_off

    def next_open(self, day: date) -> date:
        while not self.is_open(day):
            day += _DAY
        return day

    def forward(self, start: date, days: int) -> date:
        """The day after `days` working days that begin on `start`."""
        day = start
        for _ in range(days):
            day = self.next_open(day) + _DAY
        return day

    def back(self, end: date, days: int) -> date:
        """The start that lets `days` working days end before `end`."""
        day = end
        for _ in range(days):
            day -= _DAY
            while not self.is_open(day):
                day -= _DAY
        return day

    def open_between(self, first: date, last: date) -> int:
        """Working days from `first` up to, not including, `last`; negative when `last` comes first."""
        if last < first:
            return -self.open_between(last, first)
        weeks, rest = divmod((last - first).days, 7)
        begun = sum((first.weekday() + at) % 7 in self.weekdays for at in range(rest))
        off = bisect_left(self._off, last) - bisect_left(self._off, first)
        return weeks * len(self.weekdays) + begun - off


EVERY_DAY = WorkCalendar(frozenset(range(7)))


@dataclass(frozen=True)
class PlannedStep:
    """When a step can be and must be. Ends are the day after the last day of the step.

    `last_day`: its last day of work; of a milestone the day on which it is reached.
    `days_to_spare`: how long its start may slip before the end of the plan, or a date it must meet, slips;
    negative when it is late already. `slipped_days`: how far it lies behind the agreed day.
    """

    step: Step
    start: date
    end: date
    latest_start: date
    latest_end: date
    last_day: date
    days_to_spare: int
    slipped_days: int

    @property
    def is_critical(self) -> bool:
        return self.days_to_spare <= 0 and self.step.done_on is None

    @property
    def first_day(self) -> date:
        """Its first day; a milestone is reached on the last day of what it waits for, not on the next."""
        return min(self.start, self.last_day)

    @property
    def start_by(self) -> date:
        """The last day to begin."""
        return self.latest_start - (self.start - self.first_day)


@dataclass(frozen=True)
class Plan:
    """All steps in an order that respects what waits for what."""

    steps: tuple[PlannedStep, ...]
    ends_on: date | None
    """The day after everything is done; none for an empty plan."""

    @property
    def last_day(self) -> date | None:
        """The day on which everything is done."""
        return max((one.last_day for one in self.steps), default=None)

    def of(self, key: str) -> PlannedStep:
        return next(one for one in self.steps if one.step.key == key)


def plan(
    steps: Iterable[Step], today: date, calendar: WorkCalendar | None = None, *, pace: Pace = Pace.LIKELY
) -> Plan:
    """Forward and backward pass over the network. Nothing still open starts before `today`.

    Raises `CircularPlan` and `UnknownStep`.
    """
    work = calendar or WorkCalendar()
    ordered = _in_order(tuple(steps))
    if not ordered:
        return Plan((), None)
    starts, ends = _forward(ordered, today, work, pace)
    finish = max(ends.values())
    last_days = _last_days(ordered, starts, ends, today)
    latest_starts, latest_ends = _backward(ordered, finish, work, pace)
    planned: list[PlannedStep] = []
    for step in ordered:
        start, end = starts[step.key], ends[step.key]
        latest, latest_end = latest_starts[step.key], latest_ends[step.key]
        counts = work.of(step.kind)
        if step.done_on is not None or (latest_end >= end and not counts.is_open(start)):
            # the second: a day off agreed on counts, though no other would
            latest, latest_end = max(latest, start), max(latest_end, end)
        spare = counts.open_between(start, latest)
        last_day = last_days[step.key]
        late = (min(start, last_day) - step.agreed_on).days if step.agreed_on else 0
        slipped = max(late, 0) if step.done_on is None else 0
        planned.append(PlannedStep(step, start, end, latest, latest_end, last_day, spare, slipped))
    return Plan(tuple(planned), finish)


def last_day_at(planned: Plan, today: date, pace: Pace, calendar: WorkCalendar | None = None) -> date | None:
    """The day on which everything is done at another pace of the waits; none for an empty plan."""
    ordered = [one.step for one in planned.steps]
    starts, ends = _forward(ordered, today, calendar or WorkCalendar(), pace)
    return max(_last_days(ordered, starts, ends, today).values(), default=None)


def only_steps(steps: Sequence[Step], keys: frozenset[str]) -> tuple[Step, ...]:
    """The named steps; a step left out hands what it waited for on to those that waited for it."""
    by_key = {step.key: step for step in steps}

    def stands_for(need: After) -> tuple[After, ...]:
        if need.key in keys:
            return (need,)
        behind = by_key[need.key].after
        return tuple(
            After(one.key, one.lag_days + need.lag_days) for far in behind for one in stands_for(far)
        )

    kept: list[Step] = []
    for step in steps:
        if step.key in keys:
            needs = {one.key: one for need in step.after for one in stands_for(need)}
            kept.append(replace(step, after=tuple(needs.values())))
    return tuple(kept)


def start_by(days: float, must_end_by: date, kind: StepKind, calendar: WorkCalendar | None = None) -> date:
    """The last day to begin so that a step of `days` ends on or before `must_end_by`."""
    return (calendar or WorkCalendar()).of(kind).back(must_end_by + _DAY, ceil(days))


def _in_order(steps: Sequence[Step]) -> tuple[Step, ...]:
    import networkx

    by_key = {step.key: step for step in steps}
    places = {key: place for place, key in enumerate(by_key)}
    network = networkx.DiGraph()
    network.add_nodes_from(by_key)
    for step in steps:
        for need in step.after:
            if need.key not in by_key:
                raise UnknownStep(f"'{step.title}' waits for a step that is not in the plan", where=need.key)
            network.add_edge(need.key, step.key)
    try:
        order = list(networkx.lexicographical_topological_sort(network, key=places.__getitem__))
    except networkx.NetworkXUnfeasible:
        circle = [by_key[edge[0]].title for edge in networkx.find_cycle(network)]
        raise CircularPlan(
            f"steps wait for each other: {', then '.join(circle)}", do="take one of these links away"
        ) from None
    return tuple(by_key[key] for key in order)


def _forward(
    ordered: Sequence[Step], today: date, work: WorkCalendar, pace: Pace
) -> tuple[dict[str, date], dict[str, date]]:
    starts: dict[str, date] = {}
    ends: dict[str, date] = {}
    for step in ordered:
        free = [ends[need.key] + need.lag_days * _DAY for need in step.after]
        if step.done_on is not None:
            starts[step.key] = step.started_on or step.done_on
            ends[step.key] = step.done_on + (timedelta(0) if step.kind is StepKind.MILESTONE else _DAY)
            continue
        start = max([today, *free, *(day for day in (step.not_before, step.agreed_on) if day)])
        days, counts = step.days_at(pace), work.of(step.kind)
        if step.started_on is not None:
            # it runs already: it ends when its days are over, and not before today or an agreed day is
            start = step.started_on
            ends[step.key] = max(
                counts.forward(start, days), (step.agreed_on or today) + _DAY, today + _DAY, *free
            )
        elif start == step.agreed_on and days and not counts.is_open(start):
            # agreed for a Saturday or a holiday: that day counts as well
            ends[step.key] = counts.forward(start + _DAY, days - 1)
        else:
            start = counts.next_open(start)
            ends[step.key] = counts.forward(start, days)
        starts[step.key] = start
    return starts, ends


def _last_days(
    ordered: Sequence[Step], starts: Mapping[str, date], ends: Mapping[str, date], today: date
) -> dict[str, date]:
    """A milestone is reached with the last of what it waits for, or on a later day of its own."""
    found: dict[str, date] = {}
    for step in ordered:
        reached = [found[need.key] + need.lag_days * _DAY for need in step.after]
        if step.kind is StepKind.MILESTONE and step.done_on is None and reached:
            own = (day for day in (step.not_before, step.agreed_on) if day)
            found[step.key] = max([today, *reached, *own])
        else:
            found[step.key] = max(starts[step.key], ends[step.key] - _DAY)
    return found


def _backward(
    ordered: Sequence[Step], finish: date, work: WorkCalendar, pace: Pace
) -> tuple[dict[str, date], dict[str, date]]:
    latest_starts: dict[str, date] = {}
    latest_ends: dict[str, date] = {}
    waiting: dict[str, list[date]] = {step.key: [] for step in ordered}
    for step in reversed(ordered):
        must = [step.must_end_by + _DAY] if step.must_end_by and step.done_on is None else []
        end = min([finish, *waiting[step.key], *must])
        start = work.of(step.kind).back(end, step.days_at(pace))
        latest_starts[step.key], latest_ends[step.key] = start, end
        for need in step.after:
            waiting[need.key].append(start - need.lag_days * _DAY)
    return latest_starts, latest_ends
