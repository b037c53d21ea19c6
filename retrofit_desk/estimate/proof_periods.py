"""The periods of a meter on both sides of a piece of work: its bills, the fills of its tank, or days read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from enum import StrEnum
from itertools import pairwise

import numpy as np

from retrofit_desk.physics.bills_cleaning import (
    LONGEST_MISSING_DAYS,
    YEAR_DAYS,
    LeftOut,
    MeterSpan,
    by_calendar_month,
    usable_bills,
    usable_fills,
    without_gap,
)
from retrofit_desk.physics.bills_limits import BillSpan, bills_are_enough, degree_days
from retrofit_desk.physics.outside_temps import OutsideTemps

BASE_F = 65.0
"""Degree-days by which bills are judged enough: BPI-2400-S-2012 counts from 65 F (from memory)."""
CLOSED_SPAN_DAYS = 30
MOST_AWAY_SHARE = 0.25
"""Periods with more of their days away are left out, unless the fit knows what being away does: own
judgment. At six tenths of the usual use, as while away, a quarter of the days moves a bill by a tenth."""
FEWEST_AWAY = 3
"""Periods before the work with days away from which a fit may learn what they do: own judgment."""


class Basis(StrEnum):
    """What a proof leans on."""

    BILLS = "bills"
    FILLS = "fills of the tank"
    DAYS = "daily readings"


@dataclass(frozen=True)
class MeterRecord:
    """All that is recorded of one meter, in its own unit.

    `days_read`: days of which every hour was read. `closed_on`: from then on its use is known to be zero.
    """

    name: str
    fuel: str
    unit: str
    kwh_per_unit: float
    bills: tuple[MeterSpan, ...] = ()
    by_fills: bool = False
    days_read: tuple[MeterSpan, ...] = ()
    closed_on: date | None = None

    @property
    def is_power(self) -> bool:
        return self.fuel == "electricity"

    @property
    def seen_until(self) -> date | None:
        return max((one.end for one in (*self.bills, *self.days_read)), default=None)


@dataclass(frozen=True)
class Window:
    """When the work was; what was before it counts from `since`, what came after up to `until`."""

    began: date
    ended: date
    since: date | None = None
    until: date | None = None

    @property
    def earliest(self) -> date:
        """Nothing before this day counts."""
        year = self.began - timedelta(days=YEAR_DAYS + LONGEST_MISSING_DAYS)
        return year if self.since is None else max(self.since, year)


@dataclass(frozen=True)
class Periods:
    """What is used of a meter, before the work and since it, and what is not. `learns_away`: see the fit."""

    basis: Basis
    before: tuple[MeterSpan, ...]
    after: tuple[MeterSpan, ...]
    left_out: tuple[LeftOut, ...] = ()
    learns_away: bool = False

    def within(self, start: date, end: date) -> Periods:
        """What came after the work cut to some days, so that meters speak of the same time."""
        return replace(self, after=tuple(one for one in self.after if start <= one.start and one.end <= end))


def with_closing(meter: MeterRecord, seen_until: date) -> MeterRecord:
    """A closed account has no bills: its zero is known, up to the newest day of the others."""
    closed = meter.closed_on
    if closed is None or seen_until <= closed:
        return meter
    many = (seen_until - closed).days
    count = max(round(many / CLOSED_SPAN_DAYS), 1)  # of even length: one too long would be left out as a bill
    ends = [closed + timedelta(days=many * number // count) for number in range(count + 1)]
    bills = tuple(MeterSpan(start, end, 0.0) for start, end in pairwise(ends) if end > start)
    days = tuple(_day(closed + timedelta(days=number), 0.0) for number in range(many))
    return replace(
        meter,
        bills=(*meter.bills, *bills) if meter.bills else (),
        days_read=(*meter.days_read, *days) if meter.days_read else (),
    )


def billed_periods(meter: MeterRecord, window: Window) -> Periods:
    """Bills or fills wholly on either side of the work."""
    if meter.by_fills:
        usable = usable_fills(meter.bills)
    else:
        usable = usable_bills(
            meter.bills, zero_is_missing=meter.is_power, is_bimonthly=_is_bimonthly(meter.bills)
        )
    before, after = without_gap(usable, window.began, window.ended, by_fills=meter.by_fills)
    found = _in_window(before, after, window)
    basis = Basis.FILLS if meter.by_fills else Basis.BILLS
    return _as_lived_in(Periods(basis, *found, usable.left_out), may_learn=True)


def read_days(meter: MeterRecord, window: Window, temps: OutsideTemps) -> Periods:
    """Whole days whose own temperature is known, of the year before the work and since it.

    Electricity of zero is missing: an outage, or a meter that did not count.
    """
    known = [
        one
        for one in meter.days_read
        if one.start in temps.actual_f and not (meter.is_power and one.used == 0)
    ]
    year = window.began - timedelta(days=YEAR_DAYS)
    before = [one for one in known if year <= one.start and one.end <= window.began]
    after = [one for one in known if one.start >= window.ended]
    return _as_lived_in(Periods(Basis.DAYS, *_in_window(before, after, window)), may_learn=False)


def too_few(
    when: str,
    spans: Sequence[MeterSpan],
    seen_from: date,
    temps: OutsideTemps,
    basis: Basis,
    cv: float | None,
) -> tuple[str, ...]:
    """Why what is recorded on one side of the work cannot be leaned on.

    Days are judged by their months; no limit of looseness is set for them, as the uncertainty counts it.
    """
    if not spans:
        return (f"{when}: no {_ONE[basis]} lies wholly within",)
    if basis is Basis.DAYS:
        cv = None
        months: dict[tuple[int, int], list[MeterSpan]] = {}
        for one in spans:
            months.setdefault((one.start.year, one.start.month), []).append(one)
        groups = list(months.values())
    else:
        groups = [[one] for one in spans]
    told = [BillSpan(sum(one.days for one in group), _heating(group, temps)) for group in groups]
    normal, _ = degree_days([float(day) for day in temps.typical_f], BASE_F)
    what = {Basis.BILLS: "bills", Basis.FILLS: "fills", Basis.DAYS: "readings"}[basis]
    found = bills_are_enough(told, (seen_from - spans[-1].end).days, normal, cv, what)
    return tuple(f"{when}: {fault}" for fault in found.faults)


_ONE = {Basis.BILLS: "bill", Basis.FILLS: "time between two fills", Basis.DAYS: "day read"}


def in_bills(spans: Sequence[MeterSpan], basis: Basis) -> tuple[MeterSpan, ...]:
    """Spans as a utility would bill them: days by their months."""
    return by_calendar_month(spans) if basis is Basis.DAYS else tuple(spans)


def _in_window(
    before: Sequence[MeterSpan], after: Sequence[MeterSpan], window: Window
) -> tuple[tuple[MeterSpan, ...], tuple[MeterSpan, ...]]:
    return (
        tuple(one for one in before if window.since is None or one.start >= window.since),
        tuple(one for one in after if window.until is None or one.end <= window.until),
    )


def _as_lived_in(found: Periods, *, may_learn: bool) -> Periods:
    """Without the periods in which the family was away for longer than what the fit can know."""
    away = [one.away_share for one in found.before if one.away_share]
    learns = may_learn and FEWEST_AWAY <= len(away) <= len(found.before) - FEWEST_AWAY
    most = max(away) if learns else MOST_AWAY_SHARE
    out = [one for one in (*found.before, *found.after) if one.away_share > most]
    return replace(
        found,
        before=tuple(one for one in found.before if one.away_share <= most),
        after=tuple(one for one in found.after if one.away_share <= most),
        left_out=(*found.left_out, *(LeftOut(one, _away_words(one)) for one in out)),
        learns_away=learns,
    )


def _away_words(one: MeterSpan) -> str:
    return f"nobody was at home for {one.away_share:.0%} of its days"


def _heating(spans: Sequence[MeterSpan], temps: OutsideTemps) -> float:
    days = [float(day) for one in spans for day in temps.of(one.start, one.end)]
    return degree_days(days, BASE_F)[0]


def _is_bimonthly(bills: Sequence[MeterSpan]) -> bool:
    return bool(bills) and float(np.median([span.days for span in bills])) > 45


def _day(day: date, used: float) -> MeterSpan:
    return MeterSpan(day, day + timedelta(days=1), used)
