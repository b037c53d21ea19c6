"""The usual cautions that go with a described plant; they defer to local code and licensed people."""

from __future__ import annotations

from retrofit_desk.physics.plant_delivery import RadiantFloors
from retrofit_desk.physics.plant_description import (
    HeatPumpTank,
    IndirectTank,
    InstantHeater,
    PlantDescription,
)
from retrofit_desk.physics.plant_machines import BurnedFuel, Burner, Fuel, HeatPump

LITERS_PER_GALLON, LB_PER_GAL = 3.785412, 8.34
SCALD_C = 49.0  # 120 degF
LEGIONELLA_C = 60.0  # 140 degF, from memory
MILDLY_FLAMMABLE = ("R-32", "R-454B")
BURNED: tuple[BurnedFuel, ...] = ("gas", "oil", "propane", "wood")


def cautions(plant: PlantDescription) -> tuple[str, ...]:
    """Short sentences for the owner, in the order of harm."""
    found = [
        *combustion_cautions(plant),
        *_electric(plant),
        *_water(plant),
        *_weight(plant),
        *_cold(plant),
        *_floor(plant),
    ]
    return tuple(dict.fromkeys(found))


def _burned(plant: PlantDescription) -> set[Fuel]:
    fuels: set[Fuel] = {m.fuel for m in plant.machines if isinstance(m, Burner)}
    heater = plant.water_heater
    if heater is not None and not isinstance(heater, HeatPumpTank | IndirectTank):
        fuels.add(heater.fuel)
    fuels |= {part.fuel for part in (plant.cooking, plant.dryer) if part is not None}
    return fuels & set(BURNED)


def combustion_cautions(plant: PlantDescription) -> list[str]:
    """What to have tested while fuel is burned in a house that grows tighter; empty where none is."""
    if not _burned(plant):
        return []
    found = [
        "Fuel is still burned in this house. Before and after sealing, have a qualified professional test "
        "worst-case depressurization, spillage and carbon monoxide (ANSI/BPI-1200-S); keep working CO "
        "alarms.",
        "Do not close combustion-air openings.",
    ]
    heater = plant.water_heater
    burns_heat = any(isinstance(m, Burner) for m in plant.machines)
    if not burns_heat and heater is not None and heater.kind == "storage" and heater.fuel != "electricity":
        found.append(
            "A water heater left alone on a large chimney may not draw: reline the chimney "
            "or replace the heater."
        )
    return found


def _electric(plant: PlantDescription) -> list[str]:
    if plant.arrays or plant.battery or plant.car or any(not isinstance(m, Burner) for m in plant.machines):
        return [
            "Load sums are information only: the authority having jurisdiction and a licensed electrician "
            "decide."
        ]
    return []


def _water(plant: PlantDescription) -> list[str]:
    heater = plant.water_heater
    if heater is None:
        return []
    hottest = heater.set_point_c
    if isinstance(heater, HeatPumpTank) and heater.boost_c is not None:
        hottest = heater.boost_c
    found = []
    if hottest > SCALD_C:
        found.append("Water this hot scalds: fit a mixing valve.")
    if not isinstance(heater, InstantHeater) and heater.set_point_c < LEGIONELLA_C:
        found.append(
            "Stored potable water below 140 °F can grow legionella: ask your plumber about a hotter tank "
            "behind a mixing valve."
        )
    return found


def _weight(plant: PlantDescription) -> list[str]:
    return [
        f"{store.name}: the water alone weighs "
        f"{store.volume_m3 * 1000.0 / LITERS_PER_GALLON * LB_PER_GAL:,.0f} lb. "
        "House floors are made for 30-40 lb/ft2: an engineer must look at it; "
        "provide a drain, relief and a flood path."
        for store in plant.stores
    ]


def _cold(plant: PlantDescription) -> list[str]:
    pumps = [m for m in plant.machines if isinstance(m, HeatPump)]
    found = []
    if pumps:
        found.append("Refrigerant work needs a certified technician.")
    for pump in pumps:
        if pump.refrigerant == "R-290":
            found.append(f"{pump.name}: R-290 is flammable; keep to the maker's clearances.")
        if pump.refrigerant in MILDLY_FLAMMABLE:
            found.append(f"{pump.name}: {pump.refrigerant} is mildly flammable.")
    if plant.bore_fields:
        found.append(
            "Use an accredited driller and installer, grout bottom-up by tremie, and check which antifreeze "
            "your state permits; methanol is flammable."
        )
    return found


def _floor(plant: PlantDescription) -> list[str]:
    if any(isinstance(system.delivery, RadiantFloors) for system in plant.cooling):
        return [
            "A cooled floor takes no moisture out: run it only while the dew point of the room is below "
            "the coldest surface, manifold and tails included."
        ]
    return []
