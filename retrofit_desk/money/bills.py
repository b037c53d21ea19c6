"""Bills by month from a tariff: vectorised sums of energy, exact money, each line rounded half up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.money.hour_marks import HourMarks, hour_marks
from retrofit_desk.money.rounding import to_cents, to_dollars
from retrofit_desk.money.tariff import EnergyCharge, ExportKind, Tariff, Window
from retrofit_desk.values.errors import CannotSay

Hours = NDArray[np.float64]
_ZERO = Decimal(0)


@dataclass(frozen=True)
class BillLine:
    """One line of a bill: quantity times price, rounded to whole cents."""

    name: str
    quantity: Decimal
    unit: str
    price: Decimal
    amount_cents: int


@dataclass(frozen=True)
class MonthUse:
    """What the meter saw in one month. One entry a charge of the tariff, in its order.

    `drawn` and `fed_in`: units within each charge's window; `credited`: units within the window of each
    export credit; `peaks_kw`: the highest draw within the window of each demand charge.
    """

    month: int
    days: int
    drawn: tuple[Decimal, ...]
    fed_in: tuple[Decimal, ...] = ()
    credited: tuple[Decimal, ...] = ()
    peaks_kw: tuple[Decimal, ...] = ()


@dataclass(frozen=True)
class MonthBill:
    """One month's bill; the lines add up to the total. `exact_dollars`: before any rounding."""

    month: int
    lines: tuple[BillLine, ...]
    exact_dollars: Decimal
    carried: tuple[Decimal, ...] = ()
    """Surplus units that move on, one a charge."""

    @property
    def total_cents(self) -> int:
        return sum(line.amount_cents for line in self.lines)


@dataclass(frozen=True)
class YearBill:
    """Twelve bills and what the utility pays for surplus units at the end."""

    months: tuple[MonthBill, ...]
    year_end_cents: int = 0

    @property
    def total_cents(self) -> int:
        return sum(bill.total_cents for bill in self.months) - self.year_end_cents

    @property
    def month_cents(self) -> tuple[int, ...]:
        """The twelve totals, without the settlement at the end."""
        return tuple(bill.total_cents for bill in self.months)


def bill_month(
    tariff: Tariff,
    use: MonthUse,
    carried: Sequence[Decimal] = (),
    earlier_peaks_kw: Sequence[Decimal] = (),
) -> MonthBill:
    """The bill of one month. `carried`: surplus units of earlier months, one a charge."""
    lines = _fixed_lines(tariff, use.days)
    moves_on: list[Decimal] = []
    for at, charge in enumerate(tariff.charges):
        brought = carried[at] if carried else _ZERO
        billed, surplus = _billed_units(tariff, charge, use, at, brought)
        moves_on.append(surplus)
        if use.month in charge.window.months:
            lines += _tier_lines(charge, billed, use.days, tariff.unit)
    lines += _demand_lines(tariff, use, earlier_peaks_kw)
    for credit, units in zip(tariff.export.credits, use.credited, strict=False):
        if use.month in credit.window.months:
            lines += [_negative(line) for line in _tier_lines(credit, units, use.days, tariff.unit)]
    lines += _closing_lines(tariff, lines)
    exact = sum((line.quantity * line.price for line in lines), _ZERO)
    return MonthBill(use.month, tuple(lines), exact, _pooled(tariff, use.month, moves_on))


def plain_use(tariff: Tariff, month: int, days: int, units: Decimal) -> MonthUse:
    """A month's use known only as one total. Raises `CannotSay` when the tariff asks for hours or peaks."""
    if tariff.needs_hours:
        raise CannotSay(f"a bill by {tariff.name}", "use by the hour, for its prices depend on the clock")
    return MonthUse(month, days, tuple(units for _ in tariff.charges))


def bill_year(
    tariff: Tariff, drawn_kwh: Hours, fed_in_kwh: Hours | None = None, marks: HourMarks | None = None
) -> YearBill:
    """Twelve bills from hourly energy, (8760,) kWh drawn from and fed into the grid, in standard time."""
    marked = marks or hour_marks()
    fed = np.zeros_like(drawn_kwh) if fed_in_kwh is None else fed_in_kwh
    drawn_by = [_by_month(drawn_kwh, marked, charge.window) for charge in tariff.charges]
    fed_by = [_by_month(fed, marked, charge.window) for charge in tariff.charges]
    credits_by = [_by_month(fed, marked, credit.window) for credit in tariff.export.credits]
    peaks_by = [_peaks_by_month(drawn_kwh, marked, demand.window) for demand in tariff.demand]
    uses = [
        MonthUse(
            month + 1,
            marked.days_in_month[month],
            tuple(by[month] for by in drawn_by),
            tuple(by[month] for by in fed_by),
            tuple(by[month] for by in credits_by),
            tuple(by[month] for by in peaks_by),
        )
        for month in range(12)
    ]
    return _settle(tariff, uses)


def bill_year_by_months(tariff: Tariff, units: Sequence[float]) -> YearBill:
    """Twelve bills from twelve monthly totals in the tariff's unit. Raises `CannotSay` like `plain_use`."""
    of_month = hour_marks().days_in_month
    uses = [plain_use(tariff, at + 1, of_month[at], _units(units[at])) for at in range(12)]
    return _settle(tariff, uses)


def closed_account() -> YearBill:
    """A year of an account that is closed: no use, no fixed charge."""
    return YearBill(tuple(MonthBill(month, (), _ZERO) for month in range(1, 13)))


def _settle(tariff: Tariff, uses: Sequence[MonthUse]) -> YearBill:
    carried: tuple[Decimal, ...] = ()
    peaks: list[Decimal] = [_ZERO] * len(tariff.demand)
    bills: list[MonthBill] = []
    for use in uses:
        bill = bill_month(tariff, use, carried, peaks)
        peaks = [max(a, b) for a, b in zip(peaks, use.peaks_kw, strict=True)] if tariff.demand else peaks
        carried = bill.carried if tariff.export.rolls_over else ()
        bills.append(bill)
    surplus = _surplus_left(tariff, carried)
    return YearBill(tuple(bills), to_cents(surplus * tariff.export.year_end_price))


def _billed_units(
    tariff: Tariff, charge: EnergyCharge, use: MonthUse, at: int, brought: Decimal
) -> tuple[Decimal, Decimal]:
    """Units billed, and surplus that is left."""
    nets = tariff.export.kind is ExportKind.NET_METERING and not charge.on_all_imports
    if not nets or not use.fed_in or use.month not in charge.window.months:
        return use.drawn[at], _ZERO
    net = use.drawn[at] - use.fed_in[at] - brought
    return max(net, _ZERO), max(-net, _ZERO)


def _pooled(tariff: Tariff, month: int, surplus: list[Decimal]) -> tuple[Decimal, ...]:
    """Surplus by charge; charges for the same hours of different seasons share what is left."""
    left: dict[tuple[tuple[int, ...], tuple[int, ...]], Decimal] = {}
    for charge, units in zip(tariff.charges, surplus, strict=True):
        if month in charge.window.months and not charge.on_all_imports:
            left[charge.window.weekdays, charge.window.hours] = units
    return tuple(left.get((one.window.weekdays, one.window.hours), _ZERO) for one in tariff.charges)


def _surplus_left(tariff: Tariff, carried: Sequence[Decimal]) -> Decimal:
    """Units left at the end of the year, each counted once though several charges look at it."""
    by_hours = {
        (charge.window.weekdays, charge.window.hours): units
        for charge, units in zip(tariff.charges, carried, strict=False)
    }
    whole = [units for (weekdays, hours), units in by_hours.items() if len(weekdays) * len(hours) == 168]
    return max(whole) if whole else sum(by_hours.values(), _ZERO)


def _fixed_lines(tariff: Tariff, days: int) -> list[BillLine]:
    lines: list[BillLine] = []
    if tariff.fixed_per_month:
        lines.append(_line("Fixed charge", Decimal(1), "month", tariff.fixed_per_month))
    if tariff.fixed_per_day:
        lines.append(_line("Daily charge", Decimal(days), "day", tariff.fixed_per_day))
    return lines


def _tier_lines(charge: EnergyCharge, units: Decimal, days: int, unit: str) -> list[BillLine]:
    lines: list[BillLine] = []
    done = _ZERO
    for tier in charge.tiers:
        limit = units if tier.up_to is None else tier.up_to * (days if charge.limits_per_day else 1)
        within = max(min(units, limit) - done, _ZERO)
        if within and tier.price:
            lines.append(_line(charge.name, within, unit, tier.price))
        done += within
    return lines


def _demand_lines(tariff: Tariff, use: MonthUse, earlier: Sequence[Decimal]) -> list[BillLine]:
    lines: list[BillLine] = []
    for at, demand in enumerate(tariff.demand):
        if use.month not in demand.window.months:
            continue
        floor = demand.earlier_peak_share * (earlier[at] if earlier else _ZERO)
        lines.append(_line(demand.name, max(use.peaks_kw[at], floor), "kW", demand.price))
    return lines


def _closing_lines(tariff: Tariff, lines: Sequence[BillLine]) -> list[BillLine]:
    """The top-up to the minimum bill, then tax on everything."""
    added: list[BillLine] = []
    so_far = sum(line.amount_cents for line in lines)
    short = to_cents(tariff.minimum_bill) - so_far
    if tariff.minimum_bill and short > 0:
        added.append(_line("Up to the minimum bill", Decimal(1), "month", to_dollars(short)))
        so_far += short
    if tariff.tax_share:
        added.append(_line("Tax", to_dollars(max(so_far, 0)), "$", tariff.tax_share))
    return added


def _line(name: str, quantity: Decimal, unit: str, price: Decimal) -> BillLine:
    return BillLine(name, quantity, unit, price, to_cents(quantity * price))


def _negative(line: BillLine) -> BillLine:
    return BillLine(line.name, line.quantity, line.unit, -line.price, -line.amount_cents)


@lru_cache(maxsize=256)
def _within(marks: HourMarks, window: Window) -> NDArray[np.bool_]:
    return (
        np.isin(marks.month, window.months)
        & np.isin(marks.weekday, window.weekdays)
        & np.isin(marks.hour, window.hours)
    )


def _by_month(kwh: Hours, marks: HourMarks, window: Window) -> list[Decimal]:
    sums = np.bincount(marks.month, weights=kwh * _within(marks, window), minlength=13)
    return [_units(value) for value in sums[1:]]


def _peaks_by_month(kwh: Hours, marks: HourMarks, window: Window) -> list[Decimal]:
    inside = np.where(_within(marks, window), kwh, 0.0)
    peaks = np.zeros(13)
    np.maximum.at(peaks, marks.month, inside)
    return [_units(value) for value in peaks[1:]]


def _units(value: float) -> Decimal:
    """A metered quantity as an exact number; a watt-hour's thousandth is finer than any meter."""
    return Decimal(repr(round(float(value), 6)))
