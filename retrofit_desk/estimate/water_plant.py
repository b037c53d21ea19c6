"""Machines that make warm and cold water, and what carries it into the rooms; several measures share it."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from retrofit_desk.estimate.case import DoesNotFit, HouseCase, changed
from retrofit_desk.physics.elements import Name, NotNegative, Part, Positive
from retrofit_desk.physics.plant_delivery import (
    CoolingSystem,
    FreeCooling,
    HeatingSystem,
    RadiantFloors,
    ResetLine,
    ServedZone,
    WaterEmitter,
    WaterRadiators,
)
from retrofit_desk.physics.plant_description import IndirectTank
from retrofit_desk.physics.plant_machines import BoreField, HeatPump, Machine, Resistance

EXPONENT = {"fan coil": 1.0, "radiator": 1.3, "baseboard": 1.4}
"""EN 442 for radiators; a fan coil at a fixed fan goes with the difference (common practice, no source)."""
RATED_DIFFERENCE_K = {"fan coil": 25.0, "radiator": 50.0, "baseboard": 50.0}
"""Water above room at the rated output: EN 442 rates at 50 K; fan coils commonly at 45 degC water."""
FAN_COIL_SPREAD_K, RADIATOR_SPREAD_K = 5.0, 7.0
"""Supply less return (common practice, no source)."""


class Coil(Part):
    """What gives the water's heat or cold to one room."""

    room: Name = Field(description="the room it serves")
    rated_w: Positive = Field(description="output as rated")
    sort: Literal["fan coil", "radiator", "baseboard"] = Field(
        "fan coil", description="only a fan coil also cools"
    )

    def emitter(self) -> WaterEmitter:
        return WaterEmitter(
            zone=self.room,
            rated_w=self.rated_w,
            rated_difference_k=RATED_DIFFERENCE_K[self.sort],
            exponent=EXPONENT[self.sort],
        )


def on_water(
    case: HouseCase,
    machine: HeatPump,
    coils: tuple[Coil, ...],
    pump_w: float,
    *,
    free_cooling: FreeCooling | None = None,
    backup_w: float = 0.0,
    bores: tuple[BoreField, ...] = (),
) -> HouseCase:
    """The machine takes the place of the old heating, and of the old cooling where it cools.

    Without coils it heats through the radiators that the house has. Raises `DoesNotFit`.
    """
    heating = _new_heating(machine, coils, pump_w) if coils else _old_radiators(case, machine)
    backup = (Resistance(name=f"{machine.name}, backup", capacity_w=backup_w),) if backup_w else ()
    if backup:
        heating = tuple(changed(one, backup=backup[0].name) for one in heating)
    cold = tuple(coil for coil in coils if coil.sort == "fan coil")
    cooling = case.plant.cooling
    if machine.cooling is not None and cold:
        cooling = (
            CoolingSystem(
                name=machine.name,
                machine=machine.name,
                serves=tuple(ServedZone(zone=coil.room) for coil in cold),
                delivery=_through(cold, pump_w),
                free_cooling=free_cooling,
            ),
        )
    kept = {one.machine for one in cooling} - {machine.name}
    machines: tuple[Machine, ...] = (
        machine,
        *backup,
        *(one for one in case.plant.machines if one.name in kept),
    )
    tank = case.plant.water_heater
    if isinstance(tank, IndirectTank):  # the tank of the old boiler stays, on the new water
        tank = changed(tank, heated_by=heating[0].name)
    return case.with_plant(
        machines=machines, bore_fields=bores, heating=heating, cooling=cooling, water_heater=tank
    )


def _new_heating(machine: HeatPump, coils: tuple[Coil, ...], pump_w: float) -> tuple[HeatingSystem, ...]:
    serves = tuple(ServedZone(zone=coil.room) for coil in coils)
    delivery = _through(coils, pump_w)
    return (HeatingSystem(name=machine.name, machine=machine.name, serves=serves, delivery=delivery),)


def _old_radiators(case: HouseCase, machine: HeatPump) -> tuple[HeatingSystem, ...]:
    """The radiators and floors stay; only what makes their water is new, as warm as they need it."""
    found = [one for one in case.plant.heating if isinstance(one.delivery, WaterRadiators | RadiantFloors)]
    if not found:
        raise DoesNotFit(
            "the house has no radiators or floors with water", do="name fan coils or radiators for its rooms"
        )
    if any(isinstance(one.delivery, WaterRadiators) and one.delivery.layout == "steam" for one in found):
        raise DoesNotFit(
            "the radiators are made for steam; they cannot carry the water of a heat pump as they are piped",
            do="name fan coils or radiators for its rooms",
        )
    names = [machine.name, *(f"{machine.name} {count}" for count in range(2, len(found) + 1))]
    return tuple(
        changed(one, name=name, machine=machine.name, backup=None, delivery=changed(one.delivery, reset=None))
        for name, one in zip(names, found, strict=True)
    )


def _through(coils: tuple[Coil, ...], pump_w: float) -> WaterRadiators:
    fans = all(coil.sort == "fan coil" for coil in coils)
    return WaterRadiators(
        emitters=tuple(coil.emitter() for coil in coils),
        spread_k=FAN_COIL_SPREAD_K if fans else RADIATOR_SPREAD_K,
        pump_w=pump_w,
        removes_moisture=fans,
    )


def with_reset(case: HouseCase, line: ResetLine) -> HouseCase:
    """Every heating water by the outdoor temperature; heat that comes by air is not changed."""

    def led(system: HeatingSystem) -> HeatingSystem:
        if not isinstance(system.delivery, WaterRadiators | RadiantFloors):
            return system
        return changed(system, delivery=changed(system.delivery, reset=line))

    return case.with_plant(heating=tuple(led(one) for one in case.plant.heating))


def free_cooling_of(capacity_w: NotNegative, pump_w: float) -> FreeCooling | None:
    """Cold straight from the ground; None where no exchanger is built in."""
    return FreeCooling(capacity_w=capacity_w, pump_w=pump_w) if capacity_w else None
