"""The described house: zones, surfaces, windows, air, gains and controls, as read from a house file."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from retrofit_desk.physics.elements import (
    LARGEST,
    Blind,
    Boundary,
    Films,
    Fraction,
    GlazingPart,
    Name,
    NotNegative,
    Number,
    Part,
    Positive,
    ShadePlate,
    Temperature,
    Timed,
)
from retrofit_desk.physics.layer_parts import Construction
from retrofit_desk.physics.leakage_enhanced import Foundation
from retrofit_desk.physics.plant_description import HouseholdUse, PlantDescription

LEAST_PSI_W_MK = -1.0
"""No junction takes away more: outside corners of ISO 14683 by outside dimensions reach -0.20, edge
insulation by ISO 13370 some -0.5 (both from memory)."""


LARGEST_FACE_M2, LARGEST_ZONE_M3 = 1e5, 1e6
"""A hundred houses' worth; more is a value in the wrong unit."""


class Window(Part):
    """Glass in a surface; x to the right and height upward from the wall's lower left corner, outside."""

    name: Name = Field(description="what it is called; other keys refer to it by this name")
    glazing: Name = Field(description="name of one of `glazings`")
    width_m: Positive = Field(description="with its frame")
    height_m: Positive = Field(description="with its frame")
    x_m: Number | None = Field(None, description="left edge; needed where plates shade the window")
    sill_m: Number | None = Field(None, description="lower edge above the wall's lower edge")
    frame_fraction: Annotated[float, Field(ge=0, lt=1)] = Field(
        0.0, description="opaque share; takes sun away from glass-only properties, not from the U-value"
    )
    films: Films = Field(Films(), description="films of the glass")
    outside_emittance: Fraction = Field(0.84, description="of the outer face, for long waves")
    inside_emittance: Fraction = Field(0.84, description="of the inner face, for long waves")
    blind: Blind | None = Field(None, description="movable shade; none when missing")
    blind_beside: Blind | None = Field(
        None,
        description="a second one, on the other side of the glass; none when missing",
        exclude_if=lambda second: second is None,  # answers kept of houses without one stay up to date
    )

    @property
    def blinds(self) -> tuple[Blind, ...]:
        """Both may be drawn at once."""
        return tuple(one for one in (self.blind, self.blind_beside) if one is not None)

    @property
    def area_m2(self) -> float:
        return self.width_m * self.height_m


class ThermalBridge(Part):
    """A line where parts meet and heat passes outdoors beside the U-values (ISO 14683, ISO 10211)."""

    name: Name = Field(description="what it is called")
    length_m: Positive = Field(description="of the line")
    psi_w_mk: Annotated[float, Field(ge=LEAST_PSI_W_MK, le=LARGEST)] = Field(
        description="loss by length and temperature, for the areas as measured; with outside dimensions a "
        "corner counts twice and takes away again, below 0"
    )

    @property
    def loss_w_k(self) -> float:
        return self.psi_w_mk * self.length_m


class Surface(Part):
    """An opaque surface of a zone with the windows in it."""

    name: Name = Field(description="what it is called; other keys refer to it by this name")
    zone: Name = Field(description="name of the zone it belongs to")
    construction: Name = Field(description="name of one of `constructions`")
    area_m2: Annotated[float, Field(gt=0, le=LARGEST_FACE_M2)] = Field(description="gross, windows included")
    tilt_deg: Annotated[float, Field(ge=0, le=180)] = Field(
        90.0,
        description="0 a flat roof, 90 a wall, 180 a floor, seen from inside the zone outward; "
        "needed where a usual film depends on it; when missing towards outdoors an upright wall",
    )
    azimuth_deg: Annotated[float, Field(ge=0, le=360)] = Field(
        180.0, description="the way it faces, clockwise from north; needed where the sun depends on it"
    )
    boundary: Boundary = Field(description="what lies on its far side")
    width_m: Positive | None = Field(None, description="needed where plates shade the wall itself")
    height_m: Positive | None = Field(None, description="needed where plates shade the wall itself")
    outside_absorptance: Fraction = Field(
        0.6, description="share of the sun absorbed outside, or by the face in the other zone"
    )
    inside_absorptance: Fraction = Field(0.6, description="share of the sun let in that this face absorbs")
    outside_emittance: Fraction = Field(0.9, description="for long waves")
    inside_emittance: Fraction = Field(0.9, description="for long waves")
    films: Films = Field(Films(), description="stated surface coefficients")
    windows: tuple[Window, ...] = Field((), description="none when missing")
    plates: tuple[ShadePlate, ...] = Field((), description="overhangs and fins fixed to this wall")
    bridges: tuple[ThermalBridge, ...] = Field(
        (),
        description="lines that lose heat from the zone to outdoors; none when missing",
        exclude_if=lambda bridges: not bridges,
    )
    pipe_plane_after_layer: Annotated[int, Field(ge=0)] | None = Field(
        None, description="floor loops lie on the inner side of this layer, counted from outside, first is 0"
    )

    @property
    def opaque_area_m2(self) -> float:
        return self.area_m2 - sum(w.area_m2 for w in self.windows)


class ConstantAirChanges(Part):
    """Outdoor air as volume at site density; nothing is corrected for height again."""

    kind: Literal["air_changes"] = "air_changes"
    air_changes_per_h: Timed = Field(description="zone volumes an hour; 0 where no outdoor air leaks in")


class Fan(Part):
    """Outdoor air brought by a fan, with what heat recovery keeps of it."""

    name: Name = Field("fan", description="what it is called; other keys refer to it by this name")
    flow_m3_s: Timed = Field(description="volume of outdoor air at site density; 0 while it stands")
    sensible_recovery: Fraction = Field(0.0, description="share of the heat that recovery keeps")
    latent_recovery: Fraction = Field(0.0, description="share of the moisture that recovery keeps")
    fan_power_w: NotNegative = Field(0.0, description="while running at any flow")
    fan_heat_share: Fraction = Field(0.0, description="share of the fan power that warms this zone")
    recovery_off_above_outdoor_c: Temperature | None = Field(
        None, description="bypass opens above this outdoor temperature"
    )


class Opening(Part):
    """A window the family opens for cooling (EN 16798-7 single-sided form)."""

    name: Name = Field(description="what it is called; other keys refer to it by this name")
    area_m2: Positive = Field(description="of the opening in the wall")
    height_m: Positive = Field(description="of the opening in the wall")
    faces_deg: Annotated[float, Field(ge=0, le=360)] = Field(
        description="the way it faces, clockwise from north"
    )
    open_angle_deg: Annotated[float, Field(gt=0, le=180)] = Field(90.0, description="of the leaf when open")
    hinge: Literal["left", "right", "top", "bottom", "sliding"] = Field(
        "sliding", description="side of the hinges, seen from outside"
    )
    open_above_c: Temperature = Field(
        24.0, description="opened when the room is warmer than this and than outdoors"
    )
    close_below_c: Temperature = Field(21.0, description="closed again when the room is colder than this")
    allowed: Timed = Field(1.0, description="1 where the family may open it, 0 where not")


class Gain(Part):
    """Heat from people, lights and appliances, with the moisture that comes with it."""

    name: Name = Field("gains", description="what it is called; other keys refer to it by this name")
    power_w: Timed = Field(description="sensible and latent together")
    radiative_fraction: Fraction = Field(
        0.5, description="share of the sensible heat that goes to the faces; the rest to the air"
    )
    sensible_fraction: Fraction = Field(1.0, description="the rest leaves with water vapor")
    moisture_kg_h: Timed = Field(0.0, description="water vapor given off")


class Thermostat(Part):
    """Set-points with a dead band; None in a schedule means off in that hour."""

    heating_c: Timed | None = Field(None, description="kept at least this warm; null: never heated")
    cooling_c: Timed | None = Field(None, description="kept at most this warm; null: never cooled")
    controls: Literal["air", "operative"] = Field("air", description="the temperature that is held")
    dehumidify_above_rh_percent: Annotated[float, Field(gt=0, le=100)] | None = Field(
        None, description="relative humidity held by cooling coils; null: moisture floats"
    )


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

    surface: Name = Field(description="name of a face that looks into the zone, from either side")
    fraction: Fraction = Field(description="of all the sun let into the zone")


class Zone(Part):
    """Air that mixes: a room, or several, or an unheated space."""

    name: Name = Field(description="what it is called; other keys refer to it by this name")
    volume_m3: Annotated[float, Field(gt=0, le=LARGEST_ZONE_M3)] = Field(description="of its air")
    floor_area_m2: Positive | None = Field(None, description="for reading only")
    added_heat_capacity_j_k: NotNegative = Field(0.0, description="furniture, on the air node")
    moisture_capacity_factor: Annotated[float, Field(ge=1)] = Field(
        1.0, description="moisture held by surfaces, as a multiple of the air's own"
    )
    leakage: ConstantAirChanges | None = Field(
        None,
        description="outdoor air at a constant rate; needed for each zone that no blower-door test covers",
    )
    fans: tuple[Fan, ...] = Field((), description="none when missing")
    openings: tuple[Opening, ...] = Field((), description="none when missing")
    gains: tuple[Gain, ...] = Field((), description="none when missing")
    thermostat: Thermostat | None = Field(
        None, description="when missing the zone floats: neither heated nor cooled"
    )
    heating: Emitter = Field(
        Emitter(), description="how heat enters; ideal, convective and unlimited when missing"
    )
    cooling: Emitter = Field(
        Emitter(), description="how cold enters; ideal, convective and unlimited when missing"
    )
    sun_shares: tuple[SunShare, ...] = Field(
        (), description="stated shares; what they leave goes out by the windows. Empty: computed"
    )


class LeakPlaces(Part):
    """Where the leaks are, for a house without a flue on a slab or a basement."""

    ceiling_and_floor_share: Fraction = Field(description="of all leakage; the rest is in the walls")
    ceiling_less_floor_share: Annotated[float, Field(ge=-1, le=1)] = Field(
        description="share of the ceiling less that of the floor; never more than their sum"
    )
    eave_height_m: Positive = Field(description="from the lowest leaks to the highest")


class BlowerDoorLeakage(Part):
    """Leakage of the whole house from a blower-door test, by stack and wind, spread over zones by volume.

    By the basic model of ASHRAE Fundamentals ch. 16; with `foundation` and `flue` by the enhanced one.
    """

    flow_at_50_pa_m3_s: Positive = Field(description="of the whole house")
    exponent: Annotated[float, Field(ge=0.5, le=1)] = Field(0.65, description="of the pressure")
    storeys: Annotated[int, Field(ge=1, le=3)] = Field(1, description="above grade")
    shelter_class: Annotated[int, Field(ge=1, le=5)] = Field(
        4, description="1 open ground to 5 well sheltered (ASHRAE)"
    )
    indoor_reference_c: Temperature = Field(21.0, description="for the stack effect")
    foundation: Foundation | None = Field(
        None,
        description="what the house stands on; needed with `flue` for the enhanced model; when missing the "
        "basic model is used",
        exclude_if=lambda foundation: foundation is None,
    )
    flue: bool | None = Field(
        None,
        description="true: an open flue or chimney ends above the roof; needed with `foundation`",
        exclude_if=lambda flue: flue is None,
    )
    places: LeakPlaces | None = Field(
        None,
        description="of the leaks, for the enhanced model; when missing spread as in its tables",
        exclude_if=lambda places: places is None,
    )
    zones: tuple[Name, ...] = Field((), description="empty: all zones with a thermostat")

    @model_validator(mode="after")
    def _one_model(self) -> BlowerDoorLeakage:
        if (self.foundation is None) != (self.flue is None):
            raise ValueError("foundation and flue are stated together, for the enhanced model, or neither")
        if self.places is not None and (self.flue is not False or self.foundation is not Foundation.SLAB):
            raise ValueError("places: known only without a flue, on a slab or basement; state both")
        if self.places and abs(self.places.ceiling_less_floor_share) > self.places.ceiling_and_floor_share:
            raise ValueError("places.ceiling_less_floor_share: is more than ceiling_and_floor_share")
        return self


class AirPath(Part):
    """Equal air flows both ways between two zones."""

    name: Name = Field("door", description="what it is called; other keys refer to it by this name")
    zone_a: Name = Field(description="name of a zone")
    zone_b: Name = Field(description="name of another zone")
    flow_m3_s: NotNegative = Field(description="each way")


class HorizonPoint(Part):
    """Height of the surroundings in one direction, seen from the house."""

    azimuth_deg: Annotated[float, Field(ge=0, le=360)] = Field(description="clockwise from north")
    altitude_deg: Annotated[float, Field(ge=0, le=90)] = Field(description="above the horizontal")


class Trees(Part):
    """A stand of trees: from one azimuth clockwise to another (0 to 360: all around), and what it lets in."""

    name: Name = Field("trees", description="what it is called; other keys refer to it by this name")
    from_azimuth_deg: Annotated[float, Field(ge=0, le=360)] = Field(description="clockwise from north")
    to_azimuth_deg: Annotated[float, Field(ge=0, le=360)] = Field(description="clockwise from north")
    altitude_deg: Annotated[float, Field(ge=0, le=90)] = Field(description="of their tops")
    monthly_transmittance: tuple[Fraction, ...] = Field(
        min_length=12, max_length=12, description="share of the sun let through, January first"
    )


class Site(Part):
    """What the place adds to its weather file."""

    ground_reflectance: Fraction = Field(0.2, description="for sunlight, all year")
    monthly_ground_reflectance: tuple[Fraction, ...] = Field(
        (), max_length=12, description="twelve values, January first; replace the one"
    )
    density_factor: Annotated[float, Field(ge=0.4, le=1.2)] | None = Field(
        None, description="air density against sea level; None: from the weather file's elevation"
    )
    horizon: tuple[HorizonPoint, ...] = Field((), description="none when missing")
    trees: tuple[Trees, ...] = Field((), description="none when missing")


OPEN_SITE = Site()
"""Nothing around; the usual ground."""


class House(Part):
    """A house as the engine needs it."""

    schema_version: Literal[1] = Field(1, description="of this form of description")
    name: Name = Field(description="for reading only")
    site: Site = Field(OPEN_SITE, description="what the place adds to its weather file")
    constructions: tuple[Construction, ...] = Field(
        min_length=1, description="layers that surfaces are built of"
    )
    glazings: tuple[GlazingPart, ...] = Field((), description="glass that windows are made of")
    zones: tuple[Zone, ...] = Field(min_length=1, description="rooms, or several rooms as one")
    surfaces: tuple[Surface, ...] = Field(
        min_length=1, description="walls, roofs, floors and the windows in them"
    )
    air_paths: tuple[AirPath, ...] = Field((), description="air between zones; none when missing")
    blower_door: BlowerDoorLeakage | None = Field(None, description="leakage of the whole house as tested")
    plant: PlantDescription | None = Field(
        None, description="machines and uses; when missing only fabric and loads are run"
    )
    household: HouseholdUse | None = Field(
        None, description="what the family asks of the plant; needed where a plant is described"
    )

    @model_validator(mode="after")
    def _agrees(self) -> House:
        from retrofit_desk.physics.description_checks import check_house

        check_house(self)
        return self
