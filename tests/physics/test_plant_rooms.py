"""What tanks, jackets and pilots lose is heat of the room they stand in: hour by hour, once, and no more."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from retrofit_desk.physics import plant_delivery as d
from retrofit_desk.physics import plant_description as p
from retrofit_desk.physics import plant_machines as m
from retrofit_desk.physics.plant import run_plant
from retrofit_desk.physics.plant_heat import ROOMS_SETTLED_W
from retrofit_desk.physics.plant_results import PlantYear
from tests.physics.plants import SERVED, ZONES, after_plant, use
from tests.physics.years import plain_loads, sunny_year

PLACES = ("living", "bedrooms", "utility")
CLOCK, SUN = d.ClockCharge(hours=(10, 11, 12, 13, 14, 15)), d.SolarCharge()

place = st.sampled_from(PLACES)
boilers = st.fixed_dictionaries(
    {"pilot_w": st.floats(0.0, 200.0), "standby_loss_w": st.floats(0.0, 800.0), "stands_in": place}
)
tanks = st.fixed_dictionaries(
    {
        "volume_m3": st.floats(0.3, 3.0),
        "loss_w_k": st.floats(0.5, 8.0),
        "layers": st.integers(1, 6),
        "stands_in": place,
        "charge": st.sampled_from((CLOCK, SUN)),
    }
)


def ground_house(tank: dict[str, object], heater_in: str) -> p.PlantDescription:
    """The ground machine with its tank, both in the rooms; a dehumidifier too."""
    plant = after_plant()
    stores = tuple(one.model_copy(update=tank) for one in plant.stores)
    assert isinstance(plant.water_heater, p.HeatPumpTank)
    heater = plant.water_heater.model_copy(update={"stands_in": heater_in})
    return plant.model_copy(update={"stores": stores, "water_heater": heater})


def boiler_house(boiler: dict[str, object], helper: dict[str, object], tank_in: str) -> p.PlantDescription:
    """A boiler that heats the rooms by two systems and a tank; a second burner that helps one of them."""
    machines = (
        m.Burner.model_validate(
            {"name": "boiler", "fuel": "oil", "capacity_w": 9e3, "efficiency": 0.8} | boiler
        ),
        m.Burner.model_validate(
            {"name": "helper", "fuel": "gas", "capacity_w": 4e3, "efficiency": 0.7} | helper
        ),
    )
    heating = tuple(
        d.HeatingSystem(
            name=served.zone,
            machine="boiler",
            serves=(served,),
            delivery=d.WaterRadiators(emitters=(d.WaterEmitter(zone=served.zone, rated_w=9e3),), pump_w=40.0),
            backup=backup,
        )
        for served, backup in zip(SERVED, ("helper", None), strict=True)
    )
    tank = p.IndirectTank(heated_by="living", volume_l=150.0, loss_w_k=2.0, capacity_w=9e3, stands_in=tank_in)
    return p.PlantDescription(machines=machines, heating=heating, water_heater=tank)


def year_of(plant: p.PlantDescription) -> PlantYear:
    return run_plant(plant, use(), plain_loads(), sunny_year())


def in_room(name: str, heat_w: NDArray[np.float64] | float) -> NDArray[np.float64]:
    """(8760, zones) W with the heat in that room."""
    found = np.zeros((8760, len(ZONES)))
    found[:, ZONES.index(name)] = heat_w
    return found


def check_rooms_get_what_is_left(year: PlantYear) -> None:
    """Loads less what is left in the rooms is what arrives there and what is said not to.

    Not to 1e-9: the loss of a tank and the load it lightens are found by turns.
    """
    loads = plain_loads()
    heating = np.where(loads.heating_w > 0, np.maximum(loads.heating_w - year.left_in_rooms_w, 0.0), 0.0)
    cooling = np.where(loads.cooling_w > 0, np.maximum(loads.cooling_w + year.left_in_rooms_w, 0.0), 0.0)
    for is_cold, load, lacking in (
        (False, heating, year.unserved_heating_w),
        (True, cooling, year.unserved_cooling_w),
    ):
        mine = [one for one in year.systems if one.cooling == is_cold]
        arrives = sum(((one.asked_w - one.unmet_w) * one.arrives_share for one in mine), np.zeros(8760))
        gap = arrives + lacking - load.sum(axis=1)
        assert np.sqrt((gap**2).mean()) < len(SERVED) * ROOMS_SETTLED_W


@settings(max_examples=6, deadline=None)
@given(tank=tanks, heater_in=place)
def test_a_room_gets_what_its_tanks_lose(tank: dict[str, object], heater_in: str) -> None:
    year = year_of(ground_house(tank, heater_in))
    assert year.hot_water is not None
    (store,) = year.stores
    dried = year.hourly_w("electricity", "dehumidifying")
    # 1.8 liters a kWh of the test plant; 2.45 MJ/kg of vapor, physical constant near 20 degC
    vapor = dried / 1000.0 * 1.8 * 2.45e6 / 3600.0
    left = (
        in_room(str(tank["stands_in"]), store.year.loss_w)
        + in_room(heater_in, year.hot_water.loss_w - year.hot_water.from_room_w)
        + in_room("utility", dried + vapor)
    )
    assert year.left_in_rooms_w == pytest.approx(left, rel=1e-9, abs=1e-6)
    check_rooms_get_what_is_left(year)


@settings(max_examples=6, deadline=None)
@given(boiler=boilers, helper=boilers, tank_in=place)
def test_a_room_gets_what_its_burners_jackets_and_pilots_lose(
    boiler: dict[str, float], helper: dict[str, float], tank_in: str
) -> None:
    year = year_of(boiler_house(dict(boiler), dict(helper), tank_in))
    assert year.hot_water is not None
    fired = sum((one.power_w for one in year.systems), np.zeros(8760))
    idle_fuel = year.hourly_w("oil", "heating") - fired - boiler["pilot_w"]
    assert idle_fuel.min() >= -1e-6
    left = (
        in_room(str(boiler["stands_in"]), idle_fuel * 0.8 + boiler["pilot_w"])
        + in_room(str(helper["stands_in"]), helper["pilot_w"])
        + in_room(tank_in, year.hot_water.loss_w)
    )
    assert year.left_in_rooms_w == pytest.approx(left, rel=1e-9, abs=1e-6)
    check_rooms_get_what_is_left(year)
