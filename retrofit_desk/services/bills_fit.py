"""Does the model meet the bills?: fits the described house to its own bills, and keeps the answer."""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk import __version__
from retrofit_desk.estimate.belief import Belief, fitted, priors
from retrofit_desk.estimate.billed_periods import FuelPeriods, billed, delivered
from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.fingerprint import Part, fingerprint, part, parts_of_case
from retrofit_desk.estimate.fit_to_bills import (
    Alike,
    BillsAsk,
    Errors,
    FittedPeriod,
    FittedTrait,
    FitToBills,
    FuelFit,
    YearOf,
    fit_to_bills,
)
from retrofit_desk.estimate.from_records import case_of
from retrofit_desk.estimate.plant_from_records import FUELS
from retrofit_desk.estimate.scenario import simulator_for
from retrofit_desk.estimate.weather_years import as_it_was
from retrofit_desk.physics.outside_temps import OutsideTemps
from retrofit_desk.physics.weather import WeatherYear
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import Tables
from retrofit_desk.services.days import made_now
from retrofit_desk.services.did_it_work import done_of
from retrofit_desk.services.fuel_rows import kwh_per_unit
from retrofit_desk.services.kept_results import KeptResults
from retrofit_desk.services.metered import span_of
from retrofit_desk.services.outside_temps import outside_temps_in_use, told_of
from retrofit_desk.services.weather import weather_in_use
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.quantity import Units

__all__ = [
    "Alike",
    "BillsFitService",
    "Errors",
    "FitToBills",
    "FittedTrait",
    "FuelFit",
    "YearOfBills",
    "year_of_bills",
]

Progress = Callable[[float, str], None]
KIND = "fit"
FEWEST_DAYS_OF_MONTH = 20
"""A month of which so many days were billed is shown, brought to its full length."""


@dataclass(frozen=True)
class YearOfBills:
    """The newest billed year, January to December in kWh; None where no bill covers the month."""

    measured: tuple[float | None, ...]
    described: tuple[float | None, ...]
    fitted: tuple[float | None, ...]


@dataclass(frozen=True)
class _Ask:
    """What goes in, read in one look at the record."""

    base: HouseCase
    weather: WeatherYear
    temps: OutsideTemps
    meters: tuple[FuelPeriods, ...]
    until: date | None
    parts: tuple[Part, ...]

    @property
    def fingerprint(self) -> str:
        return fingerprint(self.parts, __version__)


class BillsFitService:
    """The fit of the described house to the bills of before its first work."""

    def __init__(self, project: Project) -> None:
        self._project = project
        self._kept = KeptResults(project, KIND, FitToBills)

    def fit(self, progress: Progress | None = None) -> FitToBills:
        """Fit and keep. `progress` is told before each run and may raise to stop; nothing is kept then.

        Raises `CannotSay` for missing bills, a missing value of the house, or a fuel nothing burns.
        """
        report = progress or (lambda share, doing: None)
        report(0.0, "reading the house and its bills")
        ask = self._ask()
        with self._project.session() as session:
            made_at = made_now(session)
        question = BillsAsk(
            base=ask.base,
            meters=ask.meters,
            weather=told_of(ask.temps, ask.weather.name),
            until=ask.until,
            fingerprint=ask.fingerprint,
            made_at=made_at,
            actual_years=_actual_years(ask),
        )
        found = fit_to_bills(question, simulator_for(ask.weather).year, report)
        self._kept.keep(found, ask.parts)
        return found

    def latest(self) -> FitToBills | None:
        """The newest kept fit; None before the first one, or when an older program made it."""
        return self._kept.latest()

    def changed_since(self, units: Units = Units.US) -> tuple[str, ...]:
        """What was changed since the kept fit, in words; empty when it is up to date or there is none."""
        return self._kept.changed_since(lambda: self._ask().parts, units)

    def belief(self) -> Belief:
        """What sums may take the house for: the kept fit where it holds, else the priors; and why."""
        found = self.latest()
        if found is None:
            return priors("the model was not fitted to the house's bills yet.")
        if self.changed_since():
            return priors("the fit to the bills is out of date.")
        if not found.is_within_limits:
            return priors("the fit to the bills misses the limits of ASHRAE Guideline 14.")
        return fitted(
            found,
            f"The house as fitted to its bills on {day_text(found.made_at.date())}, "
            "its traits as unsure as the bills leave them.",
        )

    def _ask(self) -> _Ask:
        with self._project.session() as session:
            base = case_of(session)
            weather = weather_in_use(self._project, session)
            temps = outside_temps_in_use(self._project, session, weather)
            until = _first_work(session)
            meters = tuple(_with_weather(meter, temps) for meter in _meters(session, until))
        parts = [part(f"the billing of {meter.name}", meter) for meter in meters]
        if temps.actual_f:
            days = sorted(temps.actual_f.items())
            parts.append(replace(part("the daily temperatures", days), facts=()))  # too many to tell
        return _Ask(base, weather, temps, meters, until, (*parts_of_case(base, weather.fingerprint), *parts))


def _with_weather(meter: FuelPeriods, temps: OutsideTemps) -> FuelPeriods:
    known = bool(meter.periods) and all(temps.is_measured(one.start, one.end) for one in meter.periods)
    return replace(meter, own_weather=known)


def _actual_years(ask: _Ask) -> dict[int, YearOf]:
    """What runs a house through each calendar year with bills and temperatures of its own."""
    billed_in = {day.year for meter in ask.meters for one in meter.periods for day in (one.start, one.end)}
    known = {day.year for day in ask.temps.actual_f}
    return {
        calendar: simulator_for(as_it_was(ask.weather, calendar, ask.temps)).year
        for calendar in sorted(billed_in & known)
    }


def year_of_bills(fuel: FuelFit) -> YearOfBills:
    """One meter or tank month by month, its periods spread evenly over their days."""
    return YearOfBills(
        _months(fuel.periods, lambda one: one.measured_kwh),
        _months(fuel.periods, lambda one: one.described_kwh),
        _months(fuel.periods, lambda one: one.fitted_kwh),
    )


def _first_work(session: Session) -> date | None:
    query = select(m.Measure).where(m.Measure.placed_in_service_on.is_not(None))
    return min((done_of(measure).began for measure in session.scalars(query)), default=None)


def _meters(session: Session, until: date | None) -> tuple[FuelPeriods, ...]:
    tables = Tables()
    found = []
    for meter in session.scalars(select(m.Meter).order_by(m.Meter.id)):
        if not meter.bills:
            continue
        fuel, per_unit = FUELS[meter.fuel], kwh_per_unit(meter, tables)
        if any(bill.kind is m.BillKind.DELIVERY for bill in meter.bills):
            fills = [span_of(bill) for bill in meter.bills]
            found.append(delivered(meter.name, fuel, fills, per_unit, until))
        else:
            bills = [(span_of(bill), bill.days_away) for bill in meter.bills]
            found.append(billed(meter.name, fuel, bills, per_unit, until))
    return tuple(found)


def _months(
    periods: Sequence[FittedPeriod], use_of: Callable[[FittedPeriod], float]
) -> tuple[float | None, ...]:
    use: dict[tuple[int, int], list[float]] = {}
    for one in periods:
        many = (one.end - one.start).days
        for number in range(many):
            day = one.start + timedelta(days=number)
            use.setdefault((day.year, day.month), []).append(use_of(one) / many)
    newest: dict[int, float] = {}
    for (year, month), days in sorted(use.items()):
        if len(days) >= FEWEST_DAYS_OF_MONTH:
            newest[month] = sum(days) / len(days) * monthrange(year, month)[1]
    return tuple(newest.get(month) for month in range(1, 13))
