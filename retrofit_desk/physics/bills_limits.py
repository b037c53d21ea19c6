"""When bills and readings are enough to lean on, and how well a model meets them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from retrofit_desk.values.quantity import count_text

FEWEST_DAYS, FEWEST_DAYS_WITH_SPREAD, LOOSEST_CV = 330, 184, 0.20
"""BPI-2400-S-2012, 3.2.2 (second-hand)."""


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
    spans: Sequence[BillSpan],
    days_since_last: int,
    normal_year_degree_days: float,
    cv: float | None,
    what: str = "bills",
) -> Sufficiency:
    """Utility-bill criteria of BPI-2400-S-2012, 3.2.2: days, a recent reading, spread of weather, fit.

    The spread is asked of less than a year: a year has the spread that its climate has.
    """
    faults: list[str] = []
    days = sum(span.days for span in spans)
    if not spans or days <= 0:
        return Sufficiency((f"no {what}",))
    normal_per_day = normal_year_degree_days / 365
    rates = [span.degree_days / span.days / normal_per_day for span in spans if span.days and normal_per_day]
    spread = any(rate > 1.2 for rate in rates) and any(rate < 0.2 for rate in rates)
    if days < FEWEST_DAYS and not (days >= FEWEST_DAYS_WITH_SPREAD and spread):
        faults.append(
            f"only {count_text(days, 'day')} of {what}; {FEWEST_DAYS} are asked for, "
            f"or {FEWEST_DAYS_WITH_SPREAD} with cold and mild months"
        )
    if days_since_last > 365:
        faults.append("the last reading is more than a year old")
    if sum(span.degree_days for span in spans) < 0.5 * normal_year_degree_days:
        faults.append(f"the {what} saw less than half a normal year's degree-days")
    if cv is not None and cv >= LOOSEST_CV:
        faults.append(
            f"the {what} follow the weather too loosely (CV(RMSE) {cv:.0%}, limit {LOOSEST_CV:.0%})"
        )
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
