"""A tank or bag of water that moves the heat pump's work into the sunny or the cheap hours."""

from typing import Literal

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase, changed
from retrofit_desk.estimate.measures.base import WATER_SOURCES, Inputs, MaterialUse, MeasureKind
from retrofit_desk.physics.elements import Name, NotNegative, Positive
from retrofit_desk.physics.plant_delivery import (
    ClockCharge,
    RadiantFloors,
    SolarCharge,
    ThermalStore,
    WaterRadiators,
)


class ThermalStorage(Inputs):
    volume_m3: Positive = Field(description="of water")
    loss_w_k: NotNegative = Field(
        title="Heat lost per degree", description="of the whole vessel with fittings"
    )
    layers: int = Field(4, ge=1, le=12, description="1: mixed; more: layered by warmth")
    hot_charge_c: float | None = Field(
        None,
        title="Charged hot to",
        description="kept under what scalds where taps hang on it; empty: no heat",
    )
    cold_charge_c: float | None = Field(None, title="Charged cold to", description="empty: no cold")
    cold_months: tuple[int, ...] = Field((), title="Months of cold", description="6-9: June to September")
    highest_c: float = Field(title="Highest temperature", description="of vessel, liner and bag")
    stands_in: Name
    charge: Literal["solar", "clock"] = Field(description="with sun to spare, or by the clock")
    surplus_above_w: NotNegative = Field(0.0, title="Sun to spare beyond", description="before it charges")
    charge_hours: tuple[int, ...] = Field((), description="for charging by the clock, 0 is midnight to one")
    vessel: Literal["steel tank", "stainless tank", "plastic bag"] = "steel tank"
    vessel_kg: NotNegative = Field(0.0, title="Weight of the empty vessel", description="0: not stated")

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


def materials(case: HouseCase, inputs: ThermalStorage) -> tuple[MaterialUse, ...]:
    row = {"steel tank": "steel", "stainless tank": "stainless_steel", "plastic bag": "polyethylene_sheet"}
    key = row[inputs.vessel] if inputs.vessel_kg else ""
    return (MaterialUse(inputs.vessel, key, inputs.vessel_kg, mass_kg=inputs.vessel_kg),)


def _has_water(delivery: object) -> bool:
    return isinstance(delivery, WaterRadiators | RadiantFloors)


KIND = MeasureKind(
    "thermal_storage", "Thermal storage", ThermalStorage, 70, apply, materials, needs=(WATER_SOURCES,)
)
