"""The machines of a new house from a few answers, sized for its floor area."""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum

from retrofit_desk.records import models as m
from retrofit_desk.records.models import EquipmentKind, Fuel
from retrofit_desk.services.house_eras import Era

# Of usual machines where no plate was read; common practice, no source
HEATING_W_M2, COOLING_W_M2 = 180.0, 60.0
COOLING_COP_RATED, RATED_OUTDOOR_C = 2.6, 35.0
FAN_W_M2, FLOW_M3_S_M2 = 2.9, 0.0033
DUCT_SUPPLY_SHARE, DUCT_RETURN_SHARE, DUCT_R_M2K_W = 0.15, 0.05, 0.7
GAS_TANK_M3, GAS_TANK_LOSS_W_K, GAS_TANK_W, PILOT_W = 0.151, 5.8, 8900.0, 110.0
ELECTRIC_TANK_M3, ELECTRIC_TANK_LOSS_W_K, ELECTRIC_TANK_W = 0.19, 1.9, 4500.0
TANK_SET_POINT_C = 51.7
GAS_RECOVERY, GAS_RANGE, ELECTRIC_RANGE, DRYER_KG_KWH = 0.76, 0.32, 0.75, 1.42
GENERAL_VA_FT2, SMALL_CIRCUITS_VA = 3.0, 4500.0  # NEC 2020, 220.12 and 220.52 (second-hand)
RANGE_VA, DRYER_VA = 12000.0, 5000.0
FURNACES = {
    Fuel.GAS: "Gas furnace",
    Fuel.OIL: "Oil furnace",
    Fuel.PROPANE: "Propane furnace",
}


class Heating(StrEnum):
    """What heats the house now."""

    GAS = "gas furnace with ducts"
    OIL = "oil furnace with ducts"
    PROPANE = "propane furnace with ducts"
    ELECTRIC = "electric baseboards"

    @property
    def fuel(self) -> Fuel:
        return {
            Heating.GAS: Fuel.GAS,
            Heating.OIL: Fuel.OIL,
            Heating.PROPANE: Fuel.PROPANE,
            Heating.ELECTRIC: Fuel.ELECTRICITY,
        }[self]


class HotWater(StrEnum):
    """What makes the hot water now."""

    FUEL = "gas or propane tank"
    ELECTRIC = "electric tank"


def machines(
    heating: Heating,
    hot_water: HotWater,
    cooks_with_gas: bool,
    has_cooling: bool,
    era: Era,
    rooms: Sequence[m.Room],
) -> list[m.Equipment]:
    """Furnace or baseboards, ducts, air conditioner, water heater, range and dryer."""
    area = sum(room.floor_area_m2 for room in rooms if room.is_heated)
    served = [room.key for room in rooms if room.is_heated]
    gas = heating.fuel if heating.fuel in (Fuel.GAS, Fuel.PROPANE) else Fuel.GAS
    made = [_heater(heating, era, area, served)]
    if heating is not Heating.ELECTRIC or has_cooling:
        made.append(_ducts(era, area))
    if has_cooling:
        made.append(_air_conditioner(area, served))
    made.append(_water_heater(hot_water, gas))
    made.append(_range(cooks_with_gas, gas))
    made.append(
        m.Equipment(
            key="dryer",
            kind=EquipmentKind.DRYER,
            name="Electric dryer",
            fuel=Fuel.ELECTRICITY,
            details={"kg_per_kwh": DRYER_KG_KWH},
        )
    )
    return made


def _heater(heating: Heating, era: Era, area_m2: float, served: list[str]) -> m.Equipment:
    capacity = HEATING_W_M2 * area_m2
    if heating is Heating.ELECTRIC:
        return m.Equipment(
            key="baseboards",
            kind=EquipmentKind.ELECTRIC_HEATER,
            name="Electric baseboards",
            fuel=Fuel.ELECTRICITY,
            heating_capacity_w=capacity,
            serves=served,
        )
    return m.Equipment(
        key="furnace",
        kind=EquipmentKind.FURNACE,
        name=FURNACES[heating.fuel],
        fuel=heating.fuel,
        heating_capacity_w=capacity,
        electric_input_w=FAN_W_M2 * area_m2,
        serves=served,
        details={"seasonal_efficiency": era.furnace_efficiency, "standby_loss_w": 0.0, "pilot_w": 0.0},
    )


def _ducts(era: Era, area_m2: float) -> m.Equipment:
    return m.Equipment(
        key="ducts",
        kind=EquipmentKind.DUCTS,
        name="Ducts in the attic",
        details={
            "passes": "attic",
            "supply_area_m2": DUCT_SUPPLY_SHARE * area_m2,
            "supply_resistance_m2k_w": DUCT_R_M2K_W,
            "supply_leakage": era.duct_leakage,
            "return_area_m2": DUCT_RETURN_SHARE * area_m2,
            "return_resistance_m2k_w": DUCT_R_M2K_W,
            "return_leakage": era.duct_leakage * 0.6,
            "flow_m3_s": FLOW_M3_S_M2 * area_m2,
        },
    )


def _air_conditioner(area_m2: float, served: list[str]) -> m.Equipment:
    capacity = COOLING_W_M2 * area_m2
    return m.Equipment(
        key="air-conditioner",
        kind=EquipmentKind.AIR_CONDITIONER,
        name="Central air conditioner",
        fuel=Fuel.ELECTRICITY,
        cooling_capacity_w=capacity,
        electric_input_w=capacity / COOLING_COP_RATED,
        refrigerant="R-410A",
        refrigerant_charge_kg=2.5,
        serves=served,
        details={"rated_outdoor_c": RATED_OUTDOOR_C, "fan_w": FAN_W_M2 * area_m2},
    )


def _water_heater(hot_water: HotWater, gas: Fuel) -> m.Equipment:
    is_electric = hot_water is HotWater.ELECTRIC
    return m.Equipment(
        key="water-heater",
        kind=EquipmentKind.WATER_HEATER,
        name="Electric water heater" if is_electric else f"{str(gas).capitalize()} water heater",
        fuel=Fuel.ELECTRICITY if is_electric else gas,
        heating_capacity_w=ELECTRIC_TANK_W if is_electric else GAS_TANK_W,
        volume_m3=ELECTRIC_TANK_M3 if is_electric else GAS_TANK_M3,
        details={
            "recovery_efficiency": 1.0 if is_electric else GAS_RECOVERY,
            "loss_w_k": ELECTRIC_TANK_LOSS_W_K if is_electric else GAS_TANK_LOSS_W_K,
            "pilot_w": 0.0 if is_electric else PILOT_W,
            "set_point_c": TANK_SET_POINT_C,
            "loss_to_zone": 0.5,
        },
    )


def _range(cooks_with_gas: bool, gas: Fuel) -> m.Equipment:
    return m.Equipment(
        key="range",
        kind=EquipmentKind.RANGE,
        name="Gas range" if cooks_with_gas else "Electric range",
        fuel=gas if cooks_with_gas else Fuel.ELECTRICITY,
        details={"efficiency": GAS_RANGE if cooks_with_gas else ELECTRIC_RANGE, "pilot_w": 0.0},
    )


def panel(main_a: float, plant: Sequence[m.Equipment], area_ft2: float) -> m.Panel:
    """The panel with the loads of the usual machines; circuits are for the owner to write down."""
    loads = [
        _load("Lights and outlets by floor area", "general", GENERAL_VA_FT2 * area_ft2),
        _load("Two kitchen circuits and laundry", "small appliance", SMALL_CIRCUITS_VA),
    ]
    for machine in plant:
        if machine.kind is EquipmentKind.FURNACE:
            loads.append(_load("Furnace blower", "heating", machine.electric_input_w))
        elif machine.kind is EquipmentKind.ELECTRIC_HEATER:
            loads.append(_load(machine.name, "heating", machine.heating_capacity_w))
        elif machine.kind is EquipmentKind.AIR_CONDITIONER:
            loads.append(_load(machine.name, "cooling", machine.electric_input_w))
        elif machine.kind is EquipmentKind.WATER_HEATER and machine.fuel is Fuel.ELECTRICITY:
            loads.append(_load(machine.name, "fastened in place", machine.heating_capacity_w))
        elif machine.kind is EquipmentKind.RANGE and machine.fuel is Fuel.ELECTRICITY:
            loads.append(_load(machine.name, "range", RANGE_VA))
        elif machine.kind is EquipmentKind.DRYER:
            loads.append(_load(machine.name, "dryer", DRYER_VA))
    return m.Panel(key="main-panel", name="Main panel", main_a=main_a, service_a=main_a, loads=loads)


def _load(name: str, category: str, volt_amperes: float | None) -> m.PanelLoad:
    return m.PanelLoad(
        name=name, category=category, volt_amperes=volt_amperes, source="Assumed; read the nameplate"
    )
