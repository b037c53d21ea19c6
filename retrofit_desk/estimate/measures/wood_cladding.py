"""Wood outside: shingles, boards or shakes in place of the old outermost layers of walls or roofs."""

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase, change_named, changed
from retrofit_desk.estimate.fabric import MaterialFacts, rebuild, reclad, volume_laid
from retrofit_desk.estimate.measures.base import Inputs, MaterialUse, MeasureKind
from retrofit_desk.physics.elements import Fraction, Name, Positive


class WoodCladding(Inputs, MaterialFacts):
    surfaces: tuple[Name, ...] = Field(min_length=1)
    thickness_m: Positive = Field(description="mean, overlaps counted")
    layers_taken_off: int = Field(1, ge=0, le=5, description="of the old ones, from outside")
    solar_absorptance: Fraction | None = Field(None, description="of the new face; None: as before")


def apply(case: HouseCase, inputs: WoodCladding) -> HouseCase:
    """In rank before new insulation, which then lies where the measure says."""
    case = rebuild(
        case, inputs.surfaces, lambda one: reclad(one, inputs.layers_taken_off, inputs, inputs.thickness_m)
    )
    shade = inputs.solar_absorptance
    if shade is None:
        return case
    surfaces = change_named(
        case.house.surfaces, inputs.surfaces, lambda one: changed(one, outside_absorptance=shade), "surface"
    )
    return case.with_house(surfaces=surfaces)


def materials(case: HouseCase, inputs: WoodCladding) -> tuple[MaterialUse, ...]:
    return (MaterialUse.of(volume_laid(case.house, inputs.surfaces, inputs, inputs.thickness_m)),)


KIND = MeasureKind("wood_cladding", "Roof or walls clad in wood", WoodCladding, 15, apply, materials)
