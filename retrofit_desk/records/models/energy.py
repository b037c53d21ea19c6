"""Meters, bills and the tariffs they were billed by."""

from __future__ import annotations

from datetime import date
from enum import StrEnum

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column, relationship

from retrofit_desk.records.models.base import Base, with_word, word
from retrofit_desk.records.models.site import Fuel, UtilityAccount
from retrofit_desk.values.stated import Stated


class EnergyUnit(StrEnum):
    """As the bill counts. Sums convert; the record keeps what was billed."""

    KWH = "kWh"
    THERM = "therm"
    CCF = "CCF"
    GALLON = "gal"
    CORD = "cord"
    POUND = "lb"


class BillKind(StrEnum):
    READ = "read"
    ESTIMATED = "estimated"
    DELIVERY = "delivery"
    FINAL = "final"


class Meter(Base):
    """A meter, or the tank that deliveries fill."""

    __tablename__ = "meter"
    key: Mapped[str] = mapped_column(unique=True)
    name: Mapped[str]
    fuel: Mapped[Fuel]
    unit: Mapped[EnergyUnit]
    number: Mapped[str] = mapped_column(default="")
    account_id: Mapped[int | None] = mapped_column(ForeignKey("utility_account.id"))
    removed_on: Mapped[date | None]
    account: Mapped[UtilityAccount | None] = relationship(back_populates="meters")
    bills: Mapped[list[Bill]] = relationship(
        back_populates="meter", cascade="all, delete-orphan", order_by="Bill.period_start"
    )
    tariffs: Mapped[list[TariffChoice]] = relationship(
        back_populates="meter", cascade="all, delete-orphan", order_by="TariffChoice.starts_on"
    )


class Bill(Base):
    """One bill or delivery. The period runs from `period_start` up to, not including, `period_end`."""

    __tablename__ = "bill"
    meter_id: Mapped[int] = mapped_column(ForeignKey("meter.id"))
    period_start: Mapped[date]
    period_end: Mapped[date]
    kind: Mapped[BillKind] = mapped_column(default=BillKind.READ)
    quantity: Mapped[float | None] = with_word("quantity_is")
    """In the meter's unit."""
    quantity_is: Mapped[Stated] = word()
    exported: Mapped[float | None]
    cost_cents: Mapped[int | None] = with_word("cost_is")
    cost_is: Mapped[Stated] = word()
    days_away: Mapped[int] = mapped_column(default=0)
    paper_id: Mapped[int | None] = mapped_column(ForeignKey("paper.id"))
    meter: Mapped[Meter] = relationship(back_populates="bills")


class TariffChoice(Base):
    """Which dated tariff table applied to a meter, from when to when."""

    __tablename__ = "tariff_choice"
    meter_id: Mapped[int] = mapped_column(ForeignKey("meter.id"))
    tariff_key: Mapped[str]
    starts_on: Mapped[date]
    ends_on: Mapped[date | None]
    source: Mapped[str] = mapped_column(default="")
    meter: Mapped[Meter] = relationship(back_populates="tariffs")
