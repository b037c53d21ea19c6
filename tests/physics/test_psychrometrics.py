"""Moist air against the handbook's tables and example."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pytest
from CoolProp.HumidAirProp import HAPropsSI
from hypothesis import given, settings
from hypothesis import strategies as st

from retrofit_desk.physics.errors import ImpossibleValue
from retrofit_desk.physics.psychrometrics import (
    cooled_surface_limit_c,
    dew_point_c,
    humidity_ratio_from_wet_bulb,
    moist_air,
    relative_humidity,
    relative_humidity_from_ratio,
    saturation_pressure_pa,
    standard_pressure_pa,
)

TABLE = "ASHRAE Fundamentals ch. 1, saturation table (second-hand: psychrolib's own tests)"
ATMOSPHERE = "ASHRAE Fundamentals ch. 1, standard atmosphere (from memory)"


@pytest.mark.parametrize(
    ("temp_c", "printed_pa", "source"),
    [  # MOI-1
        (-20.0, 103.24, TABLE),
        (-5.0, 401.74, TABLE),
        (5.0, 872.6, TABLE),
        (25.0, 3169.7, TABLE),
        (50.0, 12351.3, TABLE),
        (100.0, 101418.0, TABLE),
    ],
)
def test_saturation_pressure_is_the_printed_one(temp_c: float, printed_pa: float, source: str) -> None:
    assert float(saturation_pressure_pa(temp_c)) == pytest.approx(printed_pa, rel=3e-4), source


def test_saturation_far_below_freezing() -> None:
    # MOI-1: the same table, to its .01 Pa
    assert float(saturation_pressure_pa(-60.0)) == pytest.approx(1.08, abs=0.01)


@pytest.mark.parametrize(
    ("temp_c", "humidity", "dew"),
    [
        (20, 0.50, 9.2724),
        (21, 0.40, 6.8995),
        (24, 0.50, 12.9464),
        (26, 0.50, 14.7812),
        (22, 0.35, 5.8512),
        (20, 0.30, 1.9143),
    ],
)
def test_dew_points(temp_c: float, humidity: float, dew: float) -> None:
    # MOI-3: Hyland & Wexler form, ASHRAE Fundamentals ch. 1, computed
    assert float(dew_point_c(temp_c, humidity)) == pytest.approx(dew, abs=1e-3)


@pytest.mark.parametrize(
    ("state", "pw_pa", "w", "dew_wet", "h_v"),
    [  # MOI-4: ASHRAE Fundamentals ch. 1 formulas, computed at 101,325 Pa
        ((20, 0.50), 1169.402, 0.0072617, (9.2724, 13.7834), (38.5517, 0.840156)),
        ((25, 0.50), 1584.608, 0.0098810, (13.8640, 17.8894), (50.3220, 0.858043)),
        ((35, 0.40), 2251.128, 0.0141317, (19.3846, 23.9342), (71.4732, 0.892788)),
        ((40, 0.30), 2215.038, 0.0139000, (19.1252, 25.0934), (76.0381, 0.906944)),
        ((0, 0.80), 488.923, 0.0030156, (-2.6829, -1.1551), (7.5421, 0.777554)),
        ((-10, 0.80), 207.922, 0.0012789, (-12.4896, -10.6482), (-6.8853, 0.747006)),
    ],
)
def test_moist_air_states(
    state: tuple[float, float], pw_pa: float, w: float, dew_wet: tuple[float, float], h_v: tuple[float, float]
) -> None:
    air = moist_air(*state)
    assert float(air.vapor_pressure_pa) == pytest.approx(pw_pa, abs=1e-3)
    assert float(air.humidity_ratio_kg_kg) == pytest.approx(w, abs=1e-6)
    assert (float(air.dew_point_c), float(air.wet_bulb_c)) == pytest.approx(dew_wet, abs=1.1e-3)
    assert (float(air.enthalpy_kj_kg), float(air.volume_m3_kg)) == pytest.approx(h_v, abs=1e-3)


@pytest.mark.parametrize(
    "state", [(20.0, 0.5), (25.0, 0.5), (35.0, 0.4), (40.0, 0.3), (0.0, 0.8), (-10.0, 0.8)]
)
def test_moist_air_agrees_with_real_gas_properties(state: tuple[float, float]) -> None:
    # CoolProp 6.8 HAPropsSI, after ASHRAE RP-1485. Ideal-gas W lacks the enhancement factor (1.004 to 1.005)
    t, rh = state
    air = moist_air(t, rh)

    def real(output: str) -> float:
        return float(HAPropsSI(output, "T", t + 273.15, "R", rh, "P", 101325.0))

    assert float(air.humidity_ratio_kg_kg) == pytest.approx(real("W"), rel=6e-3)
    assert float(air.dew_point_c) == pytest.approx(real("D") - 273.15, abs=0.02)
    assert float(air.wet_bulb_c) == pytest.approx(real("B") - 273.15, abs=0.02)
    assert float(air.volume_m3_kg) == pytest.approx(real("V"), rel=1e-3)
    assert float(air.enthalpy_kj_kg) == pytest.approx(real("H") / 1000.0, abs=0.2)


def test_altitude_holds_more_moisture_for_each_kilogram() -> None:
    # MOI-4: computed at 97,650 Pa
    assert float(moist_air(20, 0.5, 97650.0).humidity_ratio_kg_kg) == pytest.approx(0.0075383, abs=1e-6)


def test_the_handbook_example_of_a_dry_hot_day() -> None:
    # MOI-5: ASHRAE Fundamentals ch. 1 example (second-hand): 100 °F dry, 65 °F wet, 14.696 psi
    t, wet, p = (100.0 - 32.0) / 1.8, (65.0 - 32.0) / 1.8, 14.696 * 6894.757
    w = float(humidity_ratio_from_wet_bulb(t, wet, p))
    assert w == pytest.approx(0.00523, abs=5e-5)
    rh = float(relative_humidity_from_ratio(t, w, p))
    assert rh == pytest.approx(0.13, abs=0.005)
    air = moist_air(t, rh, p)
    assert float(air.dew_point_c) * 1.8 + 32.0 == pytest.approx(40.0, abs=0.5)
    # the US form counts enthalpy from 0 °F dry air (7.69 Btu/lb below 0 °C)
    btu_lb = float(air.enthalpy_kj_kg) / 2.326 + 0.240 * 32.0
    assert btu_lb == pytest.approx(29.80, abs=0.1)
    assert float(air.volume_m3_kg) / 0.0624280 * 1.0 == pytest.approx(14.22, abs=0.02)


@pytest.mark.parametrize(
    ("altitude_m", "printed_kpa", "source"),
    [  # MOI-7, LOAD-6
        (273.0, 98.088, "computed"),
        (500.0, 95.461, ATMOSPHERE),
        (1000.0, 89.874, ATMOSPHERE),
        (1500.0, 84.556, ATMOSPHERE),
        (2000.0, 79.495, ATMOSPHERE),
        (3000.0, 70.108, ATMOSPHERE),
    ],
)
def test_the_standard_atmosphere(altitude_m: float, printed_kpa: float, source: str) -> None:
    assert float(standard_pressure_pa(altitude_m)) / 1000.0 == pytest.approx(printed_kpa, abs=1e-3), source


@pytest.mark.parametrize(("feet", "ratio"), [(2500.0, 0.9129), (5000.0, 0.8321), (7500.0, 0.7571)])
def test_pressure_ratios_by_altitude(feet: float, ratio: float) -> None:
    # LOAD-6: standard atmosphere, ASHRAE Fundamentals ch. 1 (from memory), computed
    assert float(standard_pressure_pa(feet * 0.3048)) / 101325.0 == pytest.approx(ratio, abs=6e-5)


@pytest.mark.parametrize(
    ("temp_c", "humidity", "simple", "controlled"),
    [(24, 0.50, 14.95, 13.95), (25, 0.55, 17.34, 16.34), (26, 0.50, 16.78, 15.78)],
)
def test_a_cooled_floor_stays_above_the_dew_point(
    temp_c: float, humidity: float, simple: float, controlled: float
) -> None:
    # MOI-15: dew points computed; margins common practice, no source
    assert cooled_surface_limit_c(temp_c, humidity) == pytest.approx(simple, abs=0.01)
    assert cooled_surface_limit_c(temp_c, humidity, margin_k=1.0) == pytest.approx(controlled, abs=0.01)


def test_stull_agrees_near_room_conditions() -> None:
    # MOI-6: Stull, J. Appl. Meteorol. Climatol. 50 (2011): 20 °C, 50 % -> 13.7 °C; good to .3 K at sea level
    assert float(moist_air(20.0, 0.5).wet_bulb_c) == pytest.approx(13.7, abs=0.1)


@settings(max_examples=50)
@given(st.floats(-30.0, 45.0), st.floats(0.05, 1.0))
def test_dew_point_and_humidity_undo_each_other(temp_c: float, humidity: float) -> None:
    dew = dew_point_c(temp_c, humidity)
    assert float(dew) <= temp_c + 1e-3
    assert float(relative_humidity(temp_c, dew)) == pytest.approx(humidity, abs=2e-4)


def test_a_year_of_air_is_one_call() -> None:
    air = moist_air(np.linspace(-10.0, 38.0, 8760), np.full(8760, 0.6), np.full(8760, 98000.0))
    assert air.wet_bulb_c.shape == (8760,)
    assert np.all(air.wet_bulb_c <= np.linspace(-10.0, 38.0, 8760) + 1e-9)


def test_bone_dry_air_has_no_dew_point() -> None:
    with pytest.raises(ImpossibleValue, match="relative humidity"):
        dew_point_c(20.0, 0.0)


SIDE_BY_SIDE = """
import sys
import threading
import warnings

from retrofit_desk.physics import psychrometrics as air

warnings.simplefilter("error")  # a function compiled twice warns in its thread
sys.setswitchinterval(1e-5)
asks = 2 * [
    lambda: air.moist_air(20.0, 0.5),
    lambda: air.dew_point_c(20.0, 0.5),
    lambda: air.humidity_ratio_from_wet_bulb(20.0, 14.0),
    lambda: air.relative_humidity_from_ratio(20.0, 0.007),
]
gate = threading.Barrier(len(asks))
failed = []


def ask(what):
    gate.wait()
    try:
        what()
    except Exception as error:
        failed.append(error)


threads = [threading.Thread(target=ask, args=(what,)) for what in asks]
for one in threads:
    one.start()
for one in threads:
    one.join()
sys.exit(str(failed[0]) if failed else 0)
"""


def test_threads_that_ask_first_together_compile_each_function_once() -> None:
    done = subprocess.run(
        [sys.executable, "-c", SIDE_BY_SIDE], check=False, capture_output=True, text=True, timeout=120
    )
    assert (done.returncode, done.stderr) == (0, "")
