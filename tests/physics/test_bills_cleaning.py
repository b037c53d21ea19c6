"""Bills are merged or left out by published limits, each with its reason."""

from __future__ import annotations

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.physics.bills_cleaning import MeterSpan, usable_bills, without_gap

START = date(2025, 1, 1)


def spans(*days: int, used: float = 100.0) -> list[MeterSpan]:
    found, day = [], START
    for length in days:
        found.append(MeterSpan(day, day + timedelta(days=length), used))
        day += timedelta(days=length)
    return found


def test_short_and_long_periods_are_left_out_with_their_reason() -> None:
    # MV-1: open M&V methods document 2.0: below 25, above 35 (monthly) or 70 days (bimonthly)
    found = usable_bills(spans(30, 24, 35, 36, 25), zero_is_missing=True)
    assert [span.days for span in found.kept] == [30, 35, 25]
    assert [one.why for one in found.left_out] == ["it covers only 24 days", "it covers 36 days"]
    assert len(usable_bills(spans(60, 70, 71), zero_is_missing=True, is_bimonthly=True).kept) == 2


def test_an_estimated_read_joins_the_next_true_one() -> None:
    # MV-1: up to 70 days
    first, second = spans(31, 30)
    guessed = MeterSpan(first.start, first.end, 80.0, is_estimated=True)
    found = usable_bills([guessed, second], zero_is_missing=True)
    assert [(span.days, span.used) for span in found.kept] == [(61, 180.0)]
    alone = usable_bills([guessed], zero_is_missing=True)
    assert not alone.kept
    assert "estimated" in alone.left_out[0].why


def test_zero_is_missing_for_power_and_a_true_summer_for_gas() -> None:
    # MV-1
    summer = spans(30, used=0.0)
    assert not usable_bills(summer, zero_is_missing=True).kept
    assert usable_bills(summer, zero_is_missing=False).kept


def test_the_weeks_of_the_work_count_for_neither_side() -> None:
    bills = usable_bills(spans(*[30] * 24), zero_is_missing=True)
    before, after = without_gap(bills, START + timedelta(days=400), START + timedelta(days=450))
    assert before[-1].end <= START + timedelta(days=400)
    assert (START + timedelta(days=400) - before[0].start).days <= 402
    assert after[0].start == START + timedelta(days=450)


@given(st.lists(st.tuples(st.integers(10, 80), st.booleans()), max_size=12))
def test_no_use_is_lost_or_counted_twice(rows: list[tuple[int, bool]]) -> None:
    day, bills = START, []
    for length, guessed in rows:
        bills.append(MeterSpan(day, day + timedelta(days=length), 10.0, guessed))
        day += timedelta(days=length)
    found = usable_bills(bills, zero_is_missing=True)
    everything = [*found.kept, *(one.span for one in found.left_out)]
    assert sum(span.used or 0 for span in everything) == 10.0 * len(rows)
    assert sum(span.days for span in everything) == (day - START).days
