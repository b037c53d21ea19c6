"""A house known only by its description: its year of weather, its plant, its bills."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from retrofit_desk.physics.plant_machines import FUELS, Fuel
from retrofit_desk.values.errors import CannotSay, DeskError

if TYPE_CHECKING:
    from retrofit_desk.estimate.scenario import FuelTerms
    from retrofit_desk.exchange.plant_report import NamedBill
    from retrofit_desk.physics.description import House
    from retrofit_desk.physics.plant_results import PlantYear
    from retrofit_desk.physics.results import YearResult
    from retrofit_desk.physics.weather import WeatherYear
    from retrofit_desk.services.described_carbon import DescribedCarbon


class BeyondReckoning(DeskError):
    """Numbers that each may be, but together drive the sums out of all bounds."""


class BadTariffName(DeskError):
    """A tariff that is not named as FUEL=FILE."""


@dataclass(frozen=True, eq=False)
class DescribedYear:
    """A year of a described house; `plant` is None where the description has none."""

    house: House
    weather: WeatherYear
    year: YearResult
    plant: PlantYear | None
    bills: tuple[NamedBill, ...]
    unpriced: tuple[Fuel, ...]
    carbon: DescribedCarbon | None = None


def run_described(
    house: House,
    weather: WeatherYear,
    tariffs: Sequence[str] = (),
    grid_region: str | None = None,
    tables_folder: Path | None = None,
) -> DescribedYear:
    """Run fabric, loads, plant and bills; `tariffs` are named as FUEL=FILE, carbon by a grid's region.

    Raises `CannotSay` where a bill needs what is not stated, `BeyondReckoning` where numbers run away.
    """
    prices = tuple(_terms(one) for one in tariffs)
    _check_prices(house, prices)
    if grid_region and house.plant is None:
        raise CannotSay("the carbon in use", "a plant in the house description")
    year = _run(house, weather)
    if house.plant is None or house.household is None:
        return DescribedYear(house, weather, year, None, (), ())
    from retrofit_desk.carbon.grid import GridPath
    from retrofit_desk.estimate.scenario import Terms, cost_year, energy_year
    from retrofit_desk.exchange.plant_report import NamedBill
    from retrofit_desk.physics.plant import run_plant
    from retrofit_desk.physics.plant_results import loads_of
    from retrofit_desk.services.described_carbon import described_carbon

    plant = run_plant(house.plant, house.household, loads_of(year, weather), weather, house.site)
    if not all(np.isfinite(use.power_w).all() for use in plant.uses):
        raise BeyondReckoning("the plant's numbers give no finite energy", where=house.name, do=_LOOK)
    no_carbon_asked = GridPath(0.0, 0.0)
    cost = cost_year(energy_year(plant), frozenset(), Terms(prices, no_carbon_asked))
    names = {one.fuel: one.tariff.name for one in prices}
    bills = tuple(NamedBill(fuel, names[fuel], bill) for fuel, bill in cost.bills)
    carbon = described_carbon(plant, grid_region, tables_folder) if grid_region else None
    return DescribedYear(house, weather, year, plant, bills, cost.unpriced, carbon)


_LOOK = "look for a value in the wrong unit"


def _run(house: House, weather: WeatherYear) -> YearResult:
    from retrofit_desk.physics.engine import run_year

    try:
        with np.errstate(all="ignore"):
            year = run_year(house, weather)
    except (np.linalg.LinAlgError, OverflowError, ZeroDivisionError) as cause:
        raise BeyondReckoning(
            "the numbers of this house cannot be reckoned with", where=house.name, do=_LOOK
        ) from cause
    parts = [a for zone in year.zones for a in (zone.air_c, zone.heating_w, zone.cooling_w)]
    if not all(np.isfinite(part).all() for part in parts):
        raise BeyondReckoning("the numbers of this house give no finite year", where=house.name, do=_LOOK)
    return year


def _check_prices(house: House, prices: Sequence[FuelTerms]) -> None:
    if prices and house.plant is None:
        raise CannotSay("the bills", "a plant in the house description")
    named = [one.fuel for one in prices]
    for fuel in named:
        if named.count(fuel) > 1:
            raise BadTariffName(f"{fuel} has two tariffs", do="name one tariff for each fuel")


def _terms(named: str) -> FuelTerms:
    from retrofit_desk.estimate.scenario import FuelTerms
    from retrofit_desk.records.tables import Tables
    from retrofit_desk.records.tariff_files import read_tariff
    from retrofit_desk.services.fuel_rows import kwh_of

    word, _, name = named.partition("=")
    fuel = next((one for one in FUELS if one == word), None)
    if fuel is None or not name:
        raise BadTariffName(
            f"'{named}' does not name a fuel and its tariff",
            do=f"write FUEL=FILE, FUEL one of {', '.join(FUELS)}",
        )
    tariff = read_tariff(Path(name))
    per_unit = kwh_of(Tables(), fuel, tariff.unit)
    if per_unit is None:
        subject, needs = f"a bill for {fuel} by the {tariff.unit}", "a unit that this fuel is sold in"
        raise CannotSay(subject, f"a tariff in {needs}", where=name)
    return FuelTerms(fuel, tariff, per_unit, 0.0)
