"""Public holidays against a general-purpose calendar, and working days with days off among them."""

from __future__ import annotations

from datetime import date

import pandas as pd
import pytest
from pandas.tseries.holiday import USFederalHolidayCalendar

from retrofit_desk.records.tables import Tables
from retrofit_desk.rules.days_off import Holiday, kept_days
from retrofit_desk.rules.schedule import After, Step, StepKind, WorkCalendar, plan

THANKSGIVING = date(2026, 11, 26)


def test_the_table_keeps_the_days_that_a_calendar_library_keeps() -> None:
    # 5 U.S.C. 6103 (from memory), against pandas' own table of the same law
    ours = set(kept_days(Tables().holidays, 2022, 2040))
    theirs = USFederalHolidayCalendar().holidays(pd.Timestamp(2022, 1, 1), pd.Timestamp(2040, 12, 31))
    assert ours == {one.date() for one in theirs}


def test_a_holiday_on_a_weekend_is_kept_beside_it() -> None:
    new_year = Holiday("New Year's Day", 1, 1)
    assert new_year.in_year(2028) == date(2027, 12, 31)  # a Saturday
    assert date(2027, 12, 31) in kept_days([new_year], 2027, 2027)
    assert Holiday("Independence Day", 7, 4).in_year(2027) == date(2027, 7, 5)  # a Sunday


def test_a_holiday_needs_a_day_or_a_weekday() -> None:
    with pytest.raises(ValueError, match="or a weekday"):
        Holiday("Some day", 5)


def test_no_work_is_planned_on_a_holiday_and_no_visit_on_a_day_offices_rest() -> None:
    veterans = date(2026, 11, 11)
    days = WorkCalendar(days_off=frozenset({THANKSGIVING}), offices_off=frozenset({veterans}))
    tuesday = date(2026, 11, 10)
    steps = (Step("rough", "Rough wiring"), Step("visit", "Visit", StepKind.VISIT, after=(After("rough"),)))
    assert plan(steps, tuesday, days).of("visit").start == date(2026, 11, 12)
    boarding = (Step("rough", "Rough"), Step("board", "Board", days=2, after=(After("rough"),)))
    assert plan(boarding, tuesday, days).of("board").start == veterans  # trades work
    assert plan(boarding, date(2026, 11, 25), days).of("board").start == date(2026, 11, 27)


def test_a_day_agreed_on_a_saturday_counts_and_is_not_late() -> None:
    saturday = date(2026, 11, 21)
    step = Step("batts", "Fit the batts", days=2, agreed_on=saturday)
    planned = plan((step,), date(2026, 11, 20)).of("batts")
    assert (planned.start, planned.end) == (saturday, date(2026, 11, 24))  # Saturday and Monday
    assert (planned.days_to_spare, planned.slipped_days) == (0, 0)
