"""Present values, payback and ratios against recomputed tables of published conventions."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.money.worth import (
    LifeCycle,
    adjusted_return,
    capital_recovery,
    discounted_payback_years,
    energy_unit_cost,
    internal_return,
    net_present_value_cents,
    net_savings_cents,
    nominal_rate,
    real_rate,
    replacement_avoided_cents,
    savings_to_investment,
    single_present_value,
    uniform_present_value,
    yearly_flows_cents,
)

THREE = Decimal("0.03")


@pytest.mark.parametrize(
    ("years", "single"),
    [(5, ".863"), (10, ".744"), (12, ".701"), (15, ".642"), (20, ".554"), (25, ".478"), (30, ".412")],
)
def test_single_present_values_at_three_percent(years: int, single: str) -> None:
    # FIN-12: conventions of NIST Handbook 135 (from memory), recomputed
    assert single_present_value(THREE, years).quantize(Decimal("0.001")) == Decimal(single)


@pytest.mark.parametrize(
    ("years", "uniform"),
    [(5, "4.58"), (10, "8.53"), (15, "11.94"), (20, "14.88"), (25, "17.41"), (30, "19.60")],
)
def test_uniform_present_values_at_three_percent(years: int, uniform: str) -> None:
    # FIN-12: as above
    assert uniform_present_value(THREE, years).quantize(Decimal("0.01")) == Decimal(uniform)


def test_life_cycle_of_two_air_systems() -> None:
    # FIN-13: inputs from memory of NIST Handbook 135; arithmetic only, with the three-digit factors
    spv12, spv20, upv, energy_upv = Decimal(".701"), Decimal(".554"), Decimal("14.88"), Decimal("15.13")

    def choice(first: int, fan: int, residual: int, energy: int, upkeep: int) -> LifeCycle:
        return LifeCycle(
            first * 100,
            int(fan * spv12 * 100),
            int(residual * spv20 * 100),
            int(energy * energy_upv * 100),
            int(upkeep * upv * 100),
        )

    base = choice(103000, 12000, 3500, 20000, 7000)
    other = choice(110000, 12500, 3700, 13000, 8000)
    assert (round(base.total_cents / 100), round(other.total_cents / 100)) == (516233, 432443)
    assert round(net_savings_cents(base, other) / 100) == 83790
    ratio = savings_to_investment(base, other)
    assert ratio is not None
    assert ratio.quantize(Decimal("0.01")) == Decimal("12.57")
    assert adjusted_return(ratio, THREE, 20).quantize(Decimal("0.001")) == Decimal("0.169")


def test_real_and_nominal_rates_say_the_same() -> None:
    # FIN-14: (1 + Decimal) = (1 + d)(1 + e)
    assert (real_rate(Decimal("0.055"), Decimal("0.025")) * 100).quantize(Decimal("0.0001")) == Decimal(
        "2.9268"
    )
    inflation = Decimal("0.025")
    assert nominal_rate(THREE, inflation) == Decimal("0.05575")
    real = [-1000000, *[90000] * 15]
    nominal = [round(flow * (1 + inflation) ** year) for year, flow in enumerate(real)]
    worth = net_present_value_cents(real, THREE)
    assert (
        abs(net_present_value_cents(nominal, nominal_rate(THREE, inflation)) - worth) <= 15
    )  # rounded flows


@pytest.mark.parametrize(
    ("rate", "years", "factor"),
    [("0.03", 25, ".0574279"), ("0.05", 20, ".0802426"), ("0.065", 15, ".1063528")],
)
def test_capital_recovery(rate: str, years: int, factor: str) -> None:
    # FIN-15: engineering-economics text, second-hand
    assert capital_recovery(Decimal(rate), years).quantize(Decimal("0.0000001")) == Decimal(factor)


def test_energy_cost_over_the_life() -> None:
    # FIN-15: Short et al. 1995, NREL/TP-462-5173, pp. 22-24 (formula); own numbers
    cost = energy_unit_cost(2_100_000, 15_000, Decimal(8400), THREE, 25)
    assert cost.quantize(Decimal("0.00001")) == Decimal("0.16143")
    cheaper = energy_unit_cost(1_470_000, 15_000, Decimal(8400), THREE, 25)
    assert cheaper.quantize(Decimal("0.00001")) == Decimal("0.11836")


def test_payback_says_none_when_nothing_is_saved() -> None:
    assert discounted_payback_years((-100_000, *[20_000] * 4), THREE) is None
    assert discounted_payback_years((-100_000, *[20_000] * 9), THREE) == 6


def test_internal_return_warns_when_the_sign_changes_twice() -> None:
    plain = internal_return((-100_000, 60_000, 60_000))
    assert plain.rate == pytest.approx(0.13066, abs=5e-6)
    assert plain.warnings == ()
    assert internal_return((-100_000, 230_000, -132_000)).warnings
    assert internal_return((100, 100)).rate is None


def test_a_replacement_avoided_later_is_worth_less() -> None:
    assert replacement_avoided_cents(800_000, 0, THREE) == 800_000
    assert replacement_avoided_cents(800_000, 5, THREE) == 690_087


@given(st.integers(1, 10**7), st.integers(0, 10**6), st.integers(1, 30))
def test_present_value_without_interest_is_the_plain_sum(cost: int, saving: int, years: int) -> None:
    flows = yearly_flows_cents(cost, saving, years)
    assert net_present_value_cents(flows, Decimal(0)) == sum(flows) == -cost + saving * years
