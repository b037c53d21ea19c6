"""Bills before and after a piece of work, with the weather taken out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.bills_cleaning import LeftOut, MeterSpan, usable_bills, without_gap
from retrofit_desk.physics.bills_limits import BillSpan, bills_are_enough, degree_days
from retrofit_desk.physics.bills_regression import Fit, choose
from retrofit_desk.physics.bills_savings import Avoided, MeterChange, avoided_use, site_change
from retrofit_desk.physics.outside_temps import OutsideTemps
from retrofit_desk.physics.weather import HOURS, WeatherYear
from retrofit_desk.values.errors import CannotSay

Floats = NDArray[np.float64]
SHOWN_CONFIDENCE = 0.90
BASE_F = 65.0
"""Degree-days by which bills are judged enough: BPI-2400-S-2012 counts from 65 F (from memory)."""
CLOSED_SPAN_DAYS = 30


@dataclass(frozen=True)
class MeterBills:
    """All bills of one meter in its own unit. `closed_on`: from then on it is known to be zero."""

    name: str
    fuel: str
    unit: str
    kwh_per_unit: float
    bills: tuple[MeterSpan, ...]
    closed_on: date | None = None

    @property
    def is_power(self) -> bool:
        return self.fuel == "electricity"


@dataclass(frozen=True)
class Window:
    """When the work was; bills before count from `since`, bills after up to `until`."""

    began: date
    ended: date
    since: date | None = None
    until: date | None = None


@dataclass(frozen=True)
class MeterProof:
    """One meter: bills taken, the fit, what the house as it was would have used, and what that says."""

    meter: MeterBills
    before: tuple[MeterSpan, ...]
    after: tuple[MeterSpan, ...]
    predicted: tuple[MeterSpan, ...]
    fit: Fit | None
    avoided: Avoided | None
    faults: tuple[str, ...]
    left_out: tuple[LeftOut, ...]


@dataclass(frozen=True)
class SiteProof:
    """All meters; `site` in kWh at the house with its uncertainty at 90 %, `share_68` the same at 68 %."""

    meters: tuple[MeterProof, ...]
    site: Avoided | None
    share_68: float | None

    @property
    def faults(self) -> tuple[str, ...]:
        return tuple(f"{one.meter.name}, {fault}" for one in self.meters for fault in one.faults)


def daily_means_f(weather: WeatherYear) -> Floats:
    """Mean temperature of the 365 days of the year, degree F."""
    return np.asarray(weather.temp_c.reshape(HOURS // 24, 24).mean(axis=1) * 1.8 + 32.0)


def prove(meters: Sequence[MeterBills], window: Window, temps: OutsideTemps, today: date) -> SiteProof:
    """Fit the bills before the work and hold the bills after against the fit (ASHRAE Guideline 14).

    Fuel and electricity count together: after a change of fuel one meter alone says "all saved".
    """
    seen_until = max((bill.end for meter in meters for bill in meter.bills), default=window.ended)
    proofs = tuple(_meter(_with_closing(meter, seen_until), window, temps, today) for meter in meters)
    if not proofs or any(one.avoided is None for one in proofs):
        return SiteProof(proofs, None, None)
    return SiteProof(
        proofs, _site(proofs, temps, SHOWN_CONFIDENCE), _site(proofs, temps, 0.68).uncertainty_share
    )


def _meter(meter: MeterBills, window: Window, temps: OutsideTemps, today: date) -> MeterProof:
    usable = usable_bills(
        meter.bills, zero_is_missing=meter.is_power, is_bimonthly=_is_bimonthly(meter.bills)
    )
    before, after = without_gap(usable, window.began, window.ended)
    before = tuple(span for span in before if window.since is None or span.start >= window.since)
    after = tuple(span for span in after if window.until is None or span.end <= window.until)
    found, faults = _fitted(meter, before, temps)
    faults += _too_few("before the work", before, window.began, temps, found.cv if found else None)
    faults += _too_few("since the work", after, today, temps, None)
    predicted: tuple[MeterSpan, ...] = ()
    avoided = None
    if found is not None and after:
        per_day = found.per_day([temps.of(span.start, span.end) for span in after])
        predicted = tuple(
            replace(span, used=float(use * span.days)) for span, use in zip(after, per_day, strict=True)
        )
        avoided = _avoided(found, after, temps, SHOWN_CONFIDENCE)
    return MeterProof(meter, before, after, predicted, found, avoided, faults, usable.left_out)


def _fitted(
    meter: MeterBills, before: Sequence[MeterSpan], temps: OutsideTemps
) -> tuple[Fit | None, tuple[str, ...]]:
    used = [span.used or 0.0 for span in before]
    if before and not any(used):
        return None, ("before the work: nothing was used",)
    days = [float(span.days) for span in before]
    per_day = [use / many for use, many in zip(used, days, strict=True)]
    by_day = [temps.of(span.start, span.end) for span in before]
    try:
        # the open M&V methods document 2.0 allows balance points up to 3 F apart
        step_f = 1.0 if not meter.is_power else 2.0
        found = choose(by_day, per_day, days=days, cooling_possible=meter.is_power, step_f=step_f)
    except CannotSay:
        return None, ()
    return found, ()


def _avoided(found: Fit, after: Sequence[MeterSpan], temps: OutsideTemps, confidence: float) -> Avoided:
    return avoided_use(
        found,
        [temps.of(span.start, span.end) for span in after],
        [float(span.days) for span in after],
        [span.used or 0.0 for span in after],
        confidence=confidence,
    )


def _site(proofs: Sequence[MeterProof], temps: OutsideTemps, confidence: float) -> Avoided:
    return site_change(
        [
            MeterChange(
                one.meter.fuel, _avoided(one.fit, one.after, temps, confidence), one.meter.kwh_per_unit
            )
            for one in proofs
            if one.fit is not None
        ]
    )


def _too_few(
    when: str, spans: Sequence[MeterSpan], seen_from: date, temps: OutsideTemps, cv: float | None
) -> tuple[str, ...]:
    if not spans:
        return (f"{when}: no bill lies wholly within",)
    heating = [
        degree_days([float(day) for day in temps.of(span.start, span.end)], BASE_F)[0] for span in spans
    ]
    told = [BillSpan(span.days, cold) for span, cold in zip(spans, heating, strict=True)]
    normal, _ = degree_days([float(day) for day in temps.typical_f], BASE_F)
    found = bills_are_enough(told, (seen_from - spans[-1].end).days, normal, cv)
    return tuple(f"{when}: {fault}" for fault in found.faults)


def _is_bimonthly(bills: Sequence[MeterSpan]) -> bool:
    return bool(bills) and float(np.median([span.days for span in bills])) > 45


def _with_closing(meter: MeterBills, seen_until: date) -> MeterBills:
    """A closed account has no bills: its zero is known, up to the newest bill of the others."""
    closed = meter.closed_on
    if closed is None or seen_until <= closed:
        return meter
    days = (seen_until - closed).days
    count = max(round(days / CLOSED_SPAN_DAYS), 1)  # of even length: one too long would be left out as a bill
    ends = [closed + timedelta(days=days * number // count) for number in range(count + 1)]
    silent = tuple(MeterSpan(start, end, 0.0) for start, end in pairwise(ends) if end > start)
    return replace(meter, bills=(*meter.bills, *silent))
