"""A store of heat or cold against a battery that moves as much use: money, carbon, losses, by the hour.

Both are added to the same house, the last of its line-up. The battery is sized so that in a year it feeds the
house as much electricity as the store spares it in the hours in which the store is not charged.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.scenario import EnergyYear, Simulator, Terms, cost_year, energy_year
from retrofit_desk.physics.battery import flows
from retrofit_desk.physics.plant import run_plant
from retrofit_desk.physics.plant_delivery import ClockCharge, ThermalStore
from retrofit_desk.physics.plant_description import Battery
from retrofit_desk.physics.plant_results import PlantYear

Array = NDArray[np.float64]
LARGEST_KWH = 60.0
HOURS_TO_EMPTY = 2.0
"""A battery commonly gives its charge in two hours (common practice, no source)."""
LEAST_SHIFT_KWH = 1.0
"""A store that moves less in a year is said to move nothing."""


@dataclass(frozen=True)
class Shift:
    """One way to move use to other hours, over a year. Losses of a store are told as heat or cold."""

    charged_kwh: float
    """Electricity spent on charging."""
    shifted_kwh: float
    """Electricity that the house no longer takes in the hours after."""
    lost_kwh: float
    drawn_less_kwh: float
    fed_in_less_kwh: float
    money_saved_cents: float
    carbon_saved_kg: float

    @property
    def returned_share(self) -> float:
        """Of the electricity spent, what comes back; a store also pays with the heat pump's COP."""
        return self.shifted_kwh / self.charged_kwh if self.charged_kwh else 0.0


@dataclass(frozen=True)
class AgainstBattery:
    """A store and a battery of equal use. `battery` None: no battery is that small or that large."""

    store: Shift
    battery: Shift | None
    battery_kwh: float
    cop_before: float | None
    cop_with: float | None
    """Of the system that charges it, over the year."""
    charges_by_sun: bool
    has_sun: bool


def against_battery(
    without: HouseCase, with_store: HouseCase, battery: Battery, simulator: Simulator, terms: Terms
) -> AgainstBattery:
    """Compare. `battery` tells round trip, power and hours per kWh; its size is found here."""
    before, after = (_plant_year(case, simulator) for case in (without, with_store))
    new = next(one for one in with_store.plant.stores if one not in without.plant.stores)
    less = before.flows.load_w - after.flows.load_w
    mine = next((one for one in after.stores if one.name == new.name), None)
    old_year, new_year = energy_year(before), energy_year(after)
    store = _shift(
        old_year,
        new_year,
        without,
        terms,
        charged_kwh=float(np.maximum(-less, 0.0).sum()) / 1000.0,
        shifted_kwh=float(np.maximum(less, 0.0).sum()) / 1000.0,
        lost_kwh=0.0 if mine is None else float((mine.year.charge_w - mine.year.discharge_w).sum()) / 1000.0,
    )
    like = replace_hours(battery, new)
    size_kwh = _size_for(before, like, store.shifted_kwh)
    cop_before, cop_with = (_cop(year, new, with_store) for year in (before, after))
    return AgainstBattery(
        store,
        None if size_kwh is None else _battery_shift(before, old_year, sized(like, size_kwh), without, terms),
        size_kwh or 0.0,
        cop_before,
        cop_with,
        charges_by_sun=not isinstance(new.charge, ClockCharge),
        has_sun=bool(before.flows.solar_w.any()),
    )


def sized(battery: Battery, usable_kwh: float) -> Battery:
    """The same battery in another size."""
    return battery.model_copy(
        update={"usable_kwh": usable_kwh, "power_w": usable_kwh * 1000.0 / HOURS_TO_EMPTY}
    )


def replace_hours(battery: Battery, store: ThermalStore) -> Battery:
    """It charges when the store does: with sun to spare, or by the clock from the network too."""
    hours = store.charge.hours if isinstance(store.charge, ClockCharge) else ()
    return battery.model_copy(update={"charge_hours": hours})


def _plant_year(case: HouseCase, simulator: Simulator) -> PlantYear:
    return run_plant(case.plant, case.use, simulator.loads(case), simulator.weather, case.house.site)


def _size_for(before: PlantYear, battery: Battery, wanted_kwh: float) -> float | None:
    """Usable kWh whose yearly discharge is the wanted one; None where no size does it."""
    load, solar = before.flows.load_w, before.flows.solar_w

    def gives(size_kwh: float) -> float:
        return float(flows(load, solar, sized(battery, size_kwh)).discharge_w.sum()) / 1000.0

    if wanted_kwh < LEAST_SHIFT_KWH or gives(LARGEST_KWH) < wanted_kwh:
        return None
    low, high = 0.0, LARGEST_KWH
    for _ in range(30):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if gives(middle) > wanted_kwh else (middle, high)
    return high


def _battery_shift(
    before: PlantYear, old: EnergyYear, battery: Battery, case: HouseCase, terms: Terms
) -> Shift:
    found = flows(before.flows.load_w, before.flows.solar_w, battery)
    charged, given = (float(one.sum()) / 1000.0 for one in (found.charge_w, found.discharge_w))
    new = energy_year(replace(before, flows=found))
    return _shift(old, new, case, terms, charged_kwh=charged, shifted_kwh=given, lost_kwh=charged - given)


def _shift(
    old: EnergyYear,
    new: EnergyYear,
    case: HouseCase,
    terms: Terms,
    *,
    charged_kwh: float,
    shifted_kwh: float,
    lost_kwh: float,
) -> Shift:
    before, after = (cost_year(year, case.closed_accounts, terms) for year in (old, new))
    return Shift(
        charged_kwh,
        shifted_kwh,
        lost_kwh,
        old.drawn_kwh - new.drawn_kwh,
        old.fed_in_kwh - new.fed_in_kwh,
        float(before.total_cents - after.total_cents),
        before.carbon_kg - after.carbon_kg,
    )


def _cop(year: PlantYear, store: ThermalStore, case: HouseCase) -> float | None:
    """Seasonal COP of the first system on the store."""
    name = next((one.name for one in case.plant.systems if one.store == store.name), None)
    return next((one.seasonal_cop for one in year.systems if one.name == name), None)
