"""A timber floor, new, local or reclaimed, laid in place of the old finish."""

from dataclasses import replace
from typing import Literal

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.fabric import MaterialFacts, rebuild, refloored, volume_laid
from retrofit_desk.estimate.measures.base import Inputs, MaterialUse, MeasureKind
from retrofit_desk.physics.elements import Name, Positive


class TimberFloor(Inputs, MaterialFacts):
    surfaces: tuple[Name, ...] = Field(min_length=1, description="floors, from inside")
    thickness_m: Positive
    layers_taken_up: int = Field(0, ge=0, le=5, description="of the old ones, from inside")
    origin: Literal["new", "local", "reclaimed"]


def apply(case: HouseCase, inputs: TimberFloor) -> HouseCase:
    return rebuild(
        case, inputs.surfaces, lambda one: refloored(one, inputs.layers_taken_up, inputs, inputs.thickness_m)
    )


def materials(case: HouseCase, inputs: TimberFloor) -> tuple[MaterialUse, ...]:
    """Reclaimed boards bring nothing of their first making along; what they store is told as for new ones."""
    use = MaterialUse.of(volume_laid(case.house, inputs.surfaces, inputs, inputs.thickness_m))
    if inputs.origin == "reclaimed":
        use = replace(use, name=f"{use.name}, reclaimed", amount=0.0)
    return (use,)


def beside(case: HouseCase, inputs: TimberFloor) -> tuple[str, ...]:
    match inputs.origin:
        case "reclaimed":
            return (
                "Reclaimed boards carry no carbon of their first making (cut-off of EN 15804, from memory); "
                "cleaning, planing and carting are not counted.",
            )
        case "local":
            return ("Counted as average timber: a short way from the mill is not credited.",)
    return ()


KIND = MeasureKind("timber_floor", "Timber floor", TimberFloor, 16, apply, materials, beside=beside)
