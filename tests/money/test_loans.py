"""Loans against Regulation Z's own examples and a model disclosure form."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from retrofit_desk.money.loans import (
    Timing,
    UnitPeriod,
    apr,
    level_payment,
    loan_plan,
    single_payment_apr,
    timing,
)
from retrofit_desk.values.errors import CannotSay

MONTH, HALF, FORTNIGHT = UnitPeriod.MONTH, UnitPeriod.SEMIMONTH, UnitPeriod.TWO_WEEKS

# 12 CFR 1026 Appendix J (c): advance, payments, advanced on, first payment, unit period, its timing, percent
EXAMPLES = [
    ("FIN-1 (c)(1)(i)", 5000, [230] * 24, (1, 10), (2, 10), MONTH, (1, Fraction(0)), "9.69"),
    ("FIN-2 (c)(1)(ii)", 6000, [200] * 36, (2, 10), (4, 1), MONTH, (1, Fraction(19, 30)), "11.82"),
    ("FIN-3 (c)(1)(iii)", 5000, [219.17] * 24, (2, 23), (3, 1), HALF, (0, Fraction(6, 15)), "10.34"),
    ("FIN-4 (c)(2)(i)", 5000, [250, *[230] * 23], (1, 10), (2, 10), MONTH, (1, Fraction(0)), "10.08"),
    ("FIN-5 (c)(3)(i)", 5000, [*[230] * 23, 280], (1, 10), (2, 10), MONTH, (1, Fraction(0)), "10.50"),
    ("FIN-6 (c)(3)(ii)", 200, [*[9.5] * 19, 30], (4, 3), (4, 11), FORTNIGHT, (0, Fraction(8, 14)), "12.22"),
    ("FIN-7 (c)(4)(i)", 5000, [250, *[230] * 22, 280], (1, 10), (2, 10), MONTH, (1, Fraction(0)), "10.90"),
    ("FIN-9 iteration", 1000, [33.61] * 36, (1, 10), (2, 10), MONTH, (1, Fraction(0)), "12.83"),
]


@dataclass(frozen=True)
class Example:
    name: str
    advance: int
    payments: list[float]
    on: tuple[int, int]
    first: tuple[int, int]
    period: UnitPeriod
    timing: tuple[int, Fraction]
    percent: str


@pytest.mark.parametrize("example", [Example(*row) for row in EXAMPLES], ids=lambda one: one.name)
def test_yearly_rate_of_the_regulations_examples(example: Example) -> None:
    found = timing(date(1978, *example.on), date(1978, *example.first), example.period)
    assert (found.whole, found.odd) == example.timing
    cents = [round(payment * 100) for payment in example.payments]
    rate = apr(example.advance * 100, cents, found, example.period.in_a_year)
    assert (rate * 100).quantize(Decimal("0.01")) == Decimal(example.percent)


def test_a_single_payment_counts_days_of_the_year() -> None:
    # FIN-8: 12 CFR 1026 Appendix J (c)(5)(i), 255 days
    rate = single_payment_apr(100_000, 108_000, date(1978, 1, 3), date(1978, 9, 15))
    assert (rate * 100).quantize(Decimal("0.01")) == Decimal("11.45")


def test_quarters_count_left_over_months_as_thirty_days() -> None:
    # 12 CFR 1026 Appendix J (b)(5), from memory
    found = timing(date(1978, 5, 23), date(1978, 10, 1), UnitPeriod.QUARTER)
    assert (found.whole, found.odd) == (1, Fraction(39, 90))


def test_the_last_day_of_a_month_stays_a_last_day() -> None:
    assert timing(date(1978, 1, 31), date(1978, 2, 28), MONTH) == Timing(1, Fraction(0))


def test_payments_below_the_advance_have_no_rate() -> None:
    with pytest.raises(CannotSay, match="more than what was lent"):
        apr(100_000, [10_000] * 9, Timing(1, Fraction(0)))


def test_level_payment_of_a_model_form() -> None:
    # FIN-10: CFPB Form H-24(B), 2014-02-07
    assert level_payment(16_200_000, Decimal("0.03875"), 360).quantize(Decimal("0.00001")) == Decimal(
        "761.78408"
    )
    plan = loan_plan(16_200_000, Decimal("0.03875"), 360)
    assert plan.payment_cents == 76178
    # the form prints $15,773; half-even rounding would end a cent higher than half-up, at one exact tie
    assert sum(row.principal_cents for row in plan.rows[:60]) == 1_577_258


def test_a_financed_fee_raises_the_yearly_rate() -> None:
    # FIN-11: constructed example
    plan = loan_plan(1_800_000, Decimal("0.0649"), 120)
    first, twelfth, last = plan.rows[0], plan.rows[11], plan.rows[-1]
    assert (plan.payment_cents, first.interest_cents, first.principal_cents) == (20429, 9735, 10694)
    assert first.balance_cents == 1_789_306
    assert (twelfth.interest_cents, twelfth.principal_cents, twelfth.balance_cents) == (
        9081,
        11348,
        1_667_785,
    )
    assert (last.payment_cents, plan.total_interest_cents) == (20505, 651_556)
    level = apr(1_755_000, [plan.payment_cents] * 120, Timing(1, Fraction(0)))
    assert (level * 100).quantize(Decimal("0.001")) == Decimal("7.057")
    # the 76 cents more of the true last payment show in the third decimal
    paid = apr(1_755_000, [row.payment_cents for row in plan.rows], Timing(1, Fraction(0)))
    assert (paid * 100).quantize(Decimal("0.001")) == Decimal("7.058")


@settings(max_examples=30, deadline=None)
@given(st.integers(10_000, 10**7), st.integers(0, 2500), st.integers(1, 360))
def test_a_loan_closes_to_the_cent(principal: int, basis_points: int, months: int) -> None:
    plan = loan_plan(principal, Decimal(basis_points) / 10000, months)
    assert plan.rows[-1].balance_cents == 0
    assert sum(row.principal_cents for row in plan.rows) == principal
    assert all(row.payment_cents == row.interest_cents + row.principal_cents for row in plan.rows)
