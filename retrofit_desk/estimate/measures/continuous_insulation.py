"""Insulation in one unbroken layer outside the studs; it covers the framing too."""

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.fabric import MaterialFacts, rebuild, volume_laid, with_less_leakage, wrapped
from retrofit_desk.estimate.measures.base import STOPS_TITLE, Inputs, MaterialUse, MeasureKind
from retrofit_desk.physics.elements import Name, NotNegative, Positive


class OutsideInsulation(Inputs, MaterialFacts):
    surfaces: tuple[Name, ...] = Field(min_length=1)
    outside_of_layer: Name | None = Field(None, description="layer it lies against; None: it is outermost")
    thickness_m: Positive
    flow_50pa_reduction_m3_s: NotNegative = Field(
        0.0, title=STOPS_TITLE, description="leakage that the taped layer stops"
    )


def apply(case: HouseCase, inputs: OutsideInsulation) -> HouseCase:
    case = rebuild(
        case, inputs.surfaces, lambda one: wrapped(one, inputs.outside_of_layer, inputs, inputs.thickness_m)
    )
    return with_less_leakage(case, inputs.flow_50pa_reduction_m3_s)


def materials(case: HouseCase, inputs: OutsideInsulation) -> tuple[MaterialUse, ...]:
    return (MaterialUse.of(volume_laid(case.house, inputs.surfaces, inputs, inputs.thickness_m)),)


KIND = MeasureKind(
    "continuous_insulation", "Insulation outside the studs", OutsideInsulation, 22, apply, materials
)
