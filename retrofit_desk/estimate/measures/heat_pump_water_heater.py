"""A heat-pump water heater; it takes its heat from the room where it stands."""

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.measures.base import (
    ONE_WATER_HEATER,
    Inputs,
    MeasureKind,
    RefrigerantCharge,
    unweighed,
)
from retrofit_desk.physics.elements import Name, NotNegative, Positive
from retrofit_desk.physics.plant_description import HeatPumpTank


class WaterHeaterChange(Inputs):
    replaces: tuple[Name, ...] = ()
    volume_l: Positive
    loss_w_k: NotNegative
    compressor_heat_w: Positive
    cop_rated: Positive = Field(title="COP as rated", description="at 19.7 degC air and 51.7 degC tank")
    element_w: NotNegative
    set_point_c: float
    stands_in: Name
    refrigerant: str = Field("", description="ASHRAE 34 designation; empty: unknown")
    refrigerant_charge_kg: NotNegative = 0.0


def apply(case: HouseCase, inputs: WaterHeaterChange) -> HouseCase:
    tank = HeatPumpTank(
        volume_l=inputs.volume_l,
        loss_w_k=inputs.loss_w_k,
        compressor_heat_w=inputs.compressor_heat_w,
        cop_rated=inputs.cop_rated,
        element_w=inputs.element_w,
        set_point_c=inputs.set_point_c,
        stands_in=inputs.stands_in,
    )
    return case.with_plant(water_heater=tank)


def refrigerant(inputs: WaterHeaterChange) -> RefrigerantCharge | None:
    if not inputs.refrigerant:
        return None
    return RefrigerantCharge(inputs.refrigerant, inputs.refrigerant_charge_kg, "water_heater")


KIND = MeasureKind(
    "heat_pump_water_heater",
    "Heat-pump water heater",
    WaterHeaterChange,
    55,
    apply,
    unweighed("water heater"),
    refrigerant,
    excludes=ONE_WATER_HEATER,
)
