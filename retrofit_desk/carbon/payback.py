"""When the carbon put in is back, and what delay is worth on a fixed horizon."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp

from retrofit_desk.carbon.grid import GridPath


@dataclass(frozen=True)
class CarbonReturn:
    """`payback_years` is none when it never comes back within the years looked at."""

    payback_years: float | None
    net_avoided_kg: float
    years: int


def avoided_by_year_kg(
    fuel_avoided_kg: float, electricity_added_kwh: float, grid: GridPath, years: int
) -> tuple[float, ...]:
    """Carbon avoided in each year: fuel no longer burned less power added at that year's rate."""
    return tuple(fuel_avoided_kg - electricity_added_kwh * rate for rate in grid.rates_kg_kwh(years))


def carbon_return(put_in_kg: float, avoided_kg: Sequence[float]) -> CarbonReturn:
    """Years until the carbon put in (A1-A5 and installation leak) is avoided, linear within a year."""
    left = put_in_kg
    payback: float | None = 0.0 if left <= 0 else None
    for year, avoided in enumerate(avoided_kg):
        if payback is None and avoided > 0 and avoided >= left:
            payback = year + left / avoided
        left -= avoided
    return CarbonReturn(payback, sum(avoided_kg) - put_in_kg, len(avoided_kg))


# Response of the air to a pulse of CO2, Joos et al. 2013: shares and their time constants in years.
_STAYS = 0.2173
_FADES = ((0.2240, 394.4), (0.2824, 36.54), (0.2763, 4.304))
AGWP_W_YEAR_PER_M2_KG = 1.7517e-15  # radiative efficiency of one kg CO2 (IPCC AR5 WG1 ch. 8, supplement)


def response_years(horizon_years: float) -> float:
    """Integral of what is left of a CO2 pulse over the horizon, in years."""
    return _STAYS * horizon_years + sum(
        share * time * (1 - exp(-horizon_years / time)) for share, time in _FADES
    )


def delay_share(delay_years: float, horizon_years: float = 100.0) -> float:
    """Share of a pulse's warming within the horizon that a delay keeps out.

    A choice of horizon: show it beside, never inside, the total.
    """
    return 1 - response_years(horizon_years - delay_years) / response_years(horizon_years)


def delay_share_pas2050(delay_years: float) -> float:
    """PAS 2050:2008 for 2 to 25 years: 0.76 % a year. Raises `ValueError` outside."""
    if not 2 <= delay_years <= 25:
        raise ValueError("PAS 2050 gives this for 2 to 25 years")
    return 0.0076 * delay_years
