"""The described house: zones, surfaces, windows, air, gains and controls, as read from a house file."""

from __future__ import annotations

from collections.abc import Iterable
from math import inf
from typing import Annotated, Literal

from pydantic import Field, model_validator

from retrofit_desk.physics.elements import (
    Blind,
    Boundary,
    Construction,
    Films,
    Fraction,
    GlazingPart,
    Name,
    NotNegative,
    OtherZone,
    Part,
    Positive,
    ShadePlate,
    Timed,
)
from retrofit_desk.physics.plant_description import PlantDescription
from retrofit_desk.physics.schedules import hourly

AREA_TOLERANCE = 1e-9


class Window(Part):
    """Glass in a surface; x to the right and height upward from the wall's lower left corner, outside."""

    name: Name
    glazing: Name
    width_m: Positive
    height_m: Positive
    x_m: float | None = Field(None, description="left edge; needed where plates shade the window")
    sill_m: float | None = Field(None, description="lower edge above the wall's lower edge")
    frame_fraction: Annotated[float, Field(ge=0, lt=1)] = Field(
        0.0, description="opaque share; takes sun away from glass-only properties, not from the U-value"
    )
    films: Films = Films()
    outside_emittance: Fraction = 0.84
    inside_emittance: Fraction = 0.84
    blind: Blind | None = None

    @property
    def area_m2(self) -> float:
        return self.width_m * self.height_m


class Surface(Part):
    """An opaque surface of a zone with the windows in it."""

    name: Name
    zone: Name
    construction: Name
    area_m2: Positive = Field(description="gross, windows included")
    tilt_deg: Annotated[float, Field(ge=0, le=180)] = Field(
        90.0, description="0 a flat roof, 90 a wall, 180 a floor, seen from inside the zone outward"
    )
    azimuth_deg: Annotated[float, Field(ge=0, le=360)] = Field(
        180.0, description="the way it faces, clockwise from north"
    )
    boundary: Boundary
    width_m: Positive | None = Field(None, description="needed where plates shade the wall itself")
    height_m: Positive | None = None
    outside_absorptance: Fraction = 0.6
    inside_absorptance: Fraction = 0.6
    outside_emittance: Fraction = 0.9
    inside_emittance: Fraction = 0.9
    films: Films = Films()
    windows: tuple[Window, ...] = ()
    plates: tuple[ShadePlate, ...] = Field((), description="overhangs and fins fixed to this wall")
    pipe_plane_after_layer: Annotated[int, Field(ge=0)] | None = Field(
        None, description="floor loops lie on the inner side of this layer, counted from outside, first is 0"
    )

    @property
    def opaque_area_m2(self) -> float:
        return self.area_m2 - sum(w.area_m2 for w in self.windows)


class ConstantAirChanges(Part):
    """Outdoor air as volume at site density; nothing is corrected for height again."""

    kind: Literal["air_changes"] = "air_changes"
    air_changes_per_h: Timed


class Fan(Part):
    """Outdoor air brought by a fan, with what heat recovery keeps of it."""

    name: Name = "fan"
    flow_m3_s: Timed
    sensible_recovery: Fraction = 0.0
    latent_recovery: Fraction = 0.0
    fan_power_w: NotNegative = Field(0.0, description="while running at any flow")
    fan_heat_share: Fraction = Field(0.0, description="share of the fan power that warms this zone")
    recovery_off_above_outdoor_c: float | None = Field(
        None, description="bypass opens above this outdoor temperature"
    )


class Opening(Part):
    """A window the family opens for cooling (EN 16798-7 single-sided form)."""

    name: Name
    area_m2: Positive
    height_m: Positive
    faces_deg: Annotated[float, Field(ge=0, le=360)]
    open_angle_deg: Annotated[float, Field(gt=0, le=180)] = 90.0
    hinge: Literal["left", "right", "top", "bottom", "sliding"] = "sliding"
    open_above_c: float = Field(
        24.0, description="opened when the room is warmer than this and than outdoors"
    )
    close_below_c: float = Field(21.0, description="closed again when the room is colder than this")
    allowed: Timed = 1.0


class Gain(Part):
    """Heat from people, lights and appliances, with the moisture that comes with it."""

    name: Name = "gains"
    power_w: Timed
    radiative_fraction: Fraction = 0.5
    sensible_fraction: Fraction = Field(1.0, description="the rest leaves with water vapor")
    moisture_kg_h: Timed = 0.0


class Thermostat(Part):
    """Set-points with a dead band; None in a schedule means off in that hour."""

    heating_c: Timed | None = None
    cooling_c: Timed | None = None
    controls: Literal["air", "operative"] = "air"
    dehumidify_above_rh_percent: Annotated[float, Field(gt=0, le=100)] | None = None


class Emitter(Part):
    """How plant heat (or cold) enters the zone, and its limit."""

    kind: Literal["ideal", "floor"] = "ideal"
    radiative_fraction: Fraction = Field(0.0, description="of an ideal emitter; the rest is convective")
    capacity_w: NotNegative | None = Field(None, description="None: unlimited")
    surfaces: tuple[Name, ...] = Field((), description="floors that carry the loops, for a floor emitter")
    look_ahead_h: Annotated[int, Field(ge=1, le=48)] = Field(
        1, description="a slow emitter aims at its set-point this many hours ahead; 1 for air and radiators"
    )


class SunShare(Part):
    """Share of the sun let into a zone that one of its surfaces absorbs."""

    surface: Name
    fraction: Fraction


class Zone(Part):
    """Air that mixes: a room, or several, or an unheated space."""

    name: Name
    volume_m3: Positive
    floor_area_m2: Positive | None = None
    added_heat_capacity_j_k: NotNegative = Field(0.0, description="furniture, on the air node")
    moisture_capacity_factor: Annotated[float, Field(ge=1)] = Field(
        1.0, description="moisture held by surfaces, as a multiple of the air's own"
    )
    leakage: ConstantAirChanges | None = None
    fans: tuple[Fan, ...] = ()
    openings: tuple[Opening, ...] = ()
    gains: tuple[Gain, ...] = ()
    thermostat: Thermostat | None = None
    heating: Emitter = Emitter()
    cooling: Emitter = Emitter()
    sun_shares: tuple[SunShare, ...] = Field(
        (), description="stated shares; what they leave goes out by the windows. Empty: computed"
    )


class BlowerDoorLeakage(Part):
    """Leakage of the whole house from a blower-door test, by stack and wind, spread over zones by volume."""

    flow_at_50_pa_m3_s: Positive
    exponent: Annotated[float, Field(ge=0.5, le=1)] = 0.65
    storeys: Annotated[int, Field(ge=1, le=3)] = 1
    shelter_class: Annotated[int, Field(ge=1, le=5)] = 4
    indoor_reference_c: float = Field(21.0, description="for the stack effect")
    zones: tuple[Name, ...] = Field((), description="empty: all zones with a thermostat")


class AirPath(Part):
    """Equal air flows both ways between two zones."""

    name: Name = "door"
    zone_a: Name
    zone_b: Name
    flow_m3_s: NotNegative


class HorizonPoint(Part):
    """Height of the surroundings in one direction, seen from the house."""

    azimuth_deg: Annotated[float, Field(ge=0, le=360)]
    altitude_deg: Annotated[float, Field(ge=0, le=90)]


class Trees(Part):
    """A stand of trees: from one azimuth clockwise to another, with the sun it lets through by month."""

    name: Name = "trees"
    from_azimuth_deg: Annotated[float, Field(ge=0, le=360)]
    to_azimuth_deg: Annotated[float, Field(ge=0, le=360)]
    altitude_deg: Annotated[float, Field(ge=0, le=90)]
    monthly_transmittance: tuple[Fraction, ...] = Field(min_length=12, max_length=12)


class Site(Part):
    """What the place adds to its weather file."""

    ground_reflectance: Fraction = 0.2
    monthly_ground_reflectance: tuple[Fraction, ...] = Field((), max_length=12)
    density_factor: Positive | None = Field(
        None, description="air density against sea level; None: from the weather file's elevation"
    )
    horizon: tuple[HorizonPoint, ...] = ()
    trees: tuple[Trees, ...] = ()


class House(Part):
    """A house as the engine needs it."""

    schema_version: Literal[1] = 1
    name: Name
    site: Site = Site()
    constructions: tuple[Construction, ...] = Field(min_length=1)
    glazings: tuple[GlazingPart, ...] = ()
    zones: tuple[Zone, ...] = Field(min_length=1)
    surfaces: tuple[Surface, ...] = Field(min_length=1)
    air_paths: tuple[AirPath, ...] = ()
    blower_door: BlowerDoorLeakage | None = None
    plant: PlantDescription | None = None

    @model_validator(mode="after")
    def _agrees(self) -> House:
        _check_names(self)
        _check_surfaces(self)
        _check_zones(self)
        return self


def _twice(path: str, names: Iterable[str]) -> None:
    seen: set[str] = set()
    for i, name in enumerate(names):
        if name in seen:
            raise ValueError(f"{path}.{i}.name: {name!r} is used twice")
        seen.add(name)


def _check_names(house: House) -> None:
    _twice("constructions", (c.name for c in house.constructions))
    _twice("glazings", (g.name for g in house.glazings))
    _twice("zones", (z.name for z in house.zones))
    _twice("surfaces", (s.name for s in house.surfaces))
    if house.site.monthly_ground_reflectance and len(house.site.monthly_ground_reflectance) != 12:
        raise ValueError("site.monthly_ground_reflectance: needs 12 values")


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
        for j, window in enumerate(surface.windows):
            if window.glazing not in glazings:
                raise ValueError(f"{where}.windows.{j}.glazing: no glazing is called {window.glazing!r}")
            if surface.plates and (window.x_m is None or window.sill_m is None):
                raise ValueError(f"{where}.windows.{j}: x_m and sill_m are needed under overhangs and fins")


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
        for j, share in enumerate(zone.sun_shares):
            if share.surface not in faces[zone.name]:
                raise ValueError(
                    f"zones.{i}.sun_shares.{j}.surface: {share.surface!r} is not a face of this zone"
                )
        if sum(share.fraction for share in zone.sun_shares) > 1 + AREA_TOLERANCE:
            raise ValueError(f"zones.{i}.sun_shares: the shares add up to more than 1")
        _check_emitters(f"zones.{i}", zone, pipes)
        _check_set_points(f"zones.{i}.thermostat", zone.thermostat)
    unknown = set(house.blower_door.zones) - set(faces) if house.blower_door else set()
    if unknown:
        raise ValueError(f"blower_door.zones: no zone is called {sorted(unknown)[0]!r}")
    for i, path in enumerate(house.air_paths):
        if {path.zone_a, path.zone_b} - set(faces) or path.zone_a == path.zone_b:
            raise ValueError(f"air_paths.{i}: needs two different zones of this house")


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
    crossed = hourly(thermostat.heating_c, -inf) > hourly(thermostat.cooling_c, inf)
    if crossed.any():
        raise ValueError(f"{where}: heating_c is above cooling_c in hour {int(crossed.argmax())} of the year")
