"""Glass chosen for its sun, with an overhang or awning that shades it in summer."""

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.fabric import (
    WindowFacts,
    windows_of,
    with_less_leakage,
    with_overhangs,
    with_windows,
)
from retrofit_desk.estimate.measures.base import (
    STOPS_TITLE,
    Inputs,
    MaterialUse,
    MeasureKind,
    window_materials,
)
from retrofit_desk.physics.elements import Name, NotNegative


class GlazingAndShading(Inputs, WindowFacts):
    openings: tuple[Name, ...] = Field(min_length=1)
    overhang_depth_m: NotNegative = Field(0.0, description="0: no overhang is added")
    overhang_above_head_m: NotNegative = 0.0
    overhang_side_m: NotNegative = Field(0.0, description="how far it reaches past both jambs")
    flow_50pa_reduction_m3_s: NotNegative = Field(0.0, title=STOPS_TITLE)


def apply(case: HouseCase, inputs: GlazingAndShading) -> HouseCase:
    case = with_windows(case, inputs.openings, inputs)
    if inputs.overhang_depth_m > 0:
        case = with_overhangs(
            case,
            inputs.openings,
            inputs.overhang_depth_m,
            inputs.overhang_above_head_m,
            inputs.overhang_side_m,
        )
    return with_less_leakage(case, inputs.flow_50pa_reduction_m3_s)


def materials(case: HouseCase, inputs: GlazingAndShading) -> tuple[MaterialUse, ...]:
    return window_materials(windows_of(case.house, inputs.openings), inputs.panes)


KIND = MeasureKind(
    "glazing_and_shading", "Glass and shading for the sun", GlazingAndShading, 30, apply, materials
)
