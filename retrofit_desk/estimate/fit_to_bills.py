"""The described house fitted to its own bills: which traits they move, how well, what they cannot tell."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.estimate.billed_periods import FuelPeriods
from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.factors import HOUSE_FACTORS, HouseFactor, shifted
from retrofit_desk.estimate.line_up import Report
from retrofit_desk.estimate.map_fit import MapFit, map_fit, most_runs
from retrofit_desk.estimate.scenario import EnergyYear
from retrofit_desk.physics.bills_limits import meets_guideline_14, model_errors
from retrofit_desk.physics.plant_machines import Fuel
from retrofit_desk.values.errors import CannotSay

Array = NDArray[np.float64]
YearOf = Callable[[HouseCase], EnergyYear]
UNTOLD_SPREAD = 0.9
"""A trait whose spread stays above this share of its prior is not told by the bills."""
ALIKE = 0.9
"""Traits closer than this (correlation, or cosine of their effects on the bills) are not told apart."""
CAN_SPEAK = 0.5
"""Effect of one standard deviation on all bills, in their own, below which a trait cannot be told anyway."""
FEWEST_PERIODS, WHOLE_YEAR_DAYS = 2, 330


@dataclass(frozen=True)
class FittedTrait:
    """One trait in standard deviations of its prior: most likely `z`, and its `spread` after the bills."""

    name: str
    z: float
    spread: float
    size: float
    in_kelvin: bool
    source: str

    @property
    def change(self) -> float:
        """What was described is changed by this: a share of it, or K."""
        return self.z * self.size

    @property
    def is_told(self) -> bool:
        return self.spread <= UNTOLD_SPREAD


@dataclass(frozen=True)
class Alike:
    """Two traits that do the same to the bills, so that one can stand for the other."""

    one: str
    other: str


@dataclass(frozen=True)
class FittedPeriod:
    """One billed period, kWh: measured, the model as described, the model as fitted."""

    start: date
    end: date
    measured_kwh: float
    described_kwh: float
    fitted_kwh: float


@dataclass(frozen=True)
class Errors:
    """CV(RMSE) and NMBE against the bills; positive bias: the model says too little."""

    cv: float
    bias: float

    @property
    def is_within_limits(self) -> bool:
        """ASHRAE Guideline 14, monthly: 15 % and 5 %."""
        return meets_guideline_14(self.cv, self.bias)


@dataclass(frozen=True)
class FuelFit:
    """One meter or tank."""

    name: str
    fuel: Fuel
    periods: tuple[FittedPeriod, ...]
    described: Errors
    fitted: Errors


@dataclass(frozen=True)
class FitToBills:
    """The whole answer. `covariance` follows `traits`; `until`: bills count up to this day (None: all)."""

    fingerprint: str
    made_at: datetime
    weather: str
    until: date | None
    fuels: tuple[FuelFit, ...]
    traits: tuple[FittedTrait, ...]
    covariance: tuple[tuple[float, ...], ...]
    alike: tuple[Alike, ...]
    poor: tuple[str, ...]
    """What the bills lack, in words."""

    @property
    def untold(self) -> tuple[FittedTrait, ...]:
        return tuple(one for one in self.traits if not one.is_told)

    @property
    def is_within_limits(self) -> bool:
        return all(one.fitted.is_within_limits for one in self.fuels)


@dataclass(frozen=True)
class BillsAsk:
    """What is fitted to what."""

    base: HouseCase
    meters: tuple[FuelPeriods, ...]
    weather: str
    until: date | None
    fingerprint: str
    made_at: datetime
    actual_years: Mapping[int, YearOf] = field(default_factory=dict)
    """Calendar years whose own temperatures are known, each with what runs a house through it."""


def fit_to_bills(ask: BillsAsk, year_of: YearOf, report: Report) -> FitToBills:
    """Fit all bills of all fuels at once. `report` is told before each run and may raise to stop.

    Raises `CannotSay` without bills, or for a bill of a fuel that nothing in the described house uses.
    """
    meters = tuple(one for one in ask.meters if len(one.periods) >= FEWEST_PERIODS)
    if not meters:
        raise CannotSay("whether the model meets the bills", "two bills or more of before the first work")
    traits = [one for one in HOUSE_FACTORS if one.shift(ask.base, 1.0) != ask.base]
    runs = 0

    def predict(z: Array) -> Array:
        nonlocal runs
        report(min(runs / most_runs(len(traits)), 0.99), "holding the model against the bills")
        runs += 1
        case = shifted(ask.base, traits, z)
        year, actual = year_of(case), {one: run(case) for one, run in ask.actual_years.items()}
        return np.concatenate([meter.predicted_kwh(year, actual) for meter in meters])

    _one_meter_each(meters)
    _all_can_burn(meters, year_of(ask.base))
    measured = np.concatenate([meter.used_kwh() for meter in meters])
    sigma = np.concatenate([meter.sigma_kwh() for meter in meters])
    found = map_fit(predict, measured, sigma, len(traits))
    report(1.0, "done")
    effects = found.response / sigma[:, None]
    return FitToBills(
        fingerprint=ask.fingerprint,
        made_at=ask.made_at,
        weather=ask.weather,
        until=ask.until,
        fuels=_fuel_fits(meters, found),
        traits=_fitted(traits, found),
        covariance=tuple(tuple(float(value) for value in row) for row in found.covariance),
        alike=_alike(traits, found, effects),
        poor=_poor(ask.meters),
    )


def _one_meter_each(meters: Sequence[FuelPeriods]) -> None:
    for one, other in combinations(meters, 2):
        first, last = (
            max(meter.periods[0].start for meter in (one, other)),
            min(meter.periods[-1].end for meter in (one, other)),
        )
        if one.fuel == other.fuel and first < last:
            raise CannotSay(
                "whether the model meets the bills",
                f"one meter of {one.fuel} at a time; {one.name} and {other.name} run side by side",
            )


def _all_can_burn(meters: Sequence[FuelPeriods], year: EnergyYear) -> None:
    for meter in meters:
        if meter.used_kwh().any() and not meter.predicted_kwh(year).any():
            raise CannotSay(
                f"whether the model meets the bills of {meter.name}",
                f"a machine that uses {meter.fuel}, described on the House page",
            )


def _fuel_fits(meters: Sequence[FuelPeriods], found: MapFit) -> tuple[FuelFit, ...]:
    fits, start = [], 0
    for meter in meters:
        rows = slice(start, start + len(meter.periods))
        start = rows.stop
        measured, described, fitted = meter.used_kwh(), found.before[rows], found.after[rows]
        periods = tuple(
            FittedPeriod(one.start, one.end, one.used_kwh, float(old), float(new))
            for one, old, new in zip(meter.periods, described, fitted, strict=True)
        )
        fits.append(
            FuelFit(meter.name, meter.fuel, periods, _errors(measured, described), _errors(measured, fitted))
        )
    return tuple(fits)


def _errors(measured: Array, predicted: Array) -> Errors:
    cv, bias = model_errors([float(one) for one in measured], [float(one) for one in predicted])
    return Errors(cv, bias)


def _fitted(traits: Sequence[HouseFactor], found: MapFit) -> tuple[FittedTrait, ...]:
    return tuple(
        FittedTrait(
            trait.name,
            float(found.z[at]),
            float(found.spread[at]),
            trait.size,
            trait.in_kelvin,
            trait.source,
        )
        for at, trait in enumerate(traits)
    )


def _alike(traits: Sequence[HouseFactor], found: MapFit, effects: Array) -> tuple[Alike, ...]:
    """Pairs by their effect on the bills, or by what the fit leaves open; what cannot speak is no pair."""
    spread, reach = found.spread, np.linalg.norm(effects, axis=0)
    pairs = []
    speaking = [at for at in range(len(traits)) if reach[at] >= CAN_SPEAK]
    for one, other in combinations(speaking, 2):
        left_open = found.covariance[one, other] / (spread[one] * spread[other])
        same = effects[:, one] @ effects[:, other] / (reach[one] * reach[other])
        if max(abs(left_open), abs(same)) > ALIKE:
            pairs.append(Alike(traits[one].name, traits[other].name))
    return tuple(pairs)


def _poor(meters: Sequence[FuelPeriods]) -> tuple[str, ...]:
    found: list[str] = []
    for meter in meters:
        found.extend(meter.left_out)
        if len(meter.periods) < FEWEST_PERIODS:
            found.append(f"{meter.name}: too few bills of before the first work, left out")
        elif meter.days < WHOLE_YEAR_DAYS:
            found.append(f"{meter.name}: the bills cover {meter.days} days, less than a year")
    return tuple(found)
