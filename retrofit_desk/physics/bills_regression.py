"""What a meter's use depends on: change-point fits against outdoor temperature, and the choice among them.

Temperatures here are in degrees Fahrenheit, as bills, stations and the published methods state them. A period
(a bill, a tank fill, a day) is told by its mean temperature, or by the daily means of its days: then the
slopes work on degree-days about a base that the fit finds, which sees a cold week inside a mild month.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.values.errors import CannotSay

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Ints = NDArray[np.intp]
Temps = Sequence[float] | Sequence[Floats] | Floats
"""Of each period, its mean temperature or the daily means of its days, degree F."""
THERM_KWH = 29.30011
"""US therm, 1.054804e8 J; the International Table therm is below. NIST SP 811 (2008), B.8."""
THERM_IT_KWH = 29.30711
PERIODS_PER_PARAMETER = 2
"""A shape is asked only of so many periods for each of its parameters: own judgment."""
FEWEST_SEEN = 3
"""A slope must be seen by so many periods: own judgment."""
MOST_CORRELATION = 0.99
_AS_GOOD_AS_EXACT = 1e-12  # of the scatter about the mean: what is left is rounding


class Shape(StrEnum):
    """One to five parameters, the family of ASHRAE RP-1050: a change point counts as one."""

    MEAN = "mean only"
    LINE = "straight line"
    HEATING = "heating"
    COOLING = "cooling"
    ONE_POINT = "two slopes about one temperature"
    TWO_POINTS = "both sides of a flat middle"


PARAMETERS = {
    Shape.MEAN: 1,
    Shape.LINE: 2,
    Shape.HEATING: 3,
    Shape.COOLING: 3,
    Shape.ONE_POINT: 4,
    Shape.TWO_POINTS: 5,
}
OF_A_FUEL = (Shape.MEAN, Shape.LINE, Shape.HEATING, Shape.ONE_POINT)


@dataclass(frozen=True)
class Fit:
    """Use per day against mean temperature: base + heating (low - T)+ + cooling (T - high)+ + away x share

    `low_f` and `high_f` are the change points; slopes per degree F and day. A straight line turns nowhere:
    its two slopes are opposite about the mean temperature. `away`: the change with nobody at home. Residual:
    measured less predicted. `correlation`: of a residual with that of the period before (lag 1).
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
    away: float = 0.0
    correlation: float = 0.0

    @property
    def cv(self) -> float:
        """CV(RMSE): sqrt(SSE/(n - p)) over the mean."""
        return self.rmse / self.mean

    @property
    def independent_periods(self) -> float:
        """n' = n(1 - rho)/(1 + rho): what periods that follow each other are worth (ASHRAE Guideline 14)."""
        return independent(self.periods, self.correlation)

    def per_day(self, temp_f: Temps, away: Sequence[float] | None = None) -> Floats:
        """Predicted mean use per day of each period; `away`: share of its days with nobody at home."""
        temps = _Days.of(temp_f)
        used = np.full(len(temps), self.base)
        if self.low_f is not None:
            used += self.heating * temps.below(self.low_f)
        if self.high_f is not None:
            used += self.cooling * temps.above(self.high_f)
        return used if away is None else used + self.away * np.asarray(away, float)


@dataclass(frozen=True, eq=False)
class _Days:
    """Temperatures of each period, (periods, days), and each one's weight in its mean; 0 fills up."""

    temps: Floats
    weights: Floats

    @classmethod
    def of(cls, temp_f: Temps) -> _Days:
        periods = [np.atleast_1d(np.asarray(one, float)) for one in temp_f]
        longest = max((len(one) for one in periods), default=0)
        temps, weights = np.zeros((len(periods), longest)), np.zeros((len(periods), longest))
        for row, one in enumerate(periods):
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

    def mean_f(self) -> Floats:
        return np.asarray((self.temps * self.weights).sum(axis=1))


def fit(
    shape: Shape,
    temp_f: Temps,
    per_day: Sequence[float] | Floats,
    *,
    days: Sequence[float] | None = None,
    away: Sequence[float] | None = None,
    grid_f: tuple[float, float] = (30.0, 90.0),
    step_f: float = 1.0,
) -> Fit:
    """Least squares over a grid of change points; `days` weights each period by its days.

    With `away`, the share of each period with nobody at home is one more driver. Raises `CannotSay` for fewer
    periods than parameters plus one, or where no change point has slopes that are seen.
    """
    temps, used = _Days.of(temp_f), np.asarray(per_day, float)
    weights = np.ones_like(used) if days is None else np.asarray(days, float)
    weights = weights / weights.mean() if len(weights) else weights
    parameters = PARAMETERS[shape] + (away is not None)
    if len(temps) <= parameters:
        raise CannotSay("what the use depends on", f"more than {parameters} periods")
    drivers = _Drivers.of(temps, grid_f, step_f, away)
    candidates = drivers.candidates(shape)
    columns = candidates[_closest(drivers.columns, candidates, used, weights)]
    chosen = drivers.columns[:, columns]
    scale = np.sqrt(weights)
    found, *_ = np.linalg.lstsq(chosen * scale[:, None], used * scale, rcond=None)
    return _as_fit(shape, found, drivers.ends(shape, columns), chosen, used, weights, away is not None)


def choose(
    temp_f: Temps,
    per_day: Sequence[float] | Floats,
    *,
    days: Sequence[float] | None = None,
    away: Sequence[float] | None = None,
    follows: Flags | None = None,
    cooling_possible: bool = True,
    step_f: float = 1.0,
) -> Fit:
    """The sound shape with the lowest Bayes information criterion; of equal ones the simplest.

    The criterion is n' ln(SSE/SST) + p ln n' (Schwarz 1978, from memory): a change point counts as a
    parameter, and periods that follow each other count as n' independent ones, by the residuals of the
    closest shape. `follows`, (periods - 1,): whether a period begins where the one before ends; none leaves
    correlation out. Raises `CannotSay` for fewer than two periods.
    """
    used = np.asarray(per_day, float)
    fits = []
    for shape in Shape if cooling_possible else OF_A_FUEL:
        if len(used) >= PERIODS_PER_PARAMETER * (PARAMETERS[shape] + (away is not None)):
            with suppress(CannotSay):
                made = fit(shape, temp_f, used, days=days, away=away, step_f=step_f)
                fits.append(_with_correlation(made, temp_f, used, away, follows))
    sound = [one for one in fits if _is_sound(one, temp_f, away, cooling_possible)] or fits[:1]
    if not sound:
        raise CannotSay("what the use depends on", "more periods")
    closest = max(sound, key=lambda one: one.r2)
    return min(sound, key=lambda one: (_criterion(one, closest.independent_periods), one.parameters))


def lag_one(residual: Floats, follows: Flags) -> float:
    """Autocorrelation of lag 1, over the pairs in which a period begins where the one before ends."""
    off = residual - residual.mean()
    whole = float((off**2).sum())
    return float((off[:-1] * off[1:])[follows].sum()) / whole if whole > 0 else 0.0


def independent(periods: int, correlation: float) -> float:
    """n' = n(1 - rho)/(1 + rho), ASHRAE Guideline 14 (from memory)."""
    return periods * (1 - correlation) / (1 + correlation)


def _with_correlation(
    one: Fit, temp_f: Temps, used: Floats, away: Sequence[float] | None, follows: Flags | None
) -> Fit:
    if follows is None:
        return one
    # a correlation below 0 would make periods worth more than they are
    found = lag_one(used - one.per_day(temp_f, away), follows)
    return replace(one, correlation=min(max(found, 0.0), MOST_CORRELATION))


def _is_sound(one: Fit, temp_f: Temps, away: Sequence[float] | None, cooling_possible: bool) -> bool:
    """Use bends upward, is nowhere below zero, and a fuel's never rises with warmth."""
    small = 1e-9 * max(one.mean, 0.0)
    if one.shape in (Shape.ONE_POINT, Shape.LINE):
        bends = one.heating + one.cooling >= -small
    else:
        bends = min(one.heating, one.cooling) >= 0
    falls = cooling_possible or (one.heating >= 0 and one.cooling <= 0)
    return bends and falls and one.base >= -small and float(one.per_day(temp_f, away).min()) >= -small


def _criterion(one: Fit, periods: float) -> float:
    left = max(1.0 - one.r2, _AS_GOOD_AS_EXACT)
    return periods * float(np.log(left)) + one.parameters * float(np.log(periods))


@dataclass(frozen=True, eq=False)
class _Drivers:
    """What use may depend on, (periods, columns).

    1, degrees below the mean temperature of all, mean degrees below and above each temperature of a grid, and
    last the share of days away where it counts.
    """

    grid_f: Floats
    mean_f: float
    columns: Floats
    has_away: bool

    @classmethod
    def of(
        cls, temps: _Days, grid_f: tuple[float, float], step_f: float, away: Sequence[float] | None
    ) -> _Drivers:
        count = round((grid_f[1] - grid_f[0]) / step_f)
        grid = np.round(grid_f[0] + np.arange(count + 1) * step_f, 6)
        mean_f = temps.mean_f()
        middle = float(mean_f.mean())
        columns = [np.ones(len(temps)), middle - mean_f]
        columns += [temps.below(one) for one in grid]
        columns += [temps.above(one) for one in grid]
        if away is not None:
            columns.append(np.asarray(away, float))
        return cls(grid, middle, np.stack(columns, axis=1), away is not None)

    def candidates(self, shape: Shape) -> Ints:
        """The columns of each, (candidates, columns). Raises `CannotSay` where there is none."""
        count = len(self.grid_f)
        seen = (self.columns > 0).sum(axis=0) >= FEWEST_SEEN
        below, above = np.arange(2, 2 + count), np.arange(2 + count, 2 + 2 * count)
        match shape:
            case Shape.MEAN:
                found = np.empty((1, 0), int)
            case Shape.LINE:
                found = np.array([[1]])
            case Shape.HEATING:
                found = below[seen[below]][:, None]
            case Shape.COOLING:
                found = above[seen[above]][:, None]
            case Shape.ONE_POINT:
                found = np.stack([below, above], axis=1)[seen[below] & seen[above]]
            case Shape.TWO_POINTS:
                low, high = np.triu_indices(count, 1)
                found = np.stack([below[low], above[high]], axis=1)[seen[below[low]] & seen[above[high]]]
        if not len(found):
            raise CannotSay("what the use depends on", "periods on both sides of a temperature")
        last = [self.columns.shape[1] - 1] if self.has_away else []
        beside = [np.full((len(found), 1), at) for at in last]
        return np.concatenate([np.zeros((len(found), 1), int), found, *beside], axis=1)

    def ends(self, shape: Shape, columns: Ints) -> tuple[float | None, float | None]:
        """The change points of a candidate, degree F; a line's slopes meet at the mean temperature."""
        count = len(self.grid_f)
        if shape is Shape.LINE:
            return self.mean_f, self.mean_f
        grid = {int(at): float(self.grid_f[(at - 2) % count]) for at in columns if 2 <= at < 2 + 2 * count}
        low = next((grid[at] for at in grid if at < 2 + count), None)
        high = next((grid[at] for at in grid if at >= 2 + count), None)
        return low, high


def _closest(columns: Floats, candidates: Ints, used: Floats, weights: Floats) -> int:
    """Of all candidates at once, the first of those with the least weighted error.

    The products of all columns are formed once: a candidate is a few rows of them.
    """
    mean = np.average(used, weights=weights)
    about = used - mean
    products, with_used = (columns.T * weights) @ columns, (columns.T * weights) @ about
    square = products[candidates[:, :, None], candidates[:, None, :]]
    right = with_used[candidates]
    found = (np.linalg.pinv(square, hermitian=True) @ right[:, :, None])[:, :, 0]
    scatter = float((weights * about**2).sum())
    errors = scatter - 2 * (found * right).sum(axis=1) + np.einsum("ci,cij,cj->c", found, square, found)
    return int(np.argmax(errors <= float(errors.min()) + _AS_GOOD_AS_EXACT * scatter))


def _as_fit(
    shape: Shape,
    found: Floats,
    ends: tuple[float | None, float | None],
    columns: Floats,
    used: Floats,
    weights: Floats,
    has_away: bool,
) -> Fit:
    low, high = ends
    residual = used - columns @ found
    mean = float(np.average(used, weights=weights))
    errors, whole = float((weights * residual**2).sum()), float((weights * (used - mean) ** 2).sum())
    parameters = PARAMETERS[shape] + has_away
    left = len(used) - parameters
    base, *slopes = (float(value) for value in found)
    away = slopes.pop() if has_away else 0.0
    heating = slopes.pop(0) if low is not None else 0.0
    cooling = -heating if shape is Shape.LINE else slopes.pop(0) if high is not None else 0.0
    return Fit(
        shape=shape,
        base=base,
        heating=heating,
        cooling=cooling,
        low_f=low,
        high_f=high,
        periods=len(used),
        parameters=parameters,
        mean=mean,
        rmse=float(np.sqrt(errors / left)),
        r2=1 - errors / whole if whole else 0.0,
        bias=float((weights * residual).sum() / (left * mean)) if mean else 0.0,
        away=away,
    )
