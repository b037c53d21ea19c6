"""Carbon of grid power: yearly rates, a grid that changes by the year, rates by the hour."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.carbon.gases import PotentialSet
from retrofit_desk.values.origin import Origin

KG_PER_LB = 0.45359237
MONTHS, HOURS_A_DAY = 12, 24
DAYS_IN_MONTH = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


@dataclass(frozen=True)
class GridFactor:
    """Output rates of one grid subregion. Methane and nitrous oxide are lb/MWh here, not lb/GWh."""

    region: str
    name: str
    co2_lb_mwh: float
    ch4_lb_mwh: float
    n2o_lb_mwh: float
    origin: Origin

    def co2e_kg_kwh(self, potentials: PotentialSet, line_loss_share: float = 0.0) -> float:
        """kg CO2e per kWh at the meter; divided by what the lines let through."""
        pounds = (
            self.co2_lb_mwh + potentials.of("ch4") * self.ch4_lb_mwh + potentials.of("n2o") * self.n2o_lb_mwh
        )
        return pounds * KG_PER_LB / 1000 / (1 - line_loss_share)


@dataclass(frozen=True)
class GridPath:
    """A first-year rate that falls by a constant share each year; share 0 is a frozen grid."""

    first_year_kg_kwh: float
    falls_by_share: float = 0.0

    def shares(self, years: int) -> tuple[float, ...]:
        """Of the first year's carbon, in year 1, 2 ...; the first year is whole."""
        return tuple(float((1 - self.falls_by_share) ** year) for year in range(years))


@dataclass(frozen=True)
class GridHours:
    """How a grid's rate goes over day and year: 12 rows of 24 hours of standard time, from 00:00-01:00.

    Only their proportions count; the yearly rate of the region stays the mean of the year.
    """

    region: str
    by_month: tuple[tuple[float, ...], ...]
    origin: Origin

    def __post_init__(self) -> None:
        if len(self.by_month) != MONTHS or any(len(row) != HOURS_A_DAY for row in self.by_month):
            raise ValueError(f"{self.region}: needs 12 months of 24 hours")
        if min(min(row) for row in self.by_month) < 0 or not any(map(any, self.by_month)):
            raise ValueError(f"{self.region}: rates must not be below 0, nor all 0")

    @cached_property
    def shape(self) -> NDArray[np.float64]:
        """(8760,), hour by hour."""
        days = [np.tile(row, count) for row, count in zip(self.by_month, DAYS_IN_MONTH, strict=True)]
        return np.concatenate(days).astype(float)


def power_carbon_kg(kwh: NDArray[np.float64], grid: GridPath, hours: GridHours | None) -> float:
    """First-year carbon of hourly use, (8760,): at one rate, or hour by hour where those are known."""
    if hours is None:
        return float(kwh.sum()) * grid.first_year_kg_kwh
    return hourly_carbon_kg(kwh, hourly_rates(grid.first_year_kg_kwh, hours.shape))


def hourly_carbon_kg(kwh: NDArray[np.float64], rate_kg_kwh: NDArray[np.float64]) -> float:
    """Carbon of hourly use at hourly rates, both (hours,). Raises `ValueError` when they do not match."""
    if kwh.shape != rate_kg_kwh.shape:
        raise ValueError("hours of use and hours of rates differ")
    return float(kwh @ rate_kg_kwh)


def hourly_rates(mean_kg_kwh: float, shape: NDArray[np.float64]) -> NDArray[np.float64]:
    """Hourly rates in the proportions of `shape` with the stated mean."""
    return shape * (mean_kg_kwh / float(shape.mean()))


def break_even_cop(grid_kg_kwh: float, fuel_kg_kwh: float, fuel_efficiency: float) -> float:
    """The seasonal COP above which a heat pump emits less than burning the fuel."""
    return grid_kg_kwh / (fuel_kg_kwh / fuel_efficiency)
