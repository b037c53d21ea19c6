"""Carbon of a described house's year: what it burns, and what it draws from a named grid by the hour."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from retrofit_desk.carbon.grid import GridPath, power_carbon_kg
from retrofit_desk.records.tables import Tables
from retrofit_desk.services.fuel_rows import FUEL_ROWS
from retrofit_desk.services.worth import LINE_LOSS

if TYPE_CHECKING:
    from retrofit_desk.physics.plant_results import PlantYear


@dataclass(frozen=True)
class DescribedCarbon:
    """kg CO2e of one year in use; `by_hour`: the grid's hours are known and were used."""

    region: str
    by_hour: bool
    fuel_kg: float
    power_kg: float
    power_at_one_rate_kg: float
    sources: tuple[str, ...]


def described_carbon(plant: PlantYear, region: str, tables_folder: Path | None) -> DescribedCarbon:
    """By the tables of the program, or the owner's own of the same name. Raises `NotInTable`."""
    tables = Tables(tables_folder)
    potentials, grid = tables.potentials(), tables.grid_region(region)
    hours = tables.grid_hours(region)
    sources = [f"carbon of the grid, {grid.name}: {grid.origin.line}"]
    if hours is not None:
        sources.append(f"hours of the grid, {grid.name}: {hours.origin.line}")
    fuel_kg = 0.0
    for fuel in dict.fromkeys(use.fuel for use in plant.uses):
        if fuel != "electricity":
            factor = tables.fuel(FUEL_ROWS[fuel][0])
            fuel_kg += float(plant.hourly_w(fuel).sum()) / 1000.0 * factor.co2e_kg_per_kwh(potentials)
            sources.append(f"carbon of {factor.name}: {factor.origin.line}")
    drawn_kwh, path = plant.flows.import_w / 1000.0, GridPath(grid.co2e_kg_kwh(potentials, LINE_LOSS))
    return DescribedCarbon(
        region=region,
        by_hour=hours is not None,
        fuel_kg=fuel_kg,
        power_kg=power_carbon_kg(drawn_kwh, path, hours),
        power_at_one_rate_kg=power_carbon_kg(drawn_kwh, path, None),
        sources=tuple(sources),
    )
