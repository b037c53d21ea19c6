"""Does the heat pump carry the house on its design day: now, and when all other measures have come?"""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.estimate.sizing.bores import COLDER_K, WARMER_K
from retrofit_desk.estimate.sizing.design import COOLING_EXCEEDED_SHARE, Basis
from retrofit_desk.estimate.sizing.size import Size, Verdict, cannot_say, to_know
from retrofit_desk.physics.heat_pump import balance_temp_c, limits
from retrofit_desk.physics.loads import (
    COOLING_LIMITS,
    COOLING_LIMITS_VARIABLE,
    HEATING_LIMITS,
    HEATING_LIMITS_VARIABLE,
    Fit,
    FitLimits,
    capacity_fit,
    design_temperature_c,
)
from retrofit_desk.physics.plant_machines import Ground, HeatPump, OutdoorAir, Ratings, WellWater
from retrofit_desk.physics.plant_results import SystemYear
from retrofit_desk.values.quantity import Dimension

Extreme = Callable[[NDArray[np.float64]], np.float64]
"""The least or the largest of some values."""
FIT_RULE = "capacity by load: common practice, no source"
HEATING_BASE_C = 18.3
"""65 °F, below which a house is commonly heated (common practice, no source)."""
MILD_C = 8.33
"""47 °F: the warm rating point of AHRI 210/240."""
OFTEN_C = 5.0
VERDICTS = {
    Fit.SHORT: Verdict.SHORT,
    Fit.FITS: Verdict.ENOUGH,
    Fit.GENEROUS: Verdict.ENOUGH,
    Fit.OVERSIZED: Verdict.MUCH,
}


def heat_pump_sizes(basis: Basis) -> tuple[Size, ...]:
    """Heating and cooling capacity against the loads of three houses. Raises `CannotSay`."""
    plant = basis.after.plant
    found: list[Size] = []
    for machine in (one for one in plant.machines if isinstance(one, HeatPump)):
        systems = {one.name for one in plant.heating if one.machine == machine.name}
        if machine.heating is not None and systems:
            found += _heating(basis, machine, machine.heating, systems)
        systems = {one.name for one in plant.cooling if one.machine == machine.name}
        if machine.cooling is not None and systems:
            found += _cooling(basis, machine, machine.cooling, systems)
    return tuple(found)


def _heating(basis: Basis, machine: HeatPump, ratings: Ratings, systems: set[str]) -> list[Size]:
    years = [one for one in basis.year_after.systems if one.name in systems and not one.cooling]
    source_c, supply_c = _cold_source_c(basis, machine, years), _warmest_c(years)
    capacity_w = _capacity_w(machine, ratings, source_c, supply_c)
    bounds = HEATING_LIMITS_VARIABLE if ratings.low_speed_points else HEATING_LIMITS
    now, later, today = basis.need_ahead.heat_w, basis.need_whole.heat_w, basis.need_found.heat_w
    found = [
        _held_against("Heat on the design day, the measures before it done", now, capacity_w, bounds),
        _held_against("The same, when every measure of the line-up has come", later, capacity_w, bounds),
        to_know(
            "Heat that the house asks for as it stands today",
            Dimension.POWER,
            today,
            "hourly model: a sunless cold spell without gains, as EN 12831-1:2017",
            "What a firm finds that looks at the house before the other measures are done.",
        ),
    ]
    if isinstance(machine.source, OutdoorAir):
        return found + _of_air(basis, machine, ratings, now)
    water = to_know("Coldest water that comes to it", Dimension.TEMPERATURE, source_c, "hourly model")
    return [*found, water]


def _of_air(basis: Basis, machine: HeatPump, ratings: Ratings, load_w: float) -> list[Size]:
    """Where it needs help, and what it must throttle to in mild weather."""
    loss_w_k = load_w / (HEATING_BASE_C - basis.heating_c)
    points = sorted(ratings.points, key=lambda point: point.source_c)
    found = []
    if len({point.source_c for point in points}) > 1:
        below_c = balance_temp_c(loss_w_k, HEATING_BASE_C, points[0], points[-1])
        found.append(
            to_know(
                "It carries the house alone down to",
                Dimension.TEMPERATURE,
                below_c,
                "straight lines of load and capacity: common practice, no source",
                "Below that, backup heat or a colder room."
                if below_c > basis.heating_c
                else "That is colder than the design day.",
            )
        )
    mild_w = loss_w_k * (HEATING_BASE_C - MILD_C)
    if ratings.low_speed_points:
        least_w = min(point.capacity_w for point in ratings.low_speed_points if point.source_c > OFTEN_C)
        says = "Above it, it runs on and off on mild days: noise, wear, a lower COP."
        verdict = Verdict.ENOUGH if least_w <= mild_w else Verdict.MUCH
        subject = "Least output in mild weather (47 °F, 8 °C)"
        found.append(Size(subject, Dimension.POWER, mild_w, least_w, verdict, FIT_RULE, says))
    else:
        needs = "its lowest output; ask for it at 47 °F (8 °C)"
        found.append(cannot_say("Least output in mild weather", Dimension.POWER, needs, FIT_RULE))
    return found


def _cooling(basis: Basis, machine: HeatPump, ratings: Ratings, systems: set[str]) -> list[Size]:
    years = [one for one in basis.year_after.systems if one.name in systems and one.cooling]
    need = basis.need_ahead
    if need.cold_w <= 0:
        return []
    source_c = _hot_source_c(basis, machine, years)
    supply_c = _extreme(years, "supply_c", np.min, 7.0)
    capacity_w = _capacity_w(machine, ratings, source_c, supply_c, cooling=True)
    bounds = COOLING_LIMITS_VARIABLE if ratings.low_speed_points else COOLING_LIMITS
    latent = need.latent_w / need.cold_w
    says = f"{latent:.0%} of it is moisture; ask for the capacity at that share, and for its least output."
    return [
        _held_against("Cold in the design hour", need.cold_w, capacity_w, bounds, says),
        _held_against(
            "The same, when every measure of the line-up has come",
            basis.need_whole.cold_w,
            capacity_w,
            bounds,
        ),
    ]


def _held_against(subject: str, load_w: float, capacity_w: float, bounds: FitLimits, says: str = "") -> Size:
    if load_w <= 0:
        return cannot_say(subject, Dimension.POWER, "a load", FIT_RULE)
    fit = capacity_fit(capacity_w, load_w, bounds)
    return Size(subject, Dimension.POWER, load_w, capacity_w, VERDICTS[fit], FIT_RULE, says)


def _capacity_w(
    machine: HeatPump, ratings: Ratings, source_c: float, load_c: float, *, cooling: bool = False
) -> float:
    air = machine.source if isinstance(machine.source, OutdoorAir) else None
    source, load = np.array([source_c]), np.array([load_c])
    return float(limits(ratings, source, load, air=air, cooling=cooling).can_give_w()[0])


def _cold_source_c(basis: Basis, machine: HeatPump, years: list[SystemYear]) -> float:
    match machine.source:
        case OutdoorAir():
            return basis.heating_c
        case WellWater(entering_c=entering_c):
            return entering_c
        case Ground(bore_field=name):
            field = next(one for one in basis.after.plant.bore_fields if one.name == name)
            # bores that are too short are told of apart: the machine is judged by water from bores that do
            worked_out_c = _extreme(years, "source_c", np.min, field.ground_temp_c)
            return max(worked_out_c, field.ground_temp_c - COLDER_K)


def _hot_source_c(basis: Basis, machine: HeatPump, years: list[SystemYear]) -> float:
    match machine.source:
        case OutdoorAir():
            return design_temperature_c(basis.weather.temp_c, COOLING_EXCEEDED_SHARE)
        case WellWater(entering_c=entering_c):
            return entering_c
        case Ground(bore_field=name):
            field = next(one for one in basis.after.plant.bore_fields if one.name == name)
            worked_out_c = _extreme(years, "source_c", np.max, field.ground_temp_c)
            return min(worked_out_c, field.ground_temp_c + WARMER_K)


def _warmest_c(years: list[SystemYear]) -> float:
    return _extreme(years, "supply_c", np.max, 35.0)


def _extreme(
    years: list[SystemYear], name: Literal["source_c", "supply_c"], of: Extreme, otherwise: float
) -> float:
    """The extreme of a temperature over the hours in which the systems run."""
    found = [
        float(of(getattr(year, name)[year.running_share > 0])) for year in years if year.running_share.any()
    ]
    return float(of(np.array(found))) if found else otherwise
