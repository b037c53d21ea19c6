"""A battery that keeps surplus sun for the evening."""

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.measures.base import Inputs, MaterialUse, MeasureKind
from retrofit_desk.physics.elements import Positive
from retrofit_desk.physics.plant_description import Battery


class HomeBattery(Inputs):
    usable_kwh: Positive
    power_w: Positive
    round_trip: float = Field(
        gt=0, le=1, title="Round-trip efficiency", description="AC to AC, by its data sheet"
    )


def apply(case: HouseCase, inputs: HomeBattery) -> HouseCase:
    battery = Battery(usable_kwh=inputs.usable_kwh, power_w=inputs.power_w, round_trip=inputs.round_trip)
    return case.with_plant(battery=battery)


def materials(case: HouseCase, inputs: HomeBattery) -> tuple[MaterialUse, ...]:
    return (MaterialUse("battery", "battery", inputs.usable_kwh, "kWh"),)


KIND = MeasureKind("battery", "Battery", HomeBattery, 85, apply, materials)
