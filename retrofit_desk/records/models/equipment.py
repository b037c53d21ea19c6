"""Machines and systems in the house: what stands where, its ratings, warranties and services."""

from __future__ import annotations

from datetime import date
from enum import StrEnum

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column, relationship

from retrofit_desk.records.models.base import Base, Facts, with_word, word
from retrofit_desk.records.models.site import Fuel
from retrofit_desk.values.stated import Stated


class EquipmentKind(StrEnum):
    FURNACE = "furnace"
    BOILER = "boiler"
    AIR_SOURCE_HEAT_PUMP = "air-source heat pump"
    GROUND_SOURCE_HEAT_PUMP = "ground-source heat pump"
    AIR_CONDITIONER = "air conditioner"
    ELECTRIC_HEATER = "electric heater"
    STOVE = "stove"
    DUCTS = "ducts"
    BORE_FIELD = "pipes in the ground"
    RADIANT_FLOOR = "pipes in the floor"
    RADIATORS = "radiators"
    FAN_COIL = "fan coil"
    STORAGE_TANK = "storage tank"
    WATER_HEATER = "water heater"
    HEAT_PUMP_WATER_HEATER = "heat-pump water heater"
    RANGE = "range"
    DRYER = "dryer"
    PV_ARRAY = "PV array"
    INVERTER = "inverter"
    BATTERY = "battery"
    CAR_CHARGER = "car charger"
    VENTILATION = "ventilation"
    DEHUMIDIFIER = "dehumidifier"
    CONTROL = "control"
    OTHER = "other"


class EquipmentStatus(StrEnum):
    IN_USE = "in use"
    STANDBY = "standby"
    NOT_YET_RUNNING = "not yet running"
    OUT_OF_ORDER = "out of order"
    REMOVED = "removed"


class CoverKind(StrEnum):
    PARTS = "parts"
    LABOR = "labor"
    WHOLE = "whole machine"


class Equipment(Base):
    """One machine or system; removed ones stay on record with their date."""

    __tablename__ = "equipment"
    key: Mapped[str] = mapped_column(unique=True)
    kind: Mapped[EquipmentKind]
    name: Mapped[str]
    status: Mapped[EquipmentStatus] = mapped_column(default=EquipmentStatus.IN_USE)
    fuel: Mapped[Fuel | None]
    make: Mapped[str] = mapped_column(default="")
    model: Mapped[str] = mapped_column(default="")
    serial: Mapped[str] = mapped_column(default="")
    second_model: Mapped[str] = mapped_column(default="")
    """The indoor half of a split machine."""
    second_serial: Mapped[str] = mapped_column(default="")
    room_id: Mapped[int | None] = mapped_column(ForeignKey("room.id"))
    measure_id: Mapped[int | None] = mapped_column(ForeignKey("measure.id"))
    """The measure that brought it."""
    serves: Mapped[list[str]] = mapped_column(default=list)
    """Keys of the rooms it serves; empty means the whole house."""
    installed_on: Mapped[date | None]
    tested_on: Mapped[date | None]
    """Tested and running since; what the heat-gap sum looks at."""
    removed_on: Mapped[date | None]
    installed_by_firm_id: Mapped[int | None] = mapped_column(ForeignKey("firm.id"))
    heating_capacity_w: Mapped[float | None] = with_word("heating_capacity_is")
    heating_capacity_is: Mapped[Stated] = word()
    cooling_capacity_w: Mapped[float | None] = with_word("cooling_capacity_is")
    cooling_capacity_is: Mapped[Stated] = word()
    electric_input_w: Mapped[float | None]
    volume_m3: Mapped[float | None]
    refrigerant: Mapped[str] = mapped_column(default="")
    refrigerant_charge_kg: Mapped[float | None]
    details: Mapped[Facts] = mapped_column(default=dict)
    """What only this kind has (tilt_deg, bore_depth_m, spacing_m ...), units in the keys."""
    notes: Mapped[str] = mapped_column(default="")
    ratings: Mapped[list[EquipmentRating]] = relationship(
        back_populates="equipment", cascade="all, delete-orphan", order_by="EquipmentRating.id"
    )
    warranties: Mapped[list[Warranty]] = relationship(
        back_populates="equipment", cascade="all, delete-orphan"
    )
    services: Mapped[list[ServiceEntry]] = relationship(
        back_populates="equipment", cascade="all, delete-orphan"
    )


class EquipmentRating(Base):
    """A published rating: a ratio (AFUE, SEER2, HSPF2, UEF, COP), with its test point when it has one."""

    __tablename__ = "equipment_rating"
    equipment_id: Mapped[int] = mapped_column(ForeignKey("equipment.id"))
    name: Mapped[str]
    value: Mapped[float]
    source_temp_c: Mapped[float | None]
    load_temp_c: Mapped[float | None]
    capacity_w: Mapped[float | None]
    power_w: Mapped[float | None]
    source: Mapped[str] = mapped_column(default="")
    as_of: Mapped[date | None]
    equipment: Mapped[Equipment] = relationship(back_populates="ratings")


class Warranty(Base):
    __tablename__ = "warranty"
    equipment_id: Mapped[int] = mapped_column(ForeignKey("equipment.id"))
    kind: Mapped[CoverKind] = mapped_column(default=CoverKind.PARTS)
    starts_on: Mapped[date | None]
    ends_on: Mapped[date | None]
    register_by: Mapped[date | None]
    registered_on: Mapped[date | None]
    registration_number: Mapped[str] = mapped_column(default="")
    paper_id: Mapped[int | None] = mapped_column(ForeignKey("paper.id"))
    equipment: Mapped[Equipment] = relationship(back_populates="warranties")


class ServiceEntry(Base):
    __tablename__ = "service_entry"
    equipment_id: Mapped[int] = mapped_column(ForeignKey("equipment.id"))
    done_on: Mapped[date]
    by: Mapped[str] = mapped_column(default="")
    what: Mapped[str]
    paper_id: Mapped[int | None] = mapped_column(ForeignKey("paper.id"))
    equipment: Mapped[Equipment] = relationship(back_populates="services")
