"""A savings sum over the years: life-cycle money, cash with and without a loan, carbon under a falling grid.

Nothing is simulated here: another rate, price growth or loan needs only the kept sum.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType

from retrofit_desk.carbon.biogenic import BiogenicStore
from retrofit_desk.carbon.payback import avoided_by_year_kg
from retrofit_desk.estimate.later_money import Lasting, LaterMoney, upkeep_known_cents
from retrofit_desk.estimate.savings import MaterialEnd, SavingsLine, SavingsSum
from retrofit_desk.money.loans import LoanPlan
from retrofit_desk.money.rounding import whole_cents
from retrofit_desk.money.worth import (
    InternalReturn,
    LifeCycle,
    adjusted_return,
    discounted_payback_years,
    falls_back_in,
    internal_return,
    net_present_value_cents,
    replacement_avoided_cents,
    savings_to_investment,
    single_present_value,
    uniform_present_value,
    yearly_flows_cents,
)

NOTHING_LATER: Mapping[str, LaterMoney] = MappingProxyType({})


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
    """What is put in, now and later, and what it saves in the first year, in cents of today."""

    later: tuple[LaterMoney, ...]
    rebates_cents: int
    fuel_saved_cents: int
    power_saved_cents: int

    @property
    def own(self) -> tuple[Lasting, ...]:
        """All that the measures are made of."""
        return tuple(part for one in self.later for part in one.own)

    @property
    def instead(self) -> tuple[Lasting, ...]:
        """All that would be bought without them."""
        return tuple(part for one in self.later for part in one.instead)

    @property
    def cost_cents(self) -> int:
        return sum(part.price_cents for part in self.own)

    @property
    def avoided_cents(self) -> int:
        """What would be bought anyway, whenever that is due."""
        return sum(part.price_cents for part in self.instead)

    def savings_cents(self, outlook: Outlook) -> tuple[int, ...]:
        """Saved by the bills at the end of years 1 to the last, in constant dollars."""
        parts = (
            yearly_flows_cents(0, self.fuel_saved_cents, outlook.years, saving_growth=outlook.fuel_growth),
            yearly_flows_cents(0, self.power_saved_cents, outlook.years, saving_growth=outlook.power_growth),
        )
        return tuple(sum(year) for year in zip(*parts, strict=True))[1:]


@dataclass(frozen=True)
class MoneyOverYears:
    """A stake over the study period (NIST Handbook 135 conventions), constant dollars, end-of-year flows."""

    stake: Stake
    extra_cents: int
    """Cost less the present value of what would be bought anyway, rebates off."""
    flows_cents: tuple[int, ...]
    """Years 0 to the last, which has what is left at the end."""
    left_cents: int
    """What is left at the end beyond what would be left without the measures, cents of today's prices."""
    base: LifeCycle
    done: LifeCycle
    """Present values without the measures and with them; what the bills save stands in `base`."""
    net_present_cents: int
    savings_to_investment: Decimal | None
    adjusted_return: Decimal | None
    discounted_payback_years: int | None
    falls_back_in: int | None
    """The year in which the present values added up are below zero again, by what is bought again then."""
    internal: InternalReturn

    @property
    def cash_cents(self) -> tuple[int, ...]:
        """The flows that are cash: what is left at the end is nobody's payment."""
        return (*self.flows_cents[:-1], self.flows_cents[-1] - self.left_cents)


def money_over_years(stake: Stake, outlook: Outlook) -> MoneyOverYears:
    """Every figure of one stake. SIR is none where nothing extra is invested."""
    rate, years = outlook.discount_rate, outlook.years
    flows = _flows(stake, outlook)
    upkeep, ended = (cents * uniform_present_value(rate, years) for cents in upkeep_known_cents(stake.later))
    base = _life_cycle(stake.instead, outlook, _present(stake.savings_cents(outlook), rate), ended)
    done = _life_cycle(stake.own, outlook, Decimal(0), upkeep, stake.rebates_cents)
    ratio = savings_to_investment(base, done)
    return MoneyOverYears(
        stake=stake,
        extra_cents=done.investment_cents - base.investment_cents,
        flows_cents=flows,
        left_cents=_left(stake.own, years) - _left(stake.instead, years),
        base=base,
        done=done,
        net_present_cents=net_present_value_cents(flows, rate),
        savings_to_investment=ratio,
        adjusted_return=None if ratio is None else adjusted_return(ratio, rate, years),
        discounted_payback_years=discounted_payback_years(flows, rate),
        falls_back_in=falls_back_in(flows, rate),
        internal=internal_return(flows),
    )


def _flows(stake: Stake, outlook: Outlook) -> tuple[int, ...]:
    """Years 0 to the last; what is due at the very end or later is not bought within the study."""
    years = outlook.years
    upkeep, ended = upkeep_known_cents(stake.later)
    flows = [stake.rebates_cents, *(cents - upkeep + ended for cents in stake.savings_cents(outlook))]
    for sign, parts in ((-1, stake.own), (1, stake.instead)):
        for part in parts:
            for year, cents in enumerate(part.by_year_cents(years)):
                flows[year] += sign * cents
    return tuple(flows)


def _life_cycle(
    parts: Sequence[Lasting], outlook: Outlook, energy: Decimal, upkeep: Decimal, rebates_cents: int = 0
) -> LifeCycle:
    rate, years = outlook.discount_rate, outlook.years
    first = sum(replacement_avoided_cents(part.first_cents(years), part.bought_in, rate) for part in parts)
    again = sum(
        (cents * single_present_value(rate, year) for part in parts for year, cents in part.again(years)),
        Decimal(0),
    )
    left = _left(parts, years) * single_present_value(rate, years)
    return LifeCycle(
        first - rebates_cents, whole_cents(again), whole_cents(left), whole_cents(energy), whole_cents(upkeep)
    )


def _left(parts: Sequence[Lasting], years: int) -> int:
    return sum(part.left_cents(years) for part in parts)


def _present(saved_cents: Sequence[int], rate: Decimal) -> Decimal:
    return sum(
        (cents * single_present_value(rate, year) for year, cents in enumerate(saved_cents, 1)), Decimal(0)
    )


def bought_once(line: SavingsLine) -> LaterMoney:
    """A measure of which nothing is known but what it costs now, and what would be bought anyway now."""
    cost, avoided = line.cost_cents.value or 0, line.avoided_cents.value or 0
    instead = (Lasting("bought anyway", avoided, avoided, None),) if avoided else ()
    return LaterMoney(line.title, (Lasting(line.title, cost, cost, None),), instead)


def stake_of(line: SavingsLine, later: LaterMoney | None = None) -> Stake | None:
    """One measure in its place; none where its cost is not known. Without `later`: as `bought_once`."""
    if line.cost_cents.value is None:
        return None
    gain = line.in_its_place
    fuel = round(gain.fuel_money_saved_cents)
    known = (later or bought_once(line),)
    return Stake(known, line.rebates_cents, fuel, round(gain.money_saved_cents) - fuel)


def whole_stake(
    found: SavingsSum, later: Mapping[str, LaterMoney] = NOTHING_LATER, more_rebates_cents: int = 0
) -> Stake:
    """All measures of the line-up whose cost is known; `later` by a measure's key.

    A measure of unknown cost is left out with what it saves in its place: it must not pass for free.
    `more_rebates_cents`: hoped for, not reserved.
    """
    lines = [line for line in found.lines if line.cost_cents.value is not None]
    fuel = round(sum(line.in_its_place.fuel_money_saved_cents for line in lines))
    return Stake(
        tuple(later.get(line.key) or bought_once(line) for line in lines),
        sum(line.rebates_cents for line in lines) + more_rebates_cents,
        fuel,
        round(sum(line.in_its_place.money_saved_cents for line in lines)) - fuel,
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
    """Kilograms of CO2 equivalent. Biogenic carbon stands apart in `store` and is in none of the others."""

    material_kg: float
    """A1 to A5."""
    end: MaterialEnd | None
    """Stage C of all materials, whenever that is: in no year and no payback. None: no materials are told."""
    store: BiogenicStore
    installing_kg: float
    saved_kg: tuple[float, ...]
    """In use, years 1 to the last, under the falling grid."""
    leaked_kg: tuple[float, ...]
    """Refrigerant in use each year; the last year carries the loss at the machines' end."""
    left_kg: tuple[float, ...]
    """Put in and not yet saved, at the end of years 0 to the last; negative once it is paid back."""


def carbon_over_years(found: SavingsSum, years: int) -> CarbonOverYears:
    """The whole line-up: put in at the start, saved by year, leaked by year."""
    fuel_kg = found.before.fuel_carbon_kg - found.after.fuel_carbon_kg
    power_kg = found.after.carbon_kg - found.before.carbon_kg + fuel_kg
    saved = avoided_by_year_kg(fuel_kg, power_kg, found.grid, years)
    material = sum(line.material.upfront_kg for line in found.lines)
    end = _whole_end(found)
    store = _whole_store(found)
    leaks = [line.refrigerant for line in found.lines if line.refrigerant is not None]
    installing = sum(one.installing_kg_co2e for one in leaks)
    in_use = sum(one.in_use_kg_co2e / one.life_years for one in leaks if one.life_years)
    at_end = sum(one.at_end_kg_co2e for one in leaks)
    leaked = tuple(in_use + (at_end if year == years else 0.0) for year in range(1, years + 1))
    left = [material + installing]
    for gained, lost in zip(saved, leaked, strict=True):
        left.append(left[-1] - gained + lost)
    return CarbonOverYears(material, end, store, installing, saved, leaked, tuple(left))


def _whole_store(found: SavingsSum) -> BiogenicStore:
    """What all lines store; given back only where each tells its end."""
    stores = [line.material.store for line in found.lines]
    given_back = [one.given_back_kg for one in stores if one.given_back_kg is not None]
    return BiogenicStore(
        sum(one.taken_up_kg for one in stores), sum(given_back) if len(given_back) == len(stores) else None
    )


def _whole_end(found: SavingsSum) -> MaterialEnd | None:
    """The ends of all lines, each unknown by its name."""
    ends = [line.material.end for line in found.lines if line.material.end is not None]
    if not ends:
        return None
    return MaterialEnd(
        sum(one.kg for one in ends),
        sum(one.low_kg for one in ends),
        sum(one.high_kg for one in ends),
        tuple(dict.fromkeys(name for one in ends for name in one.unknown)),
        sum(one.given_back_kg for one in ends),
        tuple(dict.fromkeys(line for one in ends for line in one.sources)),
    )
