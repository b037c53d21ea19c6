"""Glass chosen for its sun, with an overhang or awning that shades it in summer."""

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.fabric import WindowFacts, with_less_leakage, with_overhangs, with_windows
from retrofit_desk.estimate.measures.base import Inputs, MeasureKind
from retrofit_desk.physics.elements import Name, NotNegative


class GlazingAndShading(Inputs):
    windows: tuple[Name, ...] = Field(min_length=1)
    product: WindowFacts | None = Field(None, description="None: the glass stays")
    overhang_depth_m: NotNegative = Field(0.0, description="0: no overhang is added")
    overhang_above_head_m: NotNegative = 0.0
    overhang_beyond_jambs_m: NotNegative = 0.0
    less_flow_50pa_m3_s: NotNegative = 0.0


def apply(case: HouseCase, inputs: GlazingAndShading) -> HouseCase:
    if inputs.product is not None:
        case = with_windows(case, inputs.windows, inputs.product)
    if inputs.overhang_depth_m > 0:
        case = with_overhangs(
            case,
            inputs.windows,
            inputs.overhang_depth_m,
            inputs.overhang_above_head_m,
            inputs.overhang_beyond_jambs_m,
        )
    return with_less_leakage(case, inputs.less_flow_50pa_m3_s)


KIND = MeasureKind("glazing_and_shading", "Glass and shading for the sun", GlazingAndShading, 30, apply)
