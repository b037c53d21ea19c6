"""A piece of work held against what the meters say before and since, with the weather taken out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.estimate.proof_periods import (
    Basis,
    MeterRecord,
    Periods,
    Window,
    billed_periods,
    read_days,
    too_few,
    with_closing,
)
from retrofit_desk.physics.bills_cleaning import MeterSpan
from retrofit_desk.physics.bills_regression import PARAMETERS, PERIODS_PER_PARAMETER, Fit, Shape, choose
from retrofit_desk.physics.bills_savings import Avoided, MeterChange, avoided_use, site_change
from retrofit_desk.physics.outside_temps import OutsideTemps
from retrofit_desk.physics.weather import HOURS, WeatherYear
from retrofit_desk.values.errors import CannotSay
from retrofit_desk.values.quantity import count_text

Floats = NDArray[np.float64]
SHOWN_CONFIDENCE, JUDGED_CONFIDENCE = 0.90, 0.68
"""The range that is shown, and the one by which a saving is judged (ASHRAE Guideline 14-2014, 4.2)."""
FEWEST_PERIODS = PERIODS_PER_PARAMETER * PARAMETERS[Shape.LINE]
"""Before the work: with fewer no change with the weather could be told (own judgment)."""


@dataclass(frozen=True)
class MeterProof:
    """One meter: what was taken and why, the fit, the use of the house as it was, and what that says."""

    meter: MeterRecord
    periods: Periods
    why: str
    predicted: tuple[MeterSpan, ...]
    fit: Fit | None
    avoided: Avoided | None
    faults: tuple[str, ...]


@dataclass(frozen=True)
class SiteProof:
    """All meters; `site` in kWh at the house with its uncertainty at 90 %, `share_68` the same at 68 %.

    `counted`: the days since the work that every meter covers.
    """

    meters: tuple[MeterProof, ...]
    site: Avoided | None
    share_68: float | None
    counted: tuple[date, date] | None

    @property
    def faults(self) -> tuple[str, ...]:
        return tuple(f"{one.meter.name}, {fault}" for one in self.meters for fault in one.faults)


def daily_means_f(weather: WeatherYear) -> Floats:
    """Mean temperature of the 365 days of the year, degree F."""
    return np.asarray(weather.temp_c.reshape(HOURS // 24, 24).mean(axis=1) * 1.8 + 32.0)


def prove(meters: Sequence[MeterRecord], window: Window, temps: OutsideTemps, today: date) -> SiteProof:
    """Fit what is recorded before the work and hold what came after against it (ASHRAE Guideline 14).

    Fuel and electricity count together, over the same days: after a change of fuel one meter alone says "all
    saved". A meter that was closed before anything counts is left out.
    """
    used = [one for one in meters if one.closed_on is None or one.closed_on > window.earliest]
    seen_until = max((one.seen_until for one in used if one.seen_until is not None), default=window.ended)
    looks = [_look(with_closing(one, seen_until), window, temps, today) for one in used]
    counted = _covered_by_all(looks)
    proofs = tuple(_proof(look, counted, temps, today) for look in looks)
    if not proofs or any(one.avoided is None for one in proofs):
        return SiteProof(proofs, None, None, counted)
    site, judged = (_site(proofs, temps, confidence) for confidence in (SHOWN_CONFIDENCE, JUDGED_CONFIDENCE))
    return SiteProof(proofs, site, judged.uncertainty_share, counted)


@dataclass(frozen=True)
class _Look:
    """What could be taken of a meter: the periods, their fit, and what is wrong on either side."""

    meter: MeterRecord
    periods: Periods
    fit: Fit | None
    before_faults: tuple[str, ...]
    after_faults: tuple[str, ...]
    why: str = ""

    @property
    def faults(self) -> tuple[str, ...]:
        return (*self.before_faults, *self.after_faults)


def _look(meter: MeterRecord, window: Window, temps: OutsideTemps, today: date) -> _Look:
    """Days where they are as good a ground as the bills, for they show more; else the bills."""
    by_bills = _looked(meter, billed_periods(meter, window), window, temps, today)
    if not meter.days_read:
        return replace(by_bills, why="no readings by the day or finer are filed")
    by_days = _looked(meter, read_days(meter, window, temps), window, temps, today)
    if by_days.fit is not None and len(by_days.faults) <= len(by_bills.faults):
        return replace(by_days, why=_why_days(by_days))
    if not any(one.start in temps.actual_f for one in meter.days_read):
        why = "its readings wait for the temperatures of their days, which are not read in"
    else:
        why = f"its readings are too few ({'; '.join(by_days.faults)})"
    return replace(by_bills, why=why)


def _looked(meter: MeterRecord, periods: Periods, window: Window, temps: OutsideTemps, today: date) -> _Look:
    found, faults = _fitted(meter, periods, temps)
    cv = found.cv if found is not None else None
    before = too_few("before the work", periods.before, window.began, temps, periods.basis, cv)
    after = too_few("since the work", periods.after, today, temps, periods.basis, None)
    return _Look(meter, periods, found, (*faults, *before), after)


def _why_days(look: _Look) -> str:
    before, after = look.periods.before, look.periods.after
    passed = sum((side[-1].end - side[0].start).days for side in (before, after) if side)
    missing = passed - len(before) - len(after)
    days = count_text(missing, "day")
    out = f"; {days} not read whole, without temperature or use, or with nobody at home left out"
    assert look.fit is not None
    return (
        f"its readings cover both sides of the work{out if missing else ''}; as days follow each other "
        f"(correlation {look.fit.correlation:.2f}), the {len(before)} before the work count as "
        f"{look.fit.independent_periods:.0f}"
    )


def _fitted(meter: MeterRecord, periods: Periods, temps: OutsideTemps) -> tuple[Fit | None, tuple[str, ...]]:
    before = periods.before
    used = [span.used or 0.0 for span in before]
    if before and not any(used):
        return None, ("before the work: nothing was used",)
    days = [float(span.days) for span in before]
    faults: tuple[str, ...] = ()
    if 0 < len(before) < FEWEST_PERIODS:
        faults = (f"before the work: a model takes {FEWEST_PERIODS} {periods.basis}, not {len(before)}",)
    try:
        found = choose(
            [temps.of(span.start, span.end) for span in before],
            [use / many for use, many in zip(used, days, strict=True)],
            days=days,
            away=_away(periods, before),
            follows=_follows(before) if periods.basis is Basis.DAYS else None,
            cooling_possible=meter.is_power,
        )
    except CannotSay:
        return None, faults
    return found, faults


def _follows(days: Sequence[MeterSpan]) -> NDArray[np.bool_]:
    return np.array([this.end == then.start for this, then in pairwise(days)], bool)


def _away(periods: Periods, spans: Sequence[MeterSpan]) -> list[float] | None:
    return [one.away_share for one in spans] if periods.learns_away else None


def _covered_by_all(looks: Sequence[_Look]) -> tuple[date, date] | None:
    after = [look.periods.after for look in looks]
    if not after or not all(after):
        return None
    return max(one[0].start for one in after), min(one[-1].end for one in after)


def _proof(look: _Look, counted: tuple[date, date] | None, temps: OutsideTemps, today: date) -> MeterProof:
    periods = look.periods if counted is None else look.periods.within(*counted)
    cut = look.after_faults
    if periods.after != look.periods.after:
        cut = too_few("since the work", periods.after, today, temps, periods.basis, None)
    predicted: tuple[MeterSpan, ...] = ()
    avoided = None
    if look.fit is not None and periods.after:
        by_day = [temps.of(span.start, span.end) for span in periods.after]
        per_day = look.fit.per_day(by_day, _away(periods, periods.after))
        predicted = tuple(
            replace(span, used=float(use * span.days))
            for span, use in zip(periods.after, per_day, strict=True)
        )
        avoided = _avoided(look.fit, periods, temps, SHOWN_CONFIDENCE)
    faults = (*look.before_faults, *cut)
    return MeterProof(look.meter, periods, look.why, predicted, look.fit, avoided, faults)


def _avoided(found: Fit, periods: Periods, temps: OutsideTemps, confidence: float) -> Avoided:
    after = periods.after
    return avoided_use(
        found,
        [temps.of(span.start, span.end) for span in after],
        [float(span.days) for span in after],
        [span.used or 0.0 for span in after],
        away=_away(periods, after),
        confidence=confidence,
    )


def _site(proofs: Sequence[MeterProof], temps: OutsideTemps, confidence: float) -> Avoided:
    return site_change(
        [
            MeterChange(
                one.meter.fuel, _avoided(one.fit, one.periods, temps, confidence), one.meter.kwh_per_unit
            )
            for one in proofs
            if one.fit is not None
        ]
    )
