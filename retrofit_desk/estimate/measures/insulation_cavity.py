"""Insulation blown into cavities and slopes that stand empty or half empty."""

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.fabric import (
    MaterialFacts,
    filled,
    rebuild,
    volume_filled,
    with_air_changes,
    with_less_leakage,
)
from retrofit_desk.estimate.measures.base import STOPS_TITLE, Inputs, MaterialUse, MeasureKind
from retrofit_desk.physics.elements import Name, NotNegative, Positive


class CavityFill(Inputs, MaterialFacts):
    surfaces: tuple[Name, ...] = Field(min_length=1)
    depth_m: Positive = Field(description="of the filling, where bare framing is filled")
    framing_fraction: float = Field(ge=0, lt=1, description="where bare framing is filled")
    framing_material_key: str = "softwood"
    spaces: tuple[Name, ...] = Field((), description="unheated spaces that are closed off with it")
    air_changes_per_hour_after: NotNegative | None = Field(None, description="of those spaces")
    flow_50pa_reduction_m3_s: NotNegative = Field(
        0.0, title=STOPS_TITLE, description="leakage that the filling stops"
    )


def apply(case: HouseCase, inputs: CavityFill) -> HouseCase:
    case = rebuild(
        case, inputs.surfaces, lambda one: filled(one, inputs, inputs.depth_m, inputs.framing_fraction)
    )
    if inputs.spaces and inputs.air_changes_per_hour_after is not None:
        case = with_air_changes(case, inputs.spaces, inputs.air_changes_per_hour_after)
    return with_less_leakage(case, inputs.flow_50pa_reduction_m3_s)


def materials(case: HouseCase, inputs: CavityFill) -> tuple[MaterialUse, ...]:
    volume = volume_filled(case.house, inputs.surfaces, inputs, inputs.depth_m, inputs.framing_fraction)
    return (MaterialUse.of(volume),)


KIND = MeasureKind("insulation_cavity", "Cavity insulation", CavityFill, 20, apply, materials)
