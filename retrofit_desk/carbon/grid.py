"""Carbon of grid power: yearly rates, a grid that changes by the year, rates by the hour."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from retrofit_desk.carbon.gases import PotentialSet
from retrofit_desk.values.origin import Origin

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

KG_PER_LB = 0.45359237


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

    def rate_kg_kwh(self, year: int) -> float:
        """Rate in year 1, 2 ...; the first year is whole."""
        return float(self.first_year_kg_kwh * (1 - self.falls_by_share) ** (year - 1))

    def rates_kg_kwh(self, years: int) -> tuple[float, ...]:
        return tuple(self.rate_kg_kwh(year) for year in range(1, years + 1))


def hourly_carbon_kg(kwh: NDArray[np.float64], rate_kg_kwh: NDArray[np.float64]) -> float:
    """Carbon of hourly use at hourly rates, both (hours,). Raises `ValueError` when they do not match."""
    if kwh.shape != rate_kg_kwh.shape:
        raise ValueError("hours of use and hours of rates differ")
    return float(kwh @ rate_kg_kwh)


def hourly_rates(
    mean_kg_kwh: float, shape: NDArray[np.float64], kwh: NDArray[np.float64] | None = None
) -> NDArray[np.float64]:
    """Hourly rates in the proportions of `shape` with the stated mean, weighted by `kwh` if given."""
    mean = float(shape.mean() if kwh is None else shape @ kwh / kwh.sum())
    return shape * (mean_kg_kwh / mean)


def break_even_cop(grid_kg_kwh: float, fuel_kg_kwh: float, fuel_efficiency: float) -> float:
    """The seasonal COP above which a heat pump emits less than burning the fuel."""
    return grid_kg_kwh / (fuel_kg_kwh / fuel_efficiency)
