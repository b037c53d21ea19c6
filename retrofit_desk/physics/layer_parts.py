"""The layers of a described construction: solid, known by resistance, air, tapered, framed."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from retrofit_desk.physics.air_layers import LARGEST_DEPTH_M
from retrofit_desk.physics.corrections import Taper
from retrofit_desk.physics.elements import Name, NotNegative, Part, Positive

MAX_PLAUSIBLE_THICKNESS_M = 5.0

Thickness = Annotated[float, Field(gt=0, le=MAX_PLAUSIBLE_THICKNESS_M)]
Emissivity = Annotated[float, Field(gt=0, le=1)]


class Fixings(Part):
    """Screws, ties or brackets that pierce an insulation (ISO 6946:2017, mechanical fasteners)."""

    conductivity_w_mk: Positive = Field(description="of the metal: steel 50, stainless steel 17")
    section_m2: Annotated[float, Field(gt=0, le=0.01)] = Field(description="of one of them")
    count_per_m2: Annotated[float, Field(gt=0, le=100)] = Field(description="how many on each square meter")
    length_in_insulation_m: Positive | None = Field(
        None, description="less than the insulation where heads are recessed; None: all the way through"
    )


class SolidLayerPart(Part):
    """A homogeneous layer. Density or specific heat of 0 makes it a pure resistance."""

    kind: Literal["solid"] = "solid"
    name: Name = Field(description="the material, for reading only")
    conductivity_w_mk: Positive = Field(description="conductivity of the material")
    thickness_m: Thickness = Field(description="thickness in the direction of the heat")
    density_kg_m3: NotNegative = Field(description="density; 0 leaves the layer without heat capacity")
    specific_heat_j_kgk: NotNegative = Field(
        description="specific heat; 0 leaves the layer without heat capacity"
    )
    gap_level: Literal[0, 1, 2] = Field(
        0,
        description="how well an insulation is fitted by ISO 6946: 0 no gaps, 1 gaps bridge it, 2 air moves "
        "behind it too",
        exclude_if=lambda level: level == 0,
    )
    fixings: Fixings | None = Field(
        None, description="that pierce it; none when missing", exclude_if=lambda fixings: fixings is None
    )


class MasslessLayerPart(Part):
    """A layer known by its resistance alone: a thin membrane, a product by its label."""

    kind: Literal["massless"] = "massless"
    name: Name = Field(description="the layer, for reading only")
    resistance_m2k_w: Positive = Field(description="resistance of the layer, without surface films")


class AirLayerPart(Part):
    """Air between two faces; ISO 6946:2017 gives its resistance by depth, faces and how its surface lies."""

    kind: Literal["air"] = "air"
    name: Name = Field("air", description="for reading only")
    depth_m: Annotated[float, Field(gt=0, le=LARGEST_DEPTH_M)] = Field(
        description="in the direction of the heat; deeper is an unheated zone of its own"
    )
    width_m: Positive | None = Field(
        None, description="of a void narrower than ten times its depth; wide when missing"
    )
    outer_emittance: Emissivity = Field(0.9, description="of the face outside it, for long waves; foil 0.05")
    inner_emittance: Emissivity = Field(0.9, description="of the face inside it, for long waves; foil 0.05")
    openings_mm2: NotNegative = Field(
        0.0,
        description="openings to outdoor air by meter of wall, or by square meter where level: below 500 "
        "still, from 1500 what lies outside it no longer insulates",
    )


class TaperedLayerPart(Part):
    """Insulation cut to a fall, from nothing to its thickest; its mean effect by ISO 6946:2017."""

    kind: Literal["tapered"] = "tapered"
    name: Name = Field(description="the material, for reading only")
    conductivity_w_mk: Positive = Field(description="conductivity of the material")
    thickest_m: Thickness = Field(description="where it is thickest; an even part is a layer of its own")
    shape: Taper = Field(description="of its plan")


class FramedLayerPart(Part):
    """A cavity between framing members of the same depth."""

    kind: Literal["framed"] = "framed"
    name: Name = Field(description="the layer, for reading only")
    cavity: Annotated[SolidLayerPart | MasslessLayerPart | AirLayerPart, Field(discriminator="kind")] = Field(
        description="what fills the space between the members"
    )
    framing: SolidLayerPart = Field(description="the members, as deep as the cavity")
    framing_fraction: Annotated[float, Field(ge=0, le=0.95)] = Field(
        description="share of the area that is framing"
    )


LayerPart = Annotated[
    SolidLayerPart | MasslessLayerPart | AirLayerPart | TaperedLayerPart | FramedLayerPart,
    Field(discriminator="kind"),
]


class Construction(Part):
    """Layers from outside to inside."""

    name: Name = Field(description="what it is called; other keys refer to it by this name")
    layers: tuple[LayerPart, ...] = Field(min_length=1, description="from outside to inside")
