"""Overhangs or awnings over windows that stay as they are."""

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.fabric import with_overhangs
from retrofit_desk.estimate.measures.base import Inputs, MeasureKind, unweighed
from retrofit_desk.physics.elements import Name, NotNegative, Positive


class Overhangs(Inputs):
    openings: tuple[Name, ...] = Field(min_length=1)
    depth_m: Positive = Field(description="how far it stands out from the wall")
    above_head_m: NotNegative = Field(0.0, description="its underside above the top of the window")
    beyond_jambs_m: NotNegative = Field(0.0, description="how far it reaches past both sides")


def apply(case: HouseCase, inputs: Overhangs) -> HouseCase:
    return with_overhangs(case, inputs.openings, inputs.depth_m, inputs.above_head_m, inputs.beyond_jambs_m)


KIND = MeasureKind("overhangs", "Overhangs or awnings", Overhangs, 33, apply, unweighed("overhangs"))
