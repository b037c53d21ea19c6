"""The plan in dates."""

from __future__ import annotations

from datetime import date, timedelta

import networkx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from retrofit_desk.rules.schedule import (
    EVERY_DAY,
    After,
    CircularPlan,
    Pace,
    Plan,
    Step,
    StepKind,
    UnknownStep,
    WorkCalendar,
    last_day_at,
    plan,
    start_by,
)

MONDAY = date(2026, 3, 2)


def step(key: str, days: float, *after: str, **more: object) -> Step:
    return Step(key, f"Step {key}", days=days, after=tuple(After(one) for one in after), **more)  # type: ignore[arg-type]


# CPM-1: a course's worked example (second-hand): key, days, after, ES, EF, LS, LF, slack
NETWORK = [
    ("A", 6, "", 0, 6, 0, 6, 0),
    ("B", 2, "A", 6, 8, 6, 8, 0),
    ("C", 2, "A", 6, 8, 7, 9, 1),
    ("D", 3, "B", 8, 11, 8, 11, 0),
    ("F", 2, "C", 8, 10, 9, 11, 1),
    ("E", 4, "DF", 11, 15, 11, 15, 0),
    ("G", 1, "E", 15, 16, 15, 16, 0),
]


def test_a_published_network_has_its_dates_and_its_slack() -> None:
    found = plan([step(row[0], row[1], *row[2]) for row in NETWORK], MONDAY, EVERY_DAY)
    for key, _, _, start, end, late, late_end, slack in NETWORK:
        one = found.of(key)
        days = [(day - MONDAY).days for day in (one.start, one.end, one.latest_start, one.latest_end)]
        assert [*days, one.days_to_spare] == [start, end, late, late_end, slack], key
    assert found.ends_on == MONDAY + timedelta(days=16)
    assert [one.step.key for one in found.steps if one.is_critical] == ["A", "B", "D", "E", "G"]


def test_work_skips_weekends_and_waits_do_not() -> None:
    # CPM-3: common practice, no source
    steps = [
        step("work", 3),
        step("wait", 10, "work", kind=StepKind.WAIT),
        step("visit", 1, "wait", kind=StepKind.VISIT),
    ]
    found = plan(steps, date(2026, 3, 5))
    assert found.of("work").end == date(2026, 3, 10)  # Thursday, Friday, Monday
    assert found.of("wait").end == date(2026, 3, 20)
    assert found.of("visit").start == date(2026, 3, 20)
    holiday = WorkCalendar(days_off=frozenset([date(2026, 3, 6)]))
    assert plan(steps, date(2026, 3, 5), holiday).of("work").end == date(2026, 3, 11)


def test_a_wait_has_a_range() -> None:
    # NEED-11: gas cut-off takes 2 to 6 months (experience)
    cut_off = step("gas", 90, kind=StepKind.WAIT, days_low=60, days_high=180)
    ends = [plan([cut_off], MONDAY, pace=pace).ends_on for pace in (Pace.SHORT, Pace.LIKELY, Pace.LONG)]
    assert ends == [MONDAY + timedelta(days=days) for days in (60, 90, 180)]


def test_the_last_day_to_begin_is_counted_backward() -> None:
    assert start_by(180, date(2026, 10, 1), StepKind.WAIT) == date(2026, 4, 5)
    assert start_by(3, date(2026, 3, 10), StepKind.WORK) == date(2026, 3, 6)
    late = plan([step("gas", 30, kind=StepKind.WAIT, must_end_by=MONDAY + timedelta(days=19))], MONDAY)
    assert late.of("gas").days_to_spare == -10


def test_an_agreed_day_slips_when_what_comes_before_is_late() -> None:
    visit = step("visit", 1, "work", kind=StepKind.VISIT, agreed_on=MONDAY + timedelta(days=2))
    before = plan([step("work", 2), visit], MONDAY)
    after = plan([step("work", 4), visit], MONDAY)
    assert before.of("visit").slipped_days == 0
    assert after.of("visit").slipped_days == 2
    assert after.of("visit").start - before.of("visit").start == timedelta(days=2)


def test_work_that_runs_and_is_agreed_to_go_on_ends_on_that_day_at_the_earliest() -> None:
    going = step("boards", 2, started_on=date(2026, 2, 23), agreed_on=date(2026, 3, 5))
    found = plan([going, step("visit", 1, "boards", kind=StepKind.VISIT)], MONDAY)
    assert found.of("boards").last_day == date(2026, 3, 5)
    assert found.of("visit").start == date(2026, 3, 6)
    late = plan([step("boards", 2, started_on=date(2026, 2, 23), agreed_on=date(2026, 2, 25))], MONDAY)
    assert late.of("boards").last_day == MONDAY


def test_a_milestone_is_reached_on_the_last_day_of_what_it_waits_for_and_the_plan_ends_then() -> None:
    closed = step("closed", 0, "work", kind=StepKind.MILESTONE, agreed_on=MONDAY + timedelta(days=1))
    told = step("told", 0, "closed", kind=StepKind.MILESTONE)
    found = plan([step("work", 2), closed, told], MONDAY)
    tuesday = MONDAY + timedelta(days=1)
    days = {(found.of(key).first_day, found.of(key).last_day) for key in ("closed", "told")}
    assert days == {(tuesday, tuesday)}
    assert found.last_day == found.of("told").start_by == tuesday
    assert found.of("closed").slipped_days == 0
    assert found.of("closed").is_critical
    assert last_day_at(found, MONDAY, Pace.LONG) == tuesday


def test_a_milestone_with_a_later_day_of_its_own_ends_the_plan_on_it() -> None:
    delivery = step("delivery", 0, "work", kind=StepKind.MILESTONE, not_before=date(2026, 3, 20))
    found = plan([step("work", 2), delivery], MONDAY)
    assert found.of("delivery").first_day == found.last_day == date(2026, 3, 20)


def test_what_is_done_lies_where_it_was() -> None:
    done = step("a", 5, started_on=date(2026, 2, 2), done_on=date(2026, 2, 4))
    found = plan([done, step("b", 2, "a")], MONDAY)
    assert found.of("a").start == date(2026, 2, 2)
    assert found.of("b").start == MONDAY
    assert not found.of("a").is_critical


def test_a_circle_is_named_and_a_stranger_too() -> None:
    with pytest.raises(CircularPlan, match="Step a"):
        plan([step("a", 1, "b"), step("b", 1, "a")], MONDAY)
    with pytest.raises(UnknownStep, match="not in the plan"):
        plan([step("a", 1, "ghost")], MONDAY)
    assert plan([], MONDAY) == Plan((), None)


KINDS = st.sampled_from([StepKind.WORK, StepKind.WAIT, StepKind.MILESTONE, StepKind.VISIT])


@st.composite
def networks(draw: st.DrawFn) -> list[Step]:
    count = draw(st.integers(1, 9))
    steps = []
    for at in range(count):
        needs = draw(st.sets(st.integers(0, at - 1), max_size=3)) if at else set()
        lag = draw(st.integers(0, 4))
        after = tuple(After(str(one), lag) for one in sorted(needs))
        steps.append(Step(str(at), f"Step {at}", draw(KINDS), draw(st.integers(0, 9)), after=after))
    return draw(st.permutations(steps))


@settings(max_examples=60, deadline=None)
@given(networks(), st.sampled_from([WorkCalendar(), EVERY_DAY]))
def test_nothing_starts_before_its_needs_and_slack_is_sound(
    steps: list[Step], calendar: WorkCalendar
) -> None:
    # CPM-2: latest never before earliest, a path without slack from start to finish
    found = plan(steps, MONDAY, calendar)
    for one in found.steps:
        for need in one.step.after:
            assert one.start >= found.of(need.key).end + timedelta(days=need.lag_days)
        assert one.latest_start >= one.start
        assert one.latest_end >= one.end
        assert one.days_to_spare >= 0
        if calendar is EVERY_DAY:
            assert (one.latest_end - one.end).days == one.days_to_spare
    assert any(one.end == found.ends_on and one.days_to_spare == 0 for one in found.steps)


@given(
    st.dates(date(2026, 1, 1), date(2026, 12, 31)),
    st.integers(0, 60),
    st.sets(st.integers(0, 6), min_size=1),
    st.sets(st.dates(date(2026, 1, 1), date(2027, 3, 1)), max_size=8),
)
def test_working_days_between_two_days_are_those_that_are_open(
    first: date, days: int, weekdays: set[int], off: set[date]
) -> None:
    calendar = WorkCalendar(frozenset(weekdays), frozenset(off))
    last = first + timedelta(days=days)
    by_hand = sum(calendar.is_open(first + timedelta(days=at)) for at in range(days))
    assert calendar.open_between(first, last) == by_hand
    assert calendar.open_between(last, first) == -by_hand


@settings(max_examples=60, deadline=None)
@given(networks())
def test_the_critical_path_is_the_longest_path_of_a_graph_library(steps: list[Step]) -> None:
    # with every day open a day is a day, and networkx finds the longest path by itself
    found = plan(steps, MONDAY, EVERY_DAY)
    days = {one.key: one.days_at(Pace.LIKELY) for one in steps}
    network = networkx.DiGraph()
    for one in steps:
        network.add_edge(one.key, "end", weight=days[one.key])
        for need in one.after:
            network.add_edge(need.key, one.key, weight=days[need.key] + need.lag_days)
    longest = networkx.dag_longest_path(network)
    assert found.ends_on == MONDAY + timedelta(days=networkx.path_weight(network, longest, "weight"))
    assert set(longest) - {"end"} <= {one.step.key for one in found.steps if one.is_critical}
