"""Air sealing: cracks closed, counted by what the blower door then finds."""

from pydantic import Field

from retrofit_desk.estimate.case import DoesNotFit, HouseCase, changed
from retrofit_desk.estimate.measures.base import Inputs, MaterialUse, MeasureKind
from retrofit_desk.physics.elements import NotNegative, Positive


class AirSealing(Inputs):
    flow_50pa_m3_s: Positive = Field(
        title="Leakage at 50 Pa", description="leakage at 50 Pa after the work, tested or aimed at"
    )
    flow_exponent: float | None = Field(None, ge=0.5, le=1, description="after the work; None: as before")
    sealant_kg: NotNegative = Field(0.0, description="0: not stated")


def apply(case: HouseCase, inputs: AirSealing) -> HouseCase:
    door = case.house.blower_door
    if door is None:
        raise DoesNotFit("the house has no blower-door result", do="file a leakage test first")
    exponent = door.exponent if inputs.flow_exponent is None else inputs.flow_exponent
    flow = min(door.flow_at_50_pa_m3_s, inputs.flow_50pa_m3_s)
    return case.with_house(blower_door=changed(door, flow_at_50_pa_m3_s=flow, exponent=exponent))


def materials(case: HouseCase, inputs: AirSealing) -> tuple[MaterialUse, ...]:
    return (MaterialUse("sealant", "", inputs.sealant_kg, mass_kg=inputs.sealant_kg),)


KIND = MeasureKind("air_sealing", "Air sealing", AirSealing, 10, apply, materials)
