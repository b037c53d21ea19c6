"""From a recorded construction to the layers that the formulas and the engine take."""

from __future__ import annotations

from retrofit_desk.physics.air_layers import LARGEST_DEPTH_M
from retrofit_desk.physics.built_layers import as_layers
from retrofit_desk.physics.films import HeatFlow
from retrofit_desk.physics.layer_parts import (
    AirLayerPart,
    Construction,
    FramedLayerPart,
    LayerPart,
    MasslessLayerPart,
    SolidLayerPart,
)
from retrofit_desk.physics.layers import Layer
from retrofit_desk.records import models as m
from retrofit_desk.values.errors import CannotSay

AIR_FACES = {"air_space": (0.9, 0.9), "air_space_foil": (0.05, 0.9)}
"""Long-wave emittance of the faces of an air space by its material: ISO 6946:2017, ENV-5 (from memory)."""


def construction_of(row: m.Construction) -> Construction:
    """The construction, outside to inside. Raises `CannotSay` where a layer misses what matters."""
    if not row.layers:
        raise CannotSay("what it resists", "its layers", where=row.name)
    return Construction(name=row.name[:80], layers=tuple(layer_part(layer) for layer in row.layers))


def layers_of(row: m.Construction, flow: HeatFlow) -> tuple[Layer, ...]:
    """The same for the formulas of resistance and moisture, in a surface that heat leaves by `flow`.

    Raises `CannotSay`.
    """
    return as_layers(construction_of(row).layers, flow, 0.0)


def layer_part(row: m.ConstructionLayer) -> LayerPart:
    """One layer: solid, a pure resistance, or a cavity between framing. Raises `CannotSay`."""
    cavity = _plain(row)
    if row.framing_fraction <= 0.0:
        return cavity
    return FramedLayerPart(
        name=row.name, cavity=cavity, framing=_framing(row), framing_fraction=row.framing_fraction
    )


def _plain(row: m.ConstructionLayer) -> SolidLayerPart | MasslessLayerPart | AirLayerPart:
    if row.resistance_m2k_w is not None:
        return MasslessLayerPart(name=row.name, resistance_m2k_w=row.resistance_m2k_w)
    if row.material_key in AIR_FACES and row.conductivity_w_mk is None:
        return _air(row)
    if row.thickness_m is None or row.conductivity_w_mk is None:
        raise CannotSay("what it resists", "its thickness and conductivity, or its R-value", where=row.name)
    return SolidLayerPart(
        name=row.name,
        conductivity_w_mk=row.conductivity_w_mk,
        thickness_m=row.thickness_m,
        density_kg_m3=row.density_kg_m3 or 0.0,
        specific_heat_j_kgk=row.specific_heat_j_kgk or 0.0,
    )


def _air(row: m.ConstructionLayer) -> AirLayerPart:
    if row.thickness_m is None:
        raise CannotSay("what it resists", "its thickness", where=row.name)
    if row.thickness_m > LARGEST_DEPTH_M:
        deep = f"no more than {LARGEST_DEPTH_M:g} m of air, or a room of its own"
        raise CannotSay("what it resists", deep, where=row.name)
    outer, inner = AIR_FACES[row.material_key]
    return AirLayerPart(name=row.name, depth_m=row.thickness_m, outer_emittance=outer, inner_emittance=inner)


def _framing(row: m.ConstructionLayer) -> SolidLayerPart:
    stated = (row.framing_conductivity_w_mk, row.framing_density_kg_m3, row.framing_specific_heat_j_kgk)
    if row.thickness_m is None or any(value is None for value in stated):
        raise CannotSay(
            "what its framing resists", "the depth and the material of the framing", where=row.name
        )
    conductivity, density, specific_heat = stated
    return SolidLayerPart(
        name=f"framing of {row.name}"[:80],
        conductivity_w_mk=conductivity,
        thickness_m=row.thickness_m,
        density_kg_m3=density,
        specific_heat_j_kgk=specific_heat,
    )
