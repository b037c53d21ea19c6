"""Likely ranges hold their value, widen with what is unsure, and say what moves the answer."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.estimate.factors import HOUSE_FACTORS, TERM_FACTORS
from retrofit_desk.estimate.line_up import FIGURES
from retrofit_desk.estimate.ranges import band, draw, responses
from tests.estimate.builders import a_case
from tests.estimate.line_ups import a_simulator, chosen, terms

AT = {name: number for number, name in enumerate(FIGURES)}
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
    drawn = draw(exact, np.zeros((len(HOUSE_FACTORS), *exact.shape)))
    found = band(-10_000.0, drawn.of([0], "power_bill_cents"))
    # half a percent: the scatter of 2,000 stratified draws
    assert found.high == pytest.approx(-10_000.0 * (1 - NORMAL_90 * share), rel=0.005)
    assert found.low == pytest.approx(-10_000.0 * (1 + NORMAL_90 * share), rel=0.005)
    assert drawn.moves[0] == ("electricity price", pytest.approx(1.0, abs=0.01))


def test_what_moves_the_answer_most_stands_first_and_little_is_left_over() -> None:
    exact = gains_of(fuel_bill_cents=-10_000.0)
    response = np.zeros((len(HOUSE_FACTORS), *exact.shape))
    response[0] = gains_of(fuel_bill_cents=-3000.0)
    drawn = draw(exact, response)
    assert [name for name, _ in drawn.moves[:2]] == [HOUSE_FACTORS[0].name, "fuel price"]
    # what two factors do only together belongs to neither
    assert sum(share for _, share in drawn.moves) == pytest.approx(1.0, abs=0.05)


def test_the_same_question_draws_the_same_range() -> None:
    exact = gains_of(fuel_bill_cents=-10_000.0)
    response = np.zeros((len(HOUSE_FACTORS), *exact.shape))
    np.testing.assert_array_equal(draw(exact, response).gains, draw(exact, response).gains)


def test_a_house_that_leaks_more_gains_more_from_sealing() -> None:
    measures = chosen("air_sealing")
    moved = responses(a_case(), measures, a_simulator(), terms(), lambda share, doing: None)
    names = [one.name for one in HOUSE_FACTORS]
    assert moved.shape == (len(HOUSE_FACTORS), 1, len(FIGURES))
    assert moved[names.index("air leakage"), 0, AT["gas_kwh"]] < -50.0
    assert abs(moved[names.index("hot water drawn"), 0, AT["gas_kwh"]]) < 1.0


def test_every_uncertain_trait_has_a_size_and_a_source() -> None:
    assert all(one.spread and one.source for one in HOUSE_FACTORS)
    assert all(0 < one.share < 1 and one.source for one in TERM_FACTORS)
