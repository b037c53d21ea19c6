"""Air leakage: the test's power law, wind at the house, the basic model, fans."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.physics.errors import ImpossibleValue
from retrofit_desk.physics.leakage import (
    PowerLaw,
    Terrain,
    air_changes_at_50_pa,
    air_density_kg_m3,
    at_standard_air,
    envelope_flow_m3_s,
    infiltration_m3_s,
    leakage_area_at_m2,
    power_law_from_one_point,
    power_law_from_points,
    stack_coefficient,
    wind_at_house_m_s,
    wind_coefficient,
    with_fans_m3_s,
)

CFM = 0.4719474e-3  # m3/s
IN2 = 6.4516e-4  # m2
FT3 = 0.3048**3
MPH = 0.44704
BASIC = "ASHRAE Fundamentals ch. 16, basic model table (from memory)"


def from_us(coefficient: float, *, stack: bool) -> float:
    """A basic-model coefficient of the cfm, in2, °F, mph form in the SI form of the function."""
    flow_per_area = CFM / (IN2 * 10.0)
    return coefficient * flow_per_area**2 * (1.8 if stack else 1.0 / MPH**2)


def test_one_blower_door_point_gives_coefficient_and_leakage_areas() -> None:
    # INF-1: ASTM E779 forms (from memory), computed
    law = power_law_from_one_point(1800.0 * CFM)
    assert law.coefficient_m3_s_pan == pytest.approx(0.0668091, abs=1e-7)
    assert float(law.flow_m3_s(4.0)) == pytest.approx(0.164503, abs=1e-6)
    assert law.leakage_area_m2() * 1e4 == pytest.approx(637.119, abs=1e-2)
    assert law.leakage_area_m2() / IN2 == pytest.approx(98.7536, abs=1e-3)
    assert law.leakage_area_m2(10.0, 0.611) * 1e4 == pytest.approx(1196.38, abs=2e-2)


@pytest.mark.parametrize(
    ("exponent", "in2_per_cfm50"), [(0.60, 0.06225), (0.65, 0.05486), (0.67, 0.05216), (0.70, 0.04835)]
)
def test_leakage_area_for_each_cfm50(exponent: float, in2_per_cfm50: float) -> None:
    # INF-2: computed; the .055 of ASHRAE 62.2 (from memory) is exponent .65
    law = power_law_from_one_point(CFM, 50.0, exponent)
    assert law.leakage_area_m2() / IN2 == pytest.approx(in2_per_cfm50, abs=6e-6)


def test_several_points_give_a_line_through_the_logarithms() -> None:
    # INF-3: unweighted log-log line, ASTM E779 form (from memory), computed
    flows = [2065.0, 1832.0, 1581.0, 1314.0, 1006.0, 834.0]
    law = power_law_from_points([60.0, 50.0, 40.0, 30.0, 20.0, 15.0], [flow * CFM for flow in flows])
    assert law.exponent == pytest.approx(0.653723, abs=6e-7)
    assert law.coefficient_m3_s_pan / CFM == pytest.approx(142.0026, abs=1e-4)
    assert float(law.flow_m3_s(50.0)) / CFM == pytest.approx(1832.11, abs=6e-3)
    ach = air_changes_at_50_pa(float(law.flow_m3_s(50.0)), 14400.0 * FT3)
    assert ach == pytest.approx(7.6338, abs=1e-4)
    two = power_law_from_points([18.0, 50.0], [900.0 * CFM, 1800.0 * CFM])
    assert two.exponent == pytest.approx(0.678458, abs=6e-7)


@pytest.mark.parametrize(
    ("temp_c", "pressure_pa", "expected"),
    [(20.0, 101325.0, 1.20410), (-10.0, 101325.0, 1.34137), (20.0, 84500.0, 1.00416)],
)
def test_air_density(temp_c: float, pressure_pa: float, expected: float) -> None:
    # INF-4: gas law with the constant of ASTM E779 (from memory), computed
    assert float(air_density_kg_m3(temp_c, pressure_pa)) == pytest.approx(expected, abs=1e-5)


def test_a_test_in_the_cold_is_corrected_for_density() -> None:
    # INF-4: ASTM E779 (from memory), computed
    inside, outside = (float(air_density_kg_m3(t, 101325.0)) for t in (20.0, -10.0))
    assert envelope_flow_m3_s(1800.0, inside, outside, depressurized=True) == pytest.approx(1615.8, abs=0.05)
    pressed = envelope_flow_m3_s(1800.0, inside, outside, depressurized=False)
    assert pressed == pytest.approx(1800.0 * 293.15 / 263.15)
    assert at_standard_air(PowerLaw(0.0668, 0.65), 1.768e-5, 1.3414).coefficient_m3_s_pan == pytest.approx(
        0.068852, abs=1e-6
    )


def test_changing_the_reference_of_a_leakage_area_agrees_with_the_power_law() -> None:
    # ASTM E1827 form (from memory): both ways to the 10 Pa area are one
    law = PowerLaw(0.05, 0.67)
    moved = leakage_area_at_m2(law.leakage_area_m2(), 0.67, (4.0, 1.0), (10.0, 0.611))
    assert moved == pytest.approx(law.leakage_area_m2(10.0, 0.611), rel=1e-12)


def test_wind_at_the_eave_in_a_suburb() -> None:
    # INF-14: ASHRAE Fundamentals ch. 24 (from memory), computed
    assert float(wind_at_house_m_s(3.0, 3.0, Terrain.SUBURB)) == pytest.approx(1.64996, abs=6e-6)


@pytest.mark.parametrize(("storeys", "printed"), [(1, 145e-6), (2, 290e-6), (3, 435e-6)])
def test_stack_coefficients_are_the_printed_ones(storeys: int, printed: float) -> None:
    # INF-5: ASHRAE Fundamentals ch. 16 table (from memory), and the form it comes from: f_s^2·g·H/T
    assert stack_coefficient(storeys) == pytest.approx(printed, abs=1e-9)
    f_s = (1.0 + 0.5 / 2.0) / 3.0
    assert stack_coefficient(storeys) == pytest.approx(f_s**2 * 9.81 * 2.5 * storeys / 293.0 * 1e-2, abs=1e-6)


@pytest.mark.parametrize(
    ("shelter", "storeys", "printed", "source"),
    [  # INF-7: within one unit of the last printed digit
        (1, 1, 319e-6, BASIC),
        (1, 2, 420e-6, BASIC),
        (1, 3, 494e-6, BASIC),
        (2, 1, 246e-6, BASIC),
        (2, 2, 325e-6, BASIC),
        (3, 1, 174e-6, BASIC),
        (3, 2, 231e-6, BASIC),
        (3, 3, 271e-6, BASIC),
        (4, 1, 104e-6, BASIC),
        (4, 2, 137e-6, BASIC),
        (4, 3, 161e-6, BASIC),
    ],
)
def test_wind_coefficients_are_the_printed_ones(
    shelter: int, storeys: int, printed: float, source: str
) -> None:
    assert wind_coefficient(storeys, shelter) == pytest.approx(printed, abs=1.1e-6), source


def test_us_and_si_coefficients_are_the_same_model() -> None:
    # INF-6: printed .0150 and .0119, ASHRAE Fundamentals ch. 16 (from memory)
    assert 145e-6 / from_us(1.0, stack=True) == pytest.approx(0.015054, abs=1e-6)
    assert 319e-6 / from_us(1.0, stack=False) == pytest.approx(0.011913, abs=1e-6)


def test_a_winter_design_day_in_lincoln() -> None:
    # INF-8: ASHRAE Fundamentals ch. 16, basic-model example (from memory): .0736 m3/s, 265 m3/h, .78 /h
    flow = float(infiltration_m3_s(0.0500, 290e-6, 231e-6, 39.0, 6.7))
    assert flow == pytest.approx(0.0736, abs=5e-5)
    assert flow * 3600.0 == pytest.approx(265.0, abs=0.5)
    assert flow * 3600.0 / 340.0 == pytest.approx(0.78, abs=5e-3)


@pytest.mark.parametrize(
    ("area_in2", "stack_us", "wind_us", "dt_f", "mph", "cfm"),
    [  # INF-9, INF-10: ASHRAE Fundamentals ch. 16, basic model in US units (from memory), computed
        (107.0, 0.0150, 0.0039, 30.0, 6.0, 82.22),
        (120.0, 0.0299, 0.0086, 60.0, 10.0, 195.49),
        (90.0, 0.0150, 0.0039, 45.0, 9.0, 89.59),
    ],
)
def test_basic_model_in_us_units(
    *, area_in2: float, stack_us: float, wind_us: float, dt_f: float, mph: float, cfm: float
) -> None:
    flow = infiltration_m3_s(
        area_in2 * IN2, from_us(stack_us, stack=True), from_us(wind_us, stack=False), dt_f / 1.8, mph * MPH
    )
    assert float(flow) / CFM == pytest.approx(cfm, abs=6e-3)


def test_fans_add_to_leakage() -> None:
    # INF-13: ASHRAE Fundamentals ch. 16 (from memory), computed
    assert float(with_fans_m3_s(75.0, 0.0, 60.0)) == pytest.approx(96.0469, abs=5e-5)
    assert float(with_fans_m3_s(75.0, 40.0, 60.0)) == pytest.approx(136.0469, abs=5e-5)


@given(st.floats(-40.0, 40.0), st.floats(0.0, 15.0), st.floats(0.001, 0.2))
def test_leakage_does_not_ask_which_side_is_warm(dt_k: float, wind: float, area: float) -> None:
    one = float(infiltration_m3_s(area, 145e-6, 104e-6, dt_k, wind))
    assert one == float(infiltration_m3_s(area, 145e-6, 104e-6, -dt_k, wind))
    assert float(infiltration_m3_s(2.0 * area, 145e-6, 104e-6, dt_k, wind)) == pytest.approx(2.0 * one)


@given(st.floats(0.005, 0.3), st.floats(0.5, 1.0))
def test_a_clean_test_gives_its_own_law_back(coefficient: float, exponent: float) -> None:
    law = PowerLaw(coefficient, exponent)
    pressures = [12.0, 20.0, 30.0, 40.0, 50.0, 60.0]
    again = power_law_from_points(pressures, [float(law.flow_m3_s(p)) for p in pressures])
    assert again.coefficient_m3_s_pan == pytest.approx(coefficient, rel=1e-9)
    assert again.exponent == pytest.approx(exponent, rel=1e-9)


def test_a_year_of_hours_is_one_call() -> None:
    dt, wind = np.linspace(-10.0, 30.0, 8760), np.linspace(0.0, 12.0, 8760)
    flow = infiltration_m3_s(0.06, 145e-6, 104e-6, dt, wind)
    assert flow.shape == (8760,)
    assert float(flow[5000]) == float(infiltration_m3_s(0.06, 145e-6, 104e-6, dt[5000], wind[5000]))


@pytest.mark.parametrize(
    ("build", "words"),
    [
        (lambda: power_law_from_points([50.0, 50.0], [1.0, 1.0]), "two pressures"),
        (lambda: power_law_from_points([50.0, 20.0], [1.0, -1.0]), "reading"),
        (lambda: power_law_from_one_point(0.0), "test flow"),
        (lambda: PowerLaw(0.05, 1.4), "exponent"),
        (lambda: wind_coefficient(2, 6), "shelter class"),
        (lambda: air_changes_at_50_pa(1.0, 0.0), "volume"),
    ],
)
def test_an_impossible_test_is_refused(build, words: str) -> None:
    with pytest.raises(ImpossibleValue, match=words):
        build()
