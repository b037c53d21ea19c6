"""Bills before and after work, with the weather taken out, against the constructed example of the fits."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from retrofit_desk.estimate.proof import daily_means_f, prove
from retrofit_desk.estimate.proof_periods import MeterRecord, Window
from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.physics.bills_cleaning import MeterSpan
from retrofit_desk.physics.bills_savings import savings_uncertainty
from retrofit_desk.physics.outside_temps import OutsideTemps

TEMPS = OutsideTemps(daily_means_f(greensboro()))
FIRST = date(2024, 1, 1)
WORK = FIRST + timedelta(days=365)
TODAY = WORK + timedelta(days=370)
BASE_F, PER_DEGREE, ALWAYS = 60.0, 0.3, 0.5
"""The invented house: 0.5 therms a day, and 0.3 more for each degree below 60 F."""


def use_of(start: date, days: int, share: float = 1.0) -> float:
    below = np.maximum(BASE_F - TEMPS.of(start, start + timedelta(days=days)), 0)
    return float(ALWAYS * days + PER_DEGREE * share * below.sum())


def gas(after: float = 0.8, scatter: float = 0.0) -> MeterRecord:
    """Two years of bills; the heating takes a share of what it took from the day of the work on."""
    rng = np.random.default_rng(5)
    bills = []
    for number in range(24):
        start = FIRST + timedelta(days=round(30.4375 * number))
        end = FIRST + timedelta(days=round(30.4375 * (number + 1)))
        used = use_of(start, (end - start).days, 1.0 if end <= WORK else after)
        bills.append(MeterSpan(start, end, used * (1 + scatter * rng.standard_normal())))
    return MeterRecord("Gas meter", "natural gas", "therm", 29.3, tuple(bills))


def test_a_noiseless_saving_is_found_whole() -> None:
    proof = prove([gas()], Window(WORK, WORK), TEMPS, TODAY)
    (meter,) = proof.meters
    assert not proof.faults
    assert meter.fit is not None
    assert (meter.fit.low_f, meter.fit.base) == pytest.approx((BASE_F, ALWAYS))
    assert meter.avoided is not None
    heating = sum(use_of(span.start, span.days) - ALWAYS * span.days for span in meter.periods.after)
    assert meter.avoided.saved == pytest.approx(0.2 * heating)
    assert proof.site is not None
    assert proof.site.saved == pytest.approx(0.2 * heating * 29.3)


def test_the_uncertainty_is_that_of_guideline_14() -> None:
    # MV-7: ASHRAE Guideline 14, fractional savings uncertainty (from memory), 90 %
    (meter,) = prove([gas(scatter=0.05)], Window(WORK, WORK), TEMPS, TODAY).meters
    assert meter.fit is not None
    assert meter.avoided is not None
    expected = savings_uncertainty(
        meter.fit.cv,
        meter.avoided.share,
        len(meter.periods.before),
        len(meter.periods.after),
        3,
        confidence=0.90,
    )
    assert meter.avoided.uncertainty_share == pytest.approx(expected)


def test_fuel_and_power_count_together_so_that_a_change_of_fuel_is_not_all_saved() -> None:
    # MV-11: after fuel switching a gas model alone shows "100 % saved"
    heat = gas(after=0.0)
    power = MeterRecord(
        "Electric meter",
        "electricity",
        "kWh",
        1.0,
        tuple(
            replace(span, used=900.0 * span.days / 30 + (0.0 if span.end <= WORK else 2.0 * span.days))
            for span in heat.bills
        ),
    )
    proof = prove([heat, power], Window(WORK, WORK), TEMPS, TODAY)
    saved = [one.avoided.saved * one.meter.kwh_per_unit for one in proof.meters if one.avoided is not None]
    assert saved[0] > 0 > saved[1]
    assert proof.site is not None
    assert proof.site.saved == pytest.approx(sum(saved))


def test_a_few_months_after_the_work_are_too_few() -> None:
    meter = gas()
    short = replace(meter, bills=tuple(one for one in meter.bills if one.end <= WORK + timedelta(days=100)))
    proof = prove([short], Window(WORK, WORK), TEMPS, WORK + timedelta(days=110))
    assert any("since the work: only" in fault and "days of bills" in fault for fault in proof.faults)


def test_bills_of_other_work_count_for_neither_side() -> None:
    since, until = FIRST + timedelta(days=60), WORK + timedelta(days=200)
    (meter,) = prove([gas()], Window(WORK, WORK, since, until), TEMPS, TODAY).meters
    assert min(span.start for span in meter.periods.before) >= since
    assert max(span.end for span in meter.periods.after) <= until


def test_a_bill_across_the_work_is_left_out() -> None:
    (meter,) = prove(
        [gas()], Window(WORK + timedelta(days=10), WORK + timedelta(days=10)), TEMPS, TODAY
    ).meters
    assert len(meter.periods.before) + len(meter.periods.after) == 23


def test_a_closed_account_is_known_to_use_nothing() -> None:
    open_meter = gas()
    closed = replace(
        open_meter,
        bills=tuple(one for one in open_meter.bills if one.end <= WORK),
        closed_on=WORK,
    )
    power = replace(gas(after=1.0), name="Electric meter", fuel="electricity", kwh_per_unit=1.0)
    proof = prove([closed, power], Window(WORK, WORK), TEMPS, TODAY)
    assert sum(span.days for span in proof.meters[0].periods.after) == (power.bills[-1].end - WORK).days
    assert proof.meters[0].avoided is not None
    assert proof.meters[0].avoided.measured == 0.0
    assert proof.meters[0].avoided.saved == pytest.approx(proof.meters[0].avoided.predicted)


def test_an_estimated_bill_joins_the_reading_that_follows() -> None:
    meter = gas()
    guessed = replace(meter.bills[3], used=(meter.bills[3].used or 0) * 1.1, is_estimated=True)
    real = replace(meter.bills[4], used=(meter.bills[4].used or 0) - (meter.bills[3].used or 0) * 0.1)
    changed = replace(meter, bills=(*meter.bills[:3], guessed, real, *meter.bills[5:]))
    (one,) = prove([changed], Window(WORK, WORK), TEMPS, TODAY).meters
    assert len(one.periods.before) == 11
    assert one.fit is not None
    assert one.fit.cv == pytest.approx(0.0, abs=1e-9)


def test_no_bills_before_cannot_be_fitted() -> None:
    meter = gas()
    bare = replace(meter, bills=meter.bills[12:])
    proof = prove([bare], Window(WORK, WORK), TEMPS, TODAY)
    assert proof.site is None
    assert "Gas meter, before the work: no bill lies wholly within" in proof.faults
