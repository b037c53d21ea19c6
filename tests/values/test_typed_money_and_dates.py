"""Sums of money, dates and times of day as typed."""

from __future__ import annotations

from datetime import date, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.values.cents import NotASum, cents_text, parse_cents, whole_dollars_text
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.typed_date import NotADate, parse_date
from retrofit_desk.values.typed_time import NoTimeOfDay, clock_text, parse_time

FRIDAY = date(2026, 11, 20)


@pytest.mark.parametrize(
    ("typed", "cents"),
    [
        ("$1,250.50", 125050),
        ("1250.5", 125050),
        ("-40", -4000),
        ("−$40.00", -4000),
        ("(12.34)", -1234),
        (".99", 99),
    ],
)
def test_sums_are_read_exactly(typed: str, cents: int) -> None:
    assert parse_cents(typed) == cents


@pytest.mark.parametrize("typed", ["", "$", "12.345", "1,25", "ten", "1e3", "12,34.5", "."])
def test_what_is_no_sum_is_refused(typed: str) -> None:
    with pytest.raises(NotASum, match="not a sum of money"):
        parse_cents(typed)


@given(st.integers(-(10**12), 10**12))
def test_a_sum_shown_can_be_typed_again_to_the_cent(cents: int) -> None:
    assert parse_cents(cents_text(cents)) == cents


def test_whole_dollars_round_halves_away_from_zero() -> None:
    shown = [whole_dollars_text(cents) for cents in (125050, 125049, -125050, -20, 0)]
    assert shown == ["$1,251", "$1,250", "−$1,251", "$0", "$0"]


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        ("3/14/2026", date(2026, 3, 14)),
        ("3/14/26", date(2026, 3, 14)),
        ("2026-03-14", date(2026, 3, 14)),
        ("Mar 14, 2026", date(2026, 3, 14)),
        ("March 14th", date(2027, 3, 14)),
        ("14 mar 2026", date(2026, 3, 14)),
        ("dec 2", date(2026, 12, 2)),
        ("today", FRIDAY),
        ("Tomorrow", FRIDAY + timedelta(1)),
        ("friday", FRIDAY + timedelta(7)),
        ("next mon", FRIDAY + timedelta(3)),
        ("+10", FRIDAY + timedelta(10)),
        ("in 2 weeks", FRIDAY + timedelta(14)),
    ],
)
def test_dates_are_read_as_owners_type_them(typed: str, day: date) -> None:
    assert parse_date(typed, FRIDAY) == day


@pytest.mark.parametrize(
    "typed", ["", "13/14/2026", "2026-02-30", "feb 30", "2/29", "soon", "mart", "14", "monochrome", "+"]
)
def test_what_is_no_date_is_refused_with_an_example(typed: str) -> None:
    with pytest.raises(NotADate, match=r"Type e\.g\. Mar 14, 2026"):
        parse_date(typed, FRIDAY)


@given(st.dates(date(1900, 1, 1), date(2200, 1, 1)))
def test_a_date_shown_can_be_typed_again(day: date) -> None:
    assert parse_date(day_text(day), FRIDAY) == day


@pytest.mark.parametrize(
    ("typed", "clock"),
    [
        ("9:05", time(9, 5)),
        ("0905", time(9, 5)),
        ("3:40 pm", time(15, 40)),
        ("3:40 P.M.", time(15, 40)),
        ("12 am", time(0)),
        ("12:30pm", time(12, 30)),
        ("15:40", time(15, 40)),
        ("9", time(9)),
        ("noon", time(12)),
    ],
)
def test_a_time_of_day_is_read(typed: str, clock: time) -> None:
    assert parse_time(typed) == clock


@pytest.mark.parametrize(
    ("clock", "told"),
    [
        (time(15), "3 p.m."),
        (time(7, 5), "7:05 a.m."),
        (time(0, 30), "12:30 a.m."),
        (time(12), "noon"),
        (time(12, 30), "12:30 p.m."),
    ],
)
def test_a_time_of_day_is_told_as_it_can_be_typed_again(clock: time, told: str) -> None:
    assert clock_text(clock) == told
    assert parse_time(told) == clock


@pytest.mark.parametrize("typed", ["", "at noon", "24:00", "13 pm", "0 am", "9:60", "9:5", "-3", "9:05 p"])
def test_what_is_no_time_of_day_is_refused_with_an_example(typed: str) -> None:
    with pytest.raises(NoTimeOfDay, match=r"Type e\.g\. 3:40 pm"):
        parse_time(typed)
