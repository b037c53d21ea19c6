"""The newest savings sum over the years ahead: money, incentives, loan, cash and carbon.

Everything is read from the kept sum and the record as it is now; nothing is simulated.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.estimate.carbon_again import CarbonAgain, carbon_again
from retrofit_desk.estimate.later_money import Lasting, LaterMoney, upkeep_known_cents
from retrofit_desk.estimate.measure_carbon import STAGES
from retrofit_desk.estimate.over_years import (
    CarbonOverYears,
    CashOverYears,
    Loan,
    MoneyOverYears,
    Outlook,
    carbon_over_years,
    cash_over_years,
    money_over_years,
    stake_of,
    whole_stake,
)
from retrofit_desk.estimate.range_over_years import (
    NetPresentRange,
    RangesOverYears,
    ReturnRange,
    ranges_over_years,
)
from retrofit_desk.estimate.savings import SavingsLine, SavingsSum, SourceLine
from retrofit_desk.estimate.upstream import SpareLeak, UpstreamLeaks, upstream_leaks
from retrofit_desk.money.worth import energy_unit_cost, real_rate
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import tables_of
from retrofit_desk.services.budget import rebates_of
from retrofit_desk.services.days import today_of
from retrofit_desk.services.later_money import later_money
from retrofit_desk.services.loan_sheet import loan_of, plan_of
from retrofit_desk.services.money_values import LoanSheet, RebateRow
from retrofit_desk.services.outlook import OutlookService

__all__ = [
    "HOW",
    "STAGES",
    "WHAT_COMES",
    "CarbonAgain",
    "CarbonOverYears",
    "Lasting",
    "LaterMoney",
    "LineYears",
    "MoneyOverYears",
    "MonthCash",
    "NetPresentRange",
    "RangesOverYears",
    "ReturnRange",
    "SpareLeak",
    "UpstreamLeaks",
    "WorthYears",
    "WorthYearsService",
]

HOW = (
    "Constant dollars, flows at the end of each year, conventions of NIST Handbook 135 and 10 CFR 436: net "
    "present value (NPV), savings-to-investment ratio (SIR), adjusted and internal rate of return (AIRR, "
    "IRR). The cost is what is paid more than for what must be bought anyway, rebates off. "
)
WHAT_COMES = (
    "What wears out is bought again at the price of today, and what is left of its life at the end of the "
    "study counts for its share of the price (linear, NIST Handbook 135). Left out: taxes. Without a stated "
    "loan the money is the owner's own. "
)

MAKES_POWER = "photovoltaics"
"""The kind of measure that has a cost of its power."""
_IN_SERVICE = (
    m.MeasureState.IN_PLACE,
    m.MeasureState.SIGNED_OFF,
    m.MeasureState.PROVEN,
    m.MeasureState.TOO_SOON,
    m.MeasureState.NOT_BORNE_OUT,
)


@dataclass(frozen=True)
class MonthCash:
    """One month of the first year, in cents: bills before and after, and the loan's payment."""

    before_cents: int
    after_cents: int
    payment_cents: int | None

    @property
    def saved_cents(self) -> int:
        return self.before_cents - self.after_cents

    @property
    def left_cents(self) -> int | None:
        """Saved less the payment; none without a loan."""
        return None if self.payment_cents is None else self.saved_cents - self.payment_cents


@dataclass(frozen=True)
class LineYears:
    """One measure over the years; `money` is none while its cost is not known.

    `made_dollars_kwh`: what a kilowatt-hour from the roof costs over the study period; none for what makes
    none.
    """

    line: SavingsLine
    money: MoneyOverYears | None
    is_done: bool
    made_dollars_kwh: Decimal | None = None


@dataclass(frozen=True)
class WorthYears:
    """All of it. `hoped`: with every rebate that is expected but not reserved, none where there is none."""

    outlook: Outlook
    sources: tuple[SourceLine, ...]
    reserved: MoneyOverYears
    ranges: RangesOverYears
    """How far the figures of `reserved` may lie off."""
    hoped: MoneyOverYears | None
    hoped_cents: int
    rebates: tuple[RebateRow, ...]
    lines: tuple[LineYears, ...]
    months: tuple[MonthCash, ...]
    cash: CashOverYears
    loan: LoanSheet | None
    carbon: CarbonOverYears
    carbon_again: CarbonAgain
    """Stage B4; in none of the figures of `carbon`."""
    upstream: UpstreamLeaks
    """Apart from `carbon`: in none of its figures."""

    @property
    def left_out(self) -> tuple[str, ...]:
        """Titles of the measures whose cost is not known: none of the figures holds them."""
        return tuple(one.line.title for one in self.lines if one.money is None)

    @property
    def later(self) -> tuple[LaterMoney, ...]:
        """What comes after each measure of known cost is bought, in the order of the line-up."""
        return tuple(one for line in self.lines if line.money for one in line.money.stake.later)

    @property
    def loan_above_inflation(self) -> Decimal | None:
        """The loan's yearly rate in constant dollars; none without a loan, or without its rate."""
        rate = None if self.loan is None else self.loan.apr_percent.value
        return None if rate is None else real_rate(Decimal(str(rate)) / 100, self.outlook.inflation)


class WorthYearsService:
    """Reads a kept sum over the years."""

    def __init__(self, project: Project) -> None:
        self._project = project
        self._outlook = OutlookService(project)
        self._tables = tables_of(project)

    def of(self, found: SavingsSum) -> WorthYears:
        """The sum by the owner's outlook, the rebates and the loan as they are recorded now."""
        outlook = self._outlook.outlook()
        with self._project.session() as session:
            rebates = self._rebates(session, found)
            loan, sheet = _loan(session)
            measures = _measures(session, found)
            done = {one.key for one in measures if one.state in _IN_SERVICE}
            makers = {one.key for one in measures if one.kind == MAKES_POWER}
            later = later_money(session, found.lines, found.made_at.date(), self._tables)
            priced = {one.key for one in found.lines if one.cost_cents.is_known}
            counted = {one.id for one in measures if one.key in priced}
        hoped_cents = sum(
            row.expected_cents.value or 0
            for row in rebates
            if counted.issuperset(row.measure_ids) and not row.is_reserved and not row.received_cents.value
        )
        reserved = money_over_years(whole_stake(found, later), outlook)
        hoped = money_over_years(whole_stake(found, later, hoped_cents), outlook) if hoped_cents else None
        return WorthYears(
            outlook=outlook,
            sources=self._outlook.sources(),
            reserved=reserved,
            ranges=ranges_over_years(reserved.stake, found.whole.money_saved, outlook),
            hoped=hoped,
            hoped_cents=hoped_cents,
            rebates=rebates,
            lines=tuple(
                _line(line, later.get(line.key), outlook, line.key in done, line.key in makers)
                for line in found.lines
            ),
            months=_months(found, loan),
            cash=cash_over_years(reserved.cash_cents, loan, outlook),
            loan=sheet,
            carbon=carbon_over_years(found, outlook.years),
            carbon_again=carbon_again(found, later, outlook.years),
            upstream=upstream_leaks(found.before, found.after, self._tables),
        )

    def _rebates(self, session: Session, found: SavingsSum) -> tuple[RebateRow, ...]:
        """Those of the measures in the sum."""
        own = {one.id for one in _measures(session, found)}
        rows = rebates_of(session, today_of(session), self._tables)
        return tuple(row for row in rows if own.intersection(row.measure_ids))


def _measures(session: Session, found: SavingsSum) -> Sequence[m.Measure]:
    keys = {line.key for line in found.lines}
    return session.scalars(select(m.Measure).where(m.Measure.key.in_(keys))).all()


def _loan(session: Session) -> tuple[Loan | None, LoanSheet | None]:
    """The first recorded loan whose rate and months are known."""
    for row in session.scalars(select(m.Loan).order_by(m.Loan.id)):
        plan = plan_of(row)
        if plan is not None:
            paid_out = row.principal_cents - (row.fees_cents or 0)
            return Loan(row.name, paid_out, plan), loan_of(session, row)
    return None, None


def _line(
    line: SavingsLine, later: LaterMoney | None, outlook: Outlook, is_done: bool, makes_power: bool
) -> LineYears:
    stake = stake_of(line, later)
    if stake is None:
        return LineYears(line, None, is_done)
    money = money_over_years(stake, outlook)
    return LineYears(line, money, is_done, made_dollars_kwh(line, money, outlook) if makes_power else None)


def made_dollars_kwh(line: SavingsLine, money: MoneyOverYears, outlook: Outlook) -> Decimal | None:
    """Of a roof that makes power: all that is paid for it, by what it spares and feeds in."""
    gain = line.in_its_place
    made = Decimal(str(round(gain.fed_in_kwh - gain.electricity_added_kwh, 3)))
    if made <= 0:
        return None
    paid, upkeep = money.done.investment_related_cents, upkeep_known_cents(money.stake.later)[0]
    return energy_unit_cost(paid, upkeep, made, outlook.discount_rate, outlook.years)


def _months(found: SavingsSum, loan: Loan | None) -> tuple[MonthCash, ...]:
    payment = None if loan is None else loan.plan.payment_cents
    return tuple(
        MonthCash(
            sum(bill.month_cents[at] for bill in found.before.bills),
            sum(bill.month_cents[at] for bill in found.after.bills),
            payment,
        )
        for at in range(12)
    )
