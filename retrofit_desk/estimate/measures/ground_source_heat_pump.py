"""A ground-source heat pump that makes warm and cold water, in place of the old heating and cooling."""

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.measures.base import Inputs, MaterialUse, MeasureKind, RefrigerantCharge
from retrofit_desk.physics.elements import NotNegative
from retrofit_desk.physics.plant_delivery import (
    CoolingSystem,
    FreeCooling,
    HeatingSystem,
    ServedZone,
    WaterEmitter,
    WaterRadiators,
)
from retrofit_desk.physics.plant_machines import BoreField, HeatPump

SYSTEM = "ground-source heat pump"


class GroundSourceHeatPump(Inputs):
    machine: HeatPump
    bore_field: BoreField
    fan_coils: tuple[WaterEmitter, ...] = Field(
        min_length=1, description="hydronic coils that deliver where no floor loops are laid"
    )
    pump_w: NotNegative
    free_cooling: FreeCooling | None = None
    pipe_mass_kg: NotNegative = Field(0.0, description="ground loop pipe; 0: not stated")
    pipe_carbon_key: str = ""


def apply(case: HouseCase, inputs: GroundSourceHeatPump) -> HouseCase:
    """Burners and the old air conditioner go; zones that were heated or cooled are served by the coils."""
    zones = tuple(ServedZone(zone=coil.zone) for coil in inputs.fan_coils)
    coils = WaterRadiators(
        emitters=inputs.fan_coils, spread_k=5.0, pump_w=inputs.pump_w, removes_moisture=True
    )
    heating = HeatingSystem(name=SYSTEM, machine=inputs.machine.name, serves=zones, delivery=coils)
    cooling = CoolingSystem(
        name=SYSTEM,
        machine=inputs.machine.name,
        serves=zones,
        delivery=coils,
        free_cooling=inputs.free_cooling,
    )
    return case.with_plant(
        machines=(inputs.machine,), bore_fields=(inputs.bore_field,), heating=(heating,), cooling=(cooling,)
    )


def materials(case: HouseCase, inputs: GroundSourceHeatPump) -> tuple[MaterialUse, ...]:
    if not inputs.pipe_mass_kg:
        return ()
    return (MaterialUse("ground loop pipe", inputs.pipe_carbon_key, inputs.pipe_mass_kg),)


def refrigerant(inputs: GroundSourceHeatPump) -> RefrigerantCharge | None:
    machine = inputs.machine
    if not machine.refrigerant or machine.charge_kg is None:
        return None
    return RefrigerantCharge(machine.refrigerant, machine.charge_kg)


KIND = MeasureKind(
    "ground_source_heat_pump",
    "Ground-source heat pump",
    GroundSourceHeatPump,
    50,
    apply,
    materials,
    refrigerant,
)
