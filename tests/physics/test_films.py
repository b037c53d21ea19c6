"""Surface films against the printed tables of ISO 6946."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.physics.errors import ImpossibleValue
from retrofit_desk.physics.films import (
    DESIGN_R_SE_M2K_W,
    DESIGN_R_SI_M2K_W,
    HeatFlow,
    heat_flow_through,
    inside_resistance_m2k_w,
    outside_resistance_m2k_w,
    radiative_coefficient_w_m2k,
)

ISO_6946 = "ISO 6946:2017, surface resistance annex (from memory)"
HALF_HUNDREDTH = 0.005


@pytest.mark.parametrize(
    ("temp_c", "printed", "exact", "source"),
    [  # ENV-1
        (-10.0, 4.1, 4.1332, ISO_6946),
        (0.0, 4.6, 4.6225, ISO_6946),
        (10.0, 5.1, 5.1490, ISO_6946),
        (20.0, 5.7, 5.7140, ISO_6946),
        (30.0, 6.3, 6.3189, ISO_6946),
    ],
)
def test_black_body_coefficient_is_the_printed_one(
    temp_c: float, printed: float, exact: float, source: str
) -> None:
    value = radiative_coefficient_w_m2k(temp_c)
    assert value == pytest.approx(printed, abs=0.05), source
    assert value == pytest.approx(exact, abs=5e-5)


@pytest.mark.parametrize(
    ("flow", "printed", "exact", "source"),
    [  # ENV-2
        (HeatFlow.UP, 0.10, 0.09859, ISO_6946),
        (HeatFlow.HORIZONTAL, 0.13, 0.13085, ISO_6946),
        (HeatFlow.DOWN, 0.17, 0.17116, ISO_6946),
    ],
)
def test_inside_film_is_the_printed_one(flow: HeatFlow, printed: float, exact: float, source: str) -> None:
    value = inside_resistance_m2k_w(flow)
    assert value == pytest.approx(printed, abs=HALF_HUNDREDTH), source
    assert value == pytest.approx(exact, abs=5e-6)
    assert DESIGN_R_SI_M2K_W[flow] == printed


@pytest.mark.parametrize(
    ("wind_m_s", "printed", "exact", "source"),
    [  # ENV-3
        (1.0, 0.08, 0.08224, ISO_6946),
        (2.0, 0.06, 0.06188, ISO_6946),
        (3.0, 0.05, 0.04960, ISO_6946),
        (4.0, 0.04, 0.04139, ISO_6946),
        (5.0, 0.04, 0.03551, ISO_6946),
        (7.0, 0.03, 0.02765, ISO_6946),
        (10.0, 0.02, 0.02076, ISO_6946),
    ],
)
def test_outside_film_is_the_printed_one(wind_m_s: float, printed: float, exact: float, source: str) -> None:
    value = outside_resistance_m2k_w(wind_m_s)
    assert value == pytest.approx(printed, abs=HALF_HUNDREDTH), source
    assert value == pytest.approx(exact, abs=5e-6)


def test_design_outside_film_is_that_of_four_metres_a_second() -> None:
    assert outside_resistance_m2k_w() == pytest.approx(DESIGN_R_SE_M2K_W, abs=HALF_HUNDREDTH)


@pytest.mark.parametrize(
    ("tilt_deg", "warm_inside", "flow"),
    [
        (0.0, True, HeatFlow.UP),
        (0.0, False, HeatFlow.DOWN),
        (59.0, True, HeatFlow.UP),
        (60.0, True, HeatFlow.HORIZONTAL),
        (90.0, False, HeatFlow.HORIZONTAL),
        (120.0, True, HeatFlow.HORIZONTAL),
        (180.0, True, HeatFlow.DOWN),
        (180.0, False, HeatFlow.UP),
    ],
)
def test_a_steep_roof_counts_as_a_wall(tilt_deg: float, warm_inside: bool, flow: HeatFlow) -> None:
    assert heat_flow_through(tilt_deg, warm_inside=warm_inside) is flow


@given(st.floats(0.05, 0.95), st.floats(0.0, 30.0), st.floats(0.1, 5.0))
def test_more_wind_never_thickens_the_film(emissivity: float, wind: float, more: float) -> None:
    assert outside_resistance_m2k_w(wind + more, emissivity) < outside_resistance_m2k_w(wind, emissivity)


def test_an_emissivity_above_one_is_refused() -> None:
    with pytest.raises(ImpossibleValue, match="emissivity"):
        inside_resistance_m2k_w(HeatFlow.UP, emissivity=1.2)
