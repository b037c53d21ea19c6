"""Layers of walls, roofs and floors, and the resistance of an assembly with framing."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

from retrofit_desk.physics.errors import ImpossibleValue, require_between, require_positive

LARGEST_BRIDGE_CONDUCTIVITY_W_MK = 5.0  # between stone (3.5) and the metals (15 and more)
LARGEST_RATIO_OF_LIMITS = 1.5  # ISO 6946:2017, 6.7.2: beyond it the combined method does not hold


@dataclass(frozen=True)
class SolidLayer:
    """A homogeneous layer with mass."""

    name: str
    conductivity_w_mk: float
    thickness_m: float
    density_kg_m3: float
    specific_heat_j_kgk: float

    def __post_init__(self) -> None:
        require_positive("conductivity in W/mK", self.conductivity_w_mk, where=self.name)
        require_positive("thickness in m", self.thickness_m, where=self.name)
        require_positive("density in kg/m3", self.density_kg_m3, where=self.name)
        require_positive("specific heat in J/kgK", self.specific_heat_j_kgk, where=self.name)

    @property
    def resistance_m2k_w(self) -> float:
        return self.thickness_m / self.conductivity_w_mk

    @property
    def heat_capacity_j_m2k(self) -> float:
        return self.thickness_m * self.density_kg_m3 * self.specific_heat_j_kgk


@dataclass(frozen=True)
class MasslessLayer:
    """A pure resistance: an air layer, a membrane, a product known by its R alone."""

    name: str
    resistance_m2k_w: float

    def __post_init__(self) -> None:
        require_positive("resistance in m2K/W", self.resistance_m2k_w, where=self.name)


@dataclass(frozen=True)
class FramedLayer:
    """A layer bridged by framing; a cavity known by its R alone (an empty stud bay) is a `MasslessLayer`.

    `framing_fraction` is the share of the area that is studs, plates and headers, 0 to below 1.
    """

    name: str
    cavity: SolidLayer | MasslessLayer
    framing: SolidLayer
    framing_fraction: float

    def __post_init__(self) -> None:
        require_between("framing fraction", self.framing_fraction, 0.0, 0.95, where=self.name)
        if self.framing.conductivity_w_mk > LARGEST_BRIDGE_CONDUCTIVITY_W_MK:
            raise ImpossibleValue(
                "metal framing through insulation is beyond the combined method",
                where=self.name,
                do="state a tested resistance for this layer",
            )
        if isinstance(self.cavity, SolidLayer):
            depths = self.cavity.thickness_m, self.framing.thickness_m
            if abs(depths[0] - depths[1]) > 0.001:
                raise ImpossibleValue(
                    f"cavity ({depths[0]:g} m) and framing ({depths[1]:g} m) differ in depth",
                    where=self.name,
                    do="split the layer where the filling ends",
                )

    @property
    def thickness_m(self) -> float:
        return self.framing.thickness_m

    @property
    def isothermal_planes_m2k_w(self) -> float:
        """Resistance of this layer between two planes of one temperature."""
        f = self.framing_fraction
        return 1.0 / (f / self.framing.resistance_m2k_w + (1.0 - f) / self.cavity.resistance_m2k_w)

    @property
    def heat_capacity_j_m2k(self) -> float:
        f = self.framing_fraction
        filling = self.cavity.heat_capacity_j_m2k if isinstance(self.cavity, SolidLayer) else 0.0
        return f * self.framing.heat_capacity_j_m2k + (1.0 - f) * filling


Layer: TypeAlias = SolidLayer | MasslessLayer | FramedLayer


@dataclass(frozen=True)
class AssemblyResistance:
    """Resistance surface films included, by both limits of the combined method and their mean, m2K/W."""

    parallel_path_m2k_w: float
    isothermal_planes_m2k_w: float
    mean_m2k_w: float

    @property
    def u_value_w_m2k(self) -> float:
        return 1.0 / self.mean_m2k_w

    @property
    def method_holds(self) -> bool:
        """False where the limits lie too far apart for their mean to be used."""
        return self.parallel_path_m2k_w <= LARGEST_RATIO_OF_LIMITS * self.isothermal_planes_m2k_w


def assembly_resistance(layers: Sequence[Layer], r_si_m2k_w: float, r_se_m2k_w: float) -> AssemblyResistance:
    """Upper limit (parallel path), lower limit (isothermal planes) and mean of an assembly.

    Several framed layers are taken as crossing each other: every path's share is the product of its
    fractions. Films may be 0. Source: ISO 6946:2017, 6.7.2.
    """
    require_between("inside film in m2K/W", r_si_m2k_w, 0.0, 10.0)
    require_between("outside film in m2K/W", r_se_m2k_w, 0.0, 10.0)
    if not layers:
        raise ImpossibleValue("an assembly needs at least one layer")
    films = r_si_m2k_w + r_se_m2k_w
    parallel = 1.0 / sum(share / (films + r) for share, r in _paths(layers))
    isothermal = films + sum(_plane_resistance(layer) for layer in layers)
    return AssemblyResistance(parallel, isothermal, (parallel + isothermal) / 2.0)


def equivalent_layers(
    layers: Sequence[Layer], r_si_m2k_w: float, r_se_m2k_w: float
) -> tuple[SolidLayer | MasslessLayer, ...]:
    """The same layers with each framed one replaced by a solid of equal depth and heat capacity.

    The framed layers carry what the mean resistance exceeds the lower limit by, each in proportion to its
    own, so that films and layers in series give the mean of `assembly_resistance`.
    """
    whole = assembly_resistance(layers, r_si_m2k_w, r_se_m2k_w)
    framed = sum(layer.isothermal_planes_m2k_w for layer in layers if isinstance(layer, FramedLayer))
    excess = whole.mean_m2k_w - whole.isothermal_planes_m2k_w
    return tuple(
        _as_solid(layer, layer.isothermal_planes_m2k_w * (1.0 + excess / framed))
        if isinstance(layer, FramedLayer)
        else layer
        for layer in layers
    )


def _plane_resistance(layer: Layer) -> float:
    return layer.isothermal_planes_m2k_w if isinstance(layer, FramedLayer) else layer.resistance_m2k_w


def _paths(layers: Sequence[Layer]) -> list[tuple[float, float]]:
    """(share of area, resistance without films) of every straight path through all layers."""
    choices = [
        [
            (layer.framing_fraction, layer.framing.resistance_m2k_w),
            (1.0 - layer.framing_fraction, layer.cavity.resistance_m2k_w),
        ]
        if isinstance(layer, FramedLayer)
        else [(1.0, layer.resistance_m2k_w)]
        for layer in layers
    ]
    paths = []
    for parts in itertools.product(*choices):
        share = 1.0
        for fraction, _ in parts:
            share *= fraction
        paths.append((share, sum(r for _, r in parts)))
    return paths


def _as_solid(layer: FramedLayer, resistance_m2k_w: float) -> SolidLayer:
    """A solid of the layer's depth, heat capacity and the given resistance; its mass is the real one."""
    f, cavity = layer.framing_fraction, layer.cavity
    density = f * layer.framing.density_kg_m3
    if isinstance(cavity, SolidLayer):
        density += (1.0 - f) * cavity.density_kg_m3
    if density == 0.0:  # an unframed, massless cavity still needs a solid's form: the air in it
        return SolidLayer(layer.name, layer.thickness_m / resistance_m2k_w, layer.thickness_m, 1.2, 1008.0)
    specific_heat = layer.heat_capacity_j_m2k / (density * layer.thickness_m)
    return SolidLayer(
        layer.name, layer.thickness_m / resistance_m2k_w, layer.thickness_m, density, specific_heat
    )
