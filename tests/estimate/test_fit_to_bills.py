"""The fit of a described house to its bills: the sums behind it, the bills it takes, what it tells."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.optimize import minimize

from retrofit_desk.estimate import fit_to_bills as fit_module
from retrofit_desk.estimate.billed_periods import BilledPeriod, FuelPeriods, billed, delivered
from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.factors import HOUSE_FACTORS
from retrofit_desk.estimate.fit_to_bills import BillsAsk, FitToBills, fit_to_bills
from retrofit_desk.estimate.map_fit import FARTHEST, map_fit, most_runs
from retrofit_desk.estimate.proof import daily_means_f
from retrofit_desk.estimate.scenario import Simulator
from retrofit_desk.estimate.weather_years import as_it_was
from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.physics.bills_cleaning import MeterSpan
from retrofit_desk.physics.outside_temps import OutsideTemps, day_of_typical_year
from retrofit_desk.physics.plant_machines import Fuel
from retrofit_desk.values.errors import CannotSay
from tests.estimate.builders import a_case

Array = NDArray[np.float64]
READINGS = [date(2024, 1, 5) + timedelta(days=round(30.4375 * month)) for month in range(13)]
FITTED_TO: tuple[Fuel, ...] = ("gas", "electricity")


@pytest.fixture(scope="module")
def simulator() -> Simulator:
    return Simulator(greensboro())


def quiet(_share: float, _doing: str) -> None:
    pass


def shifted(name: str, z: float, case: HouseCase | None = None) -> HouseCase:
    factor = next(one for one in HOUSE_FACTORS if one.name == name)
    return factor.shift(case or a_case(), z)


def bills_of(case: HouseCase, simulator: Simulator) -> tuple[FuelPeriods, ...]:
    """A year of bills that the case itself would cause."""
    meters = []
    for fuel in FITTED_TO:
        blank = FuelPeriods(fuel, fuel, tuple(BilledPeriod(a, b, 0.0) for a, b in pairwise(READINGS)))
        used = blank.predicted_kwh(simulator.year(case))
        periods = tuple(
            BilledPeriod(one.start, one.end, float(kwh)) for one, kwh in zip(blank.periods, used, strict=True)
        )
        meters.append(FuelPeriods(f"{fuel} meter", fuel, periods))
    return tuple(meters)


def fitted(
    meters: tuple[FuelPeriods, ...],
    simulator: Simulator,
    base: HouseCase | None = None,
    report: Callable[[float, str], None] = quiet,
) -> FitToBills:
    ask = BillsAsk(base or a_case(), meters, "typical year", None, "made", datetime(2026, 11, 25, tzinfo=UTC))
    return fit_to_bills(ask, simulator.year, report)


# the sums


def test_a_linear_model_gets_the_posterior_of_the_textbook() -> None:
    # FIT-1: conjugate normal linear regression with prior N(0, I) and known noise: covariance
    # (X'X + I)^-1, mean covariance X'y, e.g. Gelman et al., Bayesian Data Analysis, 3rd ed., section 14.8
    # (from memory)
    rng = np.random.default_rng(3)
    model, sigma = rng.normal(size=(12, 3)), rng.uniform(0.5, 2.0, 12)
    measured = 40 + model @ np.array([0.4, -0.7, 0.2]) + rng.normal(size=12) * 0.2
    found = map_fit(lambda z: 40 + model @ z, measured, sigma, 3)
    scaled, aims = model / sigma[:, None], (measured - 40) / sigma
    covariance = np.linalg.inv(scaled.T @ scaled + np.eye(3))
    assert found.covariance == pytest.approx(covariance, rel=1e-9)
    assert found.z == pytest.approx(covariance @ scaled.T @ aims, abs=1e-9)


def test_a_bent_model_ends_near_the_minimum_that_a_general_search_finds() -> None:
    # FIT-2: scipy.optimize.minimize (BFGS) on the same sum of squares
    times = np.linspace(0.5, 3.0, 10)

    def predict(z: Array) -> Array:
        return np.asarray(np.exp(0.1 * z[0] * times) + 0.1 * z[1] ** 2 + z[1])

    measured, sigma = predict(np.array([0.9, -0.4])), np.full(10, 0.1)

    def misfit(z: Array) -> float:
        return float((((measured - predict(z)) / sigma) ** 2).sum() + (z**2).sum())

    found = map_fit(predict, measured, sigma, 2)
    best = minimize(misfit, np.zeros(2))
    # slopes are taken over half a standard deviation, so the answer is near the minimum, not on it
    assert misfit(found.z) <= best.fun * 1.01 + 0.01
    assert found.z == pytest.approx(best.x, abs=0.02)


def test_two_traits_that_do_the_same_share_what_is_seen_and_stay_unsure() -> None:
    # FIT-3: two equal columns a: covariance (aa'[1 1; 1 1] + I)^-1, each spread
    # sqrt((1 + A) / (1 + 2A)) with A = a'a, worked by hand
    column = np.full(10, 2.0)
    found = map_fit(lambda z: column * (z[0] + z[1]), column * 1.0, np.ones(10), 2)
    assert found.z[0] == pytest.approx(found.z[1])
    assert found.spread == pytest.approx(np.sqrt(41 / 81), rel=1e-6)
    assert found.covariance[0, 1] / found.covariance[0, 0] == pytest.approx(-40 / 41, rel=1e-6)


def test_bills_that_scatter_more_than_expected_count_for_less() -> None:
    rows = np.ones((8, 1))
    scatter = np.array([4.0, -4.0] * 4)
    calm = map_fit(lambda z: rows @ z, np.zeros(8), np.ones(8), 1)
    wild = map_fit(lambda z: rows @ z, scatter, np.ones(8), 1)
    assert wild.spread[0] > 1.5 * calm.spread[0]


def test_no_trait_is_moved_beyond_belief() -> None:
    found = map_fit(lambda z: 1.0 * z, np.array([50.0]), np.array([0.1]), 1)
    assert found.z[0] == pytest.approx(FARTHEST, abs=1e-3)


@settings(max_examples=25, deadline=None)
@given(st.lists(st.lists(st.floats(-2, 2), min_size=2, max_size=2), min_size=2, max_size=8))
def test_more_bills_never_make_a_trait_less_sure(rows: list[list[float]]) -> None:
    model = np.array(rows)

    def spread(count: int) -> Array:
        return map_fit(lambda z: model[:count] @ z, np.zeros(count), np.ones(count), 2).spread

    fewer, more = spread(len(rows) - 1), spread(len(rows))
    assert (more <= fewer + 1e-9).all()
    assert (fewer <= 1 + 1e-9).all()


# the bills


def span(start: date, end: date, used: float | None, *, estimated: bool = False) -> MeterSpan:
    return MeterSpan(start, end, used, estimated)


def test_bills_count_only_until_the_first_work_and_estimates_join_the_next_reading() -> None:
    bills = [
        (span(date(2025, 1, 1), date(2025, 2, 1), 100.0), 0),
        (span(date(2025, 2, 1), date(2025, 3, 1), 90.0, estimated=True), 2),
        (span(date(2025, 3, 1), date(2025, 4, 1), 50.0), 3),
        (span(date(2025, 4, 1), date(2025, 5, 1), 20.0), 0),
    ]
    found = billed("Gas meter", "gas", bills, 29.3, date(2025, 4, 15))
    assert [one.used_kwh for one in found.periods] == pytest.approx([100 * 29.3, 140 * 29.3])
    assert [one.days_away for one in found.periods] == [0, 5]


def test_a_missing_bill_is_left_out_and_named() -> None:
    bills = [
        (span(date(2025, 1, 1), date(2025, 2, 1), None), 0),
        (span(date(2025, 2, 1), date(2025, 3, 1), 9.0), 0),
    ]
    found = billed("Gas meter", "gas", bills, 29.3, None)
    assert len(found.periods) == 1
    assert found.left_out == ("Gas meter, bill from Jan 2025: its use is missing",)


def test_a_fill_stands_for_what_was_burned_since_the_fill_before() -> None:
    days = [date(2024, 11, 3), date(2025, 1, 10), date(2025, 3, 20)]
    fills = [
        span(day, day + timedelta(days=1), gallons)
        for day, gallons in zip(days, (150, 180, 120), strict=True)
    ]
    found = delivered("Oil tank", "oil", fills, 40.0, None)
    assert [(one.start, one.end, one.used_kwh) for one in found.periods] == [
        (days[0], days[1], 7200.0),
        (days[1], days[2], 4800.0),
    ]


def test_a_fill_is_less_sure_than_a_reading() -> None:
    periods = (
        BilledPeriod(date(2025, 1, 1), date(2025, 2, 1), 1000.0),
        BilledPeriod(date(2025, 2, 1), date(2025, 3, 1), 900.0),
    )
    read = FuelPeriods("tank", "oil", periods)
    filled = FuelPeriods("tank", "oil", periods, by_fills=True)
    assert (filled.sigma_kwh() > read.sigma_kwh()).all()


def test_a_whole_year_of_periods_adds_up_to_the_year(simulator: Simulator) -> None:
    year = simulator.year(a_case())
    for meter in bills_of(a_case(), simulator):
        whole = sum(one.used_kwh for one in meter.periods)
        days = (READINGS[-1] - READINGS[0]).days
        # 2024 has a February 29, which takes the day before once more
        extra = year.metered_days_kwh(meter.fuel)[31 + 27] if days == 366 else 0.0
        total = year.fuel_kwh(meter.fuel) + extra
        missing = 366 - days
        assert whole == pytest.approx(total, rel=0.002 + missing * 0.006)


def test_days_away_take_off_what_the_people_use_and_no_more(simulator: Simulator) -> None:
    year = simulator.year(a_case())
    home, half, away = (
        FuelPeriods("m", "gas", (BilledPeriod(date(2025, 7, 1), date(2025, 8, 1), 1.0, days),))
        for days in (0, 15, 31)
    )
    at_home, mixed, gone = (float(one.predicted_kwh(year)[0]) for one in (home, half, away))
    of_july = {use.end_use: use.kwh[6] for use in year.uses if use.fuel == "gas"}
    assert at_home == pytest.approx(sum(of_july.values()))
    # 40 % of hot water and cooking goes on, and all of the heating
    goes_on = of_july["heating"] + 0.4 * (of_july["hot water"] + of_july["cooking"])
    assert gone == pytest.approx(goes_on)
    assert mixed == pytest.approx(at_home + (gone - at_home) * 15 / 31)


# weather of its own

COLD_YEARS = (2024, 2025)


def cold_temps() -> OutsideTemps:
    """Two years whose days are 4 degF colder than typical."""
    typical = daily_means_f(greensboro())
    days = [date(2024, 1, 1) + timedelta(days=at) for at in range(731)]
    return OutsideTemps(typical, {day: float(typical[day_of_typical_year(day)]) - 4.0 for day in days})


def test_a_year_made_as_it_was_has_the_means_of_its_days() -> None:
    made, temps = as_it_was(greensboro(), 2025, cold_temps()), cold_temps()
    means = made.temp_c.reshape(-1, 24).mean(axis=1) * 1.8 + 32.0
    assert means == pytest.approx(temps.typical_f - 4.0)
    untouched = as_it_was(greensboro(), 2031, temps)
    np.testing.assert_allclose(untouched.temp_c, greensboro().temp_c)


def test_a_cold_winter_is_not_taken_for_a_leaky_house_where_its_weather_is_known(
    simulator: Simulator,
) -> None:
    runs = {year: Simulator(as_it_was(greensboro(), year, cold_temps())).year for year in COLD_YEARS}
    case, meters = a_case(), []
    for blank in bills_of(case, simulator):
        used = blank.predicted_kwh(simulator.year(case), {year: run(case) for year, run in runs.items()})
        periods = tuple(
            replace(one, used_kwh=float(kwh)) for one, kwh in zip(blank.periods, used, strict=True)
        )
        meters.append(replace(blank, periods=periods, own_weather=True))
    ask = BillsAsk(case, tuple(meters), "known", None, "made", datetime(2026, 11, 25, tzinfo=UTC), runs)
    known = fit_to_bills(ask, simulator.year, quiet)
    assert all(abs(trait.z) < 0.01 for trait in known.traits)
    blind = fit_to_bills(replace(ask, actual_years={}), simulator.year, quiet)
    assert max(abs(trait.z) for trait in blind.traits) > 0.3
    # what is known leaves the traits surer
    assert min(trait.spread for trait in known.traits) < min(
        trait.spread for trait in fitted(bills_of(case, simulator), simulator).traits
    )


# the house


def test_a_house_that_causes_its_bills_is_left_as_described(simulator: Simulator) -> None:
    found = fitted(bills_of(a_case(), simulator), simulator)
    assert found.is_within_limits
    assert all(abs(trait.z) < 0.01 for trait in found.traits)
    assert all(fuel.described.cv < 1e-6 for fuel in found.fuels)
    assert not found.poor


def test_what_was_described_wrong_is_found_again(simulator: Simulator) -> None:
    truth = shifted("plugs and lights", 2.0, shifted("air leakage", -2.0))
    found = fitted(bills_of(truth, simulator), simulator)
    gas, power = found.fuels
    for fuel in (gas, power):
        assert fuel.fitted.cv < fuel.described.cv
        assert fuel.fitted.is_within_limits
    traits = {trait.name: trait for trait in found.traits}
    plugs = traits["plugs and lights"]
    assert plugs.is_told
    # drawn towards what is described, by about the share that its own prior leaves: spread squared
    assert plugs.z == pytest.approx(2.0 * (1 - plugs.spread**2), abs=0.25)
    assert traits["air leakage"].z < -0.1


def scattered(meters: tuple[FuelPeriods, ...], scatter: float, seed: int) -> tuple[FuelPeriods, ...]:
    """The same bills, each off by its own share."""
    rng, made = np.random.default_rng(seed), []
    for meter in meters:
        off = 1.0 + scatter * rng.standard_normal(len(meter.periods))
        periods = [
            replace(one, used_kwh=one.used_kwh * share) for one, share in zip(meter.periods, off, strict=True)
        ]
        made.append(replace(meter, periods=tuple(periods)))
    return tuple(made)


@pytest.mark.parametrize("seed", range(6))
def test_known_multipliers_lie_within_their_posterior(seed: int, simulator: Simulator) -> None:
    # FIT-5: drawn from the prior and billed with the scatter that is assumed, the truth lies within 2.5
    # standard deviations of what is found: of a normal posterior 1.2 % of traits would not (tables)
    rng = np.random.default_rng(100 + seed)
    truth = np.clip(rng.standard_normal(len(HOUSE_FACTORS)), -2, 2)
    meters = scattered(bills_of(shifted_by(truth), simulator), 0.05, seed)
    found = fitted(meters, simulator)
    names = [factor.name for factor in HOUSE_FACTORS]
    for trait in found.traits:
        assert abs(trait.z - truth[names.index(trait.name)]) < 2.5 * trait.spread + 0.1


def shifted_by(z: Array) -> HouseCase:
    case = a_case()
    for factor, one in zip(HOUSE_FACTORS, z, strict=True):
        case = factor.shift(case, float(one))
    return case


def test_worse_bills_leave_the_traits_less_sure(simulator: Simulator) -> None:
    clean = bills_of(a_case(), simulator)
    spreads = []
    for scatter in (0.02, 0.2, 0.4):
        spreads.append([trait.spread for trait in fitted(scattered(clean, scatter, 3), simulator).traits])
    for surer, worse in pairwise(spreads):
        assert sum(worse) > sum(surer)
    few = tuple(replace(meter, periods=meter.periods[:5]) for meter in clean)
    assert sum(trait.spread for trait in fitted(few, simulator).traits) > sum(spreads[0])


def test_traits_that_do_the_same_to_the_bills_are_named_as_alike(
    simulator: Simulator, monkeypatch: pytest.MonkeyPatch
) -> None:
    plugs = next(one for one in HOUSE_FACTORS if one.name == "plugs and lights")
    leakage = next(one for one in HOUSE_FACTORS if one.name == "air leakage")
    monkeypatch.setattr(fit_module, "HOUSE_FACTORS", (plugs, leakage, replace(plugs, name="plugs again")))
    found = fitted(bills_of(a_case(), simulator), simulator)
    assert [(pair.one, pair.other) for pair in found.alike] == [("plugs and lights", "plugs again")]


def test_a_trait_that_the_house_does_not_have_is_left_out(simulator: Simulator) -> None:
    case = a_case()
    all_electric = case.with_plant(machines=(), heating=(), cooling=(), cooking=None, water_heater=None)
    found = fitted(bills_of(all_electric, simulator)[1:], simulator, all_electric)
    names = [trait.name for trait in found.traits]
    assert "burner efficiency" not in names
    assert "plugs and lights" in names


def test_the_errors_are_those_of_the_guideline(simulator: Simulator) -> None:
    # FIT-4: ASHRAE Guideline 14-2014, 5.2.11: CV(RMSE) = sqrt(sum r2 / (n - p)) / mean and
    # NMBE = sum r / ((n - p) mean), p = 1 for a calibrated model (from memory); limits 15 % and 5 % by month
    high = tuple(
        FuelPeriods(
            meter.name,
            meter.fuel,
            tuple(BilledPeriod(one.start, one.end, one.used_kwh * 2.0) for one in meter.periods),
        )
        for meter in bills_of(a_case(), simulator)
    )
    power = fitted(high, simulator).fuels[1]
    used = np.array([one.measured_kwh for one in power.periods])
    rest = used - np.array([one.described_kwh for one in power.periods])
    assert power.described.cv == pytest.approx(np.sqrt((rest**2).sum() / 11) / used.mean())
    assert power.described.bias == pytest.approx(rest.sum() / (11 * used.mean()))
    assert not power.described.is_within_limits


def test_without_bills_of_before_the_work_nothing_is_said(simulator: Simulator) -> None:
    with pytest.raises(CannotSay, match="Needs two bills"):
        fitted((FuelPeriods("Gas meter", "gas", ()),), simulator)


def test_bills_of_a_fuel_that_nothing_burns_are_refused(simulator: Simulator) -> None:
    gas = bills_of(a_case(), simulator)[0]
    oil = FuelPeriods("Oil tank", "oil", gas.periods)
    with pytest.raises(CannotSay, match="a machine that uses oil"):
        fitted((gas, oil), simulator)


def test_two_meters_of_one_fuel_side_by_side_are_refused(simulator: Simulator) -> None:
    gas = bills_of(a_case(), simulator)[0]
    with pytest.raises(CannotSay, match="one meter of gas at a time"):
        fitted((gas, FuelPeriods("Second meter", "gas", gas.periods)), simulator)


def test_short_bills_are_used_and_said_to_be_short(simulator: Simulator) -> None:
    gas, power = bills_of(a_case(), simulator)
    short = FuelPeriods(gas.name, gas.fuel, gas.periods[:4])
    found = fitted((short, power), simulator)
    assert found.poor == (f"gas meter: the bills cover {short.days} days, less than a year",)


def test_a_fit_stops_at_once_when_told_to(simulator: Simulator) -> None:
    class Stopped(Exception):
        pass

    told: list[float] = []

    def stop(share: float, _doing: str) -> None:
        told.append(share)
        if len(told) == 3:
            raise Stopped

    meters = bills_of(a_case(), simulator)
    with pytest.raises(Stopped):
        fitted(meters, simulator, report=stop)
    assert len(told) == 3
    shares: list[float] = []
    fitted(meters, simulator, report=lambda share, _doing: shares.append(share))
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    assert len(shares) <= most_runs(len(HOUSE_FACTORS)) + 1
