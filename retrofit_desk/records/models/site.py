"""The place: address, owners, utility accounts, weather, and where each fact came from."""

from __future__ import annotations

from datetime import date
from enum import StrEnum
from typing import TYPE_CHECKING

from sqlalchemy import ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from retrofit_desk.records.models.base import Base, with_word, word
from retrofit_desk.values.stated import Stated

if TYPE_CHECKING:
    from retrofit_desk.records.models.energy import Meter


class Units(StrEnum):
    US = "US customary"
    SI = "SI"


class Fuel(StrEnum):
    GAS = "natural gas"
    OIL = "heating oil"
    PROPANE = "propane"
    WOOD = "wood"
    ELECTRICITY = "electricity"


class WeatherKind(StrEnum):
    TYPICAL_YEAR = "typical year"
    FILE = "weather file"
    NORMALS = "typed normals"


class Certainty(StrEnum):
    ASSUMED = "assumed"
    FROM_PLANS = "from plans"
    FROM_LABEL = "from the label"
    FROM_PAPER = "from a paper"
    MEASURED = "measured"
    CALCULATED = "calculated"


class Site(Base):
    """The house's place; one row. `story_date`: the day the record is looked at from (None: today)."""

    __tablename__ = "site"
    name: Mapped[str]
    street: Mapped[str] = mapped_column(default="")
    unit: Mapped[str] = mapped_column(default="")
    city: Mapped[str] = mapped_column(default="")
    state: Mapped[str] = mapped_column(default="")
    postal_code: Mapped[str] = mapped_column(default="")
    county: Mapped[str] = mapped_column(default="")
    parcel: Mapped[str] = mapped_column(default="")
    latitude_deg: Mapped[float | None]
    longitude_deg: Mapped[float | None]
    elevation_m: Mapped[float | None]
    time_zone: Mapped[str] = mapped_column(default="")
    """IANA name, e.g. America/New_York."""
    year_built: Mapped[int | None] = with_word("year_built_is")
    year_built_is: Mapped[Stated] = word()
    floor_area_m2: Mapped[float | None] = with_word("floor_area_is")
    floor_area_is: Mapped[Stated] = word()
    occupants: Mapped[int | None] = with_word("occupants_is")
    occupants_is: Mapped[Stated] = word()
    household_income_share: Mapped[float | None] = with_word("household_income_share_is")
    """Household income over the area median; private, only for packets that need it."""
    household_income_share_is: Mapped[Stated] = word()
    design_heating_c: Mapped[float | None] = with_word("design_heating_is")
    design_heating_is: Mapped[Stated] = word()
    design_cooling_c: Mapped[float | None] = with_word("design_cooling_is")
    design_cooling_is: Mapped[Stated] = word()
    budget_cents: Mapped[int | None] = with_word("budget_is")
    """What the owner means to spend on all of it."""
    budget_is: Mapped[Stated] = word()
    contingency_percent: Mapped[float | None] = with_word("contingency_is")
    contingency_is: Mapped[Stated] = word()
    units: Mapped[Units] = mapped_column(default=Units.US)
    story_date: Mapped[date | None]
    notes: Mapped[str] = mapped_column(default="")


class HorizonPoint(Base):
    """Height of hills and houses around in one direction; none recorded: not looked at."""

    __tablename__ = "horizon_point"
    azimuth_deg: Mapped[float] = mapped_column(unique=True)
    """Clockwise from north."""
    altitude_deg: Mapped[float]


class TreeStand(Base):
    """Trees seen from the house, from one direction clockwise to another; without months it is evergreen."""

    __tablename__ = "tree_stand"
    name: Mapped[str]
    from_azimuth_deg: Mapped[float]
    to_azimuth_deg: Mapped[float]
    altitude_deg: Mapped[float]
    """Of their tops above level."""
    share_in_leaf: Mapped[float]
    """Of the sun that comes through."""
    share_bare: Mapped[float | None]
    leaf_from_month: Mapped[int | None]
    leaf_to_month: Mapped[int | None]
    """1 to 12, both in leaf; may go over the turn of the year."""
    source: Mapped[str] = mapped_column(default="")


class Owner(Base):
    __tablename__ = "owner"
    name: Mapped[str]
    legal_name: Mapped[str] = mapped_column(default="")
    phone: Mapped[str] = mapped_column(default="")
    email: Mapped[str] = mapped_column(default="")
    does_own_work: Mapped[bool] = mapped_column(default=False)


class HouseholdUse(Base):
    """What the family asks for, whatever the equipment; one row. Energies are by year."""

    __tablename__ = "household_use"
    hot_water_l_per_day: Mapped[float | None] = with_word("hot_water_is")
    """Mixed, at the tap temperature."""
    hot_water_is: Mapped[Stated] = word()
    hot_water_at_c: Mapped[float] = mapped_column(default=41.0)
    plug_kwh_per_year: Mapped[float | None] = with_word("plug_is")
    plug_is: Mapped[Stated] = word()
    light_kwh_per_year: Mapped[float | None] = with_word("light_is")
    light_is: Mapped[Stated] = word()
    cooking_useful_kwh_per_year: Mapped[float | None] = with_word("cooking_is")
    """Heat into the pan."""
    cooking_is: Mapped[Stated] = word()
    dryer_loads_per_year: Mapped[float | None] = with_word("dryer_is")
    dryer_is: Mapped[Stated] = word()
    car_km_per_year: Mapped[float | None] = with_word("car_is")
    car_is: Mapped[Stated] = word()
    source: Mapped[str] = mapped_column(default="")


class UtilityAccount(Base):
    """An account with a utility; its fixed charge ends only when it is closed."""

    __tablename__ = "utility_account"
    key: Mapped[str] = mapped_column(unique=True)
    utility: Mapped[str]
    fuel: Mapped[Fuel]
    account_number: Mapped[str] = mapped_column(default="")
    name_on_account: Mapped[str] = mapped_column(default="")
    service_address: Mapped[str] = mapped_column(default="")
    opened_on: Mapped[date | None]
    closed_on: Mapped[date | None]
    case_number: Mapped[str] = mapped_column(default="")
    meters: Mapped[list[Meter]] = relationship(back_populates="account")


class WeatherChoice(Base):
    """The weather the sums run on; the row in use has `in_use`."""

    __tablename__ = "weather_choice"
    kind: Mapped[WeatherKind]
    name: Mapped[str]
    station: Mapped[str] = mapped_column(default="")
    source: Mapped[str] = mapped_column(default="")
    paper_id: Mapped[int | None] = mapped_column(ForeignKey("paper.id"))
    """The weather file itself, filed among the papers."""
    in_use: Mapped[bool] = mapped_column(default=True)


class FactNote(Base):
    """Where one recorded value came from: table, row, column, how sure, source and date."""

    __tablename__ = "fact_note"
    __table_args__ = (UniqueConstraint("table", "row_id", "column", name="uq_fact_note_place"),)
    table: Mapped[str]
    row_id: Mapped[int]
    column: Mapped[str]
    certainty: Mapped[Certainty]
    source: Mapped[str] = mapped_column(default="")
    as_of: Mapped[date | None]
    low: Mapped[float | None]
    high: Mapped[float | None]
    paper_id: Mapped[int | None] = mapped_column(ForeignKey("paper.id"))
