"""Sun used at home, with and without a battery."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from retrofit_desk.physics.battery import flows
from retrofit_desk.physics.plant_description import Battery


# BAT-1: SCR and SSR by definition (utility support text, second-hand)
def test_shares_of_sun_used_at_home() -> None:
    load = np.array([3000.0, 6000.0])
    sun = np.array([7500.0, 0.0])
    f = flows(load, sun, None)
    assert f.direct_w.sum() == 3000.0
    assert f.self_consumption == pytest.approx(0.400)
    assert f.self_sufficiency == pytest.approx(0.3333, abs=5e-5)
    assert (f.import_w.sum(), f.export_w.sum()) == (6000.0, 4500.0)
    assert f.import_w.sum() * 0.20 - f.export_w.sum() * 0.06 == pytest.approx(930.0)
    assert (f.import_w.sum() - f.export_w.sum()) * 0.20 == pytest.approx(300.0)


# BAT-2: the same year with a battery of 90 % that delivers 2,000 kWh (one big "hour" of each kind)
def test_battery_moves_what_it_delivers_plus_its_loss() -> None:
    load, sun = np.array([3000.0, 2000.0, 4000.0]), np.array([7500.0, 0.0, 0.0])
    full = 2000.0 / 0.9**0.5
    battery = Battery(usable_kwh=full / 1000, power_w=1e6, round_trip=0.9, discharge_hours=(0, 1))
    f = flows(load, sun, battery)
    assert f.charge_w.sum() == pytest.approx(2222.2, abs=0.05)
    assert f.import_w.sum() == pytest.approx(4000.0)
    assert f.export_w.sum() == pytest.approx(2277.8, abs=0.05)
    assert f.charge_w.sum() - f.discharge_w.sum() == pytest.approx(222.2, abs=0.05)
    assert f.import_w.sum() * 0.20 - f.export_w.sum() * 0.06 == pytest.approx(663.33, abs=0.005)


@settings(max_examples=30, deadline=None)
@given(
    seed=st.integers(0, 2**32 - 1),
    size=st.floats(0.5, 30),
    power=st.floats(100, 10000),
    trip=st.floats(0.5, 1.0),
    reserve=st.floats(0, 0.5),
)
def test_electricity_closes_at_every_point(
    seed: int, size: float, power: float, trip: float, reserve: float
) -> None:
    rng = np.random.default_rng(seed)
    load, sun = rng.uniform(0, 3000, 480), np.maximum(rng.uniform(-4000, 6000, 480), 0.0)
    battery = Battery(usable_kwh=size, power_w=power, round_trip=trip, reserve=reserve)
    f = flows(load, sun, battery)
    assert f.direct_w + f.charge_w + f.export_w == pytest.approx(sun, abs=1e-8)
    assert f.direct_w + f.discharge_w + f.import_w == pytest.approx(load, abs=1e-8)
    gained = np.diff(f.stored_kwh) * 1000.0
    moved = f.charge_w[1:] * trip**0.5 - f.discharge_w[1:] / trip**0.5
    assert gained == pytest.approx(moved, abs=1e-6)
    assert f.stored_kwh.min() >= size * reserve - 1e-9
    assert f.stored_kwh.max() <= size + 1e-9
    assert f.export_w.min() >= -1e-9
    assert f.import_w.min() >= -1e-9


def test_a_battery_only_loses_energy_under_equal_prices_both_ways() -> None:
    rng = np.random.default_rng(3)
    load, sun = rng.uniform(0, 2000, 480), np.maximum(rng.uniform(-3000, 5000, 480), 0.0)
    without, with_one = (
        flows(load, sun, None),
        flows(load, sun, Battery(usable_kwh=10, power_w=3000, round_trip=0.9)),
    )
    net = [f.import_w.sum() - f.export_w.sum() for f in (without, with_one)]
    assert net[1] >= net[0] - 1e-6 * abs(net[0]) - with_one.stored_kwh.max() * 1000
