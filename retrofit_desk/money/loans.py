"""Level loan payments and the yearly rate of a loan by Regulation Z (12 CFR 1026, Appendix J)."""

from __future__ import annotations

import calendar
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from enum import Enum
from fractions import Fraction

from retrofit_desk.money.rounding import to_cents, to_dollars
from retrofit_desk.values.errors import CannotSay


@dataclass(frozen=True)
class LoanRow:
    """One month of a loan."""

    number: int
    payment_cents: int
    interest_cents: int
    principal_cents: int
    balance_cents: int


@dataclass(frozen=True)
class LoanPlan:
    """All months of a level loan; the last payment settles the odd cents."""

    payment_cents: int
    rows: tuple[LoanRow, ...]

    @property
    def total_interest_cents(self) -> int:
        return sum(row.interest_cents for row in self.rows)


def level_payment(principal_cents: int, yearly_rate: Decimal, months: int) -> Decimal:
    """The exact level monthly payment in dollars."""
    principal = to_dollars(principal_cents)
    if yearly_rate == 0:
        return principal / months
    monthly = yearly_rate / 12
    return principal * monthly / (1 - (1 + monthly) ** -months)


def loan_plan(principal_cents: int, yearly_rate: Decimal, months: int) -> LoanPlan:
    """The loan month by month, interest rounded half up to the cent each month."""
    payment = to_cents(level_payment(principal_cents, yearly_rate, months))
    balance = principal_cents
    rows: list[LoanRow] = []
    for number in range(1, months + 1):
        interest = to_cents(to_dollars(balance) * yearly_rate / 12)
        paid = balance + interest if number == months else min(payment, balance + interest)
        balance -= paid - interest
        rows.append(LoanRow(number, paid, interest, paid - interest, balance))
    return LoanPlan(payment, tuple(rows))


class UnitPeriod(Enum):
    """The time unit of a payment schedule: (months, days, periods in a year, divisor of odd days)."""

    MONTH = (1, 0, 12, 30)
    QUARTER = (3, 0, 4, 90)
    HALF_YEAR = (6, 0, 2, 180)
    SEMIMONTH = (0, 15, 24, 15)
    WEEK = (0, 7, 52, 7)
    TWO_WEEKS = (0, 14, 26, 14)

    @property
    def months(self) -> int:
        return self.value[0]

    @property
    def days(self) -> int:
        return self.value[1]

    @property
    def in_a_year(self) -> int:
        return self.value[2]

    @property
    def odd_day_divisor(self) -> int:
        return self.value[3]


@dataclass(frozen=True)
class Timing:
    """When a payment falls: `whole` unit periods and the fraction `odd` of one after the money came."""

    whole: int
    odd: Fraction


def timing(advanced_on: date, paid_on: date, period: UnitPeriod) -> Timing:
    """Whole unit periods counted backward from the payment, and the odd days before them (App. J (b)(5)).

    With periods of several months, left-over whole months count 30 days each.
    """
    if paid_on < advanced_on:
        raise ValueError("a payment before the money came")
    if period is UnitPeriod.SEMIMONTH:
        months = _whole_months(advanced_on, paid_on)
        rest = (_months_before(paid_on, months) - advanced_on).days
        whole, odd_days = divmod(rest, 15)
        return Timing(2 * months + whole, Fraction(odd_days, 15))
    if period.days:
        whole, odd_days = divmod((paid_on - advanced_on).days, period.days)
        return Timing(whole, Fraction(odd_days, period.days))
    months = _whole_months(advanced_on, paid_on)
    whole, left_months = divmod(months, period.months)
    odd_days = (_months_before(paid_on, months) - advanced_on).days + 30 * left_months
    return Timing(whole, Fraction(odd_days, period.odd_day_divisor))


def apr(
    advanced_cents: int, payments_cents: Sequence[int], first: Timing, periods_in_a_year: int = 12
) -> Decimal:
    """Yearly rate as a share, of equal-spaced payments after one advance: A = sum P / ((1 + f i)(1 + i)^t).

    `first`: the timing of the first payment; each later one comes a unit period after. App. J (b)(8).
    Raises `CannotSay` when the payments do not even return the advance.
    """
    if sum(payments_cents) < advanced_cents:
        raise CannotSay("the yearly rate", "payments that add up to more than what was lent")
    odd = float(first.odd)

    def surplus(rate: float) -> float:
        worth = sum(
            paid / ((1 + odd * rate) * (1 + rate) ** (first.whole + at))
            for at, paid in enumerate(payments_cents)
        )
        return float(worth) - advanced_cents

    from scipy.optimize import brentq

    high = 0.1
    while surplus(high) > 0:
        high *= 2
    per_period = float(brentq(surplus, 0.0, high, xtol=1e-13))
    return Decimal(repr(per_period * periods_in_a_year))


def single_payment_apr(advanced_cents: int, paid_cents: int, advanced_on: date, paid_on: date) -> Decimal:
    """Yearly rate of one payment within a year: odd days over 365 (App. J (c)(5))."""
    odd = Timing(0, Fraction((paid_on - advanced_on).days, 365))
    return apr(advanced_cents, [paid_cents], odd, 1)


def _whole_months(start: date, end: date) -> int:
    months = (end.year - start.year) * 12 + end.month - start.month
    return months if _months_before(end, months) >= start else months - 1


def _months_before(day: date, months: int) -> date:
    """The same day `months` earlier; a month's last day stays a last day."""
    index = day.year * 12 + day.month - 1 - months
    year, month = divmod(index, 12)
    length = calendar.monthrange(year, month + 1)[1]
    is_last = (day + timedelta(days=1)).day == 1
    return date(year, month + 1, length if is_last else min(day.day, length))
