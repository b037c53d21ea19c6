"""Which row of the fuel table stands for a fuel, by the unit it is billed in."""

from __future__ import annotations

from typing import get_args

from retrofit_desk.carbon.fuels import FuelFactor
from retrofit_desk.estimate.plant_from_records import FUELS
from retrofit_desk.physics.plant_machines import Fuel
from retrofit_desk.records import models as m
from retrofit_desk.records.tables import Tables
from retrofit_desk.values.errors import CannotSay

FUEL_ROWS: dict[Fuel, tuple[str, ...]] = {
    "gas": ("natural_gas", "natural_gas_ccf"),
    "oil": ("heating_oil",),
    "propane": ("propane",),
    "wood": ("cord_wood", "wood", "wood_pounds"),
    "electricity": (),
}
"""Electricity stands in no fuel table: it is counted in kWh, its carbon is the grid's."""
assert set(FUEL_ROWS) == set(get_args(Fuel))


def fuel_factor(tables: Tables, fuel: Fuel, unit: str) -> FuelFactor | None:
    """The factors of what is burned, by the unit that its bill counts in; None where it is not sold in it."""
    factors = (tables.fuel(row) for row in FUEL_ROWS[fuel])
    return next((factor for factor in factors if factor.unit == unit), None)


def kwh_of(tables: Tables, fuel: Fuel, unit: str) -> float | None:
    """Heat (higher heating value) or electricity in one billed unit; None where it is not sold in it."""
    if unit == m.EnergyUnit.KWH:
        return 1.0
    factor = fuel_factor(tables, fuel, unit)
    return None if factor is None else factor.kwh_per_unit


def kwh_per_unit(meter: m.Meter, tables: Tables) -> float:
    """The same for what a meter counts. Raises `CannotSay`."""
    found = kwh_of(tables, FUELS[meter.fuel], meter.unit)
    if found is None:
        raise CannotSay("what the bills count", f"{meter.name} billed in another unit than {meter.unit}")
    return found
