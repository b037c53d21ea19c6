"""Papers and photos: filed once by content, read facts, and everything they are used for."""

from __future__ import annotations

from datetime import date, datetime
from enum import StrEnum

from sqlalchemy import ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column, relationship

from retrofit_desk.records.models.base import Base
from retrofit_desk.rules.matching import FactKind


class PaperKind(StrEnum):
    PHOTO = "photo"
    QUOTE = "quote"
    CONTRACT = "contract"
    CHANGE_ORDER = "change order"
    INVOICE = "invoice"
    RECEIPT = "receipt"
    PROOF_OF_PAYMENT = "proof of payment"
    LIEN_WAIVER = "lien waiver"
    LIEN_NOTICE = "lien notice"
    PERMIT = "permit"
    INSPECTION_REPORT = "inspection report"
    CORRECTION_LIST = "correction list"
    FINAL_CERTIFICATE = "final certificate"
    MATCH_CERTIFICATE = "equipment match certificate"
    TEST_SHEET = "test sheet"
    COMMISSIONING_SHEET = "commissioning sheet"
    LOAD_CALCULATION = "load calculation"
    DATA_SHEET = "data sheet"
    MANUAL = "manual"
    WARRANTY = "warranty"
    LICENSE = "license"
    INSURANCE = "insurance certificate"
    RESERVATION = "reservation letter"
    CLAIM = "rebate claim"
    LETTER = "letter"
    INCOME_PROOF = "income proof"
    OWNERSHIP_PROOF = "ownership proof"
    UTILITY_BILL = "utility bill"
    DRAWING = "drawing"
    WEATHER_FILE = "weather file"
    DAILY_TEMPERATURES = "daily temperatures"
    METER_READINGS = "meter readings"
    TREND = "machine's log"
    HAZARD_REPORT = "hazard report"
    LOAN = "loan paper"
    WASTE_RECORD = "waste record"
    PACKET = "packet"
    OTHER = "other"


class Direction(StrEnum):
    """Which way the camera looked."""

    NORTH = "north"
    NORTH_EAST = "north-east"
    EAST = "east"
    SOUTH_EAST = "south-east"
    SOUTH = "south"
    SOUTH_WEST = "south-west"
    WEST = "west"
    NORTH_WEST = "north-west"
    UP = "up"
    DOWN = "down"


class PaperSubject(StrEnum):
    """The kind of thing a paper is used for; `PaperUse.subject_id` is the id of that row."""

    MEASURE = "measure"
    WORK_ENTRY = "work_entry"
    INSTALLED_ITEM = "installed_item"
    TEST = "commissioning_test"
    EQUIPMENT = "equipment"
    ROOM = "room"
    SURFACE = "surface"
    OPENING = "opening"
    QUOTE = "quote"
    CONTRACT = "contract"
    CHANGE_ORDER = "change_order"
    STAGE = "staged_payment"
    INVOICE = "invoice"
    PAYMENT = "payment"
    LIEN_WAIVER = "lien_waiver"
    LOAN = "loan"
    PERMIT = "permit"
    INSPECTION = "inspection"
    CORRECTION = "correction"
    HOLD_NEED = "hold_need"
    PROGRAMME = "programme_choice"
    CLAIM = "claim"
    FIRM = "firm"
    BILL = "bill"
    METER = "meter"
    LEAKAGE_TEST = "leakage_test"
    TASK = "task"
    SITE = "site"


class Paper(Base):
    """One filed paper; its bytes lie in the papers folder under `sha256`."""

    __tablename__ = "paper"
    __table_args__ = (Index("ix_paper_sha256", "sha256"),)
    kind: Mapped[PaperKind]
    title: Mapped[str]
    original_name: Mapped[str]
    sha256: Mapped[str]
    size_bytes: Mapped[int]
    media_type: Mapped[str]
    on_paper: Mapped[date | None]
    """The date that stands on it, or on which the photo was taken."""
    filed_at: Mapped[datetime]
    ends_on: Mapped[date | None]
    """When it runs out or grows too old to be used."""
    from_firm_id: Mapped[int | None] = mapped_column(ForeignKey("firm.id"))
    asked_by: Mapped[str] = mapped_column(default="")
    pages: Mapped[int | None]
    direction: Mapped[Direction | None]
    tape_in_view: Mapped[bool | None]
    latitude_deg: Mapped[float | None]
    longitude_deg: Mapped[float | None]
    is_private: Mapped[bool] = mapped_column(default=False)
    """Income, account numbers: only where a packet truly needs it."""
    notes: Mapped[str] = mapped_column(default="")
    facts: Mapped[list[PaperFact]] = relationship(
        back_populates="paper", cascade="all, delete-orphan", order_by="PaperFact.id"
    )
    uses: Mapped[list[PaperUse]] = relationship(
        back_populates="paper", cascade="all, delete-orphan", order_by="PaperUse.id"
    )


class PaperFact(Base):
    """Something read off a paper: what kind, and the text as printed (dates ISO, amounts in cents)."""

    __tablename__ = "paper_fact"
    paper_id: Mapped[int] = mapped_column(ForeignKey("paper.id"))
    kind: Mapped[FactKind]
    label: Mapped[str] = mapped_column(default="")
    """Which of several: outdoor, indoor, install date, total ..."""
    value: Mapped[str]
    paper: Mapped[Paper] = relationship(back_populates="facts")


class PaperUse(Base):
    """What a paper is used for. One paper may serve many."""

    __tablename__ = "paper_use"
    __table_args__ = (Index("ix_paper_use_subject", "subject", "subject_id"),)
    paper_id: Mapped[int] = mapped_column(ForeignKey("paper.id"))
    subject: Mapped[PaperSubject]
    subject_id: Mapped[int]
    note: Mapped[str] = mapped_column(default="")
    paper: Mapped[Paper] = relationship(back_populates="uses")
