"""A heat-pump clothes dryer in place of the old one."""

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.measures.base import Inputs, MeasureKind, unweighed
from retrofit_desk.physics.elements import Name, Positive
from retrofit_desk.physics.plant_description import Dryer


class HeatPumpDryer(Inputs):
    replaces: tuple[Name, ...] = ()
    kg_per_kwh: Positive = Field(
        title="Combined energy factor (CEF)",
        description="combined energy factor by its label, kg of laundry per kWh",
    )


def apply(case: HouseCase, inputs: HeatPumpDryer) -> HouseCase:
    return case.with_plant(dryer=Dryer(fuel="electricity", kg_per_kwh=inputs.kg_per_kwh))


KIND = MeasureKind("heat_pump_dryer", "Heat-pump dryer", HeatPumpDryer, 57, apply, unweighed("dryer"))
