"""How well a heat pump must run over the season for its heat to cost, and to emit, less than the fuel's."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.carbon.grid import break_even_cop
from retrofit_desk.estimate.scenario import FuelTerms, Terms
from retrofit_desk.estimate.sizing.design import Basis
from retrofit_desk.estimate.sizing.size import Size, at_least
from retrofit_desk.money.bills import bill_year, bill_year_by_months
from retrofit_desk.money.energy_prices import BTU_PER_KWH, dollars_per_mmbtu_of_heat, price_break_even_cop
from retrofit_desk.physics.plant_results import PlantYear
from retrofit_desk.values.quantity import Dimension

COST_RULE = "price of heat by fuel and by power, at your tariffs, without fixed charges: common practice"
CARBON_RULE = "the grid's rate this year against the fuel's, as burned: common practice"
LEAST_KWH = 100.0
"""Less heat in a year tells no season."""


def break_even_sizes(basis: Basis) -> tuple[Size, ...]:
    """Of a machine that takes all heating over from one fuel; nothing where that is not so."""
    old, new = basis.plant_year(basis.ahead), basis.year_after
    burned = _burned_for_heat(old)
    if len(burned) != 1 or _burned_for_heat(new):
        return ()
    fuel = next((terms for terms in basis.terms.fuels if terms.fuel in burned), None)
    power_kwh, given_kwh = float(_heating_w(new).sum()) / 1000.0, (_given_kwh(old), _given_kwh(new))
    price = _power_dollars_kwh(new, basis.terms, power_kwh)
    if fuel is None or price is None or min(power_kwh, *given_kwh) < LEAST_KWH:
        return ()
    burned_kwh = old.kwh(fuel.fuel, "heating")
    efficiency, runs_at = given_kwh[0] / burned_kwh, given_kwh[1] / power_kwh
    of_heat = dollars_per_mmbtu_of_heat(_fuel_dollars_kwh(old, fuel), BTU_PER_KWH, efficiency)
    subject = f"COP of the season above which its heat {{}} less than that of {fuel.fuel}"
    says = f"Today {efficiency:.0%} of the {fuel.fuel} arrives as heat. The COP counts backup heat too."
    needed = break_even_cop(basis.terms.grid.first_year_kg_kwh, fuel.carbon_kg_kwh, efficiency)
    return (
        at_least(
            subject.format("costs"),
            Dimension.PLAIN,
            price_break_even_cop(price, of_heat),
            runs_at,
            COST_RULE,
            says,
        ),
        at_least(subject.format("emits"), Dimension.PLAIN, needed, runs_at, CARBON_RULE),
    )


def _burned_for_heat(year: PlantYear) -> set[str]:
    return {
        use.fuel
        for use in year.uses
        if use.fuel != "electricity" and use.end_use in ("heating", "backup heating") and use.power_w.any()
    }


def _heating_w(year: PlantYear) -> NDArray[np.float64]:
    """Electricity for the machines and their backup, (8760,)."""
    return year.hourly_w("electricity", "heating") + year.hourly_w("electricity", "backup heating")


def _given_kwh(year: PlantYear) -> float:
    """Heat that arrives in the rooms."""
    systems = (one for one in year.systems if not one.cooling)
    given = ((one.delivered_w + one.from_store_w + one.backup_w) * one.arrives_share for one in systems)
    return float(sum(one.sum() for one in given)) / 1000.0


def _power_dollars_kwh(year: PlantYear, terms: Terms, heating_kwh: float) -> float | None:
    """What the year's bill rises by for a kilowatt-hour of heating, as the roof and the clock leave it."""
    of_power = terms.of("electricity")
    if of_power is None or heating_kwh < LEAST_KWH:
        return None
    net_w = year.flows.import_w - year.flows.export_w - _heating_w(year)
    whole = bill_year(of_power.tariff, year.flows.import_w / 1000.0, year.flows.export_w / 1000.0)
    without = bill_year(of_power.tariff, net_w.clip(min=0.0) / 1000.0, (-net_w).clip(min=0.0) / 1000.0)
    return (whole.total_cents - without.total_cents) / 100.0 / heating_kwh


def _fuel_dollars_kwh(year: PlantYear, fuel: FuelTerms) -> float:
    """What a kilowatt-hour burned for heating adds to the year's bill."""
    whole_kwh, heating_kwh = year.monthly_kwh(fuel.fuel), year.monthly_kwh(fuel.fuel, "heating")
    bills = (
        bill_year_by_months(fuel.tariff, [float(kwh) / fuel.kwh_per_unit for kwh in months]).total_cents
        for months in (whole_kwh, whole_kwh - heating_kwh)
    )
    whole, without = bills
    return (whole - without) / 100.0 / float(heating_kwh.sum())
