"""A battery that keeps surplus sun for the evening, or cheap power for the dear hours."""

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
    charge_hours: tuple[int, ...] = Field(
        (), title="Hours of charging from the network", description="the cheap ones; none: sun only"
    )

    def battery(self) -> Battery:
        return Battery(
            usable_kwh=self.usable_kwh,
            power_w=self.power_w,
            round_trip=self.round_trip,
            charge_hours=self.charge_hours,
        )


def apply(case: HouseCase, inputs: HomeBattery) -> HouseCase:
    return case.with_plant(battery=inputs.battery())


def materials(case: HouseCase, inputs: HomeBattery) -> tuple[MaterialUse, ...]:
    return (MaterialUse("battery", "battery", inputs.usable_kwh, "kWh"),)


KIND = MeasureKind("battery", "Battery", HomeBattery, 85, apply, materials)
