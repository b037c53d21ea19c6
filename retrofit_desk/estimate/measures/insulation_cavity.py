"""Insulation blown into cavities and slopes that stand empty."""

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.fabric import MaterialFacts, filled, rebuild, volume_filled, with_less_leakage
from retrofit_desk.estimate.measures.base import Inputs, MaterialUse, MeasureKind
from retrofit_desk.physics.elements import Name, NotNegative, Positive


class CavityFill(Inputs):
    surfaces: tuple[Name, ...] = Field(min_length=1)
    layer: Name = Field(description="the layer that is filled, by its name in the construction")
    material: MaterialFacts
    thickness_m: Positive = Field(description="of the filling where the layer has no framing")
    less_flow_50pa_m3_s: NotNegative = Field(0.0, description="leakage that the filling stops")


def apply(case: HouseCase, inputs: CavityFill) -> HouseCase:
    case = rebuild(
        case, inputs.surfaces, lambda one: filled(one, inputs.layer, inputs.material, inputs.thickness_m)
    )
    return with_less_leakage(case, inputs.less_flow_50pa_m3_s)


def materials(case: HouseCase, inputs: CavityFill) -> tuple[MaterialUse, ...]:
    volume = volume_filled(case.house, inputs.surfaces, inputs.layer, inputs.material, inputs.thickness_m)
    return (MaterialUse.of(volume),)


KIND = MeasureKind("insulation_cavity", "Cavity insulation", CavityFill, 20, apply, materials)
