"""What a unit of heat costs from each fuel."""

from __future__ import annotations

from dataclasses import dataclass

from retrofit_desk.values.origin import Origin

BTU_PER_KWH = 3412.142


@dataclass(frozen=True)
class EnergyPrice:
    """An average price of a place and year, all charges in it; a tariff tells more."""

    fuel: str
    place: str
    year: int
    dollars_per_unit: float
    unit: str
    origin: Origin


def dollars_per_mmbtu_of_heat(price_per_unit: float, btu_per_unit: float, efficiency: float) -> float:
    """Delivered heat: price over heat content times efficiency (a COP may stand for the efficiency)."""
    return price_per_unit / (btu_per_unit * efficiency) * 1e6


def price_break_even_cop(dollars_per_kwh: float, fuel_dollars_per_mmbtu_of_heat: float) -> float:
    """The seasonal COP above which a heat pump's heat costs less."""
    return dollars_per_mmbtu_of_heat(dollars_per_kwh, BTU_PER_KWH, 1.0) / fuel_dollars_per_mmbtu_of_heat
