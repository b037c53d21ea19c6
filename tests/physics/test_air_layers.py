"""Air layers against the printed table of ISO 6946."""

from __future__ import annotations

import pytest

from retrofit_desk.physics.air_layers import (
    air_layer_resistance_m2k_w,
    slightly_ventilated_resistance_m2k_w,
    small_void_resistance_m2k_w,
)
from retrofit_desk.physics.errors import ImpossibleValue
from retrofit_desk.physics.films import HeatFlow

TABLE = "ISO 6946:2017, table of unventilated air layers (from memory)"
UP, LEVEL, DOWN = HeatFlow.UP, HeatFlow.HORIZONTAL, HeatFlow.DOWN


@pytest.mark.parametrize(
    ("depth_m", "flow", "printed", "exact", "source"),
    [  # ENV-4
        (0.005, UP, 0.11, 0.1085, TABLE),
        (0.005, LEVEL, 0.11, 0.1085, TABLE),
        (0.005, DOWN, 0.11, 0.1085, TABLE),
        (0.010, UP, 0.15, 0.1490, TABLE),
        (0.010, LEVEL, 0.15, 0.1490, TABLE),
        (0.010, DOWN, 0.15, 0.1490, TABLE),
        (0.015, UP, 0.16, 0.1623, TABLE),
        (0.015, LEVEL, 0.17, 0.1701, TABLE),
        (0.015, DOWN, 0.17, 0.1701, TABLE),
        (0.025, UP, 0.16, 0.1623, TABLE),
        (0.025, LEVEL, 0.18, 0.1831, TABLE),
        (0.025, DOWN, 0.19, 0.1918, TABLE),
        (0.050, LEVEL, 0.18, 0.1831, TABLE),
    ],
)
def test_still_air_layer_is_the_printed_one(
    depth_m: float, flow: HeatFlow, printed: float, exact: float, source: str
) -> None:
    value = air_layer_resistance_m2k_w(depth_m, flow)
    assert value == pytest.approx(printed, abs=0.005), source
    assert value == pytest.approx(exact, abs=5e-5)


def test_a_foil_face_makes_an_air_layer_resist() -> None:
    # ENV-5: formula of ISO 6946:2017 (from memory), computed
    assert air_layer_resistance_m2k_w(0.020, LEVEL, 0.05, 0.9) == pytest.approx(0.66400, rel=5e-4)


def test_a_small_void_resists_a_little_more_than_a_wide_layer() -> None:
    # ENV-6: formula of ISO 6946:2017 (from memory), computed
    void = small_void_resistance_m2k_w(0.050, 0.100, LEVEL)
    assert void == pytest.approx(0.20917, rel=5e-4)
    assert void > air_layer_resistance_m2k_w(0.050, LEVEL)


def test_a_wide_void_is_an_air_layer() -> None:
    wide = small_void_resistance_m2k_w(0.050, 1e6, LEVEL)
    assert wide == pytest.approx(air_layer_resistance_m2k_w(0.050, LEVEL), rel=1e-6)


@pytest.mark.parametrize(
    ("opening_mm2", "expected"), [(0.0, 3.2), (500.0, 3.2), (900.0, 3.080), (1500.0, 2.9), (9000.0, 2.9)]
)
def test_openings_move_a_layer_from_still_to_open(opening_mm2: float, expected: float) -> None:
    # ENV-14: ISO 6946:2017, slightly ventilated layers (from memory), computed
    assert slightly_ventilated_resistance_m2k_w(opening_mm2, 3.2, 2.9) == pytest.approx(expected, abs=5e-4)


def test_an_attic_is_not_an_air_layer() -> None:
    with pytest.raises(ImpossibleValue, match="unheated space"):
        air_layer_resistance_m2k_w(0.35, UP)
