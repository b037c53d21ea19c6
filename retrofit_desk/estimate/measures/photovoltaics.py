"""Solar electricity from one or several roof planes."""

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.measures.base import Inputs, MaterialUse, MeasureKind
from retrofit_desk.physics.elements import NotNegative
from retrofit_desk.physics.plant_description import Inverter, SolarArray


class Photovoltaics(Inputs):
    arrays: tuple[SolarArray, ...] = Field(min_length=1)
    inverters: tuple[Inverter, ...] = Field(min_length=1)
    module_mass_kg: NotNegative = Field(0.0, description="of all modules; 0: not stated")
    carbon_key: str = ""


def apply(case: HouseCase, inputs: Photovoltaics) -> HouseCase:
    return case.with_plant(
        arrays=(*case.plant.arrays, *inputs.arrays), inverters=(*case.plant.inverters, *inputs.inverters)
    )


def materials(case: HouseCase, inputs: Photovoltaics) -> tuple[MaterialUse, ...]:
    if not inputs.module_mass_kg:
        return ()
    return (MaterialUse("solar modules", inputs.carbon_key, inputs.module_mass_kg),)


KIND = MeasureKind("photovoltaics", "Solar electricity", Photovoltaics, 80, apply, materials)
