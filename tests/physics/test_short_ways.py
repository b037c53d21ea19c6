"""Ducts, degree-days, bins and appliances: arithmetic a reader can redo."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.physics import appliances as ap
from retrofit_desk.physics import degree_days as dd
from retrofit_desk.physics import ducts
from retrofit_desk.physics.plant_delivery import DuctRun
from retrofit_desk.physics.plant_description import CarCharger
from tests.physics.plants import use


# DIST-1: product of efficiencies
def test_furnace_and_ducts() -> None:
    efficiency = ducts.system_efficiency(0.80, 0.75)
    assert efficiency == pytest.approx(0.60)
    assert 60.0 / efficiency == pytest.approx(100.0)
    assert dd.yearly_fuel(60e6, 2.8, 3412.142) == pytest.approx(6280, abs=0.5)


def test_tight_insulated_ducts_deliver_everything() -> None:
    perfect = DuctRun(area_m2=0.0, resistance_m2k_w=1.0, leakage=0.0)
    assert ducts.delivery_effectiveness(perfect, perfect, 0.5, rise_k=30.0, room_c=20.0, around_c=0.0) == 1.0


# DOE/BNL, Better Duct Systems: typical systems lose 25-40 %
def test_old_attic_ducts_lose_what_field_studies_find() -> None:
    supply = DuctRun(area_m2=30.0, resistance_m2k_w=0.5, leakage=0.15)
    back = DuctRun(area_m2=10.0, resistance_m2k_w=0.5, leakage=0.12)
    kept = float(ducts.delivery_effectiveness(supply, back, 0.5, rise_k=28.0, room_c=20.0, around_c=3.0))
    assert 0.60 <= kept <= 0.75


@given(leak=st.floats(0, 0.4), around=st.floats(-15, 19), rise=st.floats(15, 40))
def test_leakier_or_colder_ducts_never_deliver_more(leak: float, around: float, rise: float) -> None:
    back = DuctRun(area_m2=10.0, resistance_m2k_w=0.7, leakage=0.1)

    def kept(leakage: float, temp: float) -> float:
        supply = DuctRun(area_m2=25.0, resistance_m2k_w=0.7, leakage=leakage)
        return float(ducts.delivery_effectiveness(supply, back, 0.5, rise_k=rise, room_c=20.0, around_c=temp))

    assert kept(leak + 0.05, around) <= kept(leak, around) + 1e-12
    assert kept(leak, around - 5.0) <= kept(leak, around) + 1e-12


# DD-1: degree-day form of ASHRAE Fundamentals (second-hand)
def test_fuel_by_degree_days() -> None:
    load = dd.yearly_load_btu(600, 5500)
    assert load == pytest.approx(79.2e6)
    assert dd.yearly_fuel(load, 0.80, 1e5) == pytest.approx(990.0, abs=0.05)
    assert dd.yearly_fuel(load, 0.85, 138500) == pytest.approx(672.75, abs=6e-3)
    assert dd.yearly_fuel(load, 0.90, 91333) == pytest.approx(963.51, abs=6e-3)
    assert dd.yearly_fuel(load, 1.0, 3412.142) == pytest.approx(23211, abs=0.5)
    assert dd.yearly_fuel(load, 3.0, 3412.142) == pytest.approx(7737, abs=0.5)


# DD-2: definition
def test_balance_temperature() -> None:
    assert dd.balance_temp(68, 3000, 600) == pytest.approx(63.0)


BINS = (
    (57, 700),
    (52, 670),
    (47, 640),
    (42, 650),
    (37, 700),
    (32, 720),
    (27, 480),
    (22, 290),
    (17, 170),
    (12, 100),
    (7, 50),
    (2, 20),
)
UNIT = dd.StraightMachine(17, 47, 21500, 36000, 2600, 2950)


# DD-3: ASHRAE bin method
def test_bin_year_with_and_without_cycling() -> None:
    plain = dd.bin_year(BINS, 700, 65, UNIT)
    assert sum(h for _, h in BINS) == 5190
    assert plain.load_btu / 1e6 == pytest.approx(92.729, abs=6e-4)
    assert plain.machine_kwh == pytest.approx(8130.10, abs=6e-3)
    assert plain.backup_kwh == pytest.approx(2219.57, abs=6e-3)
    assert plain.seasonal_cop == pytest.approx(2.6258, abs=6e-5)
    cycling = dd.bin_year(BINS, 700, 65, UNIT, cycling_coefficient=0.25)
    assert cycling.machine_kwh == pytest.approx(8797.17, abs=6e-3)
    assert cycling.seasonal_cop == pytest.approx(2.4668, abs=6e-5)


# DD-3, identity for any bin engine
@given(loss=st.floats(100, 2000), base=st.floats(50, 70))
def test_load_is_machine_heat_plus_backup(loss: float, base: float) -> None:
    year = dd.bin_year(BINS, loss, base, UNIT)
    assert year.load_btu == pytest.approx(year.machine_btu + year.backup_kwh * dd.BTU_PER_KWH, rel=1e-12)


# APPL-1: ratio of efficiencies (ENERGY STAR emerging technology 2021-22: gas .32, induction .85)
def test_induction_for_gas() -> None:
    assert ap.same_pan_kwh(25 * 29.3071, 0.32, 0.85) == pytest.approx(275.8, abs=0.06)


# APPL-2: CEF definition, 283 cycles of 8.45 lb
@pytest.mark.parametrize(
    ("cef", "kwh"), [(2.68, 892.3), (3.73, 641.1), (3.93, 608.5), (5.2, 459.9), (7.0, 341.6), (9.5, 251.7)]
)
def test_dryer(cef: float, kwh: float) -> None:
    assert ap.dryer_kwh(283, ap.LB_PER_LOAD, cef) == pytest.approx(kwh, abs=0.06)


# APPL-3
def test_car() -> None:
    yearly = ap.car_kwh(12000, 0.30)
    assert yearly == pytest.approx(3600)
    assert ap.charging_hours_per_day(yearly, 7.2) == pytest.approx(1.37, abs=5e-3)


def test_car_fills_its_hours_in_order_and_keeps_its_energy() -> None:
    charger = CarCharger(kwh_per_km=0.19, charger_w=3000.0, hours=(23, 0, 1, 2))
    load = ap.car_load_w(charger, use(car_km_per_year=15000.0))
    assert load.sum() / 1000 == pytest.approx(15000 * 0.19)
    day = load[:24]
    assert day[23] == 3000.0
    assert set(np.nonzero(day)[0]) == {23, 0, 1}
