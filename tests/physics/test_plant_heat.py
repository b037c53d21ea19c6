"""Machines, tanks and ground run once for all plants that differ in nothing they see."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from retrofit_desk.physics import plant_delivery as d
from retrofit_desk.physics import plant_description as p
from retrofit_desk.physics import plant_heat
from retrofit_desk.physics import plant_machines as m
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


def test_a_machine_that_is_too_small_says_whether_heat_or_cold_is_lacking_and_once() -> None:
    plant = after_plant(store=False)
    weak = replace_ratings(plant, share=0.05)
    heating = [
        one.model_copy(update={"name": "heat pump", "backup": None, "serves": (served,)})
        for one in plant.heating
        for served in one.serves
    ]
    cooling = [one.model_copy(update={"name": "heat pump", "free_cooling": None}) for one in plant.cooling]
    described = weak.model_copy(update={"heating": tuple(heating), "cooling": tuple(cooling)})
    notes = run_plant(described, use(), fresh_loads(), sunny_year()).notes
    told = [one for one in notes if "too small" in one]
    assert len(told) == 2
    assert told[0].startswith("heat pump: too small to heat in ")
    assert told[1].startswith("heat pump: too small to cool in ")


def replace_ratings(plant: p.PlantDescription, share: float) -> p.PlantDescription:
    """The first machine with a part of its capacity."""
    pump = plant.machines[0]
    assert isinstance(pump, m.HeatPump)
    smaller = {}
    for name in ("heating", "cooling"):
        ratings = getattr(pump, name)
        points = {
            part: tuple(
                one.model_copy(update={"capacity_w": one.capacity_w * share})
                for one in getattr(ratings, part)
            )
            for part in ("points", "low_speed_points")
        }
        smaller[name] = ratings.model_copy(update=points)
    return plant.model_copy(update={"machines": (pump.model_copy(update=smaller), *plant.machines[1:])})


def _weaker(point: m.RatingPoint, share: float) -> m.RatingPoint:
    return point.model_copy(update={"capacity_w": point.capacity_w * share})
