"""An induction range in place of the old one."""

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.measures.base import Inputs, MeasureKind, unweighed
from retrofit_desk.physics.elements import Fraction, Name
from retrofit_desk.physics.plant_description import Cooking


class InductionRange(Inputs):
    replaces: tuple[Name, ...] = ()
    efficiency: Fraction = Field(description="share of the electricity that reaches the pan")


def apply(case: HouseCase, inputs: InductionRange) -> HouseCase:
    return case.with_plant(cooking=Cooking(fuel="electricity", efficiency=inputs.efficiency))


KIND = MeasureKind("induction_range", "Induction range", InductionRange, 56, apply, unweighed("range"))
