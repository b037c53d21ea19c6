"""Bills before and after work, with the weather taken out, against the constructed example of the fits."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from retrofit_desk.estimate.proof import daily_means_f, prove
from retrofit_desk.estimate.proof_periods import Basis, MeterRecord, Window
from retrofit_desk.exchange.weather import greensboro, sand_point
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


# daily readings


def known_temps(seed: int = 3) -> OutsideTemps:
    """The typical days with a weather of their own, known for three years."""
    chance = np.random.default_rng(seed)
    days = [FIRST - timedelta(days=60) + timedelta(days=at) for at in range(3 * 365)]
    own = {day: float(TEMPS.of(day, day + timedelta(days=1))[0] + chance.normal(0, 4)) for day in days}
    return OutsideTemps(TEMPS.typical_f, own)


KNOWN_TEMPS = known_temps()


def days_of(start: date, end: date, after: float = 0.8, rho: float = 0.5) -> tuple[MeterSpan, ...]:
    """Each day's gas, with noise of 0.6 therms that follows the day before."""
    chance, found, noise = np.random.default_rng(8), [], 0.0
    for at in range((end - start).days):
        day = start + timedelta(days=at)
        noise = rho * noise + 0.6 * float(np.sqrt(1 - rho**2)) * chance.standard_normal()
        below = max(BASE_F - KNOWN_TEMPS.actual_f[day], 0.0)
        use = 3.0 + PER_DEGREE * (1.0 if day < WORK else after) * below + noise
        found.append(MeterSpan(day, day + timedelta(days=1), use))
    return tuple(found)


def test_days_read_on_both_sides_are_taken_and_their_uncertainty_counts_that_they_follow_each_other() -> None:
    meter = replace(gas(), days_read=days_of(FIRST, TODAY))
    proof = prove([meter], Window(WORK, WORK), KNOWN_TEMPS, TODAY)
    (found,) = proof.meters
    assert not proof.faults
    assert found.periods.basis is Basis.DAYS
    assert (len(found.periods.before), len(found.periods.after)) == (365, 370)
    assert found.fit is not None
    assert found.avoided is not None
    assert found.fit.low_f == pytest.approx(BASE_F, abs=2.0)
    assert found.fit.correlation == pytest.approx(0.5, abs=0.12)
    below = [max(BASE_F - KNOWN_TEMPS.actual_f[one.start], 0.0) for one in found.periods.after]
    assert found.avoided.half_width is not None
    assert abs(found.avoided.saved - 0.2 * PER_DEGREE * sum(below)) < found.avoided.half_width
    # MV-7: ASHRAE Guideline 14 (from memory), n' from the lag-1 correlation
    expected = savings_uncertainty(
        found.fit.cv,
        found.avoided.share,
        365,
        370,
        found.fit.parameters,
        confidence=0.90,
        correlation=found.fit.correlation,
    )
    assert found.avoided.uncertainty_share == pytest.approx(expected)
    naive = savings_uncertainty(found.fit.cv, found.avoided.share, 365, 370, found.fit.parameters)
    assert expected > 1.4 * naive
    assert f"count as {found.fit.independent_periods:.0f}" in found.why


def test_days_whose_temperature_is_not_known_leave_the_proof_to_the_bills() -> None:
    meter = replace(gas(), days_read=days_of(FIRST, TODAY))
    (found,) = prove([meter], Window(WORK, WORK), TEMPS, TODAY).meters
    assert found.periods.basis is Basis.BILLS
    assert "its readings wait for the temperatures of their days" in found.why


def test_days_read_only_since_the_work_leave_the_proof_to_the_bills() -> None:
    meter = replace(gas(), days_read=days_of(WORK, TODAY))
    (found,) = prove([meter], Window(WORK, WORK), KNOWN_TEMPS, TODAY).meters
    assert found.periods.basis is Basis.BILLS
    assert "no day read lies wholly within" in found.why


def test_days_alone_are_proof_enough_and_a_short_time_is_too_soon() -> None:
    whole = replace(gas(), bills=(), days_read=days_of(FIRST, TODAY))
    assert not prove([whole], Window(WORK, WORK), KNOWN_TEMPS, TODAY).faults
    until = WORK + timedelta(days=100)
    short = replace(whole, days_read=days_of(FIRST, until))
    (fault, *_) = prove([short], Window(WORK, WORK), KNOWN_TEMPS, until).faults
    assert fault.startswith("Gas meter, since the work: only 100 days of readings; 330 are asked for")


def test_a_day_without_power_is_not_a_day_of_no_use() -> None:
    days = days_of(FIRST, TODAY)
    dark = (*days[:10], replace(days[10], used=0.0), *days[11:])
    meter = replace(gas(), name="Electric meter", fuel="electricity", kwh_per_unit=1.0, days_read=dark)
    (found,) = prove([meter], Window(WORK, WORK), KNOWN_TEMPS, TODAY).meters
    assert len(found.periods.before) == 364
    assert "; 1 day not read whole, without temperature or use" in found.why


# together


def test_meters_are_counted_over_the_days_that_all_of_them_cover() -> None:
    longer = gas()
    shorter = replace(
        gas(after=1.0),
        name="Electric meter",
        fuel="electricity",
        kwh_per_unit=1.0,
        bills=tuple(one for one in gas(after=1.0).bills if one.end <= WORK + timedelta(days=340)),
    )
    proof = prove([longer, shorter], Window(WORK, WORK), TEMPS, TODAY)
    assert proof.counted is not None
    ends = {one.periods.after[-1].end for one in proof.meters}
    assert ends == {proof.counted[1]} == {shorter.bills[-1].end}
    assert proof.site is not None
    saved = sum(one.avoided.saved * one.meter.kwh_per_unit for one in proof.meters if one.avoided is not None)
    assert proof.site.saved == pytest.approx(saved)


def test_a_meter_closed_long_before_the_work_stands_in_nobodys_way() -> None:
    tank = replace(gas(), name="Old tank", closed_on=WORK - timedelta(days=500), bills=gas().bills[:2])
    proof = prove([gas(), tank], Window(WORK, WORK), TEMPS, TODAY)
    assert [one.meter.name for one in proof.meters] == ["Gas meter"]
    assert not proof.faults


# a tank


def tank(after: float = 0.8) -> MeterRecord:
    """Filled when it is nearly empty, on one day: every few weeks in winter, once in a long summer."""
    burned, fills = 0.0, []
    for at in range(3 * 365):
        day = FIRST - timedelta(days=60) + timedelta(days=at)
        if day >= TODAY:
            break
        burned += use_of(day, 1, 1.0 if day < WORK else after)
        if burned > 150.0 or (day.month, day.day) == (12, 30):
            fills.append(MeterSpan(day + timedelta(days=1), day + timedelta(days=2), burned))
            burned = 0.0
    return MeterRecord("Oil tank", "heating oil", "gal", 40.4, tuple(fills), by_fills=True)


def test_a_tank_is_proven_by_its_fills_however_long_one_lasts() -> None:
    meter = tank()
    (found,) = prove([meter], Window(WORK, WORK), TEMPS, TODAY).meters
    assert found.periods.basis is Basis.FILLS
    assert max(one.days for one in found.periods.before) > 100
    assert sum(one.days for one in found.periods.before) >= 330
    assert not found.periods.left_out
    assert not [one for one in found.faults if one.startswith("before")]
    assert found.fit is not None
    assert (found.fit.low_f, found.fit.heating) == pytest.approx((BASE_F, PER_DEGREE))
    heating = sum(use_of(span.start, span.days) - ALWAYS * span.days for span in found.periods.after)
    assert found.avoided is not None
    assert found.avoided.saved == pytest.approx(0.2 * heating)


def test_a_year_in_a_place_without_mild_months_is_a_year() -> None:
    # the spread of BPI-2400 is asked of less than a year: cool summers never come below a fifth of the mean
    cold = OutsideTemps(daily_means_f(sand_point()))
    meter = replace(
        gas(),
        bills=tuple(
            replace(one, used=float(np.maximum(BASE_F - cold.of(one.start, one.end), 0).sum()))
            for one in gas().bills
        ),
    )
    assert not prove([meter], Window(WORK, WORK), cold, TODAY).faults


# days away


def test_a_bill_of_which_much_was_spent_away_is_left_out_and_named() -> None:
    meter = gas()
    away = replace(meter.bills[2], used=0.7 * (meter.bills[2].used or 0.0), away_share=0.4)
    changed = replace(meter, bills=(*meter.bills[:2], away, *meter.bills[3:]))
    (found,) = prove([changed], Window(WORK, WORK), TEMPS, TODAY).meters
    assert len(found.periods.before) == 11
    assert [one.why for one in found.periods.left_out] == ["nobody was at home for 40% of its days"]
    assert found.fit is not None
    assert found.fit.cv == pytest.approx(0.0, abs=1e-9)


def test_a_house_left_every_few_months_teaches_what_being_away_does() -> None:
    shares = {1: 0.3, 4: 0.5, 6: 0.2, 9: 0.4, 14: 0.5, 20: 0.2}
    bills = tuple(
        replace(
            one, used=(one.used or 0.0) - 0.4 * shares.get(at, 0.0) * one.days, away_share=shares.get(at, 0.0)
        )
        for at, one in enumerate(gas().bills)
    )
    (found,) = prove([replace(gas(), bills=bills)], Window(WORK, WORK), TEMPS, TODAY).meters
    assert len(found.periods.before) == len(found.periods.after) == 12
    assert found.fit is not None
    assert (found.fit.away, found.fit.low_f) == pytest.approx((-0.4, BASE_F))
    heating = sum(use_of(span.start, span.days) - ALWAYS * span.days for span in found.periods.after)
    assert found.avoided is not None
    assert found.avoided.saved == pytest.approx(0.2 * heating)


@pytest.mark.parametrize("between", [(), (100,)])
def test_a_fill_or_two_of_a_whole_year_are_too_few_for_a_model(between: tuple[int, ...]) -> None:
    on = (
        FIRST - timedelta(days=10),
        *(FIRST + timedelta(days=at) for at in between),
        WORK - timedelta(days=5),
    )
    before = tuple(MeterSpan(day, day + timedelta(days=1), 500.0) for day in on)
    fills = (*before, *(one for one in tank().bills if one.start > WORK))
    proof = prove([replace(tank(), bills=fills)], Window(WORK, WORK), TEMPS, TODAY)
    assert (
        f"Oil tank, before the work: a model takes 4 fills of the tank, not {len(between) + 1}"
        in proof.faults
    )


def test_meters_that_share_no_days_since_the_work_are_not_added_up() -> None:
    middle = WORK + timedelta(days=200)
    early = replace(gas(), bills=tuple(one for one in gas().bills if one.end <= middle))
    late = replace(
        gas(), name="New meter", bills=tuple(one for one in gas().bills if not WORK <= one.start < middle)
    )
    proof = prove([early, late], Window(WORK, WORK), TEMPS, TODAY)
    assert proof.site is None
    assert any("since the work: no bill lies wholly within" in fault for fault in proof.faults)
