"""What is promised, paid, held back, owed and expected, in whole cents."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from retrofit_desk.money.rounding import whole_cents
from retrofit_desk.values.stated import Stated, StatedTotal, StatedValue, total


@dataclass(frozen=True)
class Stage:
    """A payment promised for a stage, gross of what is held back."""

    key: str
    amount_cents: int
    due_on: date | None = None
    is_final: bool = False


@dataclass(frozen=True)
class Paid:
    """Money that left. `held_back_cents`: kept back of the same bill; `is_retainage`: releases such money."""

    on: date
    amount_cents: int
    stage: str = ""
    held_back_cents: int = 0
    is_retainage: bool = False


@dataclass(frozen=True)
class ContractAccount:
    """One contract's money. Change orders count when both have signed; others are told apart."""

    price_cents: int
    signed_changes_cents: tuple[int, ...] = ()
    open_changes_cents: tuple[int, ...] = ()
    retainage_share: Decimal = Decimal(0)
    stages: tuple[Stage, ...] = ()
    paid: tuple[Paid, ...] = ()

    @property
    def total_cents(self) -> int:
        """Price with the change orders signed by both."""
        return self.price_cents + sum(self.signed_changes_cents)

    @property
    def expected_cents(self) -> int:
        """With the change orders that still wait for a signature."""
        return self.total_cents + sum(self.open_changes_cents)

    @property
    def paid_cents(self) -> int:
        return sum(one.amount_cents for one in self.paid)

    @property
    def left_cents(self) -> int:
        return self.total_cents - self.paid_cents

    @property
    def held_back_cents(self) -> int:
        """Retainage kept back of the bills paid so far and not yet released."""
        earned = sum(one.held_back_cents for one in self.paid if not one.is_retainage)
        released = sum(one.amount_cents for one in self.paid if one.is_retainage)
        return earned - released

    @property
    def unstaged_cents(self) -> int:
        """What the stages do not cover; zero when they add up to the price with its changes."""
        return self.total_cents - sum(stage.amount_cents for stage in self.stages)


def retained_cents(amount_cents: int, share: Decimal) -> int:
    """What is held back of a payment, rounded half up."""
    return whole_cents(amount_cents * share)


@dataclass(frozen=True)
class MeasureMoney:
    """One measure's money. `budget`: the owner's own costing; `committed`: its share of what is signed."""

    key: str
    budget_cents: StatedValue[int]
    committed_cents: StatedValue[int]
    paid_cents: int
    rebates_expected_cents: StatedValue[int]
    rebates_reserved_cents: int = 0
    rebates_received_cents: int = 0
    changes_cents: int = 0
    """Change orders signed by both; they are a part of what is committed."""

    @property
    def forecast_cents(self) -> StatedValue[int]:
        """What it will have cost: what is committed, else the budget; never below what is paid."""
        base = self.committed_cents if self.committed_cents.is_known else self.budget_cents
        if base.value is None:
            return base
        return StatedValue(max(base.value, self.paid_cents))


@dataclass(frozen=True)
class ProjectMoney:
    """The whole project; every total tells what it could not add."""

    budget: StatedTotal
    committed: StatedTotal
    forecast: StatedTotal
    paid_cents: int
    rebates_expected: StatedTotal
    rebates_reserved_cents: int
    rebates_received_cents: int

    @property
    def owed_cents(self) -> int:
        """Committed and not yet paid."""
        return self.committed.known - self.paid_cents

    @property
    def net_with_reserved_cents(self) -> int:
        """Forecast less only what is reserved in writing or received."""
        return self.forecast.known - max(self.rebates_reserved_cents, self.rebates_received_cents)

    @property
    def net_with_all_cents(self) -> int:
        """Forecast less every rebate hoped for."""
        return self.forecast.known - self.rebates_expected.known


@dataclass(frozen=True)
class Contingency:
    """Money set aside for what nobody foresaw, and what took it.

    Over the measures compared: budget + set aside = forecast + left, to the cent. A measure that was given up
    has no budget any more (excluded): all that went into it takes from what was set aside.
    """

    share: StatedValue[Decimal]
    base_cents: int
    """The budget of which the share is taken."""
    by_changes_cents: int
    """Change orders signed by both, more and less."""
    above_cents: int
    """What the forecast is otherwise above the budget, over the measures where it is."""
    below_cents: int
    """What the forecast is otherwise below the budget, over the measures where it is."""
    not_compared: int
    """Measures without a budget or without a forecast."""

    @property
    def set_cents(self) -> StatedValue[int]:
        if self.share.value is None:
            return StatedValue(None, self.share.stated)
        return StatedValue(whole_cents(self.base_cents * self.share.value))

    @property
    def taken_cents(self) -> int:
        return self.by_changes_cents + self.above_cents - self.below_cents

    @property
    def left_cents(self) -> StatedValue[int]:
        """Negative: more was taken than was set aside."""
        whole = self.set_cents
        return whole if whole.value is None else StatedValue(whole.value - self.taken_cents)


def contingency_of(measures: Iterable[MeasureMoney], share: StatedValue[Decimal]) -> Contingency:
    """What takes from the money set aside, measure by measure."""
    base = changes = above = below = not_compared = 0
    for row in measures:
        is_given_up = row.budget_cents.stated is Stated.EXCLUDED
        budget = 0 if is_given_up else row.budget_cents.value
        base += budget or 0
        if budget is None or row.forecast_cents.value is None:
            not_compared += 1
            continue
        otherwise = row.forecast_cents.value - row.changes_cents - budget
        changes += row.changes_cents
        above += max(otherwise, 0)
        below += max(-otherwise, 0)
    return Contingency(share, base, changes, above, below, not_compared)


def project_money(measures: Iterable[MeasureMoney]) -> ProjectMoney:
    """Sums over all measures."""
    rows = list(measures)
    return ProjectMoney(
        total(row.budget_cents for row in rows),
        total(row.committed_cents for row in rows),
        total(row.forecast_cents for row in rows),
        sum(row.paid_cents for row in rows),
        total(_of_cost(row, row.rebates_expected_cents) for row in rows),
        sum(_of_cost(row, StatedValue(row.rebates_reserved_cents)).value or 0 for row in rows),
        sum(row.rebates_received_cents for row in rows),
    )


def _of_cost(row: MeasureMoney, rebates_cents: StatedValue[int]) -> StatedValue[int]:
    """Rebates never bring more than the measure costs."""
    cost, hoped = row.forecast_cents.value, rebates_cents.value
    return rebates_cents if cost is None or hoped is None else StatedValue(min(hoped, cost))


@dataclass(frozen=True)
class CashMove:
    """Money in (positive) or out on a day. `is_firm`: already happened or promised in writing."""

    on: date | None
    amount_cents: int
    what: str
    is_firm: bool = True


@dataclass(frozen=True)
class CashMonth:
    """One month's money and what is left at its end."""

    year: int
    month: int
    in_cents: int
    out_cents: int
    balance_cents: int


@dataclass(frozen=True)
class CashPlan:
    """Month by month, and moves without a date that are in no month."""

    months: tuple[CashMonth, ...]
    undated: tuple[CashMove, ...]


def cash_by_month(moves: Sequence[CashMove], opening_cents: int = 0) -> CashPlan:
    """Every month from the first move to the last, also those without one."""
    dated = [(move.on, move.amount_cents) for move in moves if move.on is not None]
    undated = tuple(move for move in moves if move.on is None)
    if not dated:
        return CashPlan((), undated)
    indexes = [(day.year * 12 + day.month - 1, cents) for day, cents in dated]
    balance = opening_cents
    months: list[CashMonth] = []
    for index in range(min(at for at, _ in indexes), max(at for at, _ in indexes) + 1):
        here = [cents for at, cents in indexes if at == index]
        inward, outward = sum(c for c in here if c > 0), sum(c for c in here if c < 0)
        balance += inward + outward
        months.append(CashMonth(index // 12, index % 12 + 1, inward, -outward, balance))
    return CashPlan(tuple(months), undated)
