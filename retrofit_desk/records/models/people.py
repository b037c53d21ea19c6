"""People and firms, with the licenses, insurance and programme listings that run out."""

from __future__ import annotations

from datetime import date
from enum import StrEnum

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column, relationship

from retrofit_desk.records.models.base import Base, with_word, word
from retrofit_desk.values.stated import Stated


class FirmKind(StrEnum):
    CONTRACTOR = "contractor"
    SUPPLIER = "supplier"
    UTILITY = "utility"
    AUTHORITY = "authority"
    PROGRAMME = "programme"
    LENDER = "lender"
    TESTER = "tester"
    OTHER = "other"


class InsuranceKind(StrEnum):
    LIABILITY = "liability"
    WORKERS = "workers' compensation"
    BOND = "bond"


class Firm(Base):
    __tablename__ = "firm"
    key: Mapped[str] = mapped_column(unique=True)
    name: Mapped[str]
    legal_name: Mapped[str] = mapped_column(default="")
    kind: Mapped[FirmKind] = mapped_column(default=FirmKind.CONTRACTOR)
    trade: Mapped[str] = mapped_column(default="")
    address: Mapped[str] = mapped_column(default="")
    phone: Mapped[str] = mapped_column(default="")
    email: Mapped[str] = mapped_column(default="")
    is_backup: Mapped[bool] = mapped_column(default=False)
    notes: Mapped[str] = mapped_column(default="")
    people: Mapped[list[Person]] = relationship(back_populates="firm", cascade="all, delete-orphan")
    licenses: Mapped[list[License]] = relationship(back_populates="firm", cascade="all, delete-orphan")
    insurance: Mapped[list[Insurance]] = relationship(back_populates="firm", cascade="all, delete-orphan")
    listings: Mapped[list[ProgrammeListing]] = relationship(
        back_populates="firm", cascade="all, delete-orphan"
    )


class Person(Base):
    __tablename__ = "person"
    firm_id: Mapped[int | None] = mapped_column(ForeignKey("firm.id"))
    name: Mapped[str]
    role: Mapped[str] = mapped_column(default="")
    phone: Mapped[str] = mapped_column(default="")
    email: Mapped[str] = mapped_column(default="")
    firm: Mapped[Firm | None] = relationship(back_populates="people")


class License(Base):
    __tablename__ = "license"
    firm_id: Mapped[int] = mapped_column(ForeignKey("firm.id"))
    trade: Mapped[str]
    number: Mapped[str] = mapped_column(default="")
    state: Mapped[str] = mapped_column(default="")
    starts_on: Mapped[date | None]
    ends_on: Mapped[date | None]
    checked_on: Mapped[date | None]
    paper_id: Mapped[int | None] = mapped_column(ForeignKey("paper.id"))
    firm: Mapped[Firm] = relationship(back_populates="licenses")


class Insurance(Base):
    __tablename__ = "insurance"
    firm_id: Mapped[int] = mapped_column(ForeignKey("firm.id"))
    kind: Mapped[InsuranceKind]
    carrier: Mapped[str] = mapped_column(default="")
    number: Mapped[str] = mapped_column(default="")
    limit_cents: Mapped[int | None] = with_word("limit_is")
    limit_is: Mapped[Stated] = word(Stated.NOT_STATED)
    starts_on: Mapped[date | None]
    ends_on: Mapped[date | None]
    paper_id: Mapped[int | None] = mapped_column(ForeignKey("paper.id"))
    firm: Mapped[Firm] = relationship(back_populates="insurance")


class ProgrammeListing(Base):
    """A firm stands on a programme's list of accepted installers, as seen on a day."""

    __tablename__ = "programme_listing"
    firm_id: Mapped[int] = mapped_column(ForeignKey("firm.id"))
    programme_key: Mapped[str]
    listed_from: Mapped[date | None]
    listed_until: Mapped[date | None]
    checked_on: Mapped[date]
    paper_id: Mapped[int | None] = mapped_column(ForeignKey("paper.id"))
    firm: Mapped[Firm] = relationship(back_populates="listings")
