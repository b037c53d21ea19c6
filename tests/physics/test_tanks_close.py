"""What a tank holds changes in every hour by what goes in, what is drawn and what it loses."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from retrofit_desk.physics import plant_delivery as d
from retrofit_desk.physics import plant_description as p
from retrofit_desk.physics import water_heating as w
from retrofit_desk.physics.plant import run_plant
from retrofit_desk.physics.thermal_storage import WATER_WH_M3K
from tests.physics.plants import after_plant, use
from tests.physics.years import plain_loads, sunny_year

CLOSES = {"rel": 1e-9, "abs": 1e-6}  # W: rounding of a tank of some ten kWh


@settings(max_examples=6, deadline=None)
@given(
    volume_m3=st.floats(0.3, 3.0),
    loss_w_k=st.floats(0.0, 8.0),
    layers=st.integers(1, 8),
    rule=st.sampled_from((d.SolarCharge(), d.ClockCharge(hours=(1, 2, 3, 13)))),
)
def test_a_store_of_heat_and_cold_closes_in_its_plant(
    volume_m3: float, loss_w_k: float, layers: int, rule: d.ChargeRule
) -> None:
    changes = {"volume_m3": volume_m3, "loss_w_k": loss_w_k, "layers": layers, "charge": rule}
    plant = after_plant()
    stores = tuple(one.model_copy(update=changes) for one in plant.stores)
    year = run_plant(plant.model_copy(update={"stores": stores}), use(), plain_loads(), sunny_year())
    tank = year.stores[0].year
    into = sum((one.charge_w for one in year.systems), np.zeros(8760))
    drawn = sum((one.from_store_w for one in year.systems), np.zeros(8760))
    heat = np.where(tank.holds_cold > 0, drawn - into, into - drawn) - tank.loss_w
    assert heat[1:] == pytest.approx(volume_m3 * WATER_WH_M3K * np.diff(tank.mean_c), **CLOSES)


def heaters(liters: float, loss_w_k: float) -> dict[str, p.WaterHeater]:
    facts = {"volume_l": liters, "loss_w_k": loss_w_k, "stands_in": "attic"}
    return {
        "gas": p.StorageHeater.model_validate(
            facts | {"fuel": "gas", "recovery_efficiency": 0.76, "capacity_w": 8400.0, "pilot_w": 130.0}
        ),
        "resistance": p.StorageHeater.model_validate(facts | {"fuel": "electricity"}),
        "heat pump": p.HeatPumpTank.model_validate(
            facts
            | {"compressor_heat_w": 1700.0, "cop_rated": 3.6, "boost_c": 60.0, "boost_hours": (11, 12, 13)}
        ),
        "indirect": p.IndirectTank.model_validate(facts | {"heated_by": "heat", "capacity_w": 6000.0}),
    }


@settings(max_examples=12, deadline=None)
@given(
    kind=st.sampled_from(("gas", "resistance", "heat pump", "indirect")),
    liters=st.floats(100.0, 400.0),
    loss_w_k=st.floats(0.5, 8.0),
    day_l=st.floats(0.0, 600.0),
)
def test_a_tank_of_hot_water_closes_in_an_attic(
    kind: str, liters: float, loss_w_k: float, day_l: float
) -> None:
    """Where the air is below freezing and above 40 degC; heat in is what its fuel or power brings."""
    plant = after_plant(store=False).model_copy(update={"water_heater": heaters(liters, loss_w_k)[kind]})
    year = run_plant(plant, use(hot_water_l_per_day=day_l), plain_loads(), sunny_year())
    tank, heat = year.hot_water, year.systems[0]
    assert tank is not None
    into: dict[str, NDArray[np.float64]] = {
        "gas": year.hourly_w("gas", "hot water") * 0.76,
        "resistance": year.hourly_w("electricity", "hot water") * 0.98,
        "heat pump": year.hourly_w("electricity", "hot water") + tank.from_room_w,
        "indirect": heat.water_w + year.hourly_w("electricity", "hot water") - heat.water_power_w,
    }
    change = liters * w.WATER_J_LK / 3600.0 * np.diff(tank.tank_c)
    gap = into[kind] - tank.delivered_w - tank.loss_w
    assert gap[1:] == pytest.approx(change, **CLOSES)
    asked = w.draw_w_k(use(hot_water_l_per_day=day_l)).sum()
    assert ((tank.delivered_w + tank.short_w).sum() > 0) == (asked > 0)
