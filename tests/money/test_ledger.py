"""Contracts, retainage, budgets and cash, to the cent."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.money.ledger import (
    CashMove,
    ContractAccount,
    MeasureMoney,
    Paid,
    Stage,
    cash_by_month,
    contingency_of,
    project_money,
    retained_cents,
)
from retrofit_desk.values.stated import Stated, StatedValue

FIVE = Decimal("0.05")


def test_retainage_is_held_on_each_stage_and_released_once() -> None:
    stages = (Stage("one", 1_000_000), Stage("two", 1_085_000, is_final=True))
    held = retained_cents(1_000_000, FIVE)
    paid = (Paid(date(2026, 5, 1), 1_000_000 - held, "one", held),)
    account = ContractAccount(2_085_000, retainage_share=FIVE, stages=stages, paid=paid)
    assert (account.paid_cents, account.held_back_cents, account.left_cents) == (950_000, 50_000, 1_135_000)
    released = (*paid, Paid(date(2026, 6, 1), 50_000, "one", is_retainage=True))
    assert ContractAccount(2_085_000, retainage_share=FIVE, stages=stages, paid=released).held_back_cents == 0
    assert account.unstaged_cents == 0


def test_only_a_change_order_signed_by_both_changes_the_price() -> None:
    account = ContractAccount(100_000, signed_changes_cents=(5_000, -2_000), open_changes_cents=(9_000,))
    assert (account.total_cents, account.expected_cents) == (103_000, 112_000)


def known(cents: int) -> StatedValue[int]:
    return StatedValue(cents)


UNKNOWN = StatedValue[int](None, Stated.UNKNOWN)


def test_a_forecast_takes_what_is_committed_and_says_what_it_cannot_add() -> None:
    rows = [
        MeasureMoney("a", known(500_000), known(620_000), 100_000, known(80_000), 80_000),
        MeasureMoney("b", known(300_000), UNKNOWN, 0, UNKNOWN),
        MeasureMoney("c", UNKNOWN, UNKNOWN, 0, known(45_000)),
    ]
    found = project_money(rows)
    assert (found.forecast.known, found.forecast.unknown) == (920_000, 1)
    assert not found.forecast.is_complete
    assert found.owed_cents == 520_000
    # NEED-2: the budget with and without each rebate that is not reserved
    assert (found.net_with_reserved_cents, found.net_with_all_cents) == (840_000, 795_000)


def test_rebates_never_bring_more_than_the_measure_costs() -> None:
    found = project_money([MeasureMoney("a", known(50_000), known(40_000), 0, known(90_000), 70_000)])
    assert (found.net_with_all_cents, found.net_with_reserved_cents) == (0, 0)


def test_what_was_set_aside_is_taken_by_change_orders_and_by_prices_above_the_budget() -> None:
    # NEED-17; own example, arithmetic checked: 10 % of 10,000.00 is 1,000.00
    rows = [
        MeasureMoney("a", known(500_000), known(620_000), 100_000, known(0), changes_cents=70_000),
        MeasureMoney("b", known(500_000), known(480_000), 0, known(0)),
        MeasureMoney("c", UNKNOWN, known(90_000), 0, known(0)),
        MeasureMoney("given up", StatedValue(None, Stated.EXCLUDED), known(15_000), 15_000, known(0)),
    ]
    found = contingency_of(rows, StatedValue(Decimal("0.1")))
    assert found.set_cents == known(100_000)
    assert (found.by_changes_cents, found.above_cents, found.below_cents) == (70_000, 65_000, 20_000)
    assert found.left_cents == known(-15_000)
    assert found.not_compared == 1
    nothing_said = contingency_of(rows, StatedValue(None, Stated.UNKNOWN))
    assert (nothing_said.set_cents, nothing_said.left_cents) == (UNKNOWN, UNKNOWN)
    assert contingency_of(rows, StatedValue(Decimal(0))).left_cents == known(-115_000)  # zero is not unknown


@given(
    st.lists(
        st.tuples(
            st.integers(0, 10**8), st.integers(0, 10**8), st.integers(-(10**7), 10**7), st.integers(0, 10**8)
        ),
        max_size=8,
    ),
    st.integers(0, 400),
)
def test_budget_and_money_set_aside_are_forecast_and_what_is_left(
    rows: list[tuple[int, int, int, int]], per_mille: int
) -> None:
    measures = [
        MeasureMoney("m", known(budget), known(committed), paid, known(0), changes_cents=changes)
        for budget, committed, changes, paid in rows
    ]
    found = contingency_of(measures, StatedValue(Decimal(per_mille) / 1000))
    sums = project_money(measures)
    assert found.set_cents.value is not None
    assert found.left_cents.value is not None
    assert sums.budget.known + found.set_cents.value == sums.forecast.known + found.left_cents.value


def test_cash_runs_through_months_without_a_move() -> None:
    moves = [
        CashMove(date(2026, 11, 3), -100_000, "stage 1"),
        CashMove(date(2027, 2, 1), 80_000, "rebate"),
        CashMove(None, 5_000, "rebate without a day"),
    ]
    found = cash_by_month(moves, 150_000)
    assert [(one.year, one.month) for one in found.months] == [(2026, 11), (2026, 12), (2027, 1), (2027, 2)]
    assert [one.balance_cents for one in found.months] == [50_000, 50_000, 50_000, 130_000]
    assert found.undated == (moves[2],)


@given(
    st.lists(
        st.tuples(st.dates(date(2025, 1, 1), date(2028, 1, 1)), st.integers(-(10**7), 10**7)), max_size=20
    )
)
def test_sums_of_money_close(rows: list[tuple[date, int]]) -> None:
    found = cash_by_month([CashMove(day, cents, "x") for day, cents in rows], 777)
    total = sum(cents for _, cents in rows)
    assert sum(one.in_cents - one.out_cents for one in found.months) == total
    assert not rows or found.months[-1].balance_cents == 777 + total


@given(st.integers(0, 10**8), st.integers(0, 1000))
def test_what_is_held_back_is_the_share_to_the_half_cent(amount: int, per_mille: int) -> None:
    held = retained_cents(amount, Decimal(per_mille) / 1000)
    assert 0 <= held <= amount
    assert abs(2000 * held - 2 * amount * per_mille) <= 1000
