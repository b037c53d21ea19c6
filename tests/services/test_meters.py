"""Bills by month, and leakage tests."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.meters import (
    CannotRecord,
    LeakageEntry,
    MeterService,
    by_month,
    last_two_years,
)


@given(
    st.dates(date(2020, 1, 1), date(2024, 12, 31)),
    st.lists(st.tuples(st.integers(25, 35), st.floats(0.0, 500.0)), min_size=1, max_size=14),
)
def test_full_months_never_hold_more_than_was_billed(start: date, spells: list[tuple[int, float]]) -> None:
    bills = []
    for days, quantity in spells:
        end = start + timedelta(days=days)
        bills.append((start, end, quantity))
        start = end
    months = by_month(bills)
    assert sum(months.values()) <= sum(quantity for _, quantity in spells) + 1e-6


def test_a_bill_of_one_calendar_month_stays_whole() -> None:
    assert by_month([(date(2026, 2, 1), date(2026, 3, 1), 56.0)]) == {(2026, 2): pytest.approx(56.0)}


def test_a_long_delivery_is_spread_over_its_days_unlike_a_long_bill(
    sample_project: Project,
) -> None:
    meters = MeterService(sample_project)
    shown = []
    for fuel in (m.Fuel.OIL, m.Fuel.GAS):
        with sample_project.action("One more meter") as work:
            unit = work.session.scalars(select(m.Meter.unit)).first()
            row = m.Meter(key=f"spread-{fuel}", name=f"Spread {fuel}", fuel=fuel, unit=unit)
            row.bills = [
                m.Bill(
                    period_start=date(2026, 5, 1), period_end=date(2026, 9, 1), quantity=123.0, cost_cents=100
                )
            ]
            work.session.add(row)
        shown.append(next(one.years for one in meters.meters() if one.name == f"Spread {fuel}"))
    (year,), nothing = shown
    assert year.values[4:8] == pytest.approx((31.0, 30.0, 31.0, 31.0))
    assert nothing == ()


def test_a_month_only_partly_billed_is_left_out() -> None:
    assert by_month([(date(2026, 2, 2), date(2026, 3, 1), 56.0)]) == {}


def test_two_years_stand_side_by_side_from_january() -> None:
    months = {(year, month): float(month) for year in (2024, 2025) for month in range(1, 13)}
    earlier, later = last_two_years(months)
    assert earlier.name == "Jan 2024 to Dec 2024"
    assert later.values == tuple(float(month) for month in range(1, 13))


def test_the_sample_has_two_meters_with_two_years_of_bills(sample_project: Project) -> None:
    gas, electric = MeterService(sample_project).meters()
    assert (len(gas.bills), len(electric.bills)) == (24, 24)
    assert gas.bills[0].period_end > gas.bills[-1].period_end
    assert gas.last_year is not None
    assert gas.last_year.quantity == pytest.approx(sum(bill.quantity.value or 0.0 for bill in gas.bills[:12]))
    assert len(gas.years) == 2


def test_a_leakage_test_is_recorded_and_undone(sample_project: Project) -> None:
    meters = MeterService(sample_project)
    before = meters.leakage_tests()
    entry = LeakageEntry(date(2026, 11, 18), 0.9, 432.0, 0.65, "with the den closed", "Owner", "", None)
    test_id = meters.record_leakage(entry)
    newest = meters.leakage_tests()[0]
    assert newest.id == test_id
    assert newest.ach50 == pytest.approx(7.5)  # 0.9 m3/s x 3600 / 432 m3
    sample_project.undo()
    assert meters.leakage_tests() == before


def test_a_test_without_flow_is_refused(sample_project: Project) -> None:
    entry = LeakageEntry(date(2026, 11, 18), 0.0, None, 0.65, "", "", "", None)
    with pytest.raises(CannotRecord, match="more than 0"):
        MeterService(sample_project).record_leakage(entry)
