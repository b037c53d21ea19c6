"""What was billed before the work, period by period, and what the model says for the same days."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.estimate.scenario import EnergyYear
from retrofit_desk.physics.bills_cleaning import MeterSpan, usable_bills, usable_fills
from retrofit_desk.physics.plant_machines import Fuel
from retrofit_desk.physics.plant_results import EndUse
from retrofit_desk.values.dates import month_text

Array = NDArray[np.float64]
PEOPLE_USES: tuple[EndUse, ...] = ("hot water", "cooking", "drying", "lights and plugs", "car")
AWAY_SHARE = 0.4
"""What of the people's own use goes on while nobody is at home, such as standing losses: own judgment."""
BILL_SHARE, OWN_WEATHER_SHARE, MEAN_SHARE, AWAY_UNSURE, FILL_SHARE = 0.10, 0.05, 0.03, 0.3, 0.10
"""One standard deviation of a bill against a right model, own judgment: of the bill, as its weather is not
the typical year's; where its own temperatures are known; of the mean bill; of the use on days away; of a mean
fill, as no tank is filled alike."""
BIMONTHLY_DAYS = 45
_FIRST = date(2001, 1, 1)  # any year of 365 days


@dataclass(frozen=True)
class BilledPeriod:
    """What was used from `start` up to, not including, `end`."""

    start: date
    end: date
    used_kwh: float
    days_away: int = 0

    @property
    def days(self) -> int:
        return (self.end - self.start).days


@dataclass(frozen=True)
class FuelPeriods:
    """The periods of one meter or tank that can be leaned on, and those left out, each with its reason."""

    name: str
    fuel: Fuel
    periods: tuple[BilledPeriod, ...]
    left_out: tuple[str, ...] = ()
    by_fills: bool = False
    own_weather: bool = False
    """Whether the temperatures of the billed days themselves are known."""

    @property
    def days(self) -> int:
        return sum(one.days for one in self.periods)

    def used_kwh(self) -> Array:
        """(periods,)."""
        return np.array([one.used_kwh for one in self.periods])

    def sigma_kwh(self) -> Array:
        """How far each bill may lie off a right model, (periods,) standard deviations."""
        used = self.used_kwh()
        days = np.array([one.days for one in self.periods], float)
        away = np.array([one.days_away for one in self.periods]) / days
        mean = used.sum() / days.sum() * days
        of_bill = OWN_WEATHER_SHARE if self.own_weather else BILL_SHARE
        parts = [of_bill * used, MEAN_SHARE * mean, AWAY_UNSURE * away * used]
        if self.by_fills:
            parts.append(np.full(len(used), FILL_SHARE * used.mean()))
        return np.asarray(np.sqrt(np.square(parts).sum(axis=0)))

    def predicted_kwh(self, year: EnergyYear, actual: Mapping[int, EnergyYear] | None = None) -> Array:
        """The model's use in the same days, (periods,): of the calendar years in `actual`, else of `year`."""
        years = actual or {}
        told = {one: _ByDay.of(each, self.fuel) for one, each in years.items()}
        typical = _ByDay.of(year, self.fuel)
        return np.array([_of(one, lambda calendar: told.get(calendar, typical)) for one in self.periods])


def billed(
    name: str, fuel: Fuel, bills: Sequence[tuple[MeterSpan, int]], kwh_per_unit: float, until: date | None
) -> FuelPeriods:
    """Bills of the time before the work, each with its days away; estimated reads merged into the next."""
    spans = [span for span, _ in bills if until is None or span.end <= until]
    many = [span.days for span in spans]
    usable = usable_bills(
        spans,
        zero_is_missing=fuel == "electricity",
        is_bimonthly=bool(many) and float(np.median(many)) > BIMONTHLY_DAYS,
    )
    periods = []
    for span in usable.kept:
        away = sum(days for one, days in bills if span.start <= one.start < span.end)
        periods.append(
            BilledPeriod(span.start, span.end, (span.used or 0.0) * kwh_per_unit, min(away, span.days))
        )
    out = tuple(f"{name}, bill from {month_text(one.span.start)}: {one.why}" for one in usable.left_out)
    return FuelPeriods(name, fuel, tuple(periods), out)


def delivered(
    name: str, fuel: Fuel, fills: Sequence[MeterSpan], kwh_per_unit: float, until: date | None
) -> FuelPeriods:
    """What a tank's fills say of the time before the work."""
    usable = usable_fills(fills)
    periods = [
        BilledPeriod(span.start, span.end, (span.used or 0.0) * kwh_per_unit)
        for span in usable.kept
        if until is None or span.end <= until
    ]
    out = tuple(f"{name}, fill of {month_text(one.span.end)}: {one.why}" for one in usable.left_out)
    return FuelPeriods(name, fuel, tuple(periods), out, by_fills=True)


@dataclass(frozen=True, eq=False)
class _ByDay:
    """One fuel in one year: use by day, (365,), and the people's share of it by month, (12,)."""

    days_kwh: Array
    people: Array

    @classmethod
    def of(cls, year: EnergyYear, fuel: Fuel) -> _ByDay:
        return cls(year.metered_days_kwh(fuel), _people_share(year, fuel))


def _of(period: BilledPeriod, year_of: Callable[[int], _ByDay]) -> float:
    """Days away lie anywhere in the period, so each of its days is away by the same share."""
    missing = period.days_away / period.days * (1.0 - AWAY_SHARE)
    used = 0.0
    for number in range(period.days):
        day = period.start + timedelta(days=number)
        year = year_of(day.year)
        used += float(year.days_kwh[_day_of_year(day)] * (1.0 - missing * year.people[day.month - 1]))
    return used


def _day_of_year(day: date) -> int:
    """0 to 364; February 29 takes the day before."""
    if (day.month, day.day) == (2, 29):
        day = day - timedelta(days=1)
    return (day.replace(year=_FIRST.year) - _FIRST).days


def _people_share(year: EnergyYear, fuel: Fuel) -> Array:
    """Share of the fuel's use that is the people's own, (12,)."""
    whole = np.array(year.months_kwh(fuel))
    own = np.zeros(12)
    for use in year.uses:
        if use.fuel == fuel and use.end_use in PEOPLE_USES:
            own += np.array(use.kwh)
    share = np.zeros(12)
    np.divide(own, whole, out=share, where=whole > 0)
    return share
