"""When an office can come, by its own rule and the calendar."""

from __future__ import annotations

from datetime import date, datetime, time
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.rules.booking import BookingRule
from retrofit_desk.rules.schedule import WorkCalendar

OFFICE = WorkCalendar(days_off=frozenset({date(2026, 11, 26)}), offices_off=frozenset({date(2026, 11, 11)}))
RULE = BookingRule(1, time(15), frozenset(range(5)), ("8 to 10", "10 to 12"))


@pytest.mark.parametrize(
    ("called_at", "visit"),
    [
        (datetime(2026, 11, 23, 14, 59), date(2026, 11, 24)),
        (datetime(2026, 11, 23, 15, 0), date(2026, 11, 24)),
        (datetime(2026, 11, 23, 15, 1), date(2026, 11, 25)),  # too late today
        (datetime(2026, 11, 20, 16, 0), date(2026, 11, 24)),  # Friday afternoon counts as Monday
        (datetime(2026, 11, 21, 9, 0), date(2026, 11, 24)),  # and so does Saturday
        (datetime(2026, 11, 25, 9, 0), date(2026, 11, 27)),  # over the holiday
        (datetime(2026, 11, 10, 9, 0), date(2026, 11, 12)),  # over a day that only offices keep
    ],
)
def test_the_earliest_visit_follows_the_call(called_at: datetime, visit: date) -> None:
    # common practice, no source: the working day before, by a fixed hour
    assert RULE.earliest(called_at, OFFICE.offices) == visit


def test_an_office_that_comes_on_two_days_of_the_week() -> None:
    county = BookingRule(3, None, frozenset({1, 3}))
    assert county.earliest(datetime(2026, 11, 16, 9), OFFICE.offices) == date(2026, 11, 19)
    assert county.earliest(datetime(2026, 11, 17, 9), OFFICE.offices) == date(2026, 11, 24)
    assert county.sentence() == "Visits Tuesday and Thursday. To book, call 3 working days before."


def test_the_hour_is_that_of_the_clock_at_the_house_on_the_day_it_changes() -> None:
    # the clock is set back on Nov 1, 2026 (15 U.S.C. 260a): 14:30 stays before 15:00
    here = ZoneInfo("America/New_York")
    friday = datetime(2026, 10, 30, 14, 30, tzinfo=here)
    monday = datetime(2026, 11, 2, 14, 30, tzinfo=here)
    assert RULE.earliest(friday, OFFICE.offices) == date(2026, 11, 2)
    assert RULE.earliest(monday, OFFICE.offices) == date(2026, 11, 3)
    assert RULE.earliest(monday.astimezone(ZoneInfo("UTC")).astimezone(here), OFFICE.offices) == date(
        2026, 11, 3
    )


def test_the_rule_reads_as_the_office_says_it() -> None:
    assert RULE.sentence() == (
        "Visits Monday to Friday, 8 to 10 or 10 to 12. To book, call by 3 p.m. the working day before."
    )
    early = BookingRule(0, time(7, 30))
    assert early.sentence() == "Visits Monday to Friday. To book, call by 7:30 a.m. the same day."


def test_a_day_that_does_not_fit_is_told_and_why() -> None:
    now = datetime(2026, 11, 23, 9)
    assert "Thursday, Nov 26, 2026 is not a day" in RULE.does_not_fit(date(2026, 11, 26), now, OFFICE.offices)
    assert "Nov 24, 2026 at the earliest" in RULE.does_not_fit(date(2026, 11, 23), now, OFFICE.offices)
    assert not RULE.does_not_fit(date(2026, 11, 24), now, OFFICE.offices)


@given(
    st.integers(0, 10),
    st.frozensets(st.integers(0, 4), min_size=1),
    st.datetimes(datetime(2026, 1, 1), datetime(2028, 1, 1)),
)
def test_the_earliest_visit_is_one_that_the_office_gives(
    lead: int, weekdays: frozenset[int], called_at: datetime
) -> None:
    rule = BookingRule(lead, time(15), weekdays)
    visit = rule.earliest(called_at, OFFICE.offices)
    assert rule.comes_on(visit, OFFICE.offices)
    assert not rule.does_not_fit(visit, called_at, OFFICE.offices)
