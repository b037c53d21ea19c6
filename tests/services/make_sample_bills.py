"""Writes the sample house's bills anew from the engine's year, with the unevenness of a real family.

    .venv/bin/python tests/services/make_sample_bills.py

Each day takes the use of the typical year's same day in the house as it stood then: as found, then sealed,
then with the filled slopes, then with the new water heater and the range. A week away and a bill's own
scatter come on top; the seed is fixed, so that the same engine writes the same bills. The last year's
electricity is written by the hour too.
"""

from __future__ import annotations

import csv
import itertools
import random
import tempfile
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
from sqlalchemy import select

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.from_records import case_of
from retrofit_desk.estimate.measures import kinds
from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.money.bills import bill_month, plain_use
from retrofit_desk.physics.engine import run_year
from retrofit_desk.physics.plant import run_plant
from retrofit_desk.physics.plant_machines import Fuel
from retrofit_desk.physics.plant_results import PlantYear, loads_of
from retrofit_desk.physics.weather import WeatherYear
from retrofit_desk.records import models as m
from retrofit_desk.records.shipped import shipped_folder
from retrofit_desk.records.tariff_files import read_tariff
from retrofit_desk.services.sample import GREENSBORO, SampleHouse, make_sample

SEED = 1964
SCATTER = 0.025
AWAY_SHARE = 0.65
"""Use on a day when nobody is at home, against a usual day."""
KWH_PER_THERM = 29.30011
"""US therm."""
CHANGES = (
    (date(2024, 1, 1), ()),
    (date(2025, 10, 24), ("air-sealing",)),
    (date(2026, 9, 11), ("attic-slopes",)),
    (date(2026, 10, 9), ("water-heater",)),
)
READINGS = [date(2024, 11, 4) + timedelta(days=round(30.4375 * month)) for month in range(25)]
AWAY = {9: 9, 21: 9}
"""Bill number -> days away."""
ESTIMATED = {"gas": 15}
ESTIMATED_SHARE = 1.08
"""An estimated bill runs high, and the next reading sets it right."""
HOURS_FILE, HOURS_FROM_BILL = "electric_hours.csv", 12
"""The electric meter's own hours, from this bill on: a line for each day, 23 to 25 columns of it filled."""
HOUR_SCATTER, MOST_HOURS = 0.15, 25
ZONE = ZoneInfo("America/New_York")
STANDARD_OFFSET_H = -5


@dataclass(frozen=True)
class Meter:
    fuel: Fuel
    file: str
    tariff: str
    unit: str
    kwh_per_unit: float
    digits: int


METERS = (
    Meter("gas", "gas_bills.csv", "haw-bend-residential-gas", "therm", KWH_PER_THERM, 1),
    Meter("electricity", "electric_bills.csv", "carraway-residential", "kWh", 1.0, 0),
)


def year_of(case: HouseCase, weather: WeatherYear) -> PlantYear:
    """The plant's typical year."""
    return run_plant(case.plant, case.use, loads_of(run_year(case.house, weather), weather), weather)


def daily_kwh(year: PlantYear, fuel: Fuel) -> np.ndarray:
    """365 sums of the typical year."""
    return year.hourly_w(fuel).reshape(365, 24).sum(axis=1) / 1000.0


Changes = tuple[tuple[date, tuple[str, ...]], ...]


def cases(house: SampleHouse, changes: Changes) -> list[tuple[date, HouseCase]]:
    """The house from each day on; `changes`: what was in place from when."""
    with (
        tempfile.TemporaryDirectory() as folder,
        make_sample(Path(folder) / "house", house) as project,
        project.session() as session,
    ):
        case = case_of(session)
        inputs = {row.key: (row.kind, row.inputs) for row in session.scalars(select(m.Measure))}
    steps = []
    for since, keys in changes:
        for key in keys:
            kind, facts = inputs[key]
            known = kinds()[kind]
            case = known.apply(case, known.inputs.model_validate(facts))
        steps.append((since, case))
    return steps


def rows(meter: Meter, steps: list[tuple[date, PlantYear]]) -> list[list[str]]:
    """The table of one meter."""
    chance = random.Random(f"{SEED} {meter.fuel}")
    by_day = [(since, daily_kwh(year, meter.fuel)) for since, year in steps]
    tariff = read_tariff(shipped_folder("shared") / "tariffs" / f"{meter.tariff}.toml")
    table, owed = [], 0.0
    for number, (start, end) in enumerate(itertools.pairwise(READINGS)):
        days = [start + timedelta(days=day) for day in range((end - start).days)]
        away = AWAY.get(number, 0)
        used = sum(of_day(by_day, day) * (AWAY_SHARE if at < away else 1.0) for at, day in enumerate(days))
        used = used * chance.gauss(1.0, SCATTER) / meter.kwh_per_unit + owed
        is_estimated = ESTIMATED.get(meter.fuel) == number
        billed = round(used * (ESTIMATED_SHARE if is_estimated else 1.0), meter.digits)
        owed = used - billed if is_estimated else 0.0
        middle = start + (end - start) / 2
        bill = bill_month(tariff, plain_use(tariff, middle.month, len(days), Decimal(str(billed))))
        kind = "estimated" if is_estimated else "read"
        cost = Decimal(bill.total_cents) / 100
        table.append(
            [str(start), str(end), f"{billed:.{meter.digits}f}", meter.unit, f"{cost:.2f}", kind, str(away)]
        )
    return table


def of_day(by_day: list[tuple[date, np.ndarray]], day: date) -> float:
    use = [values for since, values in by_day if since <= day][-1]
    return float(use[min(day.timetuple().tm_yday, 365) - 1])


def hours(steps: list[tuple[date, PlantYear]], table: list[list[str]]) -> list[list[str]]:
    """Each day's hours as the meter gave them out: those of the same bill add up to it."""
    chance = random.Random(f"{SEED} hours")
    by_day = [(since, year.hourly_w("electricity") / 1000.0) for since, year in steps]
    lines = []
    for row in table[HOURS_FROM_BILL:]:
        start, end, billed = date.fromisoformat(row[0]), date.fromisoformat(row[1]), float(row[2])
        days = [start + timedelta(days=at) for at in range((end - start).days)]
        used = [
            [_of_hour(by_day, moment) * max(chance.gauss(1.0, HOUR_SCATTER), 0.3) for moment in _moments(day)]
            for day in days
        ]
        share = billed / sum(map(sum, used))
        for day, values in zip(days, used, strict=True):
            cells = [f"{value * share:.3f}" for value in values]
            lines.append([str(day), "kWh", *cells, *[""] * (MOST_HOURS - len(cells))])
    return lines


def _moments(day: date) -> list[datetime]:
    """The starts of the hours of a day in Greensboro: 23, 24 or 25."""
    start, end = (
        datetime(one.year, one.month, one.day, tzinfo=ZONE).astimezone(UTC)
        for one in (day, day + timedelta(days=1))
    )
    return [start + timedelta(hours=at) for at in range(round((end - start).total_seconds() / 3600))]


def _of_hour(by_day: list[tuple[date, np.ndarray]], moment: datetime) -> float:
    standard = moment + timedelta(hours=STANDARD_OFFSET_H)
    day = standard.date()
    year = [values for since, values in by_day if since <= day][-1]
    return float(year[(min(day.timetuple().tm_yday, 365) - 1) * 24 + standard.hour])


def main() -> None:
    weather = greensboro()
    steps = [(since, year_of(case, weather)) for since, case in cases(GREENSBORO, CHANGES)]
    for meter in METERS:
        table = rows(meter, steps)
        write_bills(GREENSBORO.folder / meter.file, table)
        if meter.fuel == "electricity":
            write_hours(hours(steps, table))


def write_bills(path: Path, table: list[list[str]]) -> None:
    with path.open("w", newline="", encoding="utf-8") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(["period_start", "period_end", "quantity", "unit", "cost", "kind", "days_away"])
        out.writerows(table)


def write_hours(lines: list[list[str]]) -> None:
    path = shipped_folder("assets") / "sample_house" / HOURS_FILE
    with path.open("w", newline="", encoding="utf-8") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(["Usage date", "Unit", *(f"Hour {number}" for number in range(1, MOST_HOURS + 1))])
        out.writerows(lines)


if __name__ == "__main__":
    main()
