"""Published numbers beside those that the formulas were made with; each family by another route."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import erf, erfc

from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.physics.ducts import delivery_effectiveness, kept_by_conduction
from retrofit_desk.physics.errors import ImpossibleValue
from retrofit_desk.physics.ground import GroundFloor, Soil, floor_u_w_m2k
from retrofit_desk.physics.layers import SolidLayer
from retrofit_desk.physics.loads import design_temperature_c
from retrofit_desk.physics.network import Network, modes_of
from retrofit_desk.physics.plant_delivery import DuctRun
from retrofit_desk.physics.transient import penetration_depth_m
from retrofit_desk.values.quantity import Dimension, Units, in_unit

YEAR_S = 365.25 * 86400.0


def sliced_wall(half_m: float, k: float, rho_c: float, film_w_m2k: float, count: int) -> Network:
    """1 m2 of a wall between an adiabatic middle and a film to air at 0; nodes amid the slices."""
    between = k * count / half_m
    matrix = np.diag(np.full(count, 2.0 * between))
    matrix[0, 0] = between
    matrix[-1, -1] = between + 1.0 / (0.5 / between + 1.0 / film_w_m2k)
    matrix -= between * (np.eye(count, k=1) + np.eye(count, k=-1))
    none = np.zeros(0, dtype=np.int64)
    return Network(np.full(count, rho_c * half_m / count), matrix, none, none, (), (), (), ())


@pytest.mark.parametrize(
    ("biot", "root"),
    [  # DYN-4: Incropera table 5.1 / Heisler (from memory), recomputed
        (0.01, 0.0998),
        (0.1, 0.3111),
        (0.2, 0.4328),
        (0.5, 0.6533),
        (1.0, 0.8603),
        (2.0, 1.0769),
        (5.0, 1.3138),
        (10.0, 1.4289),
        (100.0, 1.5552),
    ],
)
def test_the_slowest_mode_of_a_sliced_wall_is_the_first_root(biot: float, root: float) -> None:
    half, k, rho_c = 0.1, 1.4, 2300.0 * 880.0
    slowest = float(modes_of(sliced_wall(half, k, rho_c, biot * k / half, 200)).rates_per_s.min())
    assert half * math.sqrt(slowest * rho_c / k) == pytest.approx(root, abs=1e-4)
    exact = brentq(lambda z: z * math.tan(z) - biot, 1e-6, math.pi / 2 - 1e-9)
    assert root == pytest.approx(exact, abs=5e-5)


def test_a_step_of_temperature_enters_a_deep_body_as_erfc() -> None:
    # DYN-1: Abramowitz & Stegun table 7.1; DYN-3: alpha 7.5e-7, 0.10 m, 6 h: eta 0.39284, theta 0.57851
    table = {0.05: 0.94363, 0.25: 0.72367, 0.5: 0.47950, 1.0: 0.15730, 1.5: 0.03389, 2.0: 0.00468}
    assert erfc(list(table)) == pytest.approx(list(table.values()), abs=6e-6)
    deep, count, diffusivity = 2.0, 800, 7.5e-7
    found = modes_of(sliced_wall(deep, diffusivity, 1.0, 1e9, count))
    decay = np.exp(-found.rates_per_s * 6.0 * 3600.0)
    state = found.shape @ (decay * (found.to_modes @ np.ones(count)))
    depth = deep - (np.arange(count) + 0.5) * deep / count
    theta = 1.0 - float(np.interp(0.10, depth[::-1], state[::-1]))
    assert theta == pytest.approx(0.57851, abs=2e-4)
    assert float(erf(0.39284)) == pytest.approx(1.0 - 0.57851, abs=2e-5)


@pytest.mark.parametrize(
    ("diffusivity", "depth_m", "at_3_m", "lag_days"),
    [(5e-7, 2.2411, 0.26221, 77.8), (7e-7, 2.6517, 0.32260, 65.8)],  # DYN-3, yearly wave in the ground
)
def test_the_yearly_wave_dies_out_with_depth(
    diffusivity: float, depth_m: float, at_3_m: float, lag_days: float
) -> None:
    soil = SolidLayer("soil", 2.0, 3.0, 2000.0, 2.0 / diffusivity / 2000.0)
    found = penetration_depth_m(soil, YEAR_S)
    assert found == pytest.approx(depth_m, abs=1e-4)
    assert math.exp(-3.0 / found) == pytest.approx(at_3_m, abs=1e-5)
    assert 365.25 * (3.0 / found) / (2.0 * math.pi) == pytest.approx(lag_days, abs=0.05)
    of_soil = Soil(2.0, 2.0 / diffusivity).yearly_depth_m
    assert of_soil == pytest.approx(found, rel=1e-3)  # a year of 365 days


def test_design_temperatures_of_the_typical_year() -> None:
    # WEA-4: quantiles of the 8,760 dry bulbs of station 723170; not the published design values
    outdoor = greensboro().temp_c
    for share, expected in ((0.99, -9.4), (0.996, -11.1), (0.01, 32.2), (0.004, 33.3)):
        assert design_temperature_c(outdoor, share) == pytest.approx(expected, abs=0.05)


def test_a_duct_through_a_hot_attic_warms_its_air_as_the_exponential_says() -> None:
    # LOAD-11: exponential duct, computed: factor 0.928995, exit 15.627 degC, gain 317.2 W
    flow_m3_s = 0.12 * 1006.0 / 1206.0  # the same heat capacity of the stream
    run = DuctRun(area_m2=math.pi * 0.25 * 12.0, resistance_m2k_w=1.06, leakage=0.0)
    factor = kept_by_conduction(run, flow_m3_s)
    assert factor == pytest.approx(0.928995, abs=1e-5)
    assert 50.0 - (50.0 - 13.0) * factor == pytest.approx(15.627, abs=1e-3)
    assert 0.12 * 1006.0 * (50.0 - 13.0) * (1.0 - factor) == pytest.approx(317.2, abs=0.1)
    none = DuctRun(area_m2=0.0, resistance_m2k_w=1.0, leakage=0.0)
    arrives = delivery_effectiveness(run, none, flow_m3_s, rise_k=13.0 - 24.0, room_c=24.0, around_c=50.0)
    assert 1.0 - float(arrives) == pytest.approx(317.2 / (0.12 * 1006.0 * 11.0), rel=1e-3)


def test_floor_outputs_in_us_units() -> None:
    # RAD-17: 56.826 W/m2, 11 W/m2K, R 0.10 m2K/W and 26,909 Pa in the units of the trade
    us = Units.US
    assert in_unit(56.826, Dimension.HEAT_FLUX, us) == pytest.approx(18.014, abs=5e-4)
    assert in_unit(11.0, Dimension.U_VALUE, us) == pytest.approx(1.937, abs=5e-4)
    assert in_unit(4.2021, Dimension.U_VALUE, us) == pytest.approx(0.7400, abs=5e-5)
    assert in_unit(0.10, Dimension.R_VALUE, us) == pytest.approx(0.568, abs=5e-4)
    assert in_unit(26_909.0, Dimension.WATER_PRESSURE, us) * 2.3067 == pytest.approx(9.00, abs=5e-3)


def test_a_slab_loses_nearly_what_the_exact_solution_of_it_does() -> None:
    """Steady slab, 12 m by 12 m, under 30 degC, open ground at 10 degC, soil 1.9 W/mK, wall 0.24 m, no films.

    The exact solution (Delsante, Stokes & Walsh 1983; the ground case GC10a of ANSI/ASHRAE Standard 140, from
    memory) loses 2,432.6 W. ISO 13370 fits such solutions within a few percent: 5 %.
    """
    floor = GroundFloor(144.0, 48.0, 0.24, Soil(1.9, 2e6))
    assert floor_u_w_m2k(floor, 0.24) * 144.0 * 20.0 == pytest.approx(2432.6, rel=0.05)
    with pytest.raises(ImpossibleValue, match="equivalent thickness"):
        floor_u_w_m2k(floor, 0.0)
