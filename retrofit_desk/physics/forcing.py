"""What weather, ground and sun do to the network in every hour, in its modes."""

from __future__ import annotations

import os
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.description import House, Site, Surface, Zone
from retrofit_desk.physics.elements import GlazingPart, OtherZone
from retrofit_desk.physics.ground_link import held_temperature_c
from retrofit_desk.physics.network import OUTDOOR_AIR, Fabric, Network, modes_of, network_of
from retrofit_desk.physics.over_arrays import over_arrays
from retrofit_desk.physics.sun_on_house import SunOnHouse, sun_on_house
from retrofit_desk.physics.surface_films import FLAT_BELOW_DEG, FLOOR_ABOVE_DEG, SIGMA_W_M2K4
from retrofit_desk.physics.weather import HOURS, MONTH_OF_HOUR, WeatherYear
from retrofit_desk.values.known import Known

Array = NDArray[np.float64]
MOST_FORCINGS = min(os.cpu_count() or 1, 4)  # one for each thread; 40 MB each in a house of ten rooms


@dataclass(frozen=True)
class SunSplit:
    """Where the sun let into a zone ends: shares by node of the network; the rest leaves by the windows."""

    nodes: tuple[int, ...]
    shares: tuple[float, ...]


@dataclass(frozen=True)
class Lit:
    """The parts of a house that settle its sun; a key for what need not be worked out twice."""

    surfaces: tuple[Surface, ...]
    glazings: tuple[GlazingPart, ...]
    site: Site
    zones: tuple[Zone, ...]


@dataclass(frozen=True, eq=False)
class FabricForcing:
    """Heat into the network by weather and sun. `modal` is (8760, modes); node sums are kept by month.

    `at_once_k` (8760, seen nodes): what the fast modes do with it; `year_wh` (nodes,): its sum.
    """

    sun: SunOnHouse
    splits: tuple[SunSplit, ...]
    transmitted_w: Array  # (zones, 8760)
    held_c: Array  # (held, 8760)
    modal: Array
    at_once_k: Array
    year_wh: Array
    heat_month_wh: Array  # (12,) sun and sky heat into all nodes
    link_month_wh: Array  # (12,) conductance times known temperature, into all nodes


def lit_parts(house: House) -> Lit:
    """The sun's part of a house; zones without what the sun does not see."""
    zones = tuple(Zone(name=z.name, volume_m3=1.0, sun_shares=z.sun_shares) for z in house.zones)
    return Lit(house.surfaces, house.glazings, house.site, zones)


_forcings: Known[tuple[Fabric, Lit, WeatherYear, float], FabricForcing] = Known(MOST_FORCINGS)


def fabric_forcing(fabric: Fabric, lit: Lit, weather: WeatherYear, at_once_s: float) -> FabricForcing:
    """Forcing of a fabric by a weather year, worked out once; `at_once_s` as for `modes_of`."""
    return _forcings.get((fabric, lit, weather, at_once_s), lambda: _force(fabric, lit, weather, at_once_s))


def _force(fabric: Fabric, lit: Lit, weather: WeatherYear, at_once_s: float) -> FabricForcing:
    network = network_of(fabric)
    modes = modes_of(network, at_once_s)
    sun = sun_on_house(lit.surfaces, lit.glazings, lit.site, weather)
    splits = tuple(sun_split(lit, zone, network, sun) for zone in lit.zones)
    transmitted = np.zeros((len(lit.zones), HOURS))
    zones = {zone.name: i for i, zone in enumerate(lit.zones)}
    for window in sun.windows:
        transmitted[zones[lit.surfaces[window.surface].zone]] += window.transmitted_w
    held = np.array(
        [
            held_temperature_c(part, resistance, weather.monthly_mean_temp_c())[MONTH_OF_HOUR]
            for _, part, resistance in network.held
        ]
    ).reshape(len(network.held), HOURS)
    heat = _sun_and_sky(lit, network, sun, splits, transmitted, weather)
    known = _known_temperatures(network, np.vstack([weather.temp_c, held]))
    series, into_nodes = np.vstack([heat[0], known[0]]).T, np.vstack([heat[1], known[1]])
    return FabricForcing(
        sun,
        splits,
        transmitted,
        held,
        series @ (into_nodes @ modes.shape),
        series @ (into_nodes @ modes.at_once_k_w.T),
        series.sum(axis=0) @ into_nodes,
        _by_month(*heat),
        _by_month(*known),
    )


def _by_month(series: Array, into_nodes: Array) -> Array:
    """Heat into all nodes together, (12,) in Wh."""
    return np.asarray(np.bincount(MONTH_OF_HOUR, into_nodes.sum(axis=1) @ series, 12), dtype=float)


def _known_temperatures(network: Network, known_c: Array) -> tuple[Array, Array]:
    """Known temperatures (sources, 8760), outdoor air first, and their conductances (sources, nodes)."""
    into = np.zeros((len(known_c), network.size))
    for link in network.links:
        into[link.source - OUTDOOR_AIR, link.node] += link.conductance_w_k
    return known_c, into


@over_arrays
def sky_share(tilt_deg: float) -> float:
    """Share of the horizontal net sky loss that a tilted surface has.

    The view of the sky times its root: the sky near the horizon is nearly as warm as the air. Walton,
    NBSIR 83-2655 (1983), from memory.
    """
    view = (1.0 + float(np.cos(np.radians(tilt_deg)))) / 2.0
    return float(view**1.5)


def _sun_and_sky(
    lit: Lit,
    network: Network,
    sun: SunOnHouse,
    splits: tuple[SunSplit, ...],
    transmitted_w: Array,
    weather: WeatherYear,
) -> tuple[Array, Array]:
    """Series (drivers, 8760) of sky, sun on faces and glass, sun let in; their nodes (drivers, nodes)."""
    series = [weather.ir_sky_w_m2 - SIGMA_W_M2K4 * (weather.temp_c + 273.15) ** 4]
    to_sky = np.zeros(network.size)
    lands: list[tuple[tuple[int, ...], tuple[float, ...]]] = []

    def add(heat: Array, nodes: tuple[int, ...], shares: tuple[float, ...]) -> None:
        series.append(heat)
        lands.append((nodes, shares))

    window = 0
    for number, (surface, nodes) in enumerate(zip(lit.surfaces, network.surfaces, strict=True)):
        outdoors = surface.boundary.kind == "outdoors"
        share = sky_share(surface.tilt_deg)
        sees = outdoors and surface.boundary.sky and share > 0  # type: ignore[union-attr]
        if outdoors and nodes.outer is not None:
            absorbs = surface.opaque_area_m2 * surface.outside_absorptance
            add(sun.surfaces[number].incident_w_m2, (nodes.outer,), (absorbs,))
            to_sky[nodes.outer] += surface.opaque_area_m2 * surface.outside_emittance * share * sees
        for glass in surface.windows:
            panes, light = network.windows[window], sun.windows[window]
            add(light.absorbed_outer_w, (panes.outer,), (1.0,))
            add(light.absorbed_inner_w, (panes.inner,), (1.0,))
            to_sky[panes.outer] += glass.area_m2 * glass.outside_emittance * share * sees
            window += 1
    for split, power in zip(splits, transmitted_w, strict=True):
        add(power, split.nodes, split.shares)
    into = np.zeros((len(series), network.size))
    into[0] = to_sky
    for driver, (at, shares) in enumerate(lands, 1):
        np.add.at(into[driver], np.array(at, dtype=np.int64), shares)
    return np.vstack(series), into


@dataclass(frozen=True)
class _Face:
    name: str
    node: int
    area_m2: float
    absorptance: float
    is_floor: bool


def _faces(lit: Lit, zone: Zone, network: Network) -> list[_Face]:
    """Opaque faces that look into a zone, from either side."""
    faces = []
    for surface, nodes in zip(lit.surfaces, network.surfaces, strict=True):
        area = surface.opaque_area_m2
        if surface.zone == zone.name:
            floor = surface.tilt_deg > FLOOR_ABOVE_DEG
            faces.append(_Face(surface.name, nodes.inner, area, surface.inside_absorptance, floor))
        elif isinstance(surface.boundary, OtherZone) and surface.boundary.zone == zone.name:
            assert nodes.outer is not None
            floor = surface.tilt_deg < FLAT_BELOW_DEG
            faces.append(_Face(surface.name, nodes.outer, area, surface.outside_absorptance, floor))
    return faces


def sun_split(lit: Lit, zone: Zone, network: Network, sun: SunOnHouse) -> SunSplit:
    """Shares of a zone's sun by node: stated, or the floor first and the rest by area and absorptance."""
    faces = _faces(lit, zone, network)
    if zone.sun_shares:
        node = {face.name: face.node for face in faces}
        return SunSplit(
            tuple(node[s.surface] for s in zone.sun_shares), tuple(s.fraction for s in zone.sun_shares)
        )
    glass = [
        (network.windows[i].inner, lit_window)
        for i, lit_window in enumerate(sun.windows)
        if lit.surfaces[lit_window.surface].zone == zone.name
    ]
    areas = [w.area_m2 for s in lit.surfaces if s.zone == zone.name for w in s.windows]
    nodes = [face.node for face in faces] + [inner for inner, _ in glass]
    area = np.array([face.area_m2 for face in faces] + areas)
    absorbs = np.array([face.absorptance for face in faces] + [w.holds for _, w in glass])
    loses = np.array([0.0] * len(faces) + [w.lets_out for _, w in glass])
    first = np.array([face.area_m2 if face.is_floor else 0.0 for face in faces] + [0.0] * len(glass))
    first = first / first.sum() if first.sum() > 0 else area / area.sum()
    kept = first * absorbs
    onward = float((first * (1.0 - absorbs - loses)).sum())
    second = np.where(first > 0, 0.0, area)
    second = second / second.sum() if second.sum() > 0 else area / area.sum()
    kept = kept + onward * second * absorbs
    onward *= float((second * (1.0 - absorbs - loses)).sum())
    sink = (area * (absorbs + loses)).sum()
    if sink > 0:
        kept = kept + onward * area * absorbs / sink
    return SunSplit(tuple(nodes), tuple(float(k) for k in kept))
