"""A ground-source heat pump that makes warm and cold water, in place of the old heating and cooling."""

import math
from typing import Literal

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.measures.base import (
    ONE_HEAT_PUMP,
    Inputs,
    MaterialUse,
    MeasureKind,
    RefrigerantCharge,
    unweighed,
)
from retrofit_desk.estimate.water_plant import Coil, free_cooling_of, on_water
from retrofit_desk.physics.elements import Name, NotNegative, Positive
from retrofit_desk.physics.plant_machines import (
    Antifreeze,
    BoreField,
    Ground,
    HeatPump,
    RatingPoint,
    Ratings,
)

SYSTEM = "ground-source heat pump"
POLYETHYLENE_KG_M3 = 950.0  # PE4710 pipe, 0.95 g/cm3 (common practice, no source)


class GroundSourceHeatPump(Inputs):
    replaces: tuple[Name, ...] = ()
    heating_points: tuple[RatingPoint, ...] = Field(min_length=1)
    cooling_points: tuple[RatingPoint, ...] = ()
    refrigerant: str = Field("", description="ASHRAE 34 designation; empty: unknown")
    refrigerant_charge_kg: NotNegative = 0.0
    stands_in: Name
    bores: int = Field(ge=1, le=20)
    bore_depth_m: Positive
    spacing_m: Positive
    bore_radius_m: Positive
    pipe_outer_radius_m: Positive
    pipe_inner_radius_m: Positive
    half_shank_m: Positive
    grout_conductivity_w_mk: Positive
    ground_conductivity_w_mk: Positive
    ground_diffusivity_m2_s: Positive
    ground_temp_c: float = Field(title="Ground temperature", description="undisturbed, mean of the depth")
    fluid: Literal["water", "propylene glycol", "ethylene glycol", "ethanol", "methanol"]
    fluid_mass_percent: NotNegative
    flow_kg_s: Positive = Field(title="Flow in the loop", description="the whole field")
    loop_pump_w: NotNegative
    distribution_pump_w: NotNegative
    free_cooling_capacity_w: NotNegative = Field(0.0, description="0: no free cooling")
    fan_coils_without_floor: tuple[Coil, ...] = Field(
        (),
        title="Coils",
        description="for every room, floors take their place; none: the radiators that are there",
    )

    def machine(self) -> HeatPump:
        return HeatPump(
            name=SYSTEM,
            source=Ground(bore_field="bores"),
            heating=Ratings(points=self.heating_points),
            cooling=Ratings(points=self.cooling_points) if self.cooling_points else None,
            refrigerant=self.refrigerant,
            charge_kg=self.refrigerant_charge_kg,
        )

    def bore_field(self) -> BoreField:
        return BoreField(
            name="bores",
            columns=self.bores,
            spacing_m=self.spacing_m,
            depth_m=self.bore_depth_m,
            bore_radius_m=self.bore_radius_m,
            pipe_outer_radius_m=self.pipe_outer_radius_m,
            pipe_inner_radius_m=self.pipe_inner_radius_m,
            half_shank_m=self.half_shank_m,
            grout_conductivity_w_mk=self.grout_conductivity_w_mk,
            ground_conductivity_w_mk=self.ground_conductivity_w_mk,
            ground_diffusivity_m2_s=self.ground_diffusivity_m2_s,
            ground_temp_c=self.ground_temp_c,
            fluid=Antifreeze(kind=self.fluid, mass_percent=self.fluid_mass_percent),
            flow_kg_s=self.flow_kg_s,
            pump_w=self.loop_pump_w,
        )


def apply(case: HouseCase, inputs: GroundSourceHeatPump) -> HouseCase:
    """Burners and the old air conditioner go; coils serve the rooms, or the radiators that are there."""
    return on_water(
        case,
        inputs.machine(),
        inputs.fan_coils_without_floor,
        inputs.distribution_pump_w,
        free_cooling=free_cooling_of(inputs.free_cooling_capacity_w, inputs.loop_pump_w),
        bores=(inputs.bore_field(),),
    )


def materials(case: HouseCase, inputs: GroundSourceHeatPump) -> tuple[MaterialUse, ...]:
    """The pipe of the ground loop, two legs to each bore, and the machine, whose mass nobody states."""
    wall_m2 = math.pi * (inputs.pipe_outer_radius_m**2 - inputs.pipe_inner_radius_m**2)
    mass_kg = wall_m2 * 2 * inputs.bores * inputs.bore_depth_m * POLYETHYLENE_KG_M3
    pipe = MaterialUse("ground loop pipe, polyethylene", "polyethylene_pipe", mass_kg, mass_kg=mass_kg)
    return (pipe, *unweighed("heat pump")(case, inputs))


def refrigerant(inputs: GroundSourceHeatPump) -> RefrigerantCharge | None:
    if not inputs.refrigerant:
        return None
    return RefrigerantCharge(inputs.refrigerant, inputs.refrigerant_charge_kg, "packaged")


KIND = MeasureKind(
    "ground_source_heat_pump",
    "Ground-source heat pump",
    GroundSourceHeatPump,
    50,
    apply,
    materials,
    refrigerant,
    excludes=ONE_HEAT_PUMP,
)
