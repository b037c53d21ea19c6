"""One house, one year of weather: energy by month and end use, and what it costs and emits."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.carbon.grid import GridHours, GridPath, power_carbon_kg
from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.money.bills import YearBill, bill_year, bill_year_by_months, closed_account
from retrofit_desk.money.tariff import Tariff
from retrofit_desk.physics.description import House
from retrofit_desk.physics.elements import Part
from retrofit_desk.physics.plant_machines import Fuel
from retrofit_desk.physics.plant_results import EndUse, LoadYear, PlantYear
from retrofit_desk.physics.weather import HOURS, WeatherYear
from retrofit_desk.values.known import Known

Array = NDArray[np.float64]
MOST_WEATHERS = 6
MOST_YEARS, MOST_LOADS, MOST_PRINTS = 4096, 4, 32
"""So many years, houses' hourly loads and prints of parts are remembered.

A year takes 0.07 to 0.14 MB, loads 4 MB in a house of ten rooms. Every set of twelve measures is remembered.
"""


_NOTHING_W = np.zeros(HOURS)
"""One for all years without anything fed in: thousands of them are kept."""


@dataclass(frozen=True)
class MonthlyUse:
    """One end use on one fuel, twelve months in kWh of the fuel's higher heating value."""

    fuel: Fuel
    end_use: EndUse
    kwh: tuple[float, ...]

    @property
    def year_kwh(self) -> float:
        return sum(self.kwh)


@dataclass(frozen=True, eq=False)
class EnergyYear:
    """What a house uses in a year. `drawn_w` and `fed_in_w`: (8760,), between the house and the network.

    `burned_days_kwh`: (365,) for each fuel that is burned.
    """

    uses: tuple[MonthlyUse, ...]
    drawn_w: Array
    fed_in_w: Array
    solar_kwh: float
    unmet_kwh: float
    peak_drawn_w: float
    seasonal_cop: tuple[tuple[str, float], ...]
    notes: tuple[str, ...]
    burned_days_kwh: tuple[tuple[Fuel, Array], ...]

    def fuel_kwh(self, fuel: Fuel) -> float:
        """The year's use of one fuel, before the roof's share is taken off."""
        return sum(use.year_kwh for use in self.uses if use.fuel == fuel)

    def months_kwh(self, fuel: Fuel) -> tuple[float, ...]:
        months = np.zeros(12)
        for use in self.uses:
            if use.fuel == fuel:
                months += np.array(use.kwh)
        return tuple(float(month) for month in months)

    def metered_days_kwh(self, fuel: Fuel) -> Array:
        """What the meter or the tank would show, (365,); what the roof feeds in is taken off."""
        if fuel == "electricity":
            net_w = self.drawn_w - self.fed_in_w
            return np.asarray(net_w.reshape(-1, 24).sum(axis=1) / 1000.0)
        return next((days for one, days in self.burned_days_kwh if one == fuel), np.zeros(365))

    @property
    def drawn_kwh(self) -> float:
        return float(self.drawn_w.sum()) / 1000.0

    @property
    def fed_in_kwh(self) -> float:
        return float(self.fed_in_w.sum()) / 1000.0


@dataclass(frozen=True)
class FuelTerms:
    """What one fuel costs and emits. `kwh_per_unit` turns energy into the tariff's units."""

    fuel: Fuel
    tariff: Tariff
    kwh_per_unit: float
    carbon_kg_kwh: float


@dataclass(frozen=True)
class Terms:
    """Prices and factors of a sum; the fuels without terms are said to cost and emit what is unknown.

    `ended`: accounts closed on record. A year that burns such a fuel is billed as before; one that burns
    none has no account, and no fixed charge.
    """

    fuels: tuple[FuelTerms, ...]
    grid: GridPath
    ended: frozenset[Fuel] = frozenset()
    grid_hours: GridHours | None = None
    """How the grid's rate goes over the hours; None: one rate holds in all of them."""

    def of(self, fuel: Fuel) -> FuelTerms | None:
        return next((terms for terms in self.fuels if terms.fuel == fuel), None)


@dataclass(frozen=True)
class CostYear:
    """The year's bills by fuel, and the carbon in use of its first year."""

    bills: tuple[tuple[Fuel, YearBill], ...]
    fuel_carbon_kg: float
    power_carbon_kg: float
    unpriced: tuple[Fuel, ...]
    closed: frozenset[Fuel] = frozenset()
    """Fuels without an account in this year."""

    @property
    def power_cents(self) -> int:
        return sum(bill.total_cents for fuel, bill in self.bills if fuel == "electricity")

    @property
    def fuel_cents(self) -> int:
        return sum(bill.total_cents for fuel, bill in self.bills if fuel != "electricity")

    @property
    def total_cents(self) -> int:
        return self.fuel_cents + self.power_cents

    @property
    def carbon_kg(self) -> float:
        return self.fuel_carbon_kg + self.power_carbon_kg


class Simulator:
    """Runs cases through engine and plant, and remembers what it ran: equal houses run once.

    A changed plant keeps the loads of its house; changed prices rerun nothing. Threads may share it.
    """

    def __init__(self, weather: WeatherYear) -> None:
        self._weather = weather
        self._prints: Known[int, tuple[Part, bytes]] = Known(MOST_PRINTS)
        self._fabrics: Known[bytes, int] = Known(MOST_YEARS)
        self._loads: Known[bytes, LoadYear] = Known(MOST_LOADS)
        self._years: Known[tuple[bytes, bytes, bytes], EnergyYear] = Known(MOST_YEARS)
        self.engine_runs = 0

    @property
    def weather(self) -> WeatherYear:
        return self._weather

    def place(self, case: HouseCase) -> tuple[int, bytes, bytes]:
        """Fabric, house and heat side of a case: neighbors in this order share the most work."""
        from retrofit_desk.physics.network import fabric_of
        from retrofit_desk.physics.plant_heat import heat_side

        house = self._print_of(case.house)
        fabric = self._fabrics.get(house, lambda: hash(fabric_of(case.house, 1.0)))
        return fabric, house, _print(heat_side(case.plant))

    def year(self, case: HouseCase) -> EnergyYear:
        """The energy year of a case. Raises `CannotSay` where plant and house do not fit together."""
        key = self._print_of(case.house), self._print_of(case.plant), self._print_of(case.use)
        return self._years.get(key, lambda: self._run(case))

    def loads(self, case: HouseCase) -> LoadYear:
        """The house's hourly loads, run once for each described house."""
        return self._loads.get(self._print_of(case.house), lambda: self._run_house(case.house))

    def _print_of(self, part: Part) -> bytes:
        """The same for equal parts; neighboring sets share most of theirs, so each is written once."""
        return self._prints.get(id(part), lambda: (part, _print(part)))[1]

    def _run_house(self, house: House) -> LoadYear:
        from retrofit_desk.physics.engine import run_loads

        self.engine_runs += 1
        return run_loads(house, self._weather)

    def _run(self, case: HouseCase) -> EnergyYear:
        from retrofit_desk.physics.plant import run_plant

        return energy_year(run_plant(case.plant, case.use, self.loads(case), self._weather, case.house.site))


def _print(part: Part) -> bytes:
    return hashlib.sha256(part.model_dump_json().encode()).digest()


_simulators: Known[WeatherYear, Simulator] = Known(MOST_WEATHERS)


def simulator_for(weather: WeatherYear) -> Simulator:
    """The simulator of a weather year that all of the program shares: what one part ran the others know."""
    return _simulators.get(weather, lambda: Simulator(weather))


def energy_year(plant: PlantYear) -> EnergyYear:
    """The plant's year without its hours, but for the power between house and network."""
    uses: dict[tuple[Fuel, EndUse], Array] = {}
    for use in plant.uses:
        months = plant.monthly_kwh(use.fuel, use.end_use)
        uses[use.fuel, use.end_use] = months
    cops = ((system.name, system.seasonal_cop) for system in plant.systems)
    return EnergyYear(
        uses=tuple(
            MonthlyUse(fuel, end_use, tuple(float(month) for month in months))
            for (fuel, end_use), months in uses.items()
        ),
        drawn_w=plant.flows.import_w,
        fed_in_w=plant.flows.export_w if plant.flows.export_w.any() else _NOTHING_W,
        solar_kwh=plant.solar_kwh,
        unmet_kwh=plant.unmet_kwh,
        peak_drawn_w=float(plant.flows.import_w.max()),
        seasonal_cop=tuple((name, cop) for name, cop in cops if cop is not None),
        notes=plant.notes,
        burned_days_kwh=tuple(
            (fuel, plant.hourly_w(fuel).reshape(-1, 24).sum(axis=1) / 1000.0)
            for fuel in dict.fromkeys(use.fuel for use in plant.uses)
            if fuel != "electricity"
        ),
    )


def cost_year(energy: EnergyYear, closed: frozenset[Fuel], terms: Terms) -> CostYear:
    """Bills by tariff and the first year's carbon in use; what is fed in takes nothing off the carbon."""
    bills: list[tuple[Fuel, YearBill]] = []
    unpriced: list[Fuel] = []
    fuel_carbon_kg = 0.0
    fuels = {use.fuel for use in energy.uses} | {one.fuel for one in terms.fuels}
    closed |= {fuel for fuel in terms.ended if energy.fuel_kwh(fuel) == 0.0}
    for fuel in sorted(fuels):
        of_fuel = terms.of(fuel)
        if of_fuel is None:
            unpriced.append(fuel)
        elif fuel in closed:
            bills.append((fuel, closed_account()))
        elif fuel == "electricity":
            bills.append((fuel, bill_year(of_fuel.tariff, energy.drawn_w / 1000.0, energy.fed_in_w / 1000.0)))
        else:
            months = energy.months_kwh(fuel)
            units = [month / of_fuel.kwh_per_unit for month in months]
            bills.append((fuel, bill_year_by_months(of_fuel.tariff, units)))
            fuel_carbon_kg += sum(months) * of_fuel.carbon_kg_kwh
    power_kg = power_carbon_kg(energy.drawn_w / 1000.0, terms.grid, terms.grid_hours)
    return CostYear(tuple(bills), fuel_carbon_kg, power_kg, tuple(unpriced), closed)
