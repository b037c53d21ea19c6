"""A savings sum over the years: life-cycle money, cash with and without a loan, carbon under a falling grid.

Nothing is simulated here: another rate, price growth or loan needs only the kept sum.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from retrofit_desk.carbon.payback import avoided_by_year_kg
from retrofit_desk.estimate.savings import SavingsLine, SavingsSum
from retrofit_desk.money.loans import LoanPlan
from retrofit_desk.money.rounding import whole_cents
from retrofit_desk.money.worth import (
    InternalReturn,
    LifeCycle,
    adjusted_return,
    discounted_payback_years,
    internal_return,
    net_present_value_cents,
    savings_to_investment,
    single_present_value,
    yearly_flows_cents,
)


@dataclass(frozen=True)
class Outlook:
    """What is believed of the years ahead. Rates are shares a year above inflation; `inflation` is not."""

    discount_rate: Decimal = Decimal("0.03")
    fuel_growth: Decimal = Decimal(0)
    power_growth: Decimal = Decimal(0)
    inflation: Decimal = Decimal("0.025")
    years: int = 20


@dataclass(frozen=True)
class Stake:
    """What is put in and what it saves in the first year, in cents of today."""

    cost_cents: int
    avoided_cents: int
    rebates_cents: int
    fuel_saved_cents: int
    power_saved_cents: int

    @property
    def extra_cents(self) -> int:
        """What it costs more than what would be bought anyway, rebates off."""
        return self.cost_cents - self.avoided_cents - self.rebates_cents

    def savings_cents(self, outlook: Outlook) -> tuple[int, ...]:
        """Saved at the end of years 1 to the last, in constant dollars."""
        parts = (
            yearly_flows_cents(0, self.fuel_saved_cents, outlook.years, saving_growth=outlook.fuel_growth),
            yearly_flows_cents(0, self.power_saved_cents, outlook.years, saving_growth=outlook.power_growth),
        )
        return tuple(sum(year) for year in zip(*parts, strict=True))[1:]


@dataclass(frozen=True)
class MoneyOverYears:
    """A stake over the study period (NIST Handbook 135 conventions), constant dollars, end-of-year flows."""

    stake: Stake
    flows_cents: tuple[int, ...]
    """Years 0 to the last."""
    net_present_cents: int
    savings_to_investment: Decimal | None
    adjusted_return: Decimal | None
    discounted_payback_years: int | None
    internal: InternalReturn


def money_over_years(stake: Stake, outlook: Outlook) -> MoneyOverYears:
    """Every figure of one stake. SIR is none where nothing extra is invested."""
    saved = stake.savings_cents(outlook)
    flows = (-stake.extra_cents, *saved)
    present = sum(
        (cents * single_present_value(outlook.discount_rate, year) for year, cents in enumerate(saved, 1)),
        Decimal(0),
    )
    base = LifeCycle(stake.avoided_cents, 0, 0, whole_cents(present), 0)
    done = LifeCycle(stake.cost_cents - stake.rebates_cents, 0, 0, 0, 0)
    ratio = savings_to_investment(base, done)
    return MoneyOverYears(
        stake=stake,
        flows_cents=flows,
        net_present_cents=net_present_value_cents(flows, outlook.discount_rate),
        savings_to_investment=ratio,
        adjusted_return=(
            None if ratio is None else adjusted_return(ratio, outlook.discount_rate, outlook.years)
        ),
        discounted_payback_years=discounted_payback_years(flows, outlook.discount_rate),
        internal=internal_return(flows),
    )


def stake_of(line: SavingsLine) -> Stake | None:
    """One measure in its place; none where its cost is not known."""
    cost = line.cost_cents.value
    if cost is None:
        return None
    gain = line.in_its_place
    fuel = round(gain.fuel_money_saved_cents)
    return Stake(
        cost, line.avoided_cents.value or 0, line.rebates_cents, fuel, round(gain.money_saved_cents) - fuel
    )


def whole_stake(found: SavingsSum, more_rebates_cents: int = 0) -> Stake:
    """The whole line-up with what is known of its costs; `more_rebates_cents`: hoped for, not reserved."""
    whole = found.whole
    fuel = round(sum(line.in_its_place.fuel_money_saved_cents for line in found.lines))
    return Stake(
        whole.cost.known,
        whole.avoided_cents,
        whole.rebates_cents + more_rebates_cents,
        fuel,
        round(whole.money_saved.value) - fuel,
    )


@dataclass(frozen=True)
class Loan:
    """A loan with the money it really pays out, fees taken off."""

    name: str
    paid_out_cents: int
    plan: LoanPlan


@dataclass(frozen=True)
class CashOverYears:
    """Cumulated cash in constant dollars at the end of years 0 to the last, own money and with the loan."""

    own_cents: tuple[int, ...]
    with_loan_cents: tuple[int, ...] | None


def cash_over_years(flows_cents: Sequence[int], loan: Loan | None, outlook: Outlook) -> CashOverYears:
    """Loan payments are dollars of their day and are worth less each year: they are deflated, never mixed."""
    own = _cumulated(flows_cents)
    if loan is None:
        return CashOverYears(own, None)
    with_loan = list(flows_cents)
    with_loan[0] += loan.paid_out_cents
    for row in loan.plan.rows:
        year = (row.number - 1) // 12 + 1
        if year < len(with_loan):
            deflated = row.payment_cents * single_present_value(outlook.inflation, year)
            with_loan[year] -= whole_cents(deflated)
    return CashOverYears(own, _cumulated(with_loan))


def _cumulated(flows_cents: Sequence[int]) -> tuple[int, ...]:
    totals, so_far = [], 0
    for flow in flows_cents:
        so_far += flow
        totals.append(so_far)
    return tuple(totals)


@dataclass(frozen=True)
class CarbonOverYears:
    """Kilograms of CO2 equivalent. Biogenic carbon stands apart in the sum and is in none of these."""

    material_kg: float
    """A1 to A5."""
    installing_kg: float
    saved_kg: tuple[float, ...]
    """In use, years 1 to the last, under the falling grid."""
    leaked_kg: tuple[float, ...]
    """Refrigerant in use each year; the last year carries the loss at the machines' end."""
    left_kg: tuple[float, ...]
    """Put in and not yet saved, at the end of years 0 to the last; negative once it is paid back."""


def carbon_over_years(found: SavingsSum, years: int) -> CarbonOverYears:
    """The whole line-up: put in at the start, saved by year, leaked by year."""
    whole = found.whole
    fuel_kg = found.before.fuel_carbon_kg - found.after.fuel_carbon_kg
    saved = avoided_by_year_kg(fuel_kg, whole.electricity_added.value, found.grid, years)
    material = sum(line.material.upfront_kg for line in found.lines)
    leaks = [line.refrigerant for line in found.lines if line.refrigerant is not None]
    installing = sum(one.installing_kg_co2e for one in leaks)
    in_use = sum(one.in_use_kg_co2e / one.life_years for one in leaks if one.life_years)
    at_end = sum(one.at_end_kg_co2e for one in leaks)
    leaked = tuple(in_use + (at_end if year == years else 0.0) for year in range(1, years + 1))
    left = [material + installing]
    for gained, lost in zip(saved, leaked, strict=True):
        left.append(left[-1] - gained + lost)
    return CarbonOverYears(material, installing, saved, leaked, tuple(left))
