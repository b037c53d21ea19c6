"""The linear thermal network of a house: nodes, conductances, capacities, and its modes."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.built_layers import built_layers
from retrofit_desk.physics.description import AirPath, House, Surface, Window
from retrofit_desk.physics.elements import (
    Adiabatic,
    BasementGround,
    FixedTemperature,
    GlazingPart,
    OtherZone,
    SlabOnGround,
)
from retrofit_desk.physics.errors import ImpossibleValue
from retrofit_desk.physics.films import HeatFlow, heat_flow_through
from retrofit_desk.physics.ground_link import ground_chain
from retrofit_desk.physics.layer_parts import Construction, LayerPart
from retrofit_desk.physics.layers import SolidLayer
from retrofit_desk.physics.surface_films import SurfaceFilms, surface_films, window_films
from retrofit_desk.values.known import Known

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

AIR_DENSITY_SEA_LEVEL_KG_M3 = 1.2  # standard air, ASHRAE Fundamentals
AIR_SPECIFIC_HEAT_J_KGK = 1006.0
SKIN_J_M2K = 100.0  # keeps faces of massless layers dynamic; 12 s behind a film
STAR_J_M2K = 10.0
GLASS_J_M2K = 7500.0  # one 4 mm pane
SLICE_OF_HOURLY_DEPTH = 0.4  # slice thickness against sqrt(diffusivity x 1 h): 20 mm of concrete
AT_ONCE_S = 180.0  # modes faster than a twentieth of the hourly step follow their heat at once
GROWING_SHARE = 1e-12  # of the fastest rate; what rounding leaves of a zone that loses nothing is smaller
OUTDOOR_AIR = -1  # source number of outdoor air in `Link`
SEEN_BY_THE_SUN_ONLY = {
    "blind": None,
    "blind_beside": None,
    "x_m": None,
    "sill_m": None,
    "frame_fraction": 0.0,
}
MOST_FABRICS = 4  # some 6 MB each in a house of ten rooms, network and modes

Held = FixedTemperature | SlabOnGround | BasementGround


@dataclass(frozen=True)
class ZoneShape:
    """What the network needs of a zone."""

    name: str
    volume_m3: float
    added_heat_capacity_j_k: float


@dataclass(frozen=True)
class Fabric:
    """The parts of a house that settle its network; equal fabrics share one set of modes."""

    constructions: tuple[Construction, ...]
    glazings: tuple[GlazingPart, ...]
    zones: tuple[ZoneShape, ...]
    surfaces: tuple[Surface, ...]
    air_paths: tuple[AirPath, ...]
    air_density_kg_m3: float
    slice_share: float = SLICE_OF_HOURLY_DEPTH


@dataclass(frozen=True)
class Link:
    """A conductance from a node to a known temperature: outdoor air, or `held[source]`."""

    node: int
    source: int
    conductance_w_k: float


@dataclass(frozen=True)
class SurfaceNodes:
    """Nodes of a surface; `outer` is None where a held temperature acts on the layer itself."""

    outer: int | None
    inner: int
    pipe: int | None
    films: SurfaceFilms


@dataclass(frozen=True)
class WindowNodes:
    """Nodes of a window and the films around it."""

    surface: int
    outer: int
    inner: int
    films: SurfaceFilms
    core_w_m2k: float


@dataclass(frozen=True, eq=False)
class Network:
    """C dT/dt = -K T + links + heat, nodes in W, K and J."""

    capacity_j_k: Array
    conductance_w_k: Array
    air: Ints
    star: Ints
    surfaces: tuple[SurfaceNodes, ...]
    windows: tuple[WindowNodes, ...]
    links: tuple[Link, ...]
    held: tuple[tuple[Surface, Held, float], ...]

    @property
    def size(self) -> int:
        return len(self.capacity_j_k)

    @property
    def seen(self) -> Ints:
        """Nodes whose temperature is asked for: air and star of each zone, inner faces, then pipe planes."""
        faces = [nodes.inner for nodes in self.surfaces]
        pipes = [nodes.pipe for nodes in self.surfaces if nodes.pipe is not None]
        return np.array([*self.air, *self.star, *faces, *pipes], dtype=np.int64)

    @property
    def to_known_w_k(self) -> Array:
        """Conductance of each node to known temperatures, (nodes,)."""
        sums = np.zeros(self.size)
        for link in self.links:
            sums[link.node] += link.conductance_w_k
        return sums


@dataclass(frozen=True, eq=False)
class Modes:
    """Symmetric eigen-decomposition: T = shape @ z + at_once @ heat, forcing = shape.T @ heat.

    Modes far faster than the step hold no heat: they follow theirs at once, so that every account still
    closes. rates (modes,) 1/s, not negative; shape (nodes, modes); at_once_k_w (seen nodes, nodes);
    at_once_to_known (nodes,): share of a node's heat that they hand on to known temperatures.
    """

    rates_per_s: Array
    shape: Array
    to_modes: Array = field(repr=False)
    at_once_k_w: Array = field(repr=False)
    at_once_to_known: Array = field(repr=False)


def fabric_of(house: House, air_density_kg_m3: float, slice_share: float = SLICE_OF_HOURLY_DEPTH) -> Fabric:
    """The fabric of a house, without what only the sun or the controls see."""
    zones = tuple(ZoneShape(z.name, z.volume_m3, z.added_heat_capacity_j_k) for z in house.zones)
    surfaces = tuple(
        s.model_copy(
            update={
                "plates": (),
                "outside_absorptance": 0.6,
                "inside_absorptance": 0.6,
                "azimuth_deg": 0.0,
                "windows": tuple(w.model_copy(update=SEEN_BY_THE_SUN_ONLY) for w in s.windows),
            }
        )
        for s in house.surfaces
    )
    return Fabric(
        house.constructions, house.glazings, zones, surfaces, house.air_paths, air_density_kg_m3, slice_share
    )


@dataclass
class _Builder:
    """Collects nodes and links while a network is put together."""

    capacity: list[float] = field(default_factory=list)
    between: list[tuple[int, int, float]] = field(default_factory=list)
    links: list[Link] = field(default_factory=list)

    def node(self, capacity_j_k: float = 0.0) -> int:
        self.capacity.append(capacity_j_k)
        return len(self.capacity) - 1

    def join(self, a: int, b: int, conductance_w_k: float) -> None:
        if conductance_w_k > 0:
            self.between.append((a, b, conductance_w_k))

    def hold(self, node: int, source: int, conductance_w_k: float) -> None:
        if conductance_w_k != 0:  # a corner measured from outside takes away again
            self.links.append(Link(node, source, conductance_w_k))

    def matrix(self) -> Array:
        k = np.zeros((len(self.capacity), len(self.capacity)))
        for a, b, g in self.between:
            k[a, a] += g
            k[b, b] += g
            k[a, b] -= g
            k[b, a] -= g
        for link in self.links:
            k[link.node, link.node] += link.conductance_w_k
        return k


_networks: Known[Fabric, Network] = Known(MOST_FABRICS)
_modes: Known[tuple[Network, float], Modes] = Known(MOST_FABRICS)


def network_of(fabric: Fabric) -> Network:
    """The network of a fabric, put together once."""
    return _networks.get(fabric, lambda: _put_together(fabric))


def _put_together(fabric: Fabric) -> Network:
    build = _Builder()
    zones = {zone.name: i for i, zone in enumerate(fabric.zones)}
    volumetric = fabric.air_density_kg_m3 * AIR_SPECIFIC_HEAT_J_KGK
    air = [build.node(z.volume_m3 * volumetric + z.added_heat_capacity_j_k) for z in fabric.zones]
    star = [build.node() for _ in fabric.zones]
    constructions = {c.name: c for c in fabric.constructions}
    glazings = {g.name: g for g in fabric.glazings}
    surfaces: list[SurfaceNodes] = []
    windows: list[WindowNodes] = []
    held: list[tuple[Surface, Held, float]] = []

    def face_zone(name: str, node: int, convective: float, radiative: float, area_m2: float) -> None:
        zone = zones[name]
        _add_inside(build, node, convective, radiative, area_m2, air[zone], star[zone])

    for number, surface in enumerate(fabric.surfaces):
        nodes = _add_surface(build, fabric, surface, constructions[surface.construction], held)
        films, area = nodes.films, surface.opaque_area_m2
        face_zone(surface.zone, nodes.inner, films.inside_convective, films.inside_radiative, area)
        if isinstance(surface.boundary, OtherZone) and nodes.outer is not None:
            other = surface.boundary.zone
            face_zone(other, nodes.outer, films.outside_convective, films.outside_radiative, area)
        surfaces.append(nodes)
        for bridge in surface.bridges:
            build.hold(air[zones[surface.zone]], OUTDOOR_AIR, bridge.loss_w_k)
        for window in surface.windows:
            panes = _add_window(build, number, surface, window, glazings[window.glazing])
            films, area = panes.films, window.area_m2
            face_zone(surface.zone, panes.inner, films.inside_convective, films.inside_radiative, area)
            windows.append(panes)
    for path in fabric.air_paths:
        build.join(air[zones[path.zone_a]], air[zones[path.zone_b]], path.flow_m3_s * volumetric)
    return Network(
        np.array(build.capacity),
        build.matrix(),
        np.array(air),
        np.array(star),
        tuple(surfaces),
        tuple(windows),
        tuple(build.links),
        tuple(held),
    )


def modes_of(network: Network, at_once_s: float = 0.0) -> Modes:
    """Rates and shapes of the network's modes; those faster than `at_once_s` are not stepped."""
    return _modes.get((network, at_once_s), lambda: _decompose(network, at_once_s))


def _decompose(network: Network, at_once_s: float) -> Modes:
    root = np.sqrt(network.capacity_j_k)
    rates, vectors = np.linalg.eigh(network.conductance_w_k / np.outer(root, root))  # other threads go on
    if rates[0] < -GROWING_SHARE * rates[-1]:
        raise ImpossibleValue(
            "thermal bridges below 0 take away more than the faces lose", do="check their lengths and psi"
        )
    slow = int(np.searchsorted(rates, 1.0 / at_once_s)) if at_once_s > 0.0 else len(rates)
    shape = vectors / root[:, None]
    fast = shape[:, slow:]
    following = fast / rates[slow:]
    return Modes(
        np.maximum(rates[:slow], 0.0),
        np.ascontiguousarray(shape[:, :slow]),
        np.ascontiguousarray(vectors[:, :slow].T * root),
        following[network.seen] @ fast.T,
        (network.to_known_w_k @ following) @ fast.T,
    )


def _add_inside(
    build: _Builder, node: int, convective: float, radiative: float, area_m2: float, air: int, star: int
) -> None:
    build.join(node, air, convective * area_m2)
    build.join(node, star, radiative * area_m2)
    build.capacity[star] += STAR_J_M2K * area_m2


def _add_surface(
    build: _Builder,
    fabric: Fabric,
    surface: Surface,
    construction: Construction,
    held: list[tuple[Surface, Held, float]],
) -> SurfaceNodes:
    area, boundary = max(surface.opaque_area_m2, 1e-6), surface.boundary
    films = surface_films(surface)
    chain = layer_chain(construction.layers, heat_flow_through(surface.tilt_deg), films, fabric.slice_share)
    bare = _resistance(chain)
    if isinstance(boundary, SlabOnGround | BasementGround):
        chain = [*ground_chain(boundary, bare, fabric.slice_share), *chain]
    pipe_layer = surface.pipe_plane_after_layer
    if pipe_layer is not None:
        pipe_layer += len(chain) - len(construction.layers)
    direct = isinstance(boundary, SlabOnGround | BasementGround) or (
        isinstance(boundary, FixedTemperature) and boundary.film_w_m2k is None
    )
    outer = None if direct else build.node()
    at, pipe = outer, None
    for number, slices in enumerate(chain):
        for resistance, capacity in slices:
            after = build.node(capacity * area / 2.0)
            if at is None:
                build.hold(after, len(held), area / resistance)
            else:
                build.join(at, after, area / resistance)
                build.capacity[at] += capacity * area / 2.0
            at = after
        if number == pipe_layer:
            pipe = at
    assert at is not None
    for face in (outer, at, pipe):
        if face is not None and build.capacity[face] < SKIN_J_M2K * area:
            build.capacity[face] = SKIN_J_M2K * area
    _close_outside(build, surface, films, outer, area, len(held))
    if isinstance(boundary, FixedTemperature | SlabOnGround | BasementGround):
        held.append((surface, boundary, bare))
    return SurfaceNodes(outer, at, pipe, films)


def _close_outside(
    build: _Builder, surface: Surface, films: SurfaceFilms, outer: int | None, area_m2: float, source: int
) -> None:
    if outer is None or isinstance(surface.boundary, OtherZone | Adiabatic):
        return
    if isinstance(surface.boundary, FixedTemperature):
        build.hold(outer, source, (surface.boundary.film_w_m2k or 0.0) * area_m2)
        return
    build.hold(outer, OUTDOOR_AIR, films.outside * area_m2)


def _add_window(
    build: _Builder, number: int, surface: Surface, window: Window, glazing: GlazingPart
) -> WindowNodes:
    films, area = window_films(surface, window), window.area_m2
    core = glass_conductance_w_m2k(glazing)
    outer, inner = build.node(GLASS_J_M2K * area), build.node(GLASS_J_M2K * area)
    build.join(outer, inner, core * area)
    build.hold(outer, OUTDOOR_AIR, films.outside * area)
    return WindowNodes(number, outer, inner, films, core)


def glass_conductance_w_m2k(glazing: GlazingPart) -> float:
    """Conductance between the outer faces of the glass, by its panes or by U and its rated films."""
    if glazing.kind == "panes":
        resistance = sum(p.thickness_m / p.conductivity_w_mk for p in glazing.panes)
        return 1.0 / (resistance + sum(glazing.gap_resistances_m2k_w))
    rated = 1.0 / glazing.rated_outside_film_w_m2k + 1.0 / glazing.rated_inside_film_w_m2k
    resistance = 1.0 / glazing.u_value_w_m2k - rated
    if resistance <= 0.0:
        raise ImpossibleValue(
            f"a U-value of {glazing.u_value_w_m2k:g} W/m2K leaves nothing for the glass",
            where=f"glazing {glazing.name}",
            do="state the films it was rated with",
        )
    return 1.0 / resistance


def layer_chain(
    parts: tuple[LayerPart, ...], flow: HeatFlow, films: SurfaceFilms, slice_share: float
) -> list[list[tuple[float, float]]]:
    """Per layer, outside to inside: slices of (resistance m2K/W, heat capacity J/m2K)."""
    chain = []
    for layer in built_layers(parts, flow, _film_m2k_w(films.inside), _film_m2k_w(films.outside)):
        heat = layer.heat_capacity_j_m2k if isinstance(layer, SolidLayer) else 0.0
        depth = layer.thickness_m if isinstance(layer, SolidLayer) else 0.0
        chain.append(slices(depth, layer.resistance_m2k_w, heat, slice_share))
    return chain


def _film_m2k_w(film_w_m2k: float) -> float:
    """0 where a face exchanges nothing: the far side of a party wall."""
    return 1.0 / film_w_m2k if film_w_m2k > 0.0 else 0.0


def slices(
    thickness_m: float, resistance_m2k_w: float, heat_j_m2k: float, slice_share: float
) -> list[tuple[float, float]]:
    """Equal slices of a layer, no thicker than a share of the depth that a change reaches in an hour."""
    if heat_j_m2k <= 0.0:
        return [(resistance_m2k_w, 0.0)]
    diffusivity = thickness_m**2 / (resistance_m2k_w * heat_j_m2k)
    count = max(1, math.ceil(thickness_m / (slice_share * math.sqrt(diffusivity * 3600.0)) - 1e-9))
    return [(resistance_m2k_w / count, heat_j_m2k / count)] * count


def _resistance(chain: list[list[tuple[float, float]]]) -> float:
    return sum(r for slices in chain for r, _ in slices)
