"""What must agree within a described house; each fault is told with the path of its key."""

from __future__ import annotations

from collections.abc import Iterable
from math import inf
from typing import TYPE_CHECKING

from retrofit_desk.physics.elements import OtherZone
from retrofit_desk.physics.layer_parts import FramedLayerPart, SolidLayerPart
from retrofit_desk.physics.schedules import hourly

if TYPE_CHECKING:
    from retrofit_desk.physics.description import House, Surface, Thermostat, Window, Zone
    from retrofit_desk.physics.elements import Films

AREA_TOLERANCE = 1e-9
EDGE_TOLERANCE_M = 1e-6
SLOWEST_LAYER_H = 5.0 * 8760.0  # 5 m of concrete take a fifth of it; some 500 slices
WARMEST_SET_POINT_C, NEVER_C = 45.0, 100.0  # between them stands a value in degrees Fahrenheit


def check_house(house: House) -> None:
    """Raise `ValueError` with the first fault found."""
    _check_names(house)
    _check_layers(house)
    _check_surfaces(house)
    _check_zones(house)
    _check_walls_between(house)
    _check_reach(house)
    _check_plant(house)


def _twice(path: str, names: Iterable[str], key: str = "name") -> None:
    seen: set[str] = set()
    for i, name in enumerate(names):
        if name in seen:
            raise ValueError(f"{path}.{i}.{key}: {name!r} is used twice")
        seen.add(name)


def _check_names(house: House) -> None:
    _twice("constructions", (c.name for c in house.constructions))
    _twice("glazings", (g.name for g in house.glazings))
    _twice("zones", (z.name for z in house.zones))
    _twice("surfaces", (s.name for s in house.surfaces))
    if house.site.monthly_ground_reflectance and len(house.site.monthly_ground_reflectance) != 12:
        raise ValueError("site.monthly_ground_reflectance: needs 12 values")


def _check_layers(house: House) -> None:
    """No layer is so slow that hourly slices of it cannot be counted: a value in the wrong unit."""
    for i, construction in enumerate(house.constructions):
        for j, layer in enumerate(construction.layers):
            parts = (layer.cavity, layer.framing) if isinstance(layer, FramedLayerPart) else (layer,)
            for part in parts:
                if isinstance(part, SolidLayerPart) and _hours_to_cross(part) > SLOWEST_LAYER_H:
                    raise ValueError(
                        f"constructions.{i}.layers.{j}: heat would take more than five years to cross it; "
                        "look at thickness, conductivity, density and specific heat"
                    )


def _hours_to_cross(layer: SolidLayerPart) -> float:
    heat_j_m2k = layer.thickness_m * layer.density_kg_m3 * layer.specific_heat_j_kgk
    return heat_j_m2k * layer.thickness_m / layer.conductivity_w_mk / 3600.0


def _check_surfaces(house: House) -> None:
    constructions = {c.name: c for c in house.constructions}
    zones, glazings = {z.name for z in house.zones}, {g.name for g in house.glazings}
    for i, surface in enumerate(house.surfaces):
        where = f"surfaces.{i}"
        if surface.zone not in zones:
            raise ValueError(f"{where}.zone: no zone is called {surface.zone!r}")
        if surface.construction not in constructions:
            raise ValueError(f"{where}.construction: no construction is called {surface.construction!r}")
        if isinstance(surface.boundary, OtherZone) and surface.boundary.zone not in zones - {surface.zone}:
            raise ValueError(f"{where}.boundary.zone: {surface.boundary.zone!r} is not another zone")
        plane = surface.pipe_plane_after_layer
        if plane is not None and plane >= len(constructions[surface.construction].layers):
            raise ValueError(f"{where}.pipe_plane_after_layer: the construction has no layer {plane}")
        if surface.windows and surface.boundary.kind != "outdoors":
            raise ValueError(f"{where}.windows: only a surface to outdoors can hold windows")
        if surface.opaque_area_m2 < -AREA_TOLERANCE * surface.area_m2:
            raise ValueError(f"{where}.windows: the glass is larger than its wall of {surface.area_m2:g} m2")
        _check_films(f"{where}.films", surface.films, outward=surface.boundary.kind in ("outdoors", "zone"))
        _twice(f"{where}.windows", (window.name for window in surface.windows))
        for j, window in enumerate(surface.windows):
            _check_films(f"{where}.windows.{j}.films", window.films, outward=True)
            if window.glazing not in glazings:
                raise ValueError(f"{where}.windows.{j}.glazing: no glazing is called {window.glazing!r}")
            _check_place(f"{where}.windows.{j}", surface, window)
            _check_blinds(f"{where}.windows.{j}", window)
            if surface.plates and (window.x_m is None or window.sill_m is None):
                raise ValueError(f"{where}.windows.{j}: x_m and sill_m are needed under overhangs and fins")


def _check_films(where: str, films: Films, *, outward: bool) -> None:
    """A face that exchanges heat by neither film is no face of its room."""
    for side in ("inside", "outside") if outward else ("inside",):
        keys = f"{side}_convective_w_m2k", f"{side}_radiative_w_m2k"
        if all(getattr(films, key) == 0.0 for key in keys):
            raise ValueError(
                f"{where}.{keys[0]}: 0, and {keys[1]} is 0 too; then no heat passes this face. State one of "
                "them, or neither"
            )


def _check_zones(house: House) -> None:
    faces: dict[str, set[str]] = {z.name: set() for z in house.zones}
    pipes = {s.name for s in house.surfaces if s.pipe_plane_after_layer is not None}
    for surface in house.surfaces:
        faces[surface.zone].add(surface.name)
        if isinstance(surface.boundary, OtherZone):
            faces[surface.boundary.zone].add(surface.name)
    for i, zone in enumerate(house.zones):
        if not faces[zone.name]:
            raise ValueError(f"zones.{i}: {zone.name!r} has no surface")
        _check_sun_shares(f"zones.{i}.sun_shares", zone, faces[zone.name])
        _check_emitters(f"zones.{i}", zone, pipes)
        _check_set_points(f"zones.{i}.thermostat", zone.thermostat)
        for j, opening in enumerate(zone.openings):
            if opening.close_below_c > opening.open_above_c:
                raise ValueError(f"zones.{i}.openings.{j}.close_below_c: is above open_above_c")
    unknown = set(house.blower_door.zones) - set(faces) if house.blower_door else set()
    if unknown:
        raise ValueError(f"blower_door.zones: no zone is called {sorted(unknown)[0]!r}")
    for i, path in enumerate(house.air_paths):
        if {path.zone_a, path.zone_b} - set(faces) or path.zone_a == path.zone_b:
            raise ValueError(f"air_paths.{i}: needs two different zones of this house")


def _check_sun_shares(where: str, zone: Zone, faces: set[str]) -> None:
    for j, share in enumerate(zone.sun_shares):
        if share.surface not in faces:
            raise ValueError(f"{where}.{j}.surface: {share.surface!r} is not a face of this zone")
    _twice(where, (share.surface for share in zone.sun_shares), key="surface")
    if sum(share.fraction for share in zone.sun_shares) > 1 + AREA_TOLERANCE:
        raise ValueError(f"{where}: the shares add up to more than 1")


def _check_emitters(where: str, zone: Zone, pipes: set[str]) -> None:
    for side, emitter in (("heating", zone.heating), ("cooling", zone.cooling)):
        if emitter.kind == "floor" and not emitter.surfaces:
            raise ValueError(
                f"{where}.{side}.surfaces: a floor emitter names the surfaces that carry its loops"
            )
        if not set(emitter.surfaces) <= pipes:
            raise ValueError(f"{where}.{side}.surfaces: a named surface has no pipe plane")


def _check_set_points(where: str, thermostat: Thermostat | None) -> None:
    if thermostat is None:
        return
    warm, cold = hourly(thermostat.heating_c, -inf), hourly(thermostat.cooling_c, inf)
    if warm.max() > WARMEST_SET_POINT_C:
        raise ValueError(f"{where}.heating_c: {warm.max():g} degC cannot be; a value in degF?")
    if ((cold > WARMEST_SET_POINT_C) & (cold < NEVER_C)).any():
        found = cold[(cold > WARMEST_SET_POINT_C) & (cold < NEVER_C)][0]
        raise ValueError(f"{where}.cooling_c: {found:g} degC cannot be; a value in degF?")
    crossed = warm > cold
    if crossed.any():
        raise ValueError(f"{where}: heating_c is above cooling_c in hour {int(crossed.argmax())} of the year")


def _check_blinds(where: str, window: Window) -> None:
    if window.blind_beside is None:
        return
    if window.blind is None:
        raise ValueError(f"{where}.blind_beside: stands only beside a blind; call it blind")
    if window.blind.side == window.blind_beside.side:
        raise ValueError(f"{where}.blind_beside.side: both shades hang on the {window.blind.side} side")


def _check_place(where: str, surface: Surface, window: Window) -> None:
    if surface.width_m is None or surface.height_m is None:
        return
    for key, at, size, limit in (
        ("x_m", window.x_m, window.width_m, surface.width_m),
        ("sill_m", window.sill_m, window.height_m, surface.height_m),
    ):
        if at is not None and (at < -EDGE_TOLERANCE_M or at + size > limit + EDGE_TOLERANCE_M):
            raise ValueError(f"{where}.{key}: the window reaches beyond its wall of {limit:g} m")


def _check_walls_between(house: House) -> None:
    """A wall between two zones stands once, listed from one of them."""
    seen: dict[tuple[str, str], list[tuple[int, Surface]]] = {}
    for i, surface in enumerate(house.surfaces):
        if not isinstance(surface.boundary, OtherZone):
            continue
        for j, other in seen.get((surface.boundary.zone, surface.zone), ()):
            same = abs(other.area_m2 - surface.area_m2) <= 1e-6 * surface.area_m2
            if same and abs(other.tilt_deg + surface.tilt_deg - 180.0) < 1e-6:
                raise ValueError(
                    f"surfaces.{i}: this wall between {surface.zone!r} and {other.zone!r} is surfaces.{j} "
                    "seen from the other side; list it once"
                )
        seen.setdefault((surface.zone, surface.boundary.zone), []).append((i, surface))


def _check_reach(house: House) -> None:
    """Each zone exchanges heat with outdoors, a held temperature or its control, itself or by neighbors."""
    joined: dict[str, set[str]] = {z.name: set() for z in house.zones}
    settled = {z.name for z in house.zones if z.thermostat or z.leakage or z.fans or z.openings}
    settled |= set(house.blower_door.zones) if house.blower_door else set()
    for surface in house.surfaces:
        if isinstance(surface.boundary, OtherZone):
            joined[surface.zone].add(surface.boundary.zone)
            joined[surface.boundary.zone].add(surface.zone)
        elif surface.boundary.kind != "adiabatic":
            settled.add(surface.zone)
    for path in house.air_paths:
        joined[path.zone_a].add(path.zone_b)
        joined[path.zone_b].add(path.zone_a)
    reached, ahead = set(settled), list(settled)
    while ahead:
        fresh = joined[ahead.pop()] - reached
        reached |= fresh
        ahead += fresh
    for i, zone in enumerate(house.zones):
        if zone.name not in reached:
            raise ValueError(
                f"zones.{i}: {zone.name!r} exchanges heat with nothing but zones that do not either; "
                "give one of them a face to outdoors or ground, outdoor air, or a thermostat"
            )


def _check_plant(house: House) -> None:
    if house.plant is None:
        return
    known = {z.name for z in house.zones}
    for zone, key in house.plant.zones_named().items():
        if zone not in known:
            raise ValueError(f"plant.{key}: no zone is called {zone!r}")
