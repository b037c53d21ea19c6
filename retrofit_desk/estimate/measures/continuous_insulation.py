"""Insulation in one unbroken layer outside the studs; it covers the framing too."""

from math import pi

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase, changed
from retrofit_desk.estimate.fabric import MaterialFacts, rebuild, volume_laid, with_less_leakage, wrapped
from retrofit_desk.estimate.measures.base import STOPS_TITLE, Inputs, MaterialUse, MeasureKind
from retrofit_desk.physics.elements import Name, NotNegative, Positive
from retrofit_desk.physics.layer_parts import Fixings, SolidLayerPart

STEEL_W_MK = 50.0  # ISO 10456:2007 (from memory)


class OutsideInsulation(Inputs, MaterialFacts):
    surfaces: tuple[Name, ...] = Field(min_length=1)
    outside_of_layer: Name | None = Field(None, description="layer it lies against; None: it is outermost")
    thickness_m: Positive
    screws_to_a_square_meter: float = Field(
        0.0,
        ge=0,
        le=50,
        title="Screws to a square meter",
        description="steel, through the whole layer (10.8 square feet are one); 0: glued, or not known",
        exclude_if=lambda count: count == 0.0,
    )
    screw_diameter_m: float = Field(
        0.006, gt=0, le=0.02, description="of their shanks", exclude_if=lambda wide: wide == 0.006
    )
    flow_50pa_reduction_m3_s: NotNegative = Field(
        0.0, title=STOPS_TITLE, description="leakage that the taped layer stops"
    )

    def layer(self, thickness_m: float) -> SolidLayerPart:
        """The insulation with the screws that pierce it (ISO 6946:2017, mechanical fasteners)."""
        plain = super().layer(thickness_m)
        if self.screws_to_a_square_meter == 0.0:
            return plain
        screws = Fixings(
            conductivity_w_mk=STEEL_W_MK,
            section_m2=pi * self.screw_diameter_m**2 / 4.0,
            count_per_m2=self.screws_to_a_square_meter,
        )
        return changed(plain, fixings=screws)


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
