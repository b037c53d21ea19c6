"""Hot water: test-procedure arithmetic, mains temperature, tanks that close their energy."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from retrofit_desk.physics import water_heating as w
from retrofit_desk.physics.plant_description import HeatPumpTank, InstantHeater, StorageHeater
from tests.physics.plants import use

MAINS = np.full(w.HOURS, 14.0)
AIR = np.full(w.HOURS, 20.0)


# DHW-1: 10 CFR 430 Subpart B App. E, UEF definition (from memory)
@pytest.mark.parametrize(("gallons", "heat"), [(10, 5587.8), (38, 21233.6), (55, 30732.9), (84, 46937.5)])
def test_useful_heat_of_the_draw_bins(gallons: float, heat: float) -> None:
    assert w.useful_heat_btu_day(gallons) == pytest.approx(heat, abs=0.06)


# DHW-1
@pytest.mark.parametrize(
    ("gallons", "uef", "kwh"),
    [
        (38, 0.93, 2442.3),
        (38, 3.5, 649.0),
        (55, 0.93, 3535.0),
        (55, 3.5, 939.3),
        (84, 0.93, 5398.9),
        (84, 3.5, 1434.6),
    ],
)
def test_yearly_input_by_uef(gallons: float, uef: float, kwh: float) -> None:
    assert w.yearly_input_kwh(gallons, uef) == pytest.approx(kwh, abs=0.06)


# DHW-1: medium gas UEF .64 = 175.3 therm
def test_yearly_gas() -> None:
    assert w.yearly_input_kwh(55, 0.64) * 3412.142 / 1e5 == pytest.approx(175.3, abs=0.05)


# DHW-2: simplified water-heater equation, Lutz et al., LBNL (from memory); 1 % on UA, 0.5 % on energy
def test_loss_from_the_old_energy_factor() -> None:
    draw = w.old_test_draw_btu_day()
    gas = w.TankRating(0.58, 0.76, 38000.0)
    electric = w.TankRating(0.92, 0.98, 4500.0 * 3.412142)
    assert gas.loss_btu_h_f(draw) == pytest.approx(11.0112, rel=0.01)
    assert electric.loss_btu_h_f(draw) == pytest.approx(1.9049, rel=0.01)
    used = gas.input_btu_day(draw, gas.loss_btu_h_f(draw), 67.5)
    assert draw / used == pytest.approx(0.58, abs=1e-9)
    small = 50 * 8.2938 * 0.998 * 70.0
    assert gas.input_btu_day(small, gas.loss_btu_h_f(draw), 60.0) == pytest.approx(53414.9, rel=0.005)
    year = electric.input_btu_day(small, electric.loss_btu_h_f(draw), 60.0) * 365 / 3412.142
    assert year == pytest.approx(3440.9, rel=0.005)


# DHW-3: UA dT and exponential decay of an insulated cylinder
def test_tank_loss_of_a_cylinder() -> None:
    small = w.cylinder_loss_btu_h_f(80, 2.5, 16.0)
    assert small == pytest.approx(1.8235, abs=6e-5)
    assert small * 57.5 == pytest.approx(104.85, abs=6e-3)
    assert small * 57.5 * 24 / 3412.142 == pytest.approx(0.7375, abs=6e-5)
    assert w.coast_f(125, 67.5, 80, small, 12) == pytest.approx(123.14, abs=6e-3)
    large = w.cylinder_loss_btu_h_f(500, 2.5, 20.0)
    assert large * 80 == pytest.approx(395.98, abs=6e-3)


# DHW-4: energy balance of a heat-pump water heater
def test_heat_taken_from_the_room() -> None:
    daily = w.heat_from_room_kwh_day(55, 3.5)
    assert daily == pytest.approx(6.4335, abs=6e-5)
    assert daily * 3412.142 / 24 == pytest.approx(915, abs=0.5)
    assert daily * 365 * 3412.142 / 1e6 == pytest.approx(8.013, abs=6e-4)


# DHW-5: Q = 8.34 gal dT
def test_recovery() -> None:
    assert w.recovery_gal_h(4500 * 3.412142, 90) == pytest.approx(20.46, abs=6e-3)
    assert w.recovery_gal_h(4500, 67) == pytest.approx(8.05, abs=6e-3)


# DHW-6: Hendron & Engebrecht 2010, NREL (second-hand)
def test_hot_share_of_mixed_draws() -> None:
    f = w.hot_share(125, 105, 58)
    assert f == pytest.approx(0.70149, abs=6e-6)
    assert w.mixed_draw_gal_day(3) * f == pytest.approx(42.09, abs=6e-3)


# DHW-7: Burch & Christensen 2007, NREL/ASES (second-hand)
@pytest.mark.parametrize(
    ("day", "temp"),
    [
        (1, 48.88),
        (15, 47.49),
        (45, 46.30),
        (91, 49.43),
        (182, 63.54),
        (213, 66.04),
        (274, 63.11),
        (335, 53.34),
    ],
)
def test_mains_temperature(day: int, temp: float) -> None:
    assert w.mains_temp_f(day, 50.3, 43.2) == pytest.approx(temp, abs=6e-3)


# DHW-7: coldest and warmest day, mean
def test_mains_extremes_and_the_other_hemisphere() -> None:
    year = [w.mains_temp_f(d, 50.3, 43.2) for d in range(1, 366)]
    assert int(np.argmin(year)) + 1 == 44
    assert int(np.argmax(year)) + 1 == 226
    assert max(year) == pytest.approx(66.30, abs=6e-3)
    assert np.mean(year) == pytest.approx(56.30, abs=0.02)
    months = np.linspace(0.0, 20.0, 12)
    assert w.mains_year_c(months, 36.0)[0] < w.mains_year_c(months, -36.0)[0]


# 10 CFR 430 Subpart B App. E: the columns of the draw table sum to their bins (from memory)
def test_the_usual_day_is_the_medium_draw() -> None:
    assert sum(w.MEDIUM_DRAWS_GAL) == pytest.approx(55.0)


def storage(**changes: object) -> StorageHeater:
    values: dict[str, object] = {
        "fuel": "gas",
        "volume_l": 190.0,
        "loss_w_k": 5.8,
        "recovery_efficiency": 0.76,
        "capacity_w": 8400.0,
        "pilot_w": 130.0,
    }
    return StorageHeater.model_validate(values | changes)


@settings(max_examples=15, deadline=None)
@given(litres=st.floats(100, 500), loss=st.floats(0.5, 12), day=st.floats(0, 400), mains=st.floats(3, 25))
def test_energy_closes_in_a_burner_tank(litres: float, loss: float, day: float, mains: float) -> None:
    heater = storage(volume_l=litres, loss_w_k=loss)
    year = w.run_storage(heater, use(hot_water_l_per_day=day), np.full(w.HOURS, mains), AIR)
    heat_in = year.heat_w + heater.pilot_w * heater.recovery_efficiency
    before = np.roll(year.tank_c, 1)
    change = litres * w.WATER_J_LK / 3600.0 * (year.tank_c - before)
    gap = heat_in - year.delivered_w - year.loss_w - change
    # the first hour starts from the state at the end of the year before
    assert np.abs(gap[1:]).max() < 1e-6
    assert (year.short_w >= 0).all()


@settings(max_examples=15, deadline=None)
@given(litres=st.floats(150, 400), day=st.floats(0, 300), air=st.floats(-5, 35), cop=st.floats(2, 4.5))
def test_energy_closes_in_a_heat_pump_tank(litres: float, day: float, air: float, cop: float) -> None:
    heater = HeatPumpTank(volume_l=litres, loss_w_k=2.2, compressor_heat_w=1700.0, cop_rated=cop)
    year = w.run_heat_pump_tank(heater, use(hot_water_l_per_day=day), MAINS, np.full(w.HOURS, air))
    change = litres * w.WATER_J_LK / 3600.0 * np.diff(year.tank_c)
    gap = year.electric_w + year.from_room_w - year.delivered_w - year.loss_w
    assert gap[1:] == pytest.approx(change, abs=1e-6)
    assert year.heat_w == pytest.approx(year.electric_w + year.from_room_w, abs=1e-9)


def test_the_element_works_alone_below_the_air_limit() -> None:
    heater = HeatPumpTank(volume_l=250.0, loss_w_k=2.2, compressor_heat_w=1700.0, cop_rated=3.5)
    cold = w.run_heat_pump_tank(heater, use(), MAINS, np.full(w.HOURS, 0.0))
    warm = w.run_heat_pump_tank(heater, use(), MAINS, AIR)
    assert cold.from_room_w.max() == 0.0
    assert cold.element_w.sum() > 2.5 * warm.electric_w.sum()
    assert cold.short_w.max() < 1e-9


def test_boost_hours_store_more_and_cost_efficiency() -> None:
    plain = HeatPumpTank(volume_l=250.0, loss_w_k=2.2, compressor_heat_w=1700.0, cop_rated=3.5)
    boosted = plain.model_copy(update={"boost_c": 62.0, "boost_hours": (11, 12, 13, 14)})
    a, b = (w.run_heat_pump_tank(t, use(), MAINS, AIR) for t in (plain, boosted))
    assert b.electric_w.sum() > a.electric_w.sum()
    other = ~np.isin(np.arange(w.HOURS) % 24, (11, 12, 13, 14))
    assert b.electric_w[other].sum() < a.electric_w[other].sum()


def test_a_small_heater_runs_short_and_says_so() -> None:
    heater = InstantHeater(fuel="gas", efficiency=0.8, capacity_w=2000.0)
    year = w.run_instant(heater, use(hot_water_l_per_day=400.0), MAINS)
    assert year.short_w.sum() > 0
    assert year.fuel_w.max() == pytest.approx(2500.0)


# DHW-2: the hourly tank under the old test's own draw and temperatures gives the energy factor back
def test_hourly_tank_reproduces_its_energy_factor() -> None:
    loss = w.TankRating(0.58, 0.76, 38000.0).heat_loss_w_k(w.old_test_draw_btu_day())
    heater = storage(loss_w_k=loss, capacity_w=38000.0 * 0.76 * 0.29307107, pilot_w=0.0, set_point_c=57.22)
    litres = 64.3 * 3.785412
    household = use(hot_water_l_per_day=litres, hot_water_at_c=57.22)
    year = w.run_storage(heater, household, np.full(w.HOURS, 14.44), np.full(w.HOURS, 19.72))
    factor = year.delivered_w.sum() / year.fuel_w.sum()
    # the equation lets the standby loss pause while the burner fires (1.5 %), the tank does not
    assert factor == pytest.approx(0.58, rel=0.016)
    fuel_ua = w.TankRating(0.58, 0.76, 38000.0).loss_btu_h_f(w.old_test_draw_btu_day())
    without_pause = 1.0 / (1.0 / 0.76 + 24.0 * fuel_ua * 67.5 / w.old_test_draw_btu_day())
    assert factor == pytest.approx(without_pause, rel=1e-3)
