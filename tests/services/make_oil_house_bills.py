"""Writes the oil house's fills and bills anew from the engine's year.

    .venv/bin/python -m tests.services.make_oil_house_bills

A fill brings the tank to its top again, so each tells what was burned since the one before. The boat comes
when it can: between a quarter and a half of the tank is left. The seed is fixed.
"""

from __future__ import annotations

import itertools
import random
from datetime import date, timedelta
from decimal import Decimal

from retrofit_desk.exchange.weather import sand_point
from retrofit_desk.money.bills import bill_month, plain_use
from retrofit_desk.physics.plant_results import PlantYear
from retrofit_desk.records.shipped import shipped_folder
from retrofit_desk.records.tariff_files import read_tariff
from retrofit_desk.services.sample import SAND_POINT
from tests.services.make_sample_bills import cases, daily_kwh, of_day, write_bills, year_of

SEED = 1948
SCATTER = 0.03
KWH_PER_GALLON = 40.4438
"""Heating oil No. 2, 0.138 MMBtu a gallon: 40 CFR 98, table C-1."""
TANK_GAL, FIRST, LAST = 300.0, date(2024, 9, 20), date(2026, 10, 10)
CHANGES = ((date(2024, 1, 1), ()), (date(2026, 9, 24), ("air-sealing",)))


def fills(steps: list[tuple[date, PlantYear]]) -> list[list[str]]:
    """One line a fill: what was burned since the tank was full."""
    chance = random.Random(f"{SEED} oil")
    by_day = [(since, daily_kwh(year, "oil")) for since, year in steps]
    price = read_tariff(shipped_folder("shared") / "tariffs" / "ebbing-fuel-dock-oil.toml")
    table, start, burned, day = [], FIRST, 0.0, FIRST
    comes_at = TANK_GAL * chance.uniform(0.5, 0.75)
    while day < LAST:
        burned += of_day(by_day, day) / KWH_PER_GALLON * chance.gauss(1.0, SCATTER)
        day += timedelta(days=1)
        if burned >= comes_at:
            gallons = Decimal(f"{burned:.1f}")
            cost = Decimal(bill_month(price, plain_use(price, day.month, 30, gallons)).total_cents) / 100
            table.append([str(start), str(day), f"{gallons}", "gal", f"{cost:.2f}", "delivery", "0"])
            start, burned, comes_at = day, 0.0, TANK_GAL * chance.uniform(0.5, 0.75)
    return table


def readings(steps: list[tuple[date, PlantYear]]) -> list[list[str]]:
    """The electric meter, each month."""
    chance = random.Random(f"{SEED} electricity")
    by_day = [(since, daily_kwh(year, "electricity")) for since, year in steps]
    price = read_tariff(shipped_folder("shared") / "tariffs" / "tern-harbor-residential.toml")
    read_on = [FIRST + timedelta(days=round(30.4375 * month)) for month in range(25)]
    table = []
    for start, end in itertools.pairwise(read_on):
        days = [start + timedelta(days=at) for at in range((end - start).days)]
        used = round(sum(of_day(by_day, day) for day in days) * chance.gauss(1.0, SCATTER))
        bill = bill_month(price, plain_use(price, start.month, len(days), Decimal(used)))
        cost = Decimal(bill.total_cents) / 100
        table.append([str(start), str(end), str(used), "kWh", f"{cost:.2f}", "read", "0"])
    return table


def main() -> None:
    weather = sand_point()
    steps = [(since, year_of(case, weather)) for since, case in cases(SAND_POINT, CHANGES)]
    write_bills(SAND_POINT.folder / "oil_fills.csv", fills(steps))
    write_bills(SAND_POINT.folder / "electric_bills.csv", readings(steps))


if __name__ == "__main__":
    main()
