"""A heat-pump water heater; it takes its heat from the room where it stands."""

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.measures.base import Inputs, MeasureKind, RefrigerantCharge
from retrofit_desk.physics.elements import NotNegative
from retrofit_desk.physics.plant_description import HeatPumpTank


class WaterHeaterChange(Inputs):
    tank: HeatPumpTank
    refrigerant: str = Field("", description="ASHRAE 34 designation; empty: unknown")
    charge_kg: NotNegative = 0.0


def apply(case: HouseCase, inputs: WaterHeaterChange) -> HouseCase:
    return case.with_plant(water_heater=inputs.tank)


def refrigerant(inputs: WaterHeaterChange) -> RefrigerantCharge | None:
    return RefrigerantCharge(inputs.refrigerant, inputs.charge_kg) if inputs.refrigerant else None


KIND = MeasureKind(
    "heat_pump_water_heater", "Heat-pump water heater", WaterHeaterChange, 55, apply, refrigerant=refrigerant
)
