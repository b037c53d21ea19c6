"""Air sealing: cracks closed, counted by what the blower door then no longer finds."""

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.fabric import with_less_leakage
from retrofit_desk.estimate.measures.base import Inputs, MeasureKind
from retrofit_desk.physics.elements import Positive


class AirSealing(Inputs):
    less_flow_50pa_m3_s: Positive = Field(description="leakage taken away at 50 Pa")


def apply(case: HouseCase, inputs: AirSealing) -> HouseCase:
    return with_less_leakage(case, inputs.less_flow_50pa_m3_s)


KIND = MeasureKind("air_sealing", "Air sealing", AirSealing, 10, apply)
