"""Heat pumps by the hour."""

from __future__ import annotations

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.physics.heat_pump import (
    balance_temp_c,
    carnot_cop_heating,
    constant_fraction_cop,
    limits,
    run,
)
from retrofit_desk.physics.heat_pump_ratings import W_PER_BTU_H, TestPoints
from retrofit_desk.physics.plant_machines import OutdoorAir, RatingPoint, Ratings
from tests.physics.plants import water_to_water

UNIT = TestPoints(36000.0, 2950.0, 21500.0, 2600.0)
RATINGS = Ratings(points=UNIT.as_rating_points())
STRAIGHT = OutdoorAir(frost_dip=False)


def c(temp_f: float) -> float:
    return (temp_f - 32.0) / 1.8


def at(temp_f: float, air: OutdoorAir = STRAIGHT) -> tuple[float, float]:
    able = limits(RATINGS, np.array([c(temp_f)]), np.zeros(1), air=air)
    return float(able.capacity_w[0]) / W_PER_BTU_H, float(able.power_w[0])


# ASHP-3: straight lines through the test points at 47 and 17 degF
def test_capacity_and_power_are_interpolated_apart() -> None:
    q, e = at(30.0)
    assert q * W_PER_BTU_H / e == pytest.approx(2.9591, abs=5e-5)
    cop_line = 2.4235 + (3.5765 - 2.4235) * 13 / 30
    assert cop_line == pytest.approx(2.9231, abs=1e-4)  # the wrong way, 1.2 % low
    q, e = at(5.0)
    assert q == pytest.approx(15700.0, abs=0.5)
    assert q * W_PER_BTU_H / e == pytest.approx(1.870, abs=5e-4)


# ASHP-2: the frost default of 10 CFR 430 Subpart B App. M1 4.2.1
@pytest.mark.parametrize(
    ("temp_f", "q", "e"), [(42, 29388.9, 2833.1), (32, 26233.3, 2739.9), (17, 21500.0, 2600.0)]
)
def test_frost_dip_between_17_and_45_degf(temp_f: float, q: float, e: float) -> None:
    got = at(temp_f, OutdoorAir())
    assert got[0] == pytest.approx(q, abs=0.06)
    assert got[1] == pytest.approx(e, abs=0.06)


# ASHP-4: closed form of two straight lines
def test_balance_point_and_supplement() -> None:
    ua = 700.0 * W_PER_BTU_H * 1.8
    cold, warm = UNIT.as_rating_points()
    balance = balance_temp_c(ua, c(65.0), cold, warm)
    assert balance * 1.8 + 32.0 == pytest.approx(27.225, abs=5e-4)
    assert at(balance * 1.8 + 32.0)[0] == pytest.approx(26442.3, abs=0.6)
    missing = 42000.0 - at(5.0)[0]
    assert missing == pytest.approx(26300.0, abs=0.6)
    assert missing * W_PER_BTU_H / 1000 == pytest.approx(7.708, abs=5e-4)


# CYC-1: Carnot, exact
@pytest.mark.parametrize(
    ("hot_c", "cold_c", "cop"),
    [
        (c(70), c(47), 23.029),
        (c(70), c(17), 9.994),
        (c(70), c(5), 8.149),
        (35, -10, 6.848),
        (55, -10, 5.048),
        (35, 7, 11.005),
        (55, 7, 6.836),
    ],
)
def test_carnot(hot_c: float, cold_c: float, cop: float) -> None:
    assert carnot_cop_heating(hot_c, cold_c) == pytest.approx(cop, abs=5e-4)


# CYC-2: vapour-compression cycles by CoolProp; isentropic compression between saturated states
@pytest.mark.parametrize(
    ("fluid", "cop"), [("R134a", 5.702), ("R32", 5.560), ("R290", 5.609), ("R410A", 5.322)]
)
def test_ideal_cycles_stay_below_carnot(fluid: str, cop: float) -> None:
    p_high = PropsSI("P", "T", 318.15, "Q", 0, fluid)
    h1, s1 = PropsSI("H", "T", 273.15, "Q", 1, fluid), PropsSI("S", "T", 273.15, "Q", 1, fluid)
    h2, h3 = PropsSI("H", "P", p_high, "S", s1, fluid), PropsSI("H", "T", 318.15, "Q", 0, fluid)
    cycle = (h2 - h3) / (h2 - h1)
    assert cycle == pytest.approx(cop, rel=0.005)
    assert cycle < carnot_cop_heating(45.0, 0.0)


# HYD-2: constant share 0.45 of Carnot between air and water
@pytest.mark.parametrize(
    ("air", "water", "cop"),
    [(7, 35, 4.952), (7, 45, 3.768), (7, 55, 3.076), (-7, 35, 3.302), (-7, 45, 2.753), (-7, 55, 2.382)],
)
def test_constant_share_of_carnot(air: float, water: float, cop: float) -> None:
    assert constant_fraction_cop(0.45, water, air) == pytest.approx(cop, abs=5e-4)


# HYD-1: Carnot rows of the published comparison (printed to one decimal)
@pytest.mark.parametrize(
    ("source", "water", "cop"),
    [(-20, 35, 5.6), (-20, 55, 4.4), (-20, 85, 3.4), (10, 35, 12.3), (10, 55, 7.3), (10, 75, 5.4)],
)
def test_carnot_against_output_temperature(source: float, water: float, cop: float) -> None:
    assert carnot_cop_heating(water, source) == pytest.approx(cop, abs=0.05)


def test_one_rating_point_keeps_its_share_of_carnot() -> None:
    one = Ratings(points=(RatingPoint(source_c=0.0, load_c=35.0, capacity_w=8000.0, power_w=1800.0),))
    able = limits(one, np.array([0.0, 10.0, 0.0]), np.array([35.0, 35.0, 45.0]))
    cop = able.capacity_w / able.power_w
    assert cop[0] == pytest.approx(8000 / 1800, rel=1e-12)
    assert cop[1] == pytest.approx(8000 / 1800 * carnot_cop_heating(35, 10) / carnot_cop_heating(35, 0))
    assert cop[2] < cop[0]


# cycling by PLF = 1 - C_D (1 - X), App. M1
def _ideal_cooling_cop(fluid: str, evaporating_c: float, condensing_c: float) -> float:
    low, high = evaporating_c + 273.15, condensing_c + 273.15
    h1, s1 = PropsSI("H", "T", low, "Q", 1, fluid), PropsSI("S", "T", low, "Q", 1, fluid)
    h3, p_high = PropsSI("H", "T", high, "Q", 0, fluid), PropsSI("P", "T", high, "Q", 0, fluid)
    return float((h1 - h3) / (PropsSI("H", "P", p_high, "S", s1, fluid) - h1))


# one rated point of an air conditioner: its efficiency by outdoor air follows CoolProp's R-410A cycle, 5 %
@pytest.mark.parametrize("outdoor", [27.8, 31.0, 40.0])
def test_one_rated_point_of_an_air_conditioner(outdoor: float) -> None:
    one = Ratings(points=(RatingPoint(source_c=35.0, capacity_w=10500.0, power_w=3600.0),))
    able = limits(one, np.array([35.0, outdoor]), np.zeros(2), cooling=True)
    ours = (able.capacity_w / able.power_w)[1] / (able.capacity_w / able.power_w)[0]
    cycle = _ideal_cooling_cop("R410A", 14.7, outdoor + 12.0) / _ideal_cooling_cop("R410A", 14.7, 47.0)
    assert ours == pytest.approx(cycle, rel=0.05)


def test_cycling_raises_power_by_the_part_load_factor() -> None:
    able = limits(RATINGS, np.array([c(47.0)]), np.zeros(1), air=STRAIGHT)
    half = run(able, able.capacity_w / 2)
    assert half.power_w[0] == pytest.approx(2950.0 / 2 / 0.875)


def test_cut_out_is_half_on_between_its_two_temperatures() -> None:
    air = OutdoorAir(frost_dip=False, off_below_c=-20.0, on_again_above_c=-15.0)
    able = limits(RATINGS, np.array([-25.0, -18.0, -10.0]), np.zeros(3), air=air)
    assert list(able.available) == [0.0, 0.5, 1.0]
    assert list(run(able, np.full(3, 1e9)).delivered_w / able.capacity_w) == pytest.approx([0.0, 0.5, 1.0])


@given(part=st.floats(0.0, 1.5), source=st.floats(-5.0, 15.0), water=st.floats(25.0, 50.0))
def test_a_machine_never_gives_more_than_asked_nor_beats_carnot(
    part: float, source: float, water: float
) -> None:
    ratings = water_to_water().heating
    assert ratings is not None
    able = limits(ratings, np.array([source]), np.array([water]))
    asked = part * able.capacity_w
    did = run(able, asked)
    assert did.delivered_w[0] <= min(asked[0], able.capacity_w[0]) + 1e-9
    if did.power_w[0] > 0:
        assert did.cop[0] < carnot_cop_heating(water, source)


@given(a=st.floats(0.0, 1.2), b=st.floats(0.0, 1.2))
def test_more_load_never_takes_less_power(a: float, b: float) -> None:
    ratings = water_to_water().heating
    assert ratings is not None
    able = limits(ratings, np.zeros(2), np.full(2, 35.0))
    did = run(able, np.array([min(a, b), max(a, b)]) * able.capacity_w)
    assert did.power_w[0] <= did.power_w[1] + 1e-9


# DD-3: the same bins run hour by hour (ASHRAE bin method; PLF by App. M1)
@pytest.mark.parametrize(("cycling", "kwh"), [(0.0, 8130.10), (0.25, 8797.17)])
def test_hours_agree_with_the_bin_method(cycling: float, kwh: float) -> None:
    hours = {
        57: 700,
        52: 670,
        47: 640,
        42: 650,
        37: 700,
        32: 720,
        27: 480,
        22: 290,
        17: 170,
        12: 100,
        7: 50,
        2: 20,
    }
    outdoor_f = np.repeat(np.array(list(hours), dtype=float), list(hours.values()))
    load = 700.0 * W_PER_BTU_H * (65.0 - outdoor_f)
    ratings = RATINGS.model_copy(update={"cycling_coefficient": cycling})
    able = limits(ratings, (outdoor_f - 32.0) / 1.8, np.zeros(outdoor_f.size), air=STRAIGHT)
    did = run(able, load)
    assert did.power_w.sum() / 1000 == pytest.approx(kwh, rel=1e-5)
    backup = load - did.delivered_w
    assert backup.sum() / 1000 == pytest.approx(2219.57, rel=1e-5)
    assert did.delivered_w + backup == pytest.approx(load)
