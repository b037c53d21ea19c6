"""Likely ranges hold their value, widen with what is unsure, and say what moves the answer."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.estimate.belief import Belief, priors
from retrofit_desk.estimate.factors import (
    HOUSE_FACTORS,
    NEW_FACTORS,
    TERM_FACTORS,
    WEATHER_FACTOR,
)
from retrofit_desk.estimate.line_up import FIGURES
from retrofit_desk.estimate.ranges import RUN_FACTORS, band, draw, responses
from retrofit_desk.estimate.weather_years import colder, heating_degree_days_k
from tests.estimate.builders import a_case
from tests.estimate.line_ups import a_line_up, a_simulator, chosen, terms

AT = {name: number for number, name in enumerate(FIGURES)}
NONE = priors("no bills are recorded")
NORMAL_90 = 1.2816  # ninetieth percentile of the standard normal distribution (tables of any handbook)


def gains_of(**figures: float) -> np.ndarray:
    """One measure with these figures and nothing else, (1, figures)."""
    row = np.zeros((1, len(FIGURES)))
    for name, value in figures.items():
        row[0, AT[name]] = value
    return row


@given(st.floats(-1e6, 1e6), st.lists(st.floats(-1e6, 1e6), min_size=2, max_size=50))
def test_a_range_contains_its_value(value: float, drawn: list[float]) -> None:
    found = band(value, np.array(drawn))
    assert found.low <= value <= found.high


def test_an_electricity_price_alone_makes_the_normal_range() -> None:
    share = next(one.share for one in TERM_FACTORS if one.name == "electricity price")
    exact = gains_of(power_bill_cents=-10_000.0)
    drawn = draw(exact, np.zeros((len(RUN_FACTORS), *exact.shape)), NONE)
    found = band(-10_000.0, drawn.of([0], "power_bill_cents"))
    # half a percent: the scatter of 2,000 stratified draws
    assert found.high == pytest.approx(-10_000.0 * (1 - NORMAL_90 * share), rel=0.005)
    assert found.low == pytest.approx(-10_000.0 * (1 + NORMAL_90 * share), rel=0.005)
    assert drawn.moves[0] == ("electricity price", pytest.approx(1.0, abs=0.01))


def test_what_moves_the_answer_most_stands_first_and_little_is_left_over() -> None:
    exact = gains_of(fuel_bill_cents=-10_000.0)
    response = np.zeros((len(RUN_FACTORS), *exact.shape))
    response[0] = gains_of(fuel_bill_cents=-3000.0)
    drawn = draw(exact, response, NONE)
    assert [name for name, _ in drawn.moves[:2]] == [HOUSE_FACTORS[0].name, "fuel price"]
    # what two factors do only together belongs to neither
    assert sum(share for _, share in drawn.moves) == pytest.approx(1.0, abs=0.05)


def test_the_same_question_draws_the_same_range() -> None:
    exact = gains_of(fuel_bill_cents=-10_000.0)
    response = np.zeros((len(RUN_FACTORS), *exact.shape))
    np.testing.assert_array_equal(draw(exact, response, NONE).gains, draw(exact, response, NONE).gains)


def test_a_house_that_leaks_more_gains_more_from_sealing() -> None:
    measures = chosen("air_sealing")
    moved = responses(a_case(), NONE, measures, a_simulator(), terms(), lambda share, doing: None)
    names = [one.name for one in RUN_FACTORS]
    assert moved.shape == (len(RUN_FACTORS), 1, len(FIGURES))
    assert moved[names.index("air leakage"), 0, AT["gas_kwh"]] < -50.0
    assert abs(moved[names.index("hot water drawn"), 0, AT["gas_kwh"]]) < 1.0


def test_every_uncertain_trait_has_a_size_and_a_source() -> None:
    assert all(one.spread and one.source for one in HOUSE_FACTORS)
    assert all(one.spread and one.source for one in NEW_FACTORS)
    assert all(0 < one.share < 1 and one.source for one in (WEATHER_FACTOR, *TERM_FACTORS))


# what a fit to the bills leaves


def believed(center: float, spread: float, together: float = 0.0) -> Belief:
    """All traits at one center and spread, the first two tied together by a correlation."""
    covariance = np.eye(len(HOUSE_FACTORS)) * spread**2
    covariance[0, 1] = covariance[1, 0] = together * spread**2
    rows = tuple(tuple(float(one) for one in row) for row in covariance)
    return Belief((center,) * len(HOUSE_FACTORS), rows, is_fitted=True, words="fitted")


def gas_responses(*cents: float) -> np.ndarray:
    response = np.zeros((len(RUN_FACTORS), 1, len(FIGURES)))
    for at, one in enumerate(cents):
        response[at] = gains_of(gas_kwh=one)
    return response


@pytest.mark.parametrize("spread", [0.25, 0.5, 1.0])
def test_the_range_is_as_wide_as_the_fit_leaves_the_trait(spread: float) -> None:
    drawn = draw(gains_of(), gas_responses(100.0), believed(0.0, spread))
    found = band(0.0, drawn.of([0], "gas_kwh"))
    assert found.high == pytest.approx(NORMAL_90 * spread * 100.0, rel=0.01)


def test_traits_that_the_bills_tie_together_widen_no_more_than_they_do_together() -> None:
    # RNG-1: var(a + b) = va + vb + 2 r sqrt(va vb): with r = -0.9 and equal effects sqrt(0.2) of one's spread
    drawn = draw(gains_of(), gas_responses(100.0, 100.0), believed(0.0, 1.0, -0.9))
    assert drawn.of([0], "gas_kwh").std() == pytest.approx(100.0 * np.sqrt(0.2), rel=0.03)
    free = draw(gains_of(), gas_responses(100.0, 100.0), NONE)
    assert free.of([0], "gas_kwh").std() == pytest.approx(100.0 * np.sqrt(2.0), rel=0.03)


def test_a_tenth_of_the_draws_lies_under_the_range_and_a_tenth_over_it() -> None:
    values = draw(gains_of(), gas_responses(100.0, 30.0, -50.0), NONE, draws=500).of([0], "gas_kwh")
    found = band(float(np.median(values)), values)
    assert (values < found.low).mean() == pytest.approx(0.1, abs=0.003)
    assert (values > found.high).mean() == pytest.approx(0.1, abs=0.003)


def test_the_believed_house_is_the_described_one_moved_to_the_center() -> None:
    case = a_case()
    assert NONE.house(case) == case
    door, moved = case.house.blower_door, believed(1.0, 0.5).house(case).house.blower_door
    assert door is not None
    assert moved is not None
    assert moved.flow_at_50_pa_m3_s == pytest.approx(door.flow_at_50_pa_m3_s * 1.15)


def test_what_the_measures_bring_is_unsure_and_what_the_house_had_is_not() -> None:
    base = a_case()
    line_up = a_line_up("air_sealing", "ground_source_heat_pump", "heat_pump_water_heater", "own_figures")
    after = line_up.case(line_up.whole)
    assert after is not None
    for factor in NEW_FACTORS:
        assert factor.shift(base, 1.0, base) == base
        assert factor.shift(after, 1.0, base) != after
    machines = next(one for one in NEW_FACTORS if one.name == "efficiency of the new machines")
    old = [one for one in after.plant.machines if one in base.plant.machines]
    kept = machines.shift(after, 1.0, base).plant
    assert all(one in kept.machines for one in old)
    simulator = a_simulator()
    assert simulator.year(machines.shift(after, 1.0, base)).drawn_kwh < simulator.year(after).drawn_kwh


def test_a_cold_year_has_the_degree_days_it_is_asked_for() -> None:
    weather = a_simulator().weather
    cold = colder(weather, 0.09)
    assert heating_degree_days_k(cold) == pytest.approx(heating_degree_days_k(weather) * 1.09, rel=1e-6)
    # a few tenths of a kelvin: single years of one place differ so much; own judgment
    assert 0.3 < float((weather.temp_c - cold.temp_c).mean()) < 1.5
    assert (cold.dew_point_c <= cold.temp_c).all() == (weather.dew_point_c <= weather.temp_c).all()
    assert cold.fingerprint != weather.fingerprint


def test_more_is_saved_by_sealing_in_a_cold_year() -> None:
    moved = responses(
        a_case(), NONE, chosen("air_sealing"), a_simulator(), terms(), lambda share, doing: None
    )
    assert moved[RUN_FACTORS.index(WEATHER_FACTOR), 0, AT["gas_kwh"]] < -5.0
