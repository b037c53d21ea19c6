"""A tank or bag of water that moves the heat pump's work into the sunny or the cheap hours."""

from retrofit_desk.estimate.case import HouseCase, changed
from retrofit_desk.estimate.measures.base import WATER_SOURCES, Inputs, MeasureKind
from retrofit_desk.physics.plant_delivery import RadiantFloors, ThermalStore, WaterRadiators


class ThermalStorage(Inputs):
    store: ThermalStore


def apply(case: HouseCase, inputs: ThermalStorage) -> HouseCase:
    store = inputs.store
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
