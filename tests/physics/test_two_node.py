"""Standard effective temperature against the validation table of ASHRAE 55."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from retrofit_desk.physics.errors import ImpossibleValue
from retrofit_desk.physics.two_node import effective_temperature_c

TABLE = "ASHRAE 55-2017, validation table of the two-node model (second-hand)"


@pytest.mark.parametrize(
    ("air", "clo", "printed", "exact", "source"),
    [  # COM-6: 25/25 °C, .15 m/s, 50 %, 1 met, .5 clo with one value changed
        ((25.0, 25.0, 0.15, 0.50), 0.5, 23.8, 23.84, TABLE),
        ((25.0, 25.0, 0.10, 0.50), 0.5, 24.0, 24.01, TABLE),
        ((25.0, 25.0, 1.10, 0.50), 0.5, 20.2, 20.24, TABLE),
        ((30.0, 25.0, 0.15, 0.50), 0.5, 26.4, 26.44, TABLE),
        ((25.0, 25.0, 0.15, 0.10), 0.5, 23.3, None, TABLE),
        ((25.0, 25.0, 0.15, 0.50), 1.0, 27.2, 27.21, TABLE),
    ],
)
def test_effective_temperature_is_the_printed_one(
    air: tuple[float, float, float, float], clo: float, printed: float, exact: float | None, source: str
) -> None:
    found = effective_temperature_c(*air, met=1.0, clo=clo)
    assert found == pytest.approx(printed, abs=0.1), source
    if exact is not None:
        assert found == pytest.approx(exact, abs=0.02)


@settings(max_examples=40, deadline=None)
@given(st.floats(22.0, 32.0), st.floats(0.2, 0.8), st.floats(0.3, 1.0))
def test_a_fan_cools_people(air_c: float, humidity: float, clo: float) -> None:
    still = effective_temperature_c(air_c, air_c, 0.1, humidity, met=1.1, clo=clo)
    assert effective_temperature_c(air_c, air_c, 0.8, humidity, met=1.1, clo=clo) < still


@settings(max_examples=40, deadline=None)
@given(st.floats(18.0, 34.0), st.floats(0.5, 4.0))
def test_warmer_rooms_feel_warmer(air_c: float, more_k: float) -> None:
    one = effective_temperature_c(air_c, air_c, 0.15, 0.5, met=1.1, clo=0.6)
    assert effective_temperature_c(air_c + more_k, air_c + more_k, 0.15, 0.5, met=1.1, clo=0.6) > one


def test_humidity_is_a_share() -> None:
    with pytest.raises(ImpossibleValue, match="humidity"):
        effective_temperature_c(25.0, 25.0, 0.1, 50.0, met=1.0, clo=0.5)
