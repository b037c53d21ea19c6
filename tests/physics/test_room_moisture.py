"""Moisture of the room air."""

from __future__ import annotations

import numpy as np
import pytest

from retrofit_desk.physics.engine import run_year
from retrofit_desk.physics.psychrometrics import relative_humidity_from_ratio
from retrofit_desk.physics.room_moisture import LATENT_HEAT_J_KG, humidity_ratio, limit_ratio, step_moisture
from retrofit_desk.physics.weather import HOURS
from tests.physics.houses import box, house
from tests.physics.weathers import FLAT, plain_year

P = np.array([101325.0])


def test_humidity_ratio_of_known_air() -> None:
    # ASHRAE Fundamentals ch. 1, moist air table at 101.325 kPa (from memory): saturated, 20 C, 0.014758
    assert humidity_ratio(np.array([20.0]), P)[0] == pytest.approx(
        0.014758, rel=0.006
    )  # table has the enhancement factor
    assert limit_ratio(np.array([20.0]), 100.0, P)[0] == humidity_ratio(np.array([20.0]), P)[0]


def test_steady_room_holds_outdoor_air_plus_gain_over_flow() -> None:
    # Steady mass balance: w_in = w_out + G / m
    ones = np.ones((HOURS, 1))
    year = step_moisture(
        np.array([90.0]), 0.02 * ones, 0.005 * np.ones(HOURS), np.zeros((1, 1)), 4e-5 * ones, np.inf * ones
    )
    assert year.humidity_ratio[-1, 0] == pytest.approx(0.005 + 4e-5 / 0.02, rel=1e-9)
    assert np.all(year.removed_kg_s == 0.0)


def test_water_is_conserved_to_the_last_hour() -> None:
    rng = np.random.default_rng(1)
    flow, gain = rng.uniform(0.005, 0.05, (HOURS, 1)), rng.uniform(0, 1e-4, (HOURS, 1))
    outdoor, limit = rng.uniform(0.003, 0.015, HOURS), np.full((HOURS, 1), 0.011)
    air = np.array([300.0])
    year = step_moisture(air, flow, outdoor, np.zeros((1, 1)), gain, limit)
    net = flow[:, 0] * (outdoor - year.humidity_ratio[:, 0]) + gain[:, 0] - year.removed_kg_s[:, 0]
    assert year.removed_kg_s.sum() > 0
    # stored water stays between dry and the limit, so the sum of a year's flows is no more than that
    assert abs(net.sum() * 3600) < air[0] * 0.015


def test_dehumidifier_holds_its_relative_humidity_and_counts_the_latent_heat() -> None:
    zone = {
        "thermostat": {"heating_c": 24.0, "cooling_c": 24.0, "dehumidify_above_rh_percent": 50.0},
        "leakage": {"air_changes_per_h": 1.0},
    }
    weather = plain_year("humid", temp_c=FLAT + 26.0, dew_point_c=FLAT + 22.0)
    room = run_year(house(box(zone=zone)), weather).zones[0]
    rh = relative_humidity_from_ratio(24.0, room.humidity_ratio_kg_kg[5000], 101325.0)
    assert float(rh) * (1 if float(rh) > 1 else 100) == pytest.approx(50.0, abs=0.5)
    mass = 75.0 / 3600 * 1.2
    outdoor = humidity_ratio(np.array([22.0]), P)[0]
    expected = mass * (outdoor - room.humidity_ratio_kg_kg[5000]) * LATENT_HEAT_J_KG
    assert room.latent_cooling_w[5000] == pytest.approx(expected, rel=1e-3)


def test_rooms_that_exchange_air_share_their_moisture() -> None:
    ones = np.ones((HOURS, 2))
    between = np.array([[0.0, 0.05], [0.05, 0.0]])
    gain = np.column_stack([np.full(HOURS, 1e-4), np.zeros(HOURS)])
    year = step_moisture(
        np.array([90.0, 90.0]), 0.01 * ones, 0.004 * np.ones(HOURS), between, gain, np.inf * ones
    )
    wet, dry = year.humidity_ratio[-1]
    # balance of both rooms: 0.01 (w1 - w0) + 0.01 (w2 - w0) = G; 0.05 (w1 - w2) = 0.01 (w2 - w0)
    assert wet + dry - 0.008 == pytest.approx(0.01, rel=1e-6)
    assert 0.05 * (wet - dry) == pytest.approx(0.01 * (dry - 0.004), rel=1e-6)
