"""Described layers as they stand in a surface: air by its lie, gaps, fixings, tapers and open air layers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from retrofit_desk.physics.air_layers import (
    air_layer_resistance_m2k_w,
    slightly_ventilated_resistance_m2k_w,
    small_void_resistance_m2k_w,
)
from retrofit_desk.physics.corrections import (
    fixing_correction_w_m2k,
    gap_correction_w_m2k,
    tapered_u_w_m2k,
)
from retrofit_desk.physics.errors import ImpossibleValue
from retrofit_desk.physics.films import DESIGN_R_SI_M2K_W, HeatFlow
from retrofit_desk.physics.layer_parts import (
    AirLayerPart,
    FramedLayerPart,
    LayerPart,
    MasslessLayerPart,
    SolidLayerPart,
    TaperedLayerPart,
)
from retrofit_desk.physics.layers import (
    FramedLayer,
    Layer,
    MasslessLayer,
    SolidLayer,
    assembly_resistance,
    equivalent_layers,
)

VOID_WIDER_THAN_DEPTHS = 10.0  # ISO 6946:2017: a void this many times its depth wide is an air layer

SAME_DEPTH_M = 0.001

Plain = SolidLayer | MasslessLayer


def built_layers(
    parts: Sequence[LayerPart], flow: HeatFlow, r_si_m2k_w: float, r_se_m2k_w: float
) -> tuple[Plain, ...]:
    """Layers in series whose resistances and films add up to the assembly's by ISO 6946:2017.

    `flow`: the way the heat goes through the surface, for air layers. Raises `ImpossibleValue`.
    """
    films = r_si_m2k_w + r_se_m2k_w
    layers = as_layers(parts, flow, films)
    plain = equivalent_layers(layers, r_si_m2k_w, r_se_m2k_w)
    return _opened(parts, _pierced(parts, layers, plain, films), flow, r_se_m2k_w)


def built_u_w_m2k(parts: Sequence[LayerPart], flow: HeatFlow, r_si_m2k_w: float, r_se_m2k_w: float) -> float:
    """U-value of an assembly with its corrections. Films may be 0. ISO 6946:2017."""
    layers = built_layers(parts, flow, r_si_m2k_w, r_se_m2k_w)
    return 1.0 / (r_si_m2k_w + r_se_m2k_w + sum(layer.resistance_m2k_w for layer in layers))


def as_layers(parts: Sequence[LayerPart], flow: HeatFlow, films_m2k_w: float) -> tuple[Layer, ...]:
    """Each described layer as the formulas take it, without corrections. Raises `ImpossibleValue`."""
    tapers = [at for at, part in enumerate(parts) if isinstance(part, TaperedLayerPart)]
    if len(tapers) > 1:
        raise ImpossibleValue("only one layer can be tapered", do="put them together")
    if not tapers:
        return tuple(_as_layer(part, flow) for part in parts)
    (at,) = tapers
    others = [_as_layer(part, flow) for part in parts if not isinstance(part, TaperedLayerPart)]
    if not others:
        raise ImpossibleValue("a tapered layer lies on another", do="describe what carries it")
    rest = assembly_resistance(others, films_m2k_w, 0.0).mean_m2k_w
    return (*others[:at], _tapered(parts[at], rest), *others[at:])


def _tapered(part: LayerPart, rest_m2k_w: float) -> MasslessLayer:
    assert isinstance(part, TaperedLayerPart)
    u_value = tapered_u_w_m2k(part.shape, part.thickest_m / part.conductivity_w_mk, rest_m2k_w)
    return MasslessLayer(part.name, 1.0 / u_value - rest_m2k_w)


def _as_layer(part: LayerPart, flow: HeatFlow) -> Layer:
    if isinstance(part, MasslessLayerPart):
        return MasslessLayer(part.name, part.resistance_m2k_w)
    if isinstance(part, AirLayerPart):
        return MasslessLayer(part.name, _air_m2k_w(part, flow))
    if isinstance(part, SolidLayerPart):
        if part.density_kg_m3 * part.specific_heat_j_kgk == 0.0:
            return MasslessLayer(part.name, part.thickness_m / part.conductivity_w_mk)
        return SolidLayer(
            part.name, part.conductivity_w_mk, part.thickness_m, part.density_kg_m3, part.specific_heat_j_kgk
        )
    assert isinstance(part, FramedLayerPart)
    cavity, framing = _as_layer(part.cavity, flow), _as_layer(part.framing, flow)
    if isinstance(cavity, FramedLayer) or not isinstance(framing, SolidLayer):
        raise ImpossibleValue("framing needs a density and a specific heat", where=part.name)
    if isinstance(part.cavity, AirLayerPart) and part.cavity.depth_m > framing.thickness_m + SAME_DEPTH_M:
        raise ImpossibleValue("the air is deeper than its framing", where=part.name)
    return FramedLayer(part.name, cavity, framing, part.framing_fraction)


def _air_m2k_w(part: AirLayerPart, flow: HeatFlow) -> float:
    faces = part.outer_emittance, part.inner_emittance
    if part.width_m is not None and part.width_m < VOID_WIDER_THAN_DEPTHS * part.depth_m:
        return small_void_resistance_m2k_w(part.depth_m, part.width_m, flow, *faces)
    return air_layer_resistance_m2k_w(part.depth_m, flow, *faces)


def _pierced(
    parts: Sequence[LayerPart], layers: Sequence[Layer], plain: Sequence[Plain], films_m2k_w: float
) -> tuple[Plain, ...]:
    """What gaps and fixings add to U, taken off the layers that have them."""
    whole = films_m2k_w + sum(layer.resistance_m2k_w for layer in plain)
    added = [sum(_additions(part, layer, whole)) for part, layer in zip(parts, layers, strict=True)]
    if not any(added):
        return tuple(plain)
    less = whole - 1.0 / (1.0 / whole + sum(added))
    return tuple(
        _resisting(layer, layer.resistance_m2k_w - less * one / sum(added))
        for layer, one in zip(plain, added, strict=True)
    )


def _additions(part: LayerPart, layer: Layer, whole_m2k_w: float) -> Iterator[float]:
    solid = part.cavity if isinstance(part, FramedLayerPart) else part
    if not isinstance(solid, SolidLayerPart):
        return
    own = layer.isothermal_planes_m2k_w if isinstance(layer, FramedLayer) else layer.resistance_m2k_w
    yield gap_correction_w_m2k(solid.gap_level, own, whole_m2k_w)
    if solid.fixings is not None:
        yield fixing_correction_w_m2k(
            conductivity_w_mk=solid.fixings.conductivity_w_mk,
            section_m2=solid.fixings.section_m2,
            count_per_m2=solid.fixings.count_per_m2,
            insulation_depth_m=solid.thickness_m,
            layer_m2k_w=own,
            assembly_m2k_w=whole_m2k_w,
            fixing_length_m=solid.fixings.length_in_insulation_m,
        )


def _opened(
    parts: Sequence[LayerPart], plain: tuple[Plain, ...], flow: HeatFlow, r_se_m2k_w: float
) -> tuple[Plain, ...]:
    """The most open air layer and all outside it, resisting as little as they then do."""
    at = max(range(len(parts)), key=lambda one: (_openings_mm2(parts[one]), one))
    if _openings_mm2(parts[at]) == 0.0:
        return plain
    own = sum(layer.resistance_m2k_w for layer in plain[: at + 1])
    left = slightly_ventilated_resistance_m2k_w(
        _openings_mm2(parts[at]), r_se_m2k_w + own, DESIGN_R_SI_M2K_W[flow]
    )
    share = (left - r_se_m2k_w) / own
    if share <= 0.0:
        raise ImpossibleValue("the outside film resists more than the still air behind open cladding")
    return (
        *(_resisting(layer, layer.resistance_m2k_w * share) for layer in plain[: at + 1]),
        *plain[at + 1 :],
    )


def _openings_mm2(part: LayerPart) -> float:
    return part.openings_mm2 if isinstance(part, AirLayerPart) else 0.0


def _resisting(layer: Plain, resistance_m2k_w: float) -> Plain:
    """The layer with another resistance and the same heat capacity."""
    if resistance_m2k_w == layer.resistance_m2k_w:
        return layer
    if isinstance(layer, MasslessLayer):
        return MasslessLayer(layer.name, resistance_m2k_w)
    return replace(layer, conductivity_w_mk=layer.thickness_m / resistance_m2k_w)
