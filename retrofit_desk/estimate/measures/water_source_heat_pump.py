"""A heat pump on well or lake water, with cold straight from that water where it is cold enough."""

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.measures.base import (
    ONE_HEAT_PUMP,
    Inputs,
    MeasureKind,
    RefrigerantCharge,
    unweighed,
)
from retrofit_desk.estimate.water_plant import Coil, free_cooling_of, on_water
from retrofit_desk.physics.elements import Name, NotNegative, Temperature
from retrofit_desk.physics.plant_machines import HeatPump, RatingPoint, Ratings, WellWater

SYSTEM = "water-source heat pump"


class WaterSourceHeatPump(Inputs):
    replaces: tuple[Name, ...] = ()
    heating_points: tuple[RatingPoint, ...] = Field(
        min_length=1, description="entering well water and leaving house water (ISO 13256-2, EN 14511)"
    )
    cooling_points: tuple[RatingPoint, ...] = Field((), description="none: it does not cool")
    entering_water_c: Temperature = Field(description="of the well or lake, the whole year")
    well_pump_w: NotNegative = Field(description="while the machine runs")
    distribution_pump_w: NotNegative
    free_cooling_capacity_w: NotNegative = Field(0.0, description="of the exchanger; 0: no free cooling")
    coils: tuple[Coil, ...] = Field((), description="for every room; none: the radiators that are there")
    refrigerant: str = Field("", description="ASHRAE 34 designation; empty: unknown")
    refrigerant_charge_kg: NotNegative = 0.0

    def machine(self) -> HeatPump:
        return HeatPump(
            name=SYSTEM,
            source=WellWater(entering_c=self.entering_water_c, pump_w=self.well_pump_w),
            heating=Ratings(points=self.heating_points),
            cooling=Ratings(points=self.cooling_points) if self.cooling_points else None,
            refrigerant=self.refrigerant,
            charge_kg=self.refrigerant_charge_kg,
        )


def apply(case: HouseCase, inputs: WaterSourceHeatPump) -> HouseCase:
    return on_water(
        case,
        inputs.machine(),
        inputs.coils,
        inputs.distribution_pump_w,
        free_cooling=free_cooling_of(inputs.free_cooling_capacity_w, inputs.well_pump_w),
    )


def refrigerant(inputs: WaterSourceHeatPump) -> RefrigerantCharge | None:
    if not inputs.refrigerant:
        return None
    return RefrigerantCharge(inputs.refrigerant, inputs.refrigerant_charge_kg, "packaged")


KIND = MeasureKind(
    "water_source_heat_pump",
    "Water-source heat pump",
    WaterSourceHeatPump,
    50,
    apply,
    unweighed("heat pump"),
    refrigerant,
    excludes=ONE_HEAT_PUMP,
)
