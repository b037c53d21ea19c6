"""What is inside walls, floors and the ground, so that it can be found again."""

from __future__ import annotations

from enum import StrEnum

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from retrofit_desk.records.models.base import Base, Outline


class HiddenKind(StrEnum):
    HEATING_PIPE = "heating pipe"
    WATER_PIPE = "water pipe"
    DRAIN = "drain"
    GAS_PIPE = "gas pipe"
    REFRIGERANT_LINE = "refrigerant line"
    CABLE = "cable"
    BOX = "electrical box"
    DUCT = "duct"
    STUD = "stud"
    BLOCKING = "blocking"
    BRIDGE = "thermal bridge"
    SHUT_OFF = "shut-off"
    SENSOR = "sensor"
    OTHER = "other"


class HiddenThing(Base):
    """Something covered up; its path starts at the surface's lower left corner seen from the room."""

    __tablename__ = "hidden_thing"
    kind: Mapped[HiddenKind]
    name: Mapped[str]
    surface_id: Mapped[int | None] = mapped_column(ForeignKey("surface.id"))
    room_id: Mapped[int | None] = mapped_column(ForeignKey("room.id"))
    entry_id: Mapped[int | None] = mapped_column(ForeignKey("work_entry.id"))
    equipment_id: Mapped[int | None] = mapped_column(ForeignKey("equipment.id"))
    path: Mapped[Outline | None]
    """Points [x, y] in meters: x along the surface, y up (on a floor east and north, as the outline)."""
    depth_m: Mapped[float | None]
    """Below the finished face."""
    notes: Mapped[str] = mapped_column(default="")


class TiePoint(Base):
    """A place in the ground, tied to two fixed points and, where known, to its coordinates."""

    __tablename__ = "tie_point"
    equipment_id: Mapped[int] = mapped_column(ForeignKey("equipment.id"))
    name: Mapped[str]
    """Bore 2; header tee at the wall."""
    latitude_deg: Mapped[float | None]
    longitude_deg: Mapped[float | None]
    first_point: Mapped[str] = mapped_column(default="")
    first_distance_m: Mapped[float | None]
    second_point: Mapped[str] = mapped_column(default="")
    second_distance_m: Mapped[float | None]
    depth_m: Mapped[float | None]
    paper_id: Mapped[int | None] = mapped_column(ForeignKey("paper.id"))
