"""What a measure is worth over the years: present values, payback, ratios. End-of-year flows, in cents.

Conventions of NIST Handbook 135 and 10 CFR 436 Subpart A; constant dollars unless said to be nominal.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from math import isnan

from retrofit_desk.money.rounding import to_dollars, whole_cents


def single_present_value(rate: Decimal, years: int) -> Decimal:
    """Present value today of one dollar after `years` years."""
    return Decimal(1) / (1 + rate) ** years


def uniform_present_value(rate: Decimal, years: int) -> Decimal:
    """Present value today of one dollar at the end of each of `years` years."""
    return sum((single_present_value(rate, year) for year in range(1, years + 1)), Decimal(0))


def capital_recovery(rate: Decimal, years: int) -> Decimal:
    """The level yearly sum that repays one dollar: i(1+i)^n / ((1+i)^n - 1)."""
    return Decimal(1) / uniform_present_value(rate, years)


def real_rate(nominal_rate: Decimal, inflation: Decimal) -> Decimal:
    """The rate in constant dollars: (1 + D) = (1 + d)(1 + e)."""
    return (1 + nominal_rate) / (1 + inflation) - 1


def nominal_rate(real: Decimal, inflation: Decimal) -> Decimal:
    """The rate in dollars of the day."""
    return (1 + real) * (1 + inflation) - 1


def energy_unit_cost(
    total_cost_cents: int, yearly_cost_cents: int, yearly_kwh: Decimal, rate: Decimal, years: int
) -> Decimal:
    """Dollars per kWh over the life: (FCR TCC + FOC) / AEP (Short et al. 1995, NREL/TP-462-5173)."""
    yearly = capital_recovery(rate, years) * to_dollars(total_cost_cents) + to_dollars(yearly_cost_cents)
    return yearly / yearly_kwh


def net_present_value_cents(flows_cents: Sequence[int], rate: Decimal) -> int:
    """Present value of flows at the end of years 0, 1, 2 ..."""
    return whole_cents(_present(flows_cents, rate))


def discounted_payback_years(flows_cents: Sequence[int], rate: Decimal) -> int | None:
    """The first year at whose end the cumulated present value is not negative; none when it never is."""
    so_far = Decimal(0)
    for year, flow in enumerate(flows_cents):
        so_far += flow * single_present_value(rate, year)
        if so_far >= 0:
            return year
    return None


def falls_back_in(flows_cents: Sequence[int], rate: Decimal) -> int | None:
    """The first year after the discounted payback whose cumulated present value is negative again."""
    so_far, is_back = Decimal(0), False
    for year, flow in enumerate(flows_cents):
        so_far += flow * single_present_value(rate, year)
        if is_back and so_far < 0:
            return year
        is_back = is_back or so_far >= 0
    return None


@dataclass(frozen=True)
class LifeCycle:
    """A choice over the study period, present values in cents."""

    investment_cents: int
    replacement_cents: int
    residual_cents: int
    energy_cents: int
    upkeep_cents: int

    @property
    def total_cents(self) -> int:
        return self.investment_related_cents + self.energy_cents + self.upkeep_cents

    @property
    def investment_related_cents(self) -> int:
        return self.investment_cents + self.replacement_cents - self.residual_cents


def net_savings_cents(base: LifeCycle, other: LifeCycle) -> int:
    """Life-cycle cost of the base less that of the other."""
    return base.total_cents - other.total_cents


def savings_to_investment(base: LifeCycle, other: LifeCycle) -> Decimal | None:
    """SIR: operational savings over extra investment-related costs; none when nothing extra is invested."""
    extra = other.investment_related_cents - base.investment_related_cents
    if extra <= 0:
        return None
    saved = base.energy_cents + base.upkeep_cents - other.energy_cents - other.upkeep_cents
    return Decimal(saved) / extra


def adjusted_return(ratio: Decimal, rate: Decimal, years: int) -> Decimal:
    """AIRR: (1 + d) SIR^(1/N) - 1; zero or negative savings return -1."""
    if ratio <= 0:
        return Decimal(-1)
    return (1 + rate) * (ratio.ln() / years).exp() - 1


@dataclass(frozen=True)
class InternalReturn:
    """The rate at which the flows are worth nothing, and what must be said beside it."""

    rate: float | None
    warnings: tuple[str, ...]


def internal_return(flows_cents: Sequence[int]) -> InternalReturn:
    """IRR of yearly flows. Warns when the sign changes more than once: then several rates may fit."""
    signs = [flow > 0 for flow in flows_cents if flow]
    changes = sum(1 for a, b in pairwise(signs) if a is not b)
    if changes == 0:
        return InternalReturn(None, ("the flows never change sign, so no rate fits",))
    import numpy_financial

    found = float(numpy_financial.irr([float(flow) for flow in flows_cents]))
    warnings = ("the flows change sign more than once, so several rates may fit",) if changes > 1 else ()
    if isnan(found):  # the library's way to say that it found no root
        return InternalReturn(None, (*warnings, "no rate was found"))
    return InternalReturn(found, warnings)


def replacement_avoided_cents(replacement_cents: int, due_in_years: int, rate: Decimal) -> int:
    """Present value of what would have to be bought anyway after some years."""
    return whole_cents(replacement_cents * single_present_value(rate, max(due_in_years, 0)))


def years_bought_again(life_years: int, study_years: int, bought_in: int = 0) -> tuple[int, ...]:
    """Years at whose end a thing is bought again within the study period.

    Not in its last year: what ends with the study is done, ceil(study / life - 1) times in all (EN 15978).
    """
    return tuple(range(bought_in + life_years, study_years, life_years))


def residual_share(life_years: int, study_years: int, bought_in: int = 0) -> Decimal:
    """Share of its price that the last one bought is worth at the end of the study: of its life what is left.

    Linear proration, NIST Handbook 135. Zero for what is bought at the end or after it.
    """
    age = (study_years - bought_in) % life_years if bought_in < study_years else 0
    return Decimal(life_years - age) / life_years if age else Decimal(0)


def yearly_flows_cents(
    cost_cents: int, first_year_saving_cents: int, years: int, *, saving_growth: Decimal = Decimal(0)
) -> tuple[int, ...]:
    """Flows of years 0 to `years`: the cost, then savings growing by a share a year."""
    flows = [Decimal(-cost_cents)]
    flows += [first_year_saving_cents * (1 + saving_growth) ** year for year in range(years)]
    return tuple(whole_cents(flow) for flow in flows)


def _present(flows_cents: Sequence[int], rate: Decimal) -> Decimal:
    return sum((flow * single_present_value(rate, year) for year, flow in enumerate(flows_cents)), Decimal(0))
