"""A described house with its plant: energy by use and month, bills, and what is not met."""

from __future__ import annotations

import json
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from retrofit_desk.exchange.house_file import parse_house, read_house
from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.physics.description import House
from retrofit_desk.records.tables import NotInTable
from retrofit_desk.services.described_house import BadTariffName, DescribedYear, run_described
from retrofit_desk.services.year_words import described_data, described_lines
from retrofit_desk.values.errors import CannotSay

ROOT = Path(__file__).parents[2]
EXAMPLES, TARIFFS = ROOT / "assets" / "example_houses", ROOT / "shared" / "tariffs"
POWER = f"electricity={TARIFFS / 'carraway-residential.toml'}"
GAS = f"gas={TARIFFS / 'haw-bend-residential-gas.toml'}"


@lru_cache(maxsize=1)
def electric_year() -> DescribedYear:
    return run_described(read_house(EXAMPLES / "two_storeys.json"), greensboro(), (POWER,))


def gas_house() -> dict[str, Any]:
    """The two storeys with a furnace in the place of the heat pump, and no roof."""
    house: dict[str, Any] = json.loads((EXAMPLES / "two_storeys.json").read_text())
    plant = house["plant"]
    furnace = {"kind": "burner", "name": "furnace", "fuel": "gas", "capacity_w": 12000.0, "efficiency": 0.8}
    plant["machines"] = [furnace]
    plant["heating"][0] |= {"machine": "furnace", "backup": None}
    plant |= {"cooling": [], "arrays": [], "inverters": [], "battery": None}
    return house


def test_uses_add_up_to_fuels_and_to_what_the_grid_gives() -> None:
    plant = described_data(electric_year(), hourly=False)["plant"]
    uses = sum(use["annual_kwh"] for use in plant["uses"] if use["fuel"] == "electricity")
    (power,) = plant["fuels"]
    assert power["annual_kwh"] == pytest.approx(uses)
    assert sum(power["monthly_kwh"]) == pytest.approx(uses)
    grid = plant["electricity"]
    lost = grid["drawn_kwh"] + grid["solar_kwh"] - grid["fed_in_kwh"] - uses
    assert 0.0 < lost < 0.2 * grid["battery_discharge_kwh"] + 9.0  # what the battery loses, and what it holds
    assert sum(grid["monthly_drawn_kwh"]) == pytest.approx(grid["drawn_kwh"])
    heat = next(one for one in plant["systems"] if one["mode"] == "heating")
    assert 2.0 < heat["seasonal_cop"] < 4.5


def test_bill_is_the_tariff_times_the_months() -> None:
    data = described_data(electric_year(), hourly=False)["plant"]
    (bill,) = data["bills"]
    assert bill["fuel"] == "electricity"
    assert "Carraway" in bill["tariff"]
    assert len(bill["monthly_cents"]) == 12
    assert data["fuels_without_tariff"] == []
    assert sum(bill["monthly_cents"]) >= bill["annual_cents"] > 0


def test_burned_gas_is_the_delivered_heat_by_its_efficiency() -> None:
    found = run_described(parse_house(json.dumps(gas_house()), where="x"), greensboro(), (POWER, GAS))
    assert found.plant is not None
    delivered = sum(float(one.delivered_w.sum()) for one in found.plant.systems) / 1000.0
    assert found.plant.kwh("gas", "heating") == pytest.approx(delivered / 0.8)
    by_fuel = {one.fuel: one.bill for one in found.bills}
    # the shipped gas tariff: 14.50 a month and 7 % tax on everything, therms of 29.3071 kWh
    therms = found.plant.monthly_kwh("gas") / 29.3071
    price = np.array([1.412 if month in (11, 12, 1, 2, 3) else 1.334 for month in range(1, 13)])
    assert by_fuel["gas"].total_cents == pytest.approx(float(((14.5 + therms * price) * 107).sum()), abs=12)


def test_cold_that_no_machine_gives_is_told_as_not_met() -> None:
    house = gas_house()
    house["plant"]["water_heater"] = None  # one that cools its room would take some of it
    found = run_described(parse_house(json.dumps(house), where="x"), greensboro())
    assert found.plant is not None
    assert float(found.plant.unserved_cooling_w.sum()) / 1000 == pytest.approx(
        found.year.cooling_kwh, rel=0.05
    )
    assert set(found.unpriced) == {"gas", "electricity"}
    told = "\n".join(described_lines(found))
    assert "no tariff named for gas: its bill is not known" in told
    assert "not met" in told


def test_hours_are_all_there_and_sum_to_the_year() -> None:
    data = described_data(electric_year(), hourly=True)
    hourly = data["hourly"]
    assert len(hourly["hour_ending"]) == 8760
    for zone, summed in zip(hourly["zones"], data["zones"], strict=True):
        assert len(zone["air_c"]) == 8760
        assert sum(zone["heating_w"]) / 1000 == pytest.approx(summed["heating_kwh"], rel=1e-4, abs=1e-3)
    through = sum(sum(one["transmitted_sun_w"]) for one in hourly["windows"]) / 1000
    assert sum(one["transmitted_sun_kwh"] for one in data["surfaces"]) == pytest.approx(through, rel=1e-4)
    json.dumps(data, allow_nan=False)


def test_words_are_short_and_without_raw_numbers() -> None:
    lines = described_lines(electric_year())
    assert len(lines) < 30
    assert not [line for line in lines if "0000" in line or "e-" in line or "nan" in line]
    assert any("bill, electricity   $" in line for line in lines)


@pytest.mark.parametrize("named", ["electricity", "coal=x.toml", "=x.toml", "gas="])
def test_tariff_without_a_fuel_or_a_file_is_refused(named: str) -> None:
    with pytest.raises(BadTariffName, match="Write FUEL=FILE"):
        run_described(read_house(EXAMPLES / "two_storeys.json"), greensboro(), (named,))


def test_tariff_that_cannot_bill_is_asked_for() -> None:
    house = read_house(EXAMPLES / "two_storeys.json")
    with pytest.raises(CannotSay, match="a bill for electricity by the therm"):
        run_described(house, greensboro(), (GAS.replace("gas=", "electricity="),))
    with pytest.raises(CannotSay, match="a plant in the house description"):
        run_described(read_house(EXAMPLES / "one_room.json"), greensboro(), (POWER,))
    with pytest.raises(BadTariffName, match="two tariffs"):
        run_described(house, greensboro(), (POWER, POWER))


def test_power_is_weighed_by_the_hours_of_a_grid_that_has_them() -> None:
    # FUEL-4: EPA eGRID2022, CAMX .22650 kg/kWh before the lines' 5.1 % (computed)
    house, weather = read_house(EXAMPLES / "two_storeys.json"), greensboro()
    by_hour = run_described(house, weather, grid_region="CAMX")
    flat = run_described(house, weather, grid_region="SRVC")
    assert by_hour.plant is not None
    told = described_data(by_hour, hourly=False)["carbon"]
    rate = 0.22650 / (1 - 0.051)
    assert told["power_at_one_rate_kg_co2e"] == pytest.approx(by_hour.plant.import_kwh * rate, rel=1e-4)
    assert told["power_kg_co2e"] > told["power_at_one_rate_kg_co2e"]  # the roof covers the clean noon
    assert any("hours of the grid" in source for source in told["sources"])
    assert flat.carbon is not None
    assert not flat.carbon.by_hour
    assert flat.carbon.power_kg == flat.carbon.power_at_one_rate_kg
    assert any("at one rate for all hours" in line for line in described_lines(flat))


def test_carbon_of_burned_gas_is_its_factor() -> None:
    # FUEL-1: 40 CFR 98, natural gas 53.06 kg CO2/MMBtu with CH4 and N2O at AR5: 53.1145 (computed)
    found = run_described(House.model_validate(gas_house()), greensboro(), grid_region="SRVC")
    assert found.carbon is not None
    assert found.plant is not None
    burned_mmbtu = float(found.plant.hourly_w("gas").sum()) / 1000.0 / 293.0710702
    assert found.carbon.fuel_kg == pytest.approx(burned_mmbtu * 53.1145, rel=1e-5)


def test_carbon_needs_a_plant_and_a_known_grid() -> None:
    house = read_house(EXAMPLES / "one_room.json")
    with pytest.raises(CannotSay, match="the carbon in use"):
        run_described(house, greensboro(), grid_region="CAMX")
    with pytest.raises(NotInTable, match="no 'XX'"):
        run_described(read_house(EXAMPLES / "two_storeys.json"), greensboro(), grid_region="XX")
