"""A tank or bag of water that moves the heat pump's work into the sunny or the cheap hours."""

from typing import Literal

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase, changed
from retrofit_desk.estimate.measures.base import WATER_SOURCES, Inputs, MeasureKind
from retrofit_desk.physics.elements import Name, NotNegative, Positive
from retrofit_desk.physics.plant_delivery import (
    ClockCharge,
    RadiantFloors,
    SolarCharge,
    ThermalStore,
    WaterRadiators,
)


class ThermalStorage(Inputs):
    volume_m3: Positive
    loss_w_k: NotNegative
    layers: int = Field(4, ge=1, le=12)
    hot_charge_c: float | None = None
    cold_charge_c: float | None = None
    cold_months: tuple[int, ...] = ()
    highest_c: float
    stands_in: Name
    charge: Literal["solar", "clock"]
    surplus_above_w: NotNegative = 0.0
    charge_hours: tuple[int, ...] = Field((), description="for charging by the clock")

    def store(self) -> ThermalStore:
        rule: SolarCharge | ClockCharge = (
            SolarCharge(surplus_above_w=self.surplus_above_w)
            if self.charge == "solar"
            else ClockCharge(hours=self.charge_hours)
        )
        return ThermalStore(
            name="storage tank",
            volume_m3=self.volume_m3,
            loss_w_k=self.loss_w_k,
            layers=self.layers,
            hot_charge_c=self.hot_charge_c,
            cold_charge_c=self.cold_charge_c,
            cold_months=self.cold_months,
            highest_c=self.highest_c,
            stands_in=self.stands_in,
            charge=rule,
        )


def apply(case: HouseCase, inputs: ThermalStorage) -> HouseCase:
    store = inputs.store()
    hot, cold = store.hot_charge_c is not None, store.cold_charge_c is not None
    heating = tuple(
        changed(system, store=store.name) if hot and _has_water(system.delivery) else system
        for system in case.plant.heating
    )
    cooling = tuple(
        changed(system, store=store.name) if cold and _has_water(system.delivery) else system
        for system in case.plant.cooling
    )
    return case.with_plant(stores=(*case.plant.stores, store), heating=heating, cooling=cooling)


def _has_water(delivery: object) -> bool:
    return isinstance(delivery, WaterRadiators | RadiantFloors)


KIND = MeasureKind("thermal_storage", "Thermal storage", ThermalStorage, 70, apply, needs=(WATER_SOURCES,))
