"""What bills say once the weather is taken out: change-point fits, savings and their uncertainty.

Temperatures here are in degrees Fahrenheit, as bills, stations and the published methods state them. A bill
is told by its mean temperature, or by the daily means of its days: then the slopes work on degree-days about
a base that the fit finds, which sees a cold week inside a mild month.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.values.errors import CannotSay

Floats = NDArray[np.float64]
Temps = Sequence[float] | Sequence[Floats] | Floats
"""Of each bill, its mean temperature or the daily means of its days, degree F."""
THERM_KWH = 29.30011
"""US therm, 1.054804e8 J; the International Table therm is below. NIST SP 811 (2008), B.8."""
THERM_IT_KWH = 29.30711


class Shape(StrEnum):
    """The family of variable-base and change-point models (ASHRAE RP-1050)."""

    MEAN = "mean only"
    HEATING = "heating"
    COOLING = "cooling"
    ONE_POINT = "both sides of one temperature"
    TWO_POINTS = "both sides of a flat middle"


@dataclass(frozen=True)
class Fit:
    """Use per day against mean temperature: base + heating (low - T)+ + cooling (T - high)+

    `low_f` and `high_f` are the change points; slopes per degree F and day. Residual: measured less
    predicted.
    """

    shape: Shape
    base: float
    heating: float
    cooling: float
    low_f: float | None
    high_f: float | None
    periods: int
    parameters: int
    mean: float
    rmse: float
    r2: float
    bias: float

    @property
    def cv(self) -> float:
        """CV(RMSE): sqrt(SSE/(n - p)) over the mean."""
        return self.rmse / self.mean

    @property
    def adjusted_r2(self) -> float:
        """1 - (SSres/(P - c - 1))/(SStot/(P - 1)), c = slopes; the mean alone has 0."""
        slopes = (self.heating != 0) + (self.cooling != 0)
        left = self.periods - slopes - 1
        return 1 - (1 - self.r2) * (self.periods - 1) / left if slopes and left > 0 else 0.0

    def per_day(self, temp_f: Temps) -> Floats:
        """Predicted mean use per day of each bill."""
        temps = _Days.of(temp_f)
        used = np.full(len(temps), self.base)
        if self.low_f is not None:
            used += self.heating * temps.below(self.low_f)
        if self.high_f is not None:
            used += self.cooling * temps.above(self.high_f)
        return used


@dataclass(frozen=True, eq=False)
class _Days:
    """Temperatures of each bill, (bills, days), and the weight of each in the bill's mean; 0 fills up."""

    temps: Floats
    weights: Floats

    @classmethod
    def of(cls, temp_f: Temps) -> _Days:
        bills = [np.atleast_1d(np.asarray(one, float)) for one in temp_f]
        longest = max((len(one) for one in bills), default=0)
        temps, weights = np.zeros((len(bills), longest)), np.zeros((len(bills), longest))
        for row, one in enumerate(bills):
            temps[row, : len(one)] = one
            weights[row, : len(one)] = 1.0 / len(one)
        return cls(temps, weights)

    def __len__(self) -> int:
        return len(self.temps)

    def below(self, base_f: float) -> Floats:
        """Mean degrees below a base."""
        return np.asarray((np.maximum(base_f - self.temps, 0) * self.weights).sum(axis=1))

    def above(self, base_f: float) -> Floats:
        return np.asarray((np.maximum(self.temps - base_f, 0) * self.weights).sum(axis=1))


def fit(
    shape: Shape,
    temp_f: Temps,
    per_day: Sequence[float],
    *,
    days: Sequence[float] | None = None,
    grid_f: tuple[float, float] = (30.0, 90.0),
    step_f: float = 1.0,
) -> Fit:
    """Least squares over a grid of change points; `days` weights each bill by its days.

    Raises `CannotSay` for fewer bills than the shape has parameters plus one.
    """
    temps, used = _Days.of(temp_f), np.asarray(per_day, float)
    weights = np.ones_like(used) if days is None else np.asarray(days, float)
    parameters = _parameters(shape)
    if len(temps) <= parameters:
        raise CannotSay("what the bills depend on", f"more than {parameters} bills")
    best: tuple[float, Floats, float | None, float | None] | None = None
    for low, high in _change_points(shape, grid_f, step_f):
        columns = _columns(temps, low, high)
        scaled = np.sqrt(weights)[:, None]
        found, *_ = np.linalg.lstsq(columns * scaled, used * scaled[:, 0], rcond=None)
        error = float((weights * (used - columns @ found) ** 2).sum())
        if best is None or error < best[0] - 1e-12 * max(best[0], 1e-12):
            best = (error, found, low, high)
    assert best is not None
    return _as_fit(shape, best[1], best[2], best[3], temps, used)


def choose(
    temp_f: Temps,
    per_day: Sequence[float],
    *,
    days: Sequence[float] | None = None,
    cooling_possible: bool = True,
    step_f: float = 1.0,
) -> Fit:
    """The fit with the highest adjusted R2 whose base and slopes are positive; a gas meter has no cooling."""
    shapes = [Shape.MEAN, Shape.HEATING]
    if cooling_possible:
        shapes += [Shape.COOLING, Shape.TWO_POINTS]
    enough = [shape for shape in shapes if len(temp_f) > _parameters(shape)]
    if not enough:
        raise CannotSay("what the bills depend on", "more bills")
    fits = [fit(shape, temp_f, per_day, days=days, step_f=step_f) for shape in enough]
    sound = [one for one in fits if one.base >= 0 and min(one.heating, one.cooling) >= 0]
    return max(sound or fits[:1], key=lambda one: one.adjusted_r2)


@dataclass(frozen=True)
class Avoided:
    """Use that did not happen: what the old house would have used in the new weather, less the bills."""

    predicted: float
    measured: float
    uncertainty_share: float | None
    confidence: float

    @property
    def saved(self) -> float:
        return self.predicted - self.measured

    @property
    def share(self) -> float:
        return self.saved / self.predicted


def avoided_use(
    before: Fit,
    temp_f: Temps,
    days: Sequence[float],
    used: Sequence[float],
    *,
    confidence: float = 0.90,
    correlation: float = 0.0,
) -> Avoided:
    """Savings after the work (negative: use was added), with their fractional uncertainty."""
    of_days = np.asarray(days, float)
    predicted = float((before.per_day(temp_f) * of_days).sum())
    measured = float(np.sum(used))
    share = (predicted - measured) / predicted
    unsure = None
    if share != 0:
        unsure = savings_uncertainty(
            before.cv,
            abs(share),
            before.periods,
            len(of_days),
            before.parameters,
            confidence=confidence,
            correlation=correlation,
        )
    return Avoided(predicted, measured, unsure, confidence)


@dataclass(frozen=True)
class MeterChange:
    """What one meter saved; negative where use was added. `kwh_per_unit` turns it into site energy."""

    fuel: str
    avoided: Avoided
    kwh_per_unit: float


def site_change(meters: Sequence[MeterChange]) -> Avoided:
    """All meters together in kWh at the house: after a change of fuel one meter alone says "all saved".

    The half widths of the meters add as independent errors.
    """
    predicted = sum(one.avoided.predicted * one.kwh_per_unit for one in meters)
    measured = sum(one.avoided.measured * one.kwh_per_unit for one in meters)
    widths = [
        one.avoided.uncertainty_share * abs(one.avoided.saved) * one.kwh_per_unit
        for one in meters
        if one.avoided.uncertainty_share is not None
    ]
    saved = predicted - measured
    known = len(widths) == len(meters) and saved > 0
    share = float(np.sqrt(np.sum(np.square(widths)))) / saved if known else None
    return Avoided(predicted, measured, share, min(one.avoided.confidence for one in meters))


def savings_uncertainty(
    cv: float,
    share_saved: float,
    periods_before: int,
    periods_after: int,
    parameters: int,
    *,
    confidence: float = 0.90,
    correlation: float = 0.0,
) -> float:
    """Half width over savings: 1.26 t CV/(F sqrt m) sqrt((n/n')(1 + 2/n')), n' = n(1 - rho)/(1 + rho).

    ASHRAE Guideline 14, t with n' - p degrees of freedom.
    """
    effective = periods_before * (1 - correlation) / (1 + correlation)
    spread = np.sqrt(periods_before / effective * (1 + 2 / effective))
    factor = _student_t(confidence, effective - parameters)
    return float(1.26 * factor * cv / (share_saved * np.sqrt(periods_after)) * spread)


# Polynomials in the months of the reporting period: open M&V methods document 2.0, uncertainty section.
_BILLING = (-0.00022, 0.03306, 0.94054)
_DAILY = (-0.00024, 0.03535, 1.00286)


def savings_uncertainty_by_months(
    cv: float,
    share_saved: float,
    periods_before: int,
    periods_after: int,
    months_after: float,
    coefficients: int,
    *,
    confidence: float = 0.90,
    correlation: float = 0.0,
    daily: bool = False,
) -> float:
    """The variant of the open methods: t (aM^2 + bM + d) CV sqrt((P/P')(1 + 2/P')/Q)/F, t with P - c."""
    a, b, d = _DAILY if daily else _BILLING
    effective = periods_before * (1 - correlation) / (1 + correlation)
    factor = _student_t(confidence, periods_before - coefficients)
    spread = np.sqrt(periods_before / effective * (1 + 2 / effective) / periods_after)
    return float(factor * (a * months_after**2 + b * months_after + d) * cv * spread / share_saved)


def degree_days(daily_mean_f: Sequence[float], base_f: float) -> tuple[float, float]:
    """Heating and cooling degree-days of daily means, degree F days."""
    temps = np.asarray(daily_mean_f, float)
    return float(np.maximum(base_f - temps, 0).sum()), float(np.maximum(temps - base_f, 0).sum())


BIN_EDGES_F = (30.0, 45.0, 55.0, 65.0, 75.0, 90.0)


def temperature_bins(temp_f: float, edges_f: Sequence[float] = BIN_EDGES_F) -> tuple[float, ...]:
    """A temperature split over bins that fill one after the other; the parts add up to it."""
    parts = [min(temp_f, edges_f[0])]
    for low, high in pairwise(edges_f):
        parts.append(min(max(temp_f - low, 0.0), high - low))
    return (*parts, max(temp_f - edges_f[-1], 0.0))


@dataclass(frozen=True)
class BillSpan:
    """The days and degree-days of one bill; `normal_*`: of an average year for the same days."""

    days: int
    degree_days: float
    is_estimated: bool = False


@dataclass(frozen=True)
class Sufficiency:
    """Whether bills are enough to lean on, and what is wrong where they are not."""

    faults: tuple[str, ...]

    @property
    def is_enough(self) -> bool:
        return not self.faults


def bills_are_enough(
    spans: Sequence[BillSpan], days_since_last: int, normal_year_degree_days: float, cv: float | None
) -> Sufficiency:
    """Utility-bill criteria of BPI-2400-S-2012, 3.2.2: days, a recent reading, spread of weather, fit."""
    faults: list[str] = []
    days = sum(span.days for span in spans)
    if not spans or days <= 0:
        return Sufficiency(("no bills",))
    normal_per_day = normal_year_degree_days / 365
    rates = [span.degree_days / span.days / normal_per_day for span in spans if span.days and normal_per_day]
    spread = any(rate > 1.2 for rate in rates) and any(rate < 0.2 for rate in rates)
    if days < 330 and not (days >= 184 and spread):
        faults.append(f"only {days} days of bills; 330 are asked for, or 184 with cold and mild months")
    if days_since_last > 365:
        faults.append("the last reading is more than a year old")
    if sum(span.degree_days for span in spans) < 0.5 * normal_year_degree_days:
        faults.append("the bills saw less than half a normal year's degree-days")
    if not spread:
        faults.append("the bills saw too little difference between cold and mild months")
    if cv is not None and cv >= 0.20:
        faults.append(f"the bills follow the weather too loosely (CV(RMSE) {cv:.0%}, limit 20 %)")
    return Sufficiency(tuple(faults))


def meets_guideline_14(cv: float, bias: float, *, hourly: bool = False) -> bool:
    """Limits for a calibrated model: monthly CV(RMSE) 15 %, bias 5 %; hourly 30 % and 10 %."""
    return cv <= (0.30 if hourly else 0.15) and abs(bias) <= (0.10 if hourly else 0.05)


def model_errors(
    measured: Sequence[float], predicted: Sequence[float], parameters: int = 1
) -> tuple[float, float]:
    """(CV(RMSE), NMBE) with n - p; residual is measured less predicted."""
    real, told = np.asarray(measured, float), np.asarray(predicted, float)
    residual, left = real - told, len(real) - parameters
    mean = float(real.mean())
    return float(np.sqrt((residual**2).sum() / left) / mean), float(residual.sum() / (left * mean))


def _parameters(shape: Shape) -> int:
    return {Shape.MEAN: 1, Shape.HEATING: 3, Shape.COOLING: 3, Shape.ONE_POINT: 4, Shape.TWO_POINTS: 5}[shape]


def _change_points(
    shape: Shape, grid_f: tuple[float, float], step_f: float
) -> list[tuple[float | None, float | None]]:
    count = round((grid_f[1] - grid_f[0]) / step_f)
    grid = [round(grid_f[0] + at * step_f, 6) for at in range(count + 1)]
    if shape is Shape.MEAN:
        return [(None, None)]
    if shape is Shape.HEATING:
        return [(one, None) for one in grid]
    if shape is Shape.COOLING:
        return [(None, one) for one in grid]
    if shape is Shape.ONE_POINT:
        return [(one, one) for one in grid]
    return [(low, high) for at, low in enumerate(grid) for high in grid[at + 1 :]]


def _columns(temps: _Days, low: float | None, high: float | None) -> Floats:
    columns = [np.ones(len(temps))]
    if low is not None:
        columns.append(temps.below(low))
    if high is not None:
        columns.append(temps.above(high))
    return np.column_stack(columns)


def _as_fit(
    shape: Shape, found: Floats, low: float | None, high: float | None, temps: _Days, used: Floats
) -> Fit:
    residual = used - _columns(temps, low, high) @ found
    errors, whole = float((residual**2).sum()), float(((used - used.mean()) ** 2).sum())
    parameters, mean = _parameters(shape), float(used.mean())
    slopes = [float(value) for value in found[1:]]
    heating = slopes.pop(0) if low is not None else 0.0
    cooling = slopes.pop(0) if high is not None else 0.0
    left = len(temps) - parameters
    return Fit(
        shape,
        float(found[0]),
        heating,
        cooling,
        low,
        high,
        len(temps),
        parameters,
        mean,
        float(np.sqrt(errors / left)),
        1 - errors / whole if whole else 0.0,
        float(residual.sum() / (left * mean)),
    )


def _student_t(confidence: float, freedom: float) -> float:
    from scipy.stats import t

    return float(t.ppf(0.5 + confidence / 2, freedom))
