"""What was saved: the use that did not happen, meter by meter and at the house, and how sure that is.

The uncertainty is that of ASHRAE Guideline 14 (fractional savings uncertainty, from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from retrofit_desk.physics.bills_regression import Fit, Temps, independent


@dataclass(frozen=True)
class Avoided:
    """Use that did not happen: what the old house would have used in the new weather, less what was read.

    `half_width`: of the range at `confidence`, in the unit of the use; none where it cannot be said.
    """

    predicted: float
    measured: float
    half_width: float | None
    confidence: float

    @property
    def saved(self) -> float:
        """Negative where use was added."""
        return self.predicted - self.measured

    @property
    def share(self) -> float:
        return self.saved / self.predicted

    @property
    def uncertainty_share(self) -> float | None:
        """Half width over savings; none where nothing was saved or added."""
        return self.half_width / abs(self.saved) if self.half_width is not None and self.saved else None


def avoided_use(
    before: Fit,
    temp_f: Temps,
    days: Sequence[float],
    used: Sequence[float],
    *,
    away: Sequence[float] | None = None,
    confidence: float = 0.90,
) -> Avoided:
    """Savings after the work, with their uncertainty.

    It cannot be said where periods that follow each other are worth fewer than the fit has parameters.
    """
    of_days = np.asarray(days, float)
    predicted = float((before.per_day(temp_f, away) * of_days).sum())
    half = None
    if before.independent_periods > before.parameters:
        of_predicted = savings_uncertainty(
            before.cv,
            1.0,  # of all that was predicted, so that it stands also where nothing was saved
            before.periods,
            len(of_days),
            before.parameters,
            confidence=confidence,
            correlation=before.correlation,
        )
        half = of_predicted * abs(predicted)
    return Avoided(predicted, float(np.sum(used)), half, confidence)


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
        one.avoided.half_width * one.kwh_per_unit for one in meters if one.avoided.half_width is not None
    ]
    half = float(np.sqrt(np.sum(np.square(widths)))) if len(widths) == len(meters) else None
    return Avoided(predicted, measured, half, min(one.avoided.confidence for one in meters))


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
    effective = independent(periods_before, correlation)
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
    effective = independent(periods_before, correlation)
    factor = _student_t(confidence, periods_before - coefficients)
    spread = np.sqrt(periods_before / effective * (1 + 2 / effective) / periods_after)
    return float(factor * (a * months_after**2 + b * months_after + d) * cv * spread / share_saved)


def _student_t(confidence: float, freedom: float) -> float:
    from scipy.stats import t

    return float(t.ppf(0.5 + confidence / 2, freedom))
