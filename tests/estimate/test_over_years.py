"""A sum over the years: published conventions of life-cycle cost, a loan beside own money, carbon by year."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.estimate.over_years import (
    Loan,
    Outlook,
    Stake,
    carbon_over_years,
    cash_over_years,
    money_over_years,
    stake_of,
    whole_stake,
)
from retrofit_desk.estimate.savings import RefrigerantCarbon, SavingsSum
from retrofit_desk.estimate.work_out import work_out
from retrofit_desk.money.loans import loan_plan
from tests.estimate.line_ups import a_question, a_simulator

PLAIN = Outlook()


@cache
def the_sum() -> SavingsSum:
    return work_out(a_question("air_sealing", "induction_range"), a_simulator(), lambda share, doing: None)


def test_twenty_years_of_a_level_saving_are_worth_the_uniform_factor() -> None:
    # FIN-12: NIST Handbook 135 conventions (from memory): UPV at 3 %, 20 years, 14.88
    found = money_over_years(Stake(0, 0, 0, 10_000, 0), PLAIN)
    assert Decimal(found.net_present_cents) / 10_000 == pytest.approx(Decimal("14.88"), abs=Decimal("0.005"))


def test_the_gas_fixed_charge_over_twenty_years() -> None:
    # BILL-9: 183.60 a year, twenty years at 3 %: 2,731.50
    assert money_over_years(Stake(0, 0, 0, 18_360, 0), PLAIN).net_present_cents == 273_150


def test_savings_to_investment_counts_operational_savings_over_extra_investment() -> None:
    # FIN-13: the ratio and the adjusted return of NIST Handbook 135; inputs constructed, arithmetic by hand:
    # 1,000 a year x 14.87747 over 10,000 - 2,000 - 500 = 1.9837; 1.03 x 1.9837^(1/20) - 1 = 6.5885 %
    found = money_over_years(Stake(1_000_000, 200_000, 50_000, 60_000, 40_000), PLAIN)
    assert found.savings_to_investment == pytest.approx(Decimal("1.9837"), abs=Decimal("0.00005"))
    assert found.adjusted_return == pytest.approx(Decimal("0.065885"), abs=Decimal("0.000005"))
    assert found.net_present_cents == round(100_000 * 14.877474860 - 750_000)
    assert found.discounted_payback_years == 9  # UPV(8) = 7.02, UPV(9) = 7.79 of 7.5 wanted


def test_one_rate_of_return_without_a_warning_and_none_where_nothing_is_saved() -> None:
    good = money_over_years(Stake(100_000, 0, 0, 20_000, 0), PLAIN)
    assert good.internal.rate is not None
    assert good.internal.warnings == ()
    bad = money_over_years(Stake(100_000, 0, 0, -5_000, 0), PLAIN)
    assert bad.internal.rate is None
    assert bad.internal.warnings
    assert bad.discounted_payback_years is None


def test_each_kind_of_price_grows_by_its_own_rate() -> None:
    outlook = replace(PLAIN, fuel_growth=Decimal("0.10"), years=3)
    assert Stake(0, 0, 0, 1_000, 500).savings_cents(outlook) == (1_500, 1_600, 1_710)


def test_a_loan_pays_out_at_once_and_takes_its_payments_back() -> None:
    # FIN-11: 18,000 at 6.49 %, 120 months, 450 of fees: payment 204.29, last 205.05, interest 6,515.56
    loan = Loan("loan", 1_755_000, loan_plan(1_800_000, Decimal("0.0649"), 120))
    flows = (-2_000_000, *[100_000] * 12)
    found = cash_over_years(flows, loan, replace(PLAIN, inflation=Decimal(0), years=12))
    assert found.with_loan_cents is not None
    assert found.with_loan_cents[0] == -2_000_000 + 1_755_000
    assert found.with_loan_cents[1] - found.with_loan_cents[0] == 100_000 - 12 * 20_429
    assert found.own_cents[-1] - found.with_loan_cents[-1] == 651_556 + 45_000


def test_inflation_makes_the_payments_of_a_loan_lighter() -> None:
    # FIN-14: loan payments are nominal: deflate them, never mix
    loan = Loan("loan", 1_000_000, loan_plan(1_000_000, Decimal("0.05"), 60))
    flows = (-1_000_000, *[0] * 6)
    plain = cash_over_years(flows, loan, replace(PLAIN, inflation=Decimal(0)))
    inflated = cash_over_years(flows, loan, replace(PLAIN, inflation=Decimal("0.03")))
    assert plain.with_loan_cents is not None
    assert inflated.with_loan_cents is not None
    assert inflated.with_loan_cents[-1] > plain.with_loan_cents[-1]
    assert inflated.own_cents == plain.own_cents


@given(st.integers(0, 10**7), st.integers(-(10**5), 10**6), st.integers(-(10**5), 10**6))
def test_present_value_is_what_is_saved_less_what_is_put_in(cost: int, fuel: int, power: int) -> None:
    found = money_over_years(Stake(cost, 0, 0, fuel, power), replace(PLAIN, discount_rate=Decimal(0)))
    assert found.net_present_cents == 20 * (fuel + power) - cost == sum(found.flows_cents)


def test_the_stakes_of_the_measures_add_up_to_that_of_the_whole() -> None:
    parts = [stake_of(line) for line in the_sum().lines]
    whole = whole_stake(the_sum())
    assert all(part is not None for part in parts)
    for name in ("cost_cents", "avoided_cents", "rebates_cents"):
        assert sum(getattr(part, name) for part in parts) == getattr(whole, name)
    saved = sum(part.fuel_saved_cents + part.power_saved_cents for part in parts if part)
    assert abs(saved - whole.fuel_saved_cents - whole.power_saved_cents) <= len(parts)  # rounded cents
    assert whole_stake(the_sum(), 5_000).extra_cents == whole.extra_cents - 5_000


def test_what_is_last_and_what_is_alone_make_the_whole() -> None:
    first, second = the_sum().lines
    assert first.alone is not None
    assert second.last is not None
    assert first.alone.carbon_saved_kg + second.last.carbon_saved_kg == pytest.approx(
        the_sum().whole.carbon_saved.value
    )
    assert second.last == second.in_its_place
    assert second.last_without == ()


def test_the_saved_carbon_of_each_year_follows_the_grid() -> None:
    found = the_sum()
    carbon = carbon_over_years(found, 10)
    assert carbon.saved_kg[0] == pytest.approx(found.whole.carbon_saved.value)
    fuel_kg = found.before.fuel_carbon_kg - found.after.fuel_carbon_kg
    added_kwh, rate = found.whole.electricity_added.value, found.grid.first_year_kg_kwh
    assert carbon.saved_kg[9] == pytest.approx(fuel_kg - added_kwh * rate * 0.97**9)
    assert carbon.left_kg[10] == pytest.approx(
        carbon.left_kg[0] - sum(carbon.saved_kg) + sum(carbon.leaked_kg)
    )


def test_a_refrigerant_leaks_each_year_and_at_its_end() -> None:
    # FUEL-3: 4 % a year over 15 years and 20 % at the end: 2.2 kg R-32 -> 1,188 kg CO2e (79 a year) by AR4
    gas = RefrigerantCarbon("R-32", 2.2, 675.0, 1188.0, 0.0, "", 0.04 * 15 * 2.2 * 675, 0.2 * 2.2 * 675, 15.0)
    line = replace(the_sum().lines[0], refrigerant=gas)
    carbon = carbon_over_years(replace(the_sum(), lines=(line,)), 15)
    assert sum(carbon.leaked_kg) == pytest.approx(1188.0)
    assert sum(carbon.leaked_kg) / 15 == pytest.approx(79, abs=0.5)
    assert carbon.leaked_kg[0] == pytest.approx(59.4)
    assert carbon.leaked_kg[-1] == pytest.approx(59.4 + 297.0)
