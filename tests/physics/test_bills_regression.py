"""Change-point fits and savings against recomputed examples of published methods."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from retrofit_desk.physics.bills_limits import (
    BillSpan,
    bills_are_enough,
    degree_days,
    meets_guideline_14,
    model_errors,
    temperature_bins,
)
from retrofit_desk.physics.bills_regression import (
    THERM_IT_KWH,
    THERM_KWH,
    Floats,
    Shape,
    choose,
    fit,
    independent,
    lag_one,
)
from retrofit_desk.physics.bills_savings import (
    Avoided,
    MeterChange,
    avoided_use,
    savings_uncertainty,
    savings_uncertainty_by_months,
    site_change,
)
from retrofit_desk.values.errors import CannotSay

TEMPS = [24.1, 27.8, 36.5, 48.2, 58.9, 68.0, 73.2, 71.6, 64.3, 52.4, 41.0, 30.2]
DAYS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
THERMS = [151.7, 121.5, 107.8, 61.0, 27.0, 17.4, 19.2, 17.7, 19.2, 47.7, 89.1, 126.9]
PER_DAY = [therms / days for therms, days in zip(THERMS, DAYS, strict=True)]
AFTER_TEMPS = [28.0, 25.5, 38.9, 46.0, 60.2, 66.9, 74.0, 72.2, 63.0, 54.1, 39.5, 33.3]
AFTER_THERMS = [62, 70, 45, 33, 20, 18, 18.6, 18.6, 19, 27, 44, 55]
GRID = (50.0, 72.0)


def test_two_therms_differ_in_the_fifth_digit() -> None:
    # REB-5: NIST SP 811 (2008), B.8: US therm 1.054804e8 J, International Table therm 1.05505585e8 J
    assert pytest.approx(1.054804e8 / 3.6e6, abs=5e-6) == THERM_KWH
    assert pytest.approx(1.05505585e8 / 3.6e6, abs=5e-6) == THERM_IT_KWH


def test_heating_fit_of_a_gas_meter() -> None:
    # MV-2: constructed; model family of ASHRAE RP-1050
    found = fit(Shape.HEATING, TEMPS, PER_DAY, grid_f=GRID, step_f=0.1)
    assert found.low_f == pytest.approx(61.0)
    assert found.base == pytest.approx(0.60220, abs=5e-6)
    assert found.heating == pytest.approx(0.114865, abs=5e-7)
    assert found.rmse == pytest.approx(0.0553836, abs=5e-8)
    assert found.mean == pytest.approx(2.218928, abs=5e-7)
    assert found.cv == pytest.approx(0.02496, abs=5e-6)
    assert found.r2 == pytest.approx(0.999082, abs=5e-7)
    assert abs(found.bias) < 1e-12


def test_daily_temperatures_find_the_cold_week_in_a_mild_month() -> None:
    # noiseless recovery of a variable base: the mean of the degree-days, not of the temperatures, drives use
    rng = np.random.default_rng(3)
    daily = [mean + 9.0 * rng.standard_normal(30) for mean in TEMPS]
    used = [0.5 + 0.3 * float(np.maximum(60.0 - days, 0).mean()) for days in daily]
    found = fit(Shape.HEATING, daily, used)
    assert (found.low_f, found.base, found.heating) == pytest.approx((60.0, 0.5, 0.3))
    assert found.per_day(daily) == pytest.approx(used)
    by_means = fit(Shape.HEATING, [float(days.mean()) for days in daily], used)
    assert by_means.cv > 0.01 > found.cv


def test_bills_weighted_by_their_days() -> None:
    # MV-3: constructed
    found = fit(Shape.HEATING, TEMPS, PER_DAY, days=DAYS, grid_f=GRID, step_f=0.1)
    assert found.low_f == pytest.approx(61.0)
    assert found.base == pytest.approx(0.601862, abs=5e-7)
    assert found.heating == pytest.approx(0.114925, abs=5e-7)


def test_savings_and_their_uncertainty() -> None:
    # MV-4, MV-8: constructed; uncertainty formula of ASHRAE Guideline 14 (from memory)
    before = fit(Shape.HEATING, TEMPS, PER_DAY, grid_f=GRID, step_f=0.1)
    found = avoided_use(before, AFTER_TEMPS, DAYS, AFTER_THERMS)
    assert found.predicted == pytest.approx(782.01, abs=5e-3)
    assert found.measured == pytest.approx(430.2)
    assert found.saved == pytest.approx(351.81, abs=5e-3)
    assert found.share == pytest.approx(0.44988, abs=5e-6)
    assert found.uncertainty_share == pytest.approx(0.0400, abs=5e-5)
    assert (found.uncertainty_share or 0) * found.saved == pytest.approx(14.06, abs=5e-3)


X = [20, 30, 40, 50, 55, 60, 65, 70, 75, 80, 85, 90]


def test_noiseless_five_parameters_are_found_again() -> None:
    # MV-5: constructed
    y = [35.6, 27.6, 19.6, 11.6, 10, 10, 10, 13, 20.5, 28, 35.5, 43]
    found = fit(Shape.TWO_POINTS, X, y)
    assert (found.low_f, found.high_f) == (52, 68)
    assert (found.base, found.heating, found.cooling) == pytest.approx((10, 0.8, 1.5))


def test_noiseless_four_parameters_are_found_again() -> None:
    # MV-5: constructed
    y = [35.5, 32.5, 29.5, 26.5, 25, 29.5, 34, 38.5, 43, 47.5, 52, 56.5]
    found = fit(Shape.ONE_POINT, X, y)
    assert found.low_f == found.high_f == 55
    assert (found.base, found.heating, found.cooling) == pytest.approx((25, 0.3, 0.9))


def test_degree_days_of_a_week() -> None:
    # MV-6: constructed
    week = [30, 41, 55, 62, 66, 71, 48.5]
    assert degree_days(week, 65) == pytest.approx((88.5, 7.0))
    assert degree_days(week, 60)[0] == pytest.approx(65.5)


@pytest.mark.parametrize(("confidence", "share"), [(0.68, 0.207), (0.90, 0.360), (0.95, 0.444)])
def test_uncertainty_of_savings(confidence: float, share: float) -> None:
    # MV-7: ASHRAE Guideline 14 (from memory), n = n' = m = 12, CV 10 %, F 20 %, p 3
    assert savings_uncertainty(0.10, 0.20, 12, 12, 3, confidence=confidence) == pytest.approx(share, abs=5e-4)


def test_uncertainty_by_the_open_methods() -> None:
    # MV-9: open M&V methods document 2.0, uncertainty section
    found = savings_uncertainty_by_months(0.10, 0.20, 12, 12, 12, 1)
    assert found == pytest.approx(0.3655, abs=5e-5)


@pytest.mark.parametrize(
    ("temp", "parts"),
    [
        (20, (20, 0, 0, 0, 0, 0, 0)),
        (40, (30, 10, 0, 0, 0, 0, 0)),
        (50, (30, 15, 5, 0, 0, 0, 0)),
        (60, (30, 15, 10, 5, 0, 0, 0)),
        (70, (30, 15, 10, 10, 5, 0, 0)),
        (80, (30, 15, 10, 10, 10, 5, 0)),
        (100, (30, 15, 10, 10, 10, 15, 10)),
    ],
)
def test_temperature_bins(temp: float, parts: tuple[float, ...]) -> None:
    # MV-10: open M&V methods document 2.0, sec. 3.9.2, printed table
    assert temperature_bins(temp) == parts


def test_the_shape_is_chosen_by_the_bills_and_gas_never_cools() -> None:
    # MV-2, MV-5: constructed; the criterion is our own choice (Bayes information criterion, from memory)
    assert choose(TEMPS, PER_DAY, days=DAYS, cooling_possible=False).shape is Shape.HEATING
    y = [35.6, 27.6, 19.6, 11.6, 10, 10, 10, 13, 20.5, 28, 35.5, 43]
    assert choose(X, y, step_f=2.0).shape is Shape.TWO_POINTS
    assert choose(X, y, cooling_possible=False).cooling <= 0
    y = [35.5, 32.5, 29.5, 26.5, 25, 29.5, 34, 38.5, 43, 47.5, 52, 56.5]
    assert choose(X, y).shape is Shape.ONE_POINT
    with pytest.raises(CannotSay, match="periods"):
        fit(Shape.HEATING, TEMPS[:3], PER_DAY[:3])
    with pytest.raises(CannotSay, match="periods"):
        choose(TEMPS[:1], PER_DAY[:1])


def kinked(temp_f: Floats, low: float, high: float, slopes: tuple[float, float]) -> Floats:
    return 10.0 + slopes[0] * np.maximum(low - temp_f, 0) + slopes[1] * np.maximum(temp_f - high, 0)


KNOWN: dict[Shape, tuple[float, float, tuple[float, float]]] = {
    Shape.MEAN: (60.0, 60.0, (0.0, 0.0)),
    Shape.LINE: (100.0, 200.0, (0.3, 0.0)),  # the point where it would turn lies beyond all weather
    Shape.HEATING: (58.0, 58.0, (0.6, 0.0)),
    Shape.COOLING: (66.0, 66.0, (0.0, 0.6)),
    Shape.ONE_POINT: (60.0, 60.0, (0.5, 0.7)),
    Shape.TWO_POINTS: (52.0, 68.0, (0.7, 0.9)),
}


@pytest.mark.parametrize("shape", KNOWN)
def test_a_year_of_days_made_by_a_known_shape_is_told_by_that_shape(shape: Shape) -> None:
    # constructed: the shape, noise of 1 a day on a use of about 20 that follows the day before by 0.4
    low, high, slopes = KNOWN[shape]
    chance = np.random.default_rng(list(KNOWN).index(shape))
    found = []
    for _ in range(20):
        days = np.arange(365)
        temp = 58.0 - 22.0 * np.cos(2 * np.pi * days / 365) + 7.0 * chance.standard_normal(365)
        fresh, noise = chance.standard_normal(365), np.zeros(365)
        for day in days:
            noise[day] = (0.4 * noise[day - 1] if day else 0.0) + fresh[day]
        use = kinked(temp, low, high, slopes) + noise
        found.append(choose(temp, use, follows=np.ones(364, bool)))
    right = [one for one in found if one.shape is shape]
    assert len(right) >= 18  # of 20: a criterion on noise is now and then wrong
    assert np.mean([one.correlation for one in right]) == pytest.approx(0.4, abs=0.06)
    if shape is Shape.TWO_POINTS:
        assert np.mean([one.low_f or 0.0 for one in right]) == pytest.approx(low, abs=1.0)
        assert np.mean([one.high_f or 0.0 for one in right]) == pytest.approx(high, abs=1.0)


def test_a_fuel_that_heats_water_falls_on_above_its_change_point() -> None:
    # constructed: four parameters, 0.5 a degree below 60 F and 0.05 above: mains water warms with the year
    temp = np.linspace(15.0, 90.0, 40)
    use = kinked(temp, 60.0, 60.0, (0.5, -0.05))
    found = choose(temp, use, cooling_possible=False)
    assert (found.shape, found.low_f, found.high_f) == (Shape.ONE_POINT, 60.0, 60.0)
    assert (found.heating, found.cooling) == pytest.approx((0.5, -0.05))


def test_what_bends_the_wrong_way_or_falls_below_zero_is_not_believed() -> None:
    temp = np.linspace(20.0, 90.0, 30)
    hill = 30.0 - 0.01 * (temp - 55.0) ** 2
    found = choose(temp, hill)
    assert found.heating + found.cooling >= -1e-9
    warm_gas = choose(temp, 5.0 + 0.2 * (temp - 20.0), cooling_possible=False)
    assert warm_gas.shape is Shape.MEAN


def test_days_away_are_one_more_driver() -> None:
    # noiseless recovery: 12 bills, three of them with part of the days away
    away = [0.0, 0.3, 0.0, 0.0, 0.0, 0.0, 0.5, 0.0, 0.0, 0.1, 0.0, 0.0]
    use = [0.9 + 0.12 * max(60.0 - temp, 0.0) - 0.5 * share for temp, share in zip(TEMPS, away, strict=True)]
    found = choose(TEMPS, use, away=away, cooling_possible=False)
    assert (found.shape, found.parameters) == (Shape.HEATING, 4)
    assert (found.low_f, found.base, found.heating, found.away) == pytest.approx((60.0, 0.9, 0.12, -0.5))
    assert found.per_day(TEMPS, away) == pytest.approx(use)


@pytest.mark.parametrize(
    ("middle", "steps", "count"), [(1.2, (1.1, 1.3), 1001), (1e7 + 0.2, (1e7 + 0.1, 1e7 + 0.3), 1001)]
)
def test_autocorrelation_of_lag_one(middle: float, steps: tuple[float, float], count: int) -> None:
    # NIST StRD univariate sets NumAcc2 and NumAcc4: one middle value, then two in turn; certified r(1) -0.999
    values = np.array([middle, *([*steps] * ((count - 1) // 2))])
    assert lag_one(values, np.ones(count - 1, bool)) == pytest.approx(-0.999, abs=1e-7)


def test_what_follows_across_a_gap_does_not_count_as_following() -> None:
    values = np.array([1.0, 1.0, -1.0, -1.0])
    assert lag_one(values, np.array([True, False, True])) == pytest.approx(0.5)


def test_days_that_follow_each_other_are_worth_fewer() -> None:
    # MV-7: ASHRAE Guideline 14 (from memory): rho 0.5 makes a third of 360 days, 120
    assert independent(360, 0.5) == pytest.approx(120.0)
    expected = 1.26 * 1.6579 * 0.3 / (0.1 * np.sqrt(360)) * np.sqrt(3.0 * (1 + 2 / 120))  # t table: 117, 90 %
    found = savings_uncertainty(0.3, 0.1, 360, 360, 3, correlation=0.5)
    assert found == pytest.approx(expected, rel=5e-4)


def test_bills_must_be_enough_to_lean_on() -> None:
    # REB-6: BPI-2400-S-2012 sec. 3.2.2 (second-hand)
    normal = 3800.0
    per_month = [780, 640, 480, 220, 60, 2, 0, 0, 25, 240, 500, 740]
    year = [BillSpan(days, dd) for days, dd in zip(DAYS, per_month, strict=True)]
    assert bills_are_enough(year, 30, normal, 0.1).is_enough
    assert bills_are_enough(year[:8], 30, normal, 0.1).is_enough
    assert not bills_are_enough(year[:4], 30, normal, 0.1).is_enough
    assert "year old" in " ".join(bills_are_enough(year, 400, normal, 0.1).faults)
    assert "loosely" in " ".join(bills_are_enough(year, 30, normal, 0.2).faults)
    assert not bills_are_enough(year[4:11], 30, normal, 0.1).is_enough
    assert bills_are_enough([], 0, normal, None).faults == ("no bills",)


def test_after_a_change_of_fuel_only_the_whole_house_tells() -> None:
    # MV-11: constructed
    gas = MeterChange("gas", Avoided(780.0, 0.0, 0.04 * 780, 0.9), THERM_IT_KWH)
    power = MeterChange("electricity", Avoided(9000.0, 14200.0, 0.10 * 5200, 0.9), 1.0)
    found = site_change([gas, power])
    assert gas.avoided.share == 1
    assert found.saved == pytest.approx(780 * THERM_IT_KWH - 5200)
    assert found.share == pytest.approx(0.5543, abs=5e-5)
    assert found.uncertainty_share == pytest.approx(
        np.hypot(0.04 * 780 * THERM_IT_KWH, 0.10 * 5200) / found.saved
    )


def test_limits_of_a_calibrated_model() -> None:
    # ASHRAE Guideline 14-2014 (second-hand): monthly 15 % and 5 %, hourly 30 % and 10 %
    assert meets_guideline_14(0.15, -0.05)
    assert not meets_guideline_14(0.151, 0.0)
    assert meets_guideline_14(0.29, 0.09, hourly=True)
    cv, bias = model_errors([10, 20, 30], [11, 19, 30])
    assert (cv, bias) == pytest.approx((np.sqrt(2 / 2) / 20, 0.0))


def test_the_range_of_a_saving_by_days_holds_it_as_often_as_it_says() -> None:
    # constructed: noise that follows the day before by 0.6; 40 pairs of years with a saving that is known.
    # A 90 % range that holds 36 of 40 is expected; 30 is what chance and a short record leave (own judgment)
    chance = np.random.default_rng(11)
    held = held_as_if_independent = 0
    for _ in range(40):
        days = np.arange(730)
        temp = 55.0 - 22.0 * np.cos(2 * np.pi * days / 365) + 7.0 * chance.standard_normal(730)
        noise, fresh = np.zeros(730), 1.2 * chance.standard_normal(730)
        for day in days:
            noise[day] = (0.6 * noise[day - 1] if day else 0.0) + fresh[day]
        as_it_was, since = (kinked(temp, 60.0, 60.0, (slope, 0.0)) for slope in (0.5, 0.4))
        read = np.where(days < 365, as_it_was, since) + noise
        before = choose(temp[:365], read[:365], follows=np.ones(364, bool))
        found = avoided_use(before, temp[365:], np.ones(365), read[365:])
        assert found.half_width is not None
        off = abs(found.saved - float((as_it_was - since)[365:].sum()))
        held += off <= found.half_width
        naive = avoided_use(replace(before, correlation=0.0), temp[365:], np.ones(365), read[365:])
        assert naive.half_width is not None
        held_as_if_independent += off <= naive.half_width
    assert held >= 30 > held_as_if_independent
