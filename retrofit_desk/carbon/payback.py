"""When the carbon put in is back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from retrofit_desk.carbon.grid import GridPath


@dataclass(frozen=True)
class CarbonReturn:
    """`payback_years` is none when it never comes back within the years looked at."""

    payback_years: float | None
    net_avoided_kg: float
    years: int


def avoided_by_year_kg(
    fuel_avoided_kg: float, power_added_kg: float, grid: GridPath, years: int
) -> tuple[float, ...]:
    """Carbon avoided in each year: fuel no longer burned less power added, which falls with the grid.

    `power_added_kg`: of the first year.
    """
    return tuple(fuel_avoided_kg - power_added_kg * share for share in grid.shares(years))


def carbon_return(put_in_kg: float, avoided_kg: Sequence[float]) -> CarbonReturn:
    """Years until the carbon put in (A1-A5 and installation leak) is avoided, linear within a year."""
    left = put_in_kg
    payback: float | None = 0.0 if left <= 0 else None
    for year, avoided in enumerate(avoided_kg):
        if payback is None and avoided > 0 and avoided >= left:
            payback = year + left / avoided
        left -= avoided
    return CarbonReturn(payback, sum(avoided_kg) - put_in_kg, len(avoided_kg))
