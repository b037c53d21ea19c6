"""Machines, tanks and ground run once for all plants that differ in nothing they see."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from retrofit_desk.physics import plant_delivery as d
from retrofit_desk.physics import plant_description as p
from retrofit_desk.physics import plant_heat
from retrofit_desk.physics.plant import run_plant
from retrofit_desk.physics.plant_results import LoadYear, PlantYear
from tests.physics.plants import after_plant, use
from tests.physics.years import plain_loads, sunny_year

ELECTRIC_CHANGES: dict[str, dict[str, object]] = {
    "no roof": {"arrays": (), "inverters": ()},
    "a battery": {"battery": p.Battery(usable_kwh=10.0, power_w=5000.0)},
    "gas range": {"cooking": p.Cooking(fuel="gas", efficiency=0.32)},
    "no dryer": {"dryer": None},
    "a car": {"car": p.CarCharger(kwh_per_km=0.2, charger_w=7000.0, hours=(22, 23))},
    "fans": {"ventilation_fan_w": 40.0},
}


@pytest.fixture
def counted(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    runs: list[int] = []
    real = plant_heat.settle

    def settle(*given: object) -> object:
        runs.append(1)
        return real(*given)  # type: ignore[arg-type]

    monkeypatch.setattr(plant_heat, "settle", settle)
    return runs


def fresh_loads() -> LoadYear:
    """Loads that no plant has met."""
    return replace(plain_loads())


def charged_by_sun() -> p.PlantDescription:
    plant = after_plant()
    stores = tuple(one.model_copy(update={"charge": d.SolarCharge()}) for one in plant.stores)
    return plant.model_copy(update={"stores": stores})


def test_a_change_of_the_electric_side_runs_no_machine_again(counted: list[int]) -> None:
    loads = fresh_loads()
    years = [run_plant(after_plant(), use(), loads, sunny_year())]
    for change in ELECTRIC_CHANGES.values():
        years.append(run_plant(after_plant().model_copy(update=change), use(), loads, sunny_year()))
    assert len(counted) == 1
    for year in years:
        assert year.systems == years[0].systems


@pytest.mark.parametrize("change", ELECTRIC_CHANGES)
def test_what_was_kept_gives_the_year_that_is_run_alone(change: str) -> None:
    plant = after_plant().model_copy(update=ELECTRIC_CHANGES[change])
    loads = fresh_loads()
    run_plant(after_plant(), use(), loads, sunny_year())
    same_year(
        run_plant(plant, use(), loads, sunny_year()), run_plant(plant, use(), fresh_loads(), sunny_year())
    )


def test_a_store_that_charges_by_the_sun_is_run_for_each_roof(counted: list[int]) -> None:
    loads = fresh_loads()
    sunny = run_plant(charged_by_sun(), use(), loads, sunny_year())
    dark = run_plant(charged_by_sun().model_copy(update={"arrays": ()}), use(), loads, sunny_year())
    assert len(counted) == 2
    assert sunny.stores[0].year.charge_w.sum() > 0
    assert dark.stores[0].year.charge_w.sum() == 0


@pytest.mark.parametrize("change", [{"dehumidifier": None}, {"water_heater": None}])
def test_what_changes_the_heat_is_run_again(counted: list[int], change: dict[str, object]) -> None:
    loads = fresh_loads()
    run_plant(after_plant(), use(), loads, sunny_year())
    run_plant(after_plant().model_copy(update=change), use(), loads, sunny_year())
    assert len(counted) == 2


def same_year(one: PlantYear, other: PlantYear) -> None:
    assert [(u.end_use, u.fuel) for u in one.uses] == [(u.end_use, u.fuel) for u in other.uses]
    for mine, theirs in zip(one.uses, other.uses, strict=True):
        np.testing.assert_array_equal(mine.power_w, theirs.power_w)
    np.testing.assert_array_equal(one.flows.import_w, other.flows.import_w)
    np.testing.assert_array_equal(one.flows.export_w, other.flows.export_w)
