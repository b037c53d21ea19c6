"""What can be told of rooms, faces, windows and layers; named as the columns they are kept in."""

from __future__ import annotations

from dataclasses import dataclass, fields
from enum import StrEnum
from typing import Any, TypeVar

from retrofit_desk.estimate.sun_from_records import (
    AGAINST_THE_SUN,
    BY_NIGHT,
    COATINGS,
    DRAWN_BY_NIGHT,
    DRAWN_BY_THE_CLOCK,
    DRAWN_IN_SUMMER_SUN,
    DRAWN_IN_SUN_AND_BY_NIGHT,
)
from retrofit_desk.physics.elements import Blind
from retrofit_desk.records import models as m
from retrofit_desk.records.models import Certainty
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.stated import Stated, StatedValue

__all__ = ["AGAINST_THE_SUN", "BY_NIGHT", "DRAWN_BY_NIGHT", "DRAWN_BY_THE_CLOCK", "Certainty"]


class CannotBe(DeskError):
    """What was typed cannot be so."""


@dataclass(frozen=True)
class Because:
    """How the owner knows."""

    certainty: Certainty
    source: str = ""


@dataclass(frozen=True)
class RoomFacts:
    """What can be changed of a room; named as its columns."""

    name: str
    kind: str
    outline: tuple[tuple[float, float], ...]
    floor_area_m2: float
    height_m: float
    is_heated: bool
    is_cooled: bool
    heating_set_point_c: float | None
    heating_setback_c: float | None
    cooling_set_point_c: float | None
    internal_gain_w: StatedValue[float]
    air_changes_per_hour: StatedValue[float]
    notes: str


@dataclass(frozen=True)
class SurfaceFacts:
    """What can be changed of a face; named as its columns."""

    name: str
    kind: str
    boundary: str
    other_room_id: int | None
    area_m2: float
    azimuth_deg: float | None
    tilt_deg: float
    construction_id: int | None
    solar_absorptance: float | None
    exposed_perimeter_m: float | None
    depth_below_ground_m: float | None
    passage_area_m2: float | None
    notes: str


ROOM_KINDS = tuple(str(one) for one in m.RoomKind)
FACE_KINDS = tuple(str(one) for one in m.SurfaceKind)
BOUNDARIES = tuple(str(one) for one in m.Boundary)
TO_A_ROOM = (str(m.Boundary.ROOM), str(m.Boundary.UNHEATED))
"""What lies behind such a face is a room of the house."""
TO_THE_GROUND = str(m.Boundary.GROUND)
TO_OUTDOORS = str(m.Boundary.OUTDOORS)
OPENING_KINDS = tuple(str(one) for one in m.OpeningKind)
OPERATIONS = tuple(str(one) for one in m.Operation)
HINGES = tuple(str(one) for one in m.Hinge)
FRAMES = tuple(str(one) for one in m.Frame)
SHADES = tuple(str(one) for one in m.ShadeKind)
_PAIRS = ("outline", "shgc_by_angle")
SHADE_RULES = (DRAWN_IN_SUMMER_SUN, DRAWN_BY_NIGHT, DRAWN_IN_SUN_AND_BY_NIGHT, DRAWN_BY_THE_CLOCK, "")
GLASS_COATINGS = ("", *COATINGS)
USUAL_SUN_ABOVE_W_M2: float = Blind.model_fields["sun_above_w_m2"].default
USUAL_OUTDOOR_ABOVE_C: float = Blind.model_fields["outdoor_above_c"].default


_UNKNOWN = StatedValue[float](None, Stated.UNKNOWN)


@dataclass(frozen=True)
class OpeningFacts:
    """What can be changed of a window or door; named as its columns."""

    name: str
    kind: str
    width_m: float
    height_m: float
    sill_m: float = 0.9
    count: int = 1
    u_value_w_m2k: StatedValue[float] = _UNKNOWN
    shgc: StatedValue[float] = _UNKNOWN
    panes: int | None = None
    coating: str = ""
    shgc_by_angle: tuple[tuple[float, float], ...] = ()
    overhang_depth_m: float = 0.0
    overhang_above_head_m: float = 0.0
    overhang_left_m: float = 0.0
    overhang_right_m: float = 0.0
    left_offset_m: float | None = None
    reveal_m: float = 0.0
    left_fin_depth_m: float = 0.0
    left_fin_gap_m: float = 0.0
    right_fin_depth_m: float = 0.0
    right_fin_gap_m: float = 0.0
    operation: str = str(m.Operation.FIXED)
    hinge: str = str(m.Hinge.NONE)
    frame: str = str(m.Frame.OTHER)
    shade: str = str(m.ShadeKind.NONE)
    shade_solar_factor: float | None = None
    shade_rule: str = ""
    shade_from_hour: int | None = None
    shade_to_hour: int | None = None
    shade_from_month: int | None = None
    shade_to_month: int | None = None
    shade_sun_above_w_m2: float | None = None
    shade_outdoor_above_c: float | None = None
    shade_added_resistance_m2k_w: float | None = None


@dataclass(frozen=True)
class LayerFacts:
    """One layer, outside to inside. A material's key fills what is not typed; R instead of both is enough."""

    name: str
    material_key: str
    thickness_m: StatedValue[float]
    conductivity_w_mk: float | None
    resistance_m2k_w: float | None
    framing_fraction: float
    framing_material_key: str


@dataclass(frozen=True)
class ConstructionChoice:
    """A construction that a face may have."""

    id: int
    name: str


F = TypeVar("F", RoomFacts, SurfaceFacts, OpeningFacts)


def facts_of(kind: type[F], row: m.Base) -> F:
    """What is recorded, as it can be told again."""
    return kind(**{field.name: _told(row, field.name) for field in fields(kind)})


def _told(row: m.Base, column: str) -> Any:
    if "word" in row.__table__.columns[column].info:
        return row.stated(column)
    value = getattr(row, column)
    if isinstance(value, StrEnum):
        return str(value)
    if column in _PAIRS:
        return tuple((first, second) for first, second in value or ())
    return value
