"""The house as it stands: storeys, rooms, surfaces, constructions in layers, openings, leakage tests."""

from __future__ import annotations

from datetime import date
from enum import StrEnum

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column, relationship

from retrofit_desk.records.models.base import Base, Outline, with_word, word
from retrofit_desk.values.stated import Stated


class RoomKind(StrEnum):
    LIVING = "living"
    DEN = "den"
    KITCHEN = "kitchen"
    DINING = "dining"
    BEDROOM = "bedroom"
    BATH = "bath"
    HALL = "hall"
    UTILITY = "utility"
    BASEMENT = "basement"
    ATTIC = "attic"
    CRAWL_SPACE = "crawl space"
    GARAGE = "garage"
    SUNSPACE = "sunspace"
    OTHER = "other"


class SurfaceKind(StrEnum):
    WALL = "wall"
    ROOF = "roof"
    CEILING = "ceiling"
    FLOOR = "floor"
    PARTITION = "partition"


class Boundary(StrEnum):
    OUTDOORS = "outdoors"
    GROUND = "ground"
    ROOM = "room"
    UNHEATED = "unheated"
    SAME = "same temperature"


class OpeningKind(StrEnum):
    WINDOW = "window"
    GLASS_DOOR = "glass door"
    DOOR = "door"
    SKYLIGHT = "skylight"
    HATCH = "hatch"


class Operation(StrEnum):
    FIXED = "fixed"
    SLIDER = "slider"
    CASEMENT = "casement"
    SINGLE_HUNG = "single hung"
    DOUBLE_HUNG = "double hung"
    TOP_HINGED = "top hinged"
    BOTTOM_HINGED = "bottom hinged"
    TILT_TURN = "tilt and turn"
    SWING = "swing"


class Hinge(StrEnum):
    """Side of the hinges as seen from outside."""

    LEFT = "left"
    RIGHT = "right"
    NONE = "none"


class Frame(StrEnum):
    WOOD = "wood"
    ALUMINUM = "aluminum"
    ALUMINUM_BROKEN = "aluminum with thermal break"
    VINYL = "vinyl"
    FIBERGLASS = "fiberglass"
    OTHER = "other"


class ShadeKind(StrEnum):
    NONE = "none"
    INSIDE_BLIND = "blind inside"
    CURTAIN = "curtain"
    AWNING = "awning"
    SHUTTER = "shutter"
    OUTSIDE_SCREEN = "screen outside"


class Storey(Base):
    __tablename__ = "storey"
    key: Mapped[str] = mapped_column(unique=True)
    name: Mapped[str]
    level_m: Mapped[float] = mapped_column(default=0.0)
    """Height of its floor above the site's zero."""
    height_m: Mapped[float] = mapped_column(default=2.44)
    position: Mapped[int] = mapped_column(default=0)
    rooms: Mapped[list[Room]] = relationship(
        back_populates="storey", cascade="all, delete-orphan", order_by="Room.id"
    )


class Room(Base):
    """A room or an unheated space; `outline` draws it in plan, x to the east, y to the north."""

    __tablename__ = "room"
    storey_id: Mapped[int] = mapped_column(ForeignKey("storey.id"))
    key: Mapped[str] = mapped_column(unique=True)
    name: Mapped[str]
    kind: Mapped[RoomKind] = mapped_column(default=RoomKind.OTHER)
    outline: Mapped[Outline | None]
    floor_area_m2: Mapped[float]
    height_m: Mapped[float] = mapped_column(default=2.44)
    is_heated: Mapped[bool] = mapped_column(default=True)
    is_cooled: Mapped[bool] = mapped_column(default=True)
    heating_set_point_c: Mapped[float | None]
    heating_setback_c: Mapped[float | None]
    cooling_set_point_c: Mapped[float | None]
    internal_gain_w: Mapped[float | None] = with_word("internal_gain_is")
    """Mean sensible gain of people, light and plugs."""
    internal_gain_is: Mapped[Stated] = word()
    air_changes_per_hour: Mapped[float | None] = with_word("air_changes_is")
    """Only for spaces that are not part of the blower-door volume (attic, crawl space, garage)."""
    air_changes_is: Mapped[Stated] = word()
    notes: Mapped[str] = mapped_column(default="")
    storey: Mapped[Storey] = relationship(back_populates="rooms")
    surfaces: Mapped[list[Surface]] = relationship(
        back_populates="room",
        cascade="all, delete-orphan",
        foreign_keys="Surface.room_id",
        order_by="Surface.id",
    )


class Construction(Base):
    """What a surface is made of; layers are ordered from outside to inside."""

    __tablename__ = "construction"
    key: Mapped[str] = mapped_column(unique=True)
    name: Mapped[str]
    source: Mapped[str] = mapped_column(default="")
    notes: Mapped[str] = mapped_column(default="")
    layers: Mapped[list[ConstructionLayer]] = relationship(
        back_populates="construction", cascade="all, delete-orphan", order_by="ConstructionLayer.position"
    )


class ConstructionLayer(Base):
    """One layer: a material with thickness, or a stated resistance (air space, membrane), maybe framed."""

    __tablename__ = "construction_layer"
    construction_id: Mapped[int] = mapped_column(ForeignKey("construction.id"))
    position: Mapped[int]
    """0 is the outermost."""
    name: Mapped[str]
    material_key: Mapped[str] = mapped_column(default="")
    thickness_m: Mapped[float | None] = with_word("thickness_is")
    thickness_is: Mapped[Stated] = word()
    conductivity_w_mk: Mapped[float | None]
    density_kg_m3: Mapped[float | None]
    specific_heat_j_kgk: Mapped[float | None]
    resistance_m2k_w: Mapped[float | None]
    """Given instead of thickness and conductivity for air spaces and membranes."""
    vapor_resistance_factor: Mapped[float | None]
    framing_fraction: Mapped[float] = mapped_column(default=0.0)
    framing_material_key: Mapped[str] = mapped_column(default="")
    framing_conductivity_w_mk: Mapped[float | None]
    framing_density_kg_m3: Mapped[float | None]
    framing_specific_heat_j_kgk: Mapped[float | None]
    construction: Mapped[Construction] = relationship(back_populates="layers")


class Surface(Base):
    """One face of a room. Azimuth clockwise from north; tilt 90: wall, 0: roof facing up, 180: floor."""

    __tablename__ = "surface"
    room_id: Mapped[int] = mapped_column(ForeignKey("room.id"))
    key: Mapped[str] = mapped_column(unique=True)
    name: Mapped[str]
    kind: Mapped[SurfaceKind]
    boundary: Mapped[Boundary]
    other_room_id: Mapped[int | None] = mapped_column(ForeignKey("room.id"))
    """The room or unheated space behind it."""
    construction_id: Mapped[int | None] = mapped_column(ForeignKey("construction.id"))
    area_m2: Mapped[float]
    """Gross, openings included."""
    azimuth_deg: Mapped[float | None]
    tilt_deg: Mapped[float] = mapped_column(default=90.0)
    outline_edge: Mapped[int | None]
    """Which edge of the room's outline this wall stands on, counted from 0."""
    exposed_perimeter_m: Mapped[float | None]
    """Floors and walls on the ground."""
    depth_below_ground_m: Mapped[float | None]
    solar_absorptance: Mapped[float | None]
    emittance: Mapped[float | None]
    passage_area_m2: Mapped[float | None]
    """What stands open in it to the room behind: a doorway without a door, stairs."""
    notes: Mapped[str] = mapped_column(default="")
    room: Mapped[Room] = relationship(back_populates="surfaces", foreign_keys=[room_id])
    other_room: Mapped[Room | None] = relationship(foreign_keys=[other_room_id])
    construction: Mapped[Construction | None] = relationship()
    openings: Mapped[list[Opening]] = relationship(
        back_populates="surface", cascade="all, delete-orphan", order_by="Opening.id"
    )
    bridges: Mapped[list[ThermalBridge]] = relationship(
        back_populates="surface", cascade="all, delete-orphan", order_by="ThermalBridge.id"
    )


class ThermalBridge(Base):
    """A line of a face where heat passes outdoors beside the U-values: a corner, a slab edge, a reveal."""

    __tablename__ = "thermal_bridge"
    surface_id: Mapped[int] = mapped_column(ForeignKey("surface.id"))
    name: Mapped[str]
    length_m: Mapped[float]
    psi_w_mk: Mapped[float]
    source: Mapped[str]
    """Where the value comes from: a standard's table, a calculation."""
    surface: Mapped[Surface] = relationship(back_populates="bridges")


class Opening(Base):
    """A window or door in a surface, with the geometry of what shades it."""

    __tablename__ = "opening"
    surface_id: Mapped[int] = mapped_column(ForeignKey("surface.id"))
    key: Mapped[str] = mapped_column(unique=True)
    name: Mapped[str]
    kind: Mapped[OpeningKind]
    operation: Mapped[Operation] = mapped_column(default=Operation.FIXED)
    hinge: Mapped[Hinge] = mapped_column(default=Hinge.NONE)
    width_m: Mapped[float]
    height_m: Mapped[float]
    sill_m: Mapped[float] = mapped_column(default=0.9)
    left_offset_m: Mapped[float | None]
    """From the left end of the wall seen from outside to the left jamb."""
    count: Mapped[int] = mapped_column(default=1)
    u_value_w_m2k: Mapped[float | None] = with_word("u_value_is")
    u_value_is: Mapped[Stated] = word()
    shgc: Mapped[float | None] = with_word("shgc_is")
    shgc_is: Mapped[Stated] = word()
    panes: Mapped[int | None]
    coating: Mapped[str] = mapped_column(default="")
    """uncoated or low-e; empty: told from the U-value."""
    shgc_by_angle: Mapped[list[list[float]] | None]
    """Angles in degrees from square to the glass, rising, each with its SHGC, by a maker's sheet."""
    fill_gas: Mapped[str] = mapped_column(default="")
    frame: Mapped[Frame] = mapped_column(default=Frame.OTHER)
    frame_fraction: Mapped[float | None]
    overhang_depth_m: Mapped[float] = mapped_column(default=0.0)
    overhang_above_head_m: Mapped[float] = mapped_column(default=0.0)
    overhang_left_m: Mapped[float] = mapped_column(default=0.0)
    """How far the overhang reaches past the left jamb, seen from outside."""
    overhang_right_m: Mapped[float] = mapped_column(default=0.0)
    left_fin_depth_m: Mapped[float] = mapped_column(default=0.0)
    left_fin_gap_m: Mapped[float] = mapped_column(default=0.0)
    right_fin_depth_m: Mapped[float] = mapped_column(default=0.0)
    right_fin_gap_m: Mapped[float] = mapped_column(default=0.0)
    reveal_m: Mapped[float] = mapped_column(default=0.0)
    shade: Mapped[ShadeKind] = mapped_column(default=ShadeKind.NONE)
    shade_solar_factor: Mapped[float | None]
    """Share of the sun that still passes when the shade is drawn."""
    shade_rule: Mapped[str] = mapped_column(default="")
    shade_from_hour: Mapped[int | None]
    """Hours and months only of a shade drawn by the clock: from the beginning of one hour of standard time
    to the beginning of another (0 to 24), from one month to the end of another (1 to 12; none: all year)."""
    shade_to_hour: Mapped[int | None]
    shade_from_month: Mapped[int | None]
    shade_to_month: Mapped[int | None]
    shade_sun_above_w_m2: Mapped[float | None]
    """Of a shade drawn against the sun: while the glass gets more sun than this."""
    shade_outdoor_above_c: Mapped[float | None]
    shade_added_resistance_m2k_w: Mapped[float | None]
    """What the drawn shade and the air behind it add to the window."""
    notes: Mapped[str] = mapped_column(default="")
    surface: Mapped[Surface] = relationship(back_populates="openings")


class LeakageTest(Base):
    """A blower-door result, and the state of the house in which it was taken."""

    __tablename__ = "leakage_test"
    tested_on: Mapped[date]
    flow_50pa_m3_s: Mapped[float]
    flow_exponent: Mapped[float] = mapped_column(default=0.65)
    volume_m3: Mapped[float | None]
    house_version: Mapped[str] = mapped_column(default="")
    """In the owner's words: as found, after the attic was sealed."""
    firm_id: Mapped[int | None] = mapped_column(ForeignKey("firm.id"))
    tested_by: Mapped[str] = mapped_column(default="")
    after_measure_id: Mapped[int | None] = mapped_column(ForeignKey("measure.id"))
    paper_id: Mapped[int | None] = mapped_column(ForeignKey("paper.id"))
    notes: Mapped[str] = mapped_column(default="")
