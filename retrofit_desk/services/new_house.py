"""A new house from floor area, year, bills and a few choices; all the rest is assumed until stated."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models import Certainty, Fuel
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import Tables
from retrofit_desk.services.house_eras import Era, era_of
from retrofit_desk.services.new_house_fabric import Fabric, Foundation, fabric_of
from retrofit_desk.services.new_house_ideas import first_ideas
from retrofit_desk.services.new_house_plant import Heating, HotWater, machines, panel
from retrofit_desk.services.new_house_tariffs import average_of_bills, average_of_state, write_tariff
from retrofit_desk.services.panel import SQUARE_FOOT_M2
from retrofit_desk.services.weather import SHIPPED_STATION
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.stated import StatedValue

if TYPE_CHECKING:
    from retrofit_desk.physics.weather import WeatherYear

__all__ = ["Foundation", "Heating", "HotWater", "NewHouse", "YearOfBills", "describe_new_house"]

# What a family uses where nothing was measured; common practice, no source
HOT_WATER_L_PERSON_DAY, PLUG_KWH_PERSON, LIGHT_KWH_M2 = 60.0, 900.0, 6.0
COOKING_KWH_PERSON, DRYER_LOADS_PERSON = 60.0, 60.0
PERSON_W, SHARE_OF_PLUGS_INSIDE = 50.0, 0.85
SHIPPED_NAME = "Greensboro, typical year"
YEAR = timedelta(days=365)


class CannotDescribe(DeskError):
    """An answer cannot be so."""


@dataclass(frozen=True)
class YearOfBills:
    """A year's use and cost of one meter; gas in therms, oil and propane in gallons, electricity in kWh."""

    quantity: StatedValue[float]
    cost_cents: StatedValue[int]


@dataclass(frozen=True)
class NewHouse:
    """The answers. `main_breaker_a` None: no panel is recorded yet. `weather_file` None: the shipped year."""

    name: str
    city: str
    state: str
    floor_area_m2: float
    year_built: int
    storeys: int
    foundation: Foundation
    people: int
    heating: Heating
    hot_water: HotWater
    cooks_with_gas: bool
    has_cooling: bool
    fuel_bills: YearOfBills | None
    electricity_bills: YearOfBills
    main_breaker_a: float | None = None
    weather_file: Path | None = None


def describe_new_house(folder: Path, answers: NewHouse, today: date) -> Project:
    """Make the project, record the house, and leave it open; a failure leaves nothing behind.

    Raises `CannotDescribe`, `NoSuchEra`, `BadWeather`, and as `Project.create`.
    """
    _check(answers, today)
    era = era_of(answers.year_built)
    weather = _weather(answers.weather_file)
    project = Project.create(folder)
    try:
        with project.action("Describe a new house", kind=m.ActionKind.GIVEN) as work:
            _record(work.session, project.own_tables, answers, era, weather, today)
        if answers.weather_file is not None:
            from retrofit_desk.services.read_in import read_in

            read_in(project, answers.weather_file, kind="weather")
    except BaseException:
        project.close()
        shutil.rmtree(project.path, ignore_errors=True)
        raise
    return project


def _check(answers: NewHouse, today: date) -> None:
    for words, value in (
        ("Floor area", answers.floor_area_m2),
        ("People", answers.people),
        ("Stories", answers.storeys),
    ):
        if value <= 0:
            raise CannotDescribe("this must be more than 0", where=words, do="type it again")
    if answers.year_built > today.year:
        raise CannotDescribe(f"{answers.year_built} has not come yet", where="Year built", do="type it again")


def _weather(file: Path | None) -> WeatherYear:
    from retrofit_desk.exchange.weather import greensboro, read_weather

    return greensboro() if file is None else read_weather(file)


def _record(
    session: Session, tables: Path, answers: NewHouse, era: Era, weather: WeatherYear, today: date
) -> None:
    use = _use(answers)
    gain = (
        PERSON_W * answers.people
        + SHARE_OF_PLUGS_INSIDE
        * ((use.plug_kwh_per_year or 0.0) + (use.light_kwh_per_year or 0.0))
        * 1000.0
        / 8760.0
    )
    fabric = fabric_of(
        answers.floor_area_m2, answers.storeys, answers.foundation, era, gain, answers.has_cooling
    )
    test = _leakage(fabric, era, today)
    rows: list[m.Base] = [_site(answers, weather), use, *fabric.storeys, test]
    if answers.weather_file is None:
        rows.append(_shipped_weather(weather))
    rooms = [room for storey in fabric.storeys for room in storey.rooms]
    plant = machines(
        answers.heating, answers.hot_water, answers.cooks_with_gas, answers.has_cooling, era, rooms
    )
    rows += plant
    if answers.main_breaker_a is not None:
        rows.append(panel(answers.main_breaker_a, plant, answers.floor_area_m2 / SQUARE_FOOT_M2))
    meters = _meters(answers, tables, today)
    account = next((one.account for one in meters if one.fuel is Fuel.GAS), None)
    rows += meters
    session.add_all(rows)
    session.flush()
    ideas = first_ideas(rooms, plant, test, account.key if account is not None else "", today)
    session.add_all([*ideas, *_notes(fabric, rows, era, today)])


def _site(answers: NewHouse, weather: WeatherYear) -> m.Site:
    from retrofit_desk.physics.loads import design_temperature_c

    return m.Site(
        name=answers.name,
        city=answers.city,
        state=answers.state,
        latitude_deg=weather.latitude_deg,
        longitude_deg=weather.longitude_deg,
        elevation_m=weather.elevation_m,
        year_built=answers.year_built,
        floor_area_m2=answers.floor_area_m2,
        occupants=answers.people,
        design_heating_c=round(design_temperature_c(weather.temp_c, 0.99), 1),
        design_cooling_c=round(design_temperature_c(weather.temp_c, 0.01), 1),
    )


def _use(answers: NewHouse) -> m.HouseholdUse:
    people = answers.people
    return m.HouseholdUse(
        hot_water_l_per_day=HOT_WATER_L_PERSON_DAY * people,
        plug_kwh_per_year=PLUG_KWH_PERSON * people,
        light_kwh_per_year=LIGHT_KWH_M2 * answers.floor_area_m2,
        cooking_useful_kwh_per_year=COOKING_KWH_PERSON * people,
        dryer_loads_per_year=DRYER_LOADS_PERSON * people,
        car_km_per_year=0.0,
        source="Assumed by the number of people and the floor area; common practice, no source",
    )


def _shipped_weather(weather: WeatherYear) -> m.WeatherChoice:
    return m.WeatherChoice(
        kind=m.WeatherKind.TYPICAL_YEAR,
        name=SHIPPED_NAME,
        station=SHIPPED_STATION,
        source=weather.source,
    )


def _leakage(fabric: Fabric, era: Era, today: date) -> m.LeakageTest:
    return m.LeakageTest(
        tested_on=today,
        flow_50pa_m3_s=era.ach50_per_h * fabric.volume_m3 / 3600.0,
        volume_m3=fabric.volume_m3,
        house_version="not tested yet",
        notes="No test was made. The flow is assumed by the age of the house; record a blower-door test.",
    )


UNITS = {
    Fuel.ELECTRICITY: m.EnergyUnit.KWH,
    Fuel.GAS: m.EnergyUnit.THERM,
    Fuel.OIL: m.EnergyUnit.GALLON,
    Fuel.PROPANE: m.EnergyUnit.GALLON,
}


def _meters(answers: NewHouse, tables: Path, today: date) -> list[m.Meter]:
    """A meter for electricity and one for each fuel that is burned, each with its year of bills."""
    found = {Fuel.ELECTRICITY: ("Electric meter", answers.electricity_bills)}
    if answers.fuel_bills is not None:
        fuel = answers.heating.fuel if answers.heating is not Heating.ELECTRIC else Fuel.GAS
        name = "Gas meter" if fuel is Fuel.GAS else f"{str(fuel).capitalize()} tank"
        found[fuel] = (name, answers.fuel_bills)
    return [_meter(fuel, name, bills, answers.state, tables, today) for fuel, (name, bills) in found.items()]


def _meter(fuel: Fuel, name: str, bills: YearOfBills, state: str, tables: Path, today: date) -> m.Meter:
    key = name.lower().replace(" ", "-")
    quantity, cost = bills.quantity.value, bills.cost_cents.value
    if quantity and cost is not None:
        price = average_of_bills(quantity, cost)
    else:
        price = average_of_state(fuel, state, Tables())
    write_tariff(tables / "tariffs", f"{key}-average", f"{name}, average price", UNITS[fuel], price, today)
    bill = m.Bill(period_start=today - YEAR, period_end=today)
    bill.set_stated("quantity", bills.quantity)
    bill.set_stated("cost_cents", bills.cost_cents)
    return m.Meter(
        key=key,
        name=name,
        fuel=fuel,
        unit=UNITS[fuel],
        bills=[bill],
        account=m.UtilityAccount(key=f"{key}-account", utility="", fuel=fuel),
        tariffs=[m.TariffChoice(tariff_key=f"{key}-average", starts_on=today - YEAR, source=price.source)],
    )


ASSUMED: dict[str, tuple[str, ...]] = {
    "room": ("height_m", "heating_set_point_c", "cooling_set_point_c", "internal_gain_w"),
    "surface": ("area_m2", "azimuth_deg", "construction_id"),
    "opening": ("u_value_w_m2k", "shgc", "width_m", "height_m", "count", "panes"),
    "construction": ("layers",),
    "leakage_test": ("flow_50pa_m3_s",),
    "household_use": (
        "hot_water_l_per_day",
        "plug_kwh_per_year",
        "light_kwh_per_year",
        "cooking_useful_kwh_per_year",
        "dryer_loads_per_year",
    ),
    "panel_load": ("volt_amperes",),
    "equipment": ("heating_capacity_w", "cooling_capacity_w", "details"),
    "site": ("design_heating_c", "design_cooling_c"),
}


def _notes(fabric: Fabric, rows: list[m.Base], era: Era, today: date) -> list[m.FactNote]:
    """Every assumed value is marked as such, with why."""
    rooms = [room for storey in fabric.storeys for room in storey.rooms]
    surfaces = [surface for room in rooms for surface in room.surfaces]
    openings = [opening for surface in surfaces for opening in surface.openings]
    constructions = {id(one.construction): one.construction for one in surfaces if one.construction}
    every: list[m.Base] = [*rows, *rooms, *surfaces, *openings, *constructions.values()]
    return [
        m.FactNote(
            table=row.__tablename__,
            row_id=row.id,
            column=column,
            certainty=Certainty.CALCULATED if row.__tablename__ == "site" else Certainty.ASSUMED,
            source="from the typical year" if row.__tablename__ == "site" else era.words,
            as_of=today,
        )
        for row in every
        for column in ASSUMED.get(row.__tablename__, ())
        if column in ("layers", "details") or getattr(row, column) is not None
    ]
