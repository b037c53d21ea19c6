"""A hot-water tank heated by the heat pump that makes the house's water, in place of the old water heater."""

from pydantic import Field

from retrofit_desk.estimate.case import DoesNotFit, HouseCase
from retrofit_desk.estimate.measures.base import (
    ONE_WATER_HEATER,
    WATER_SOURCES,
    Inputs,
    MeasureKind,
    unweighed,
)
from retrofit_desk.physics.elements import Name, NotNegative, Positive, Temperature
from retrofit_desk.physics.plant_delivery import RadiantFloors, WaterRadiators
from retrofit_desk.physics.plant_description import IndirectTank


class IndirectWaterTank(Inputs):
    replaces: tuple[Name, ...] = ()
    volume_l: Positive
    loss_w_k: NotNegative = Field(description="heat lost by the tank per kelvin")
    coil_w: Positive = Field(description="heat that the coil passes")
    set_point_c: Temperature = Field(
        description="kept hot enough against bacteria, mixed down at the taps against scalding"
    )
    approach_k: NotNegative = Field(5.0, description="heat pump water above the tank")
    stands_in: Name


def apply(case: HouseCase, inputs: IndirectWaterTank) -> HouseCase:
    water = (
        one.name for one in case.plant.heating if isinstance(one.delivery, WaterRadiators | RadiantFloors)
    )
    heated_by = next(water, None)
    if heated_by is None:
        raise DoesNotFit("nothing in the house makes warm water for rooms", do="choose a heat pump for it")
    tank = IndirectTank(
        heated_by=heated_by,
        volume_l=inputs.volume_l,
        loss_w_k=inputs.loss_w_k,
        capacity_w=inputs.coil_w,
        set_point_c=inputs.set_point_c,
        approach_k=inputs.approach_k,
        stands_in=inputs.stands_in,
    )
    return case.with_plant(water_heater=tank)


KIND = MeasureKind(
    "indirect_water_tank",
    "Hot-water tank on the heat pump",
    IndirectWaterTank,
    72,
    apply,
    unweighed("hot-water tank"),
    needs=(WATER_SOURCES,),
    excludes=ONE_WATER_HEATER,
)
