"""What is not known exactly, how far it may lie off, and how a described house changes with it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, Protocol

from retrofit_desk.estimate.case import HouseCase, changed
from retrofit_desk.physics.description import Zone
from retrofit_desk.physics.elements import Schedule, Timed
from retrofit_desk.physics.plant_machines import Burner, HeatPump, Machine, RatingPoint, Ratings


class Shift(Protocol):
    def __call__(self, case: HouseCase, z: float) -> HouseCase: ...


@dataclass(frozen=True)
class HouseFactor:
    """An uncertain trait of house, plant or family; `shift` moves a case by z standard deviations."""

    name: str
    spread: str
    source: str
    shift: Shift


@dataclass(frozen=True)
class TermFactor:
    """An uncertain price or emission factor, with its relative standard deviation."""

    name: str
    share: float
    source: str


LEAKAGE_SHARE = 0.15
SET_POINT_K = 0.5
GAINS_SHARE = 0.15
HOT_WATER_SHARE = 0.20
BURNER_SHARE = 0.05
HEAT_PUMP_SHARE = 0.08


def _leakage(case: HouseCase, z: float) -> HouseCase:
    door = case.house.blower_door
    if door is None:
        return case
    flow = door.flow_at_50_pa_m3_s * max(1.0 + LEAKAGE_SHARE * z, 0.1)
    return case.with_house(blower_door=changed(door, flow_at_50_pa_m3_s=flow))


def _set_point(case: HouseCase, z: float) -> HouseCase:
    def moved(zone: Zone) -> Zone:
        if zone.thermostat is None:
            return zone
        heating = _plus(zone.thermostat.heating_c, SET_POINT_K * z)
        return changed(zone, thermostat=changed(zone.thermostat, heating_c=heating))

    return case.with_house(zones=tuple(moved(zone) for zone in case.house.zones))


def _gains(case: HouseCase, z: float) -> HouseCase:
    share = max(1.0 + GAINS_SHARE * z, 0.1)

    def scaled(zone: Zone) -> Zone:
        gains = tuple(changed(gain, power_w=_times(gain.power_w, share)) for gain in zone.gains)
        return changed(zone, gains=gains)

    return case.with_house(zones=tuple(scaled(zone) for zone in case.house.zones))


def _hot_water(case: HouseCase, z: float) -> HouseCase:
    liters = case.use.hot_water_l_per_day * max(1.0 + HOT_WATER_SHARE * z, 0.1)
    return replace(case, use=changed(case.use, hot_water_l_per_day=liters))


def _burners(case: HouseCase, z: float) -> HouseCase:
    def better(machine: Machine) -> Machine:
        if not isinstance(machine, Burner):
            return machine
        return changed(machine, efficiency=min(machine.efficiency * (1.0 + BURNER_SHARE * z), 1.0))

    return case.with_plant(machines=tuple(better(machine) for machine in case.plant.machines))


def _heat_pumps(case: HouseCase, z: float) -> HouseCase:
    """The same heat for less power."""
    share = 1.0 / max(1.0 + HEAT_PUMP_SHARE * z, 0.1)

    def points(ratings: Ratings | None) -> Ratings | None:
        if ratings is None:
            return None
        return changed(
            ratings,
            points=tuple(_drawing(point, share) for point in ratings.points),
            low_speed_points=tuple(_drawing(point, share) for point in ratings.low_speed_points),
        )

    def better(machine: Machine) -> Machine:
        if not isinstance(machine, HeatPump):
            return machine
        return changed(machine, heating=points(machine.heating), cooling=points(machine.cooling))

    return case.with_plant(machines=tuple(better(machine) for machine in case.plant.machines))


def _drawing(point: RatingPoint, share: float) -> RatingPoint:
    return changed(point, power_w=point.power_w * share)


def _plus(timed: Timed | None, more: float) -> Timed | None:
    return None if timed is None else _each(timed, lambda value: value + more)


def _times(timed: Timed, share: float) -> Timed:
    return _each(timed, lambda value: value * share)


def _each(timed: Timed, change: Callable[[float], float]) -> Timed:
    if not isinstance(timed, Schedule):
        return change(timed)

    def row(values: tuple[float | None, ...]) -> tuple[float | None, ...]:
        return tuple(None if value is None else change(value) for value in values)

    fields: dict[str, Any] = {
        "hours": row(timed.hours),
        "by_month": tuple(row(one) for one in timed.by_month),
    }
    return Schedule(**fields)


HOUSE_FACTORS = (
    HouseFactor(
        "air leakage",
        "15 %, one standard deviation",
        "blower door and stack-and-wind model together; common practice, no source",
        _leakage,
    ),
    HouseFactor("heating set-point", "0.5 K", "own judgment", _set_point),
    HouseFactor("heat of people and appliances", "15 %", "own judgment", _gains),
    HouseFactor("hot water drawn", "20 %", "own judgment", _hot_water),
    HouseFactor("burner efficiency", "5 %", "common practice, no source", _burners),
    HouseFactor(
        "heat pump efficiency", "8 %", "laboratory rating against a field; common practice", _heat_pumps
    ),
)
TERM_FACTORS = (
    TermFactor("fuel price", 0.12, "spread of the last years' prices; own judgment"),
    TermFactor("electricity price", 0.06, "spread of the last years' prices; own judgment"),
    TermFactor("carbon of the grid", 0.15, "average against marginal power; own judgment"),
    TermFactor("cost of the measures", 0.10, "allowances and change orders; own judgment"),
)
