"""A store of heat and a battery that moves as much use, on the small house."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.storage_against_battery import AgainstBattery, against_battery, sized
from retrofit_desk.physics.battery import flows
from retrofit_desk.physics.plant_description import Battery
from tests.estimate.builders import a_case
from tests.estimate.line_ups import a_simulator, terms
from tests.estimate.test_measures import done

BATTERY = Battery(usable_kwh=10.0, power_w=5000.0, round_trip=0.88)


def a_house(*, sun: bool) -> HouseCase:
    case = done("air_to_water_heat_pump", a_case())
    return done("photovoltaics", case) if sun else case


@cache
def compared(*, sun: bool = True, charge: str = "solar") -> AgainstBattery:
    without = a_house(sun=sun)
    with_store = done("thermal_storage", without, charge=charge, hot_charge_c=50.0, volume_m3=0.8)
    return against_battery(without, with_store, BATTERY, a_simulator(), terms())


@pytest.mark.parametrize("charge", ["solar", "clock"])
def test_the_battery_moves_as_much_use_as_the_store(charge: str) -> None:
    found = compared(charge=charge)
    assert found.battery is not None
    assert found.store.shifted_kwh > 50.0
    assert found.battery.shifted_kwh == pytest.approx(found.store.shifted_kwh, rel=1e-3)
    # a battery gives back its round trip, to what stays in it at the year's end
    assert found.battery.returned_share == pytest.approx(0.88, rel=0.01)
    assert found.store.lost_kwh > 0


def test_what_each_draws_less_is_what_it_moves_less_what_it_buys() -> None:
    found = compared()
    assert found.battery is not None
    for one in (found.store, found.battery):
        # drawn less and fed in less differ by what was spent on the way
        assert one.fed_in_less_kwh - one.drawn_less_kwh == pytest.approx(
            one.charged_kwh - one.shifted_kwh, abs=1
        )
    assert found.battery.carbon_saved_kg == pytest.approx(found.battery.drawn_less_kwh * 0.3)


def test_charging_costs_the_heat_pump_its_cop() -> None:
    found = compared()
    assert found.cop_before is not None
    assert found.cop_with is not None
    assert found.cop_with < found.cop_before


def test_charged_by_the_sun_it_buys_nothing_to_charge() -> None:
    """What the store spends on charging comes from sun that was fed in before."""
    found = compared()
    assert found.store.fed_in_less_kwh >= found.store.charged_kwh * 0.95


def test_without_sun_a_store_that_waits_for_it_does_nothing_at_all() -> None:
    found = compared(sun=False)
    assert found.charges_by_sun
    assert not found.has_sun
    assert found.battery is None
    assert found.store.shifted_kwh == pytest.approx(0.0, abs=1e-6)
    assert found.store.money_saved_cents == 0.0
    assert found.store.drawn_less_kwh == pytest.approx(0.0, abs=1e-6)


def test_a_battery_fills_from_the_network_only_in_its_hours() -> None:
    load = np.full(8760, 1000.0)
    battery = sized(BATTERY, 6.0).model_copy(update={"charge_hours": (1, 2, 3)})
    found = flows(load, np.zeros(8760), battery)
    hour = np.arange(8760) % 24
    buys = np.isin(hour, (1, 2, 3))
    assert found.charge_w[~buys].max() == 0.0
    assert found.discharge_w[buys].max() == 0.0
    # energy closes: what is drawn is the load, and what the battery takes more than it gives
    closes = found.import_w - load - found.charge_w + found.discharge_w
    assert np.abs(closes).max() < 1e-9
    assert found.charge_w.sum() * 0.88 == pytest.approx(found.discharge_w.sum(), rel=1e-3)
    assert found.export_w.max() == 0.0
