"""What is not known exactly, how far it may lie off, and how a described house changes with it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, Protocol

from retrofit_desk.estimate.case import HouseCase, changed
from retrofit_desk.physics.description import Zone
from retrofit_desk.physics.elements import (
    FramedLayerPart,
    LayerPart,
    MasslessLayerPart,
    Schedule,
    SolidLayerPart,
    Timed,
)
from retrofit_desk.physics.plant_machines import Burner, HeatPump, Machine, RatingPoint, Ratings


class Shift(Protocol):
    def __call__(self, case: HouseCase, z: float) -> HouseCase: ...


@dataclass(frozen=True)
class HouseFactor:
    """An uncertain trait of house, plant or family; `shift` moves a case by z standard deviations.

    `size`: one standard deviation, a share of the described value, or K where `in_kelvin`.
    """

    name: str
    size: float
    source: str
    shift: Shift
    in_kelvin: bool = False

    @property
    def spread(self) -> str:
        return f"{self.size:g} K" if self.in_kelvin else f"{self.size:.0%}"


@dataclass(frozen=True)
class TermFactor:
    """An uncertain price or emission factor, with its relative standard deviation."""

    name: str
    share: float
    source: str


LEAKAGE_SHARE = 0.15
FABRIC_SHARE = 0.10
SET_POINT_K = 0.5
GAINS_SHARE = 0.15
HOT_WATER_SHARE = 0.20
PLUGS_SHARE = 0.15
BURNER_SHARE = 0.05
HEAT_PUMP_SHARE = 0.08


def _leakage(case: HouseCase, z: float) -> HouseCase:
    door = case.house.blower_door
    if door is None:
        return case
    flow = door.flow_at_50_pa_m3_s * max(1.0 + LEAKAGE_SHARE * z, 0.1)
    return case.with_house(blower_door=changed(door, flow_at_50_pa_m3_s=flow))


def _fabric(case: HouseCase, z: float) -> HouseCase:
    """Walls, roof and floors; windows keep the U-value of their label."""
    share = max(1.0 + FABRIC_SHARE * z, 0.1)

    def plain(layer: SolidLayerPart | MasslessLayerPart) -> SolidLayerPart | MasslessLayerPart:
        if isinstance(layer, SolidLayerPart):
            return changed(layer, conductivity_w_mk=layer.conductivity_w_mk * share)
        return changed(layer, resistance_m2k_w=layer.resistance_m2k_w / share)

    def leakier(layer: LayerPart) -> LayerPart:
        if isinstance(layer, FramedLayerPart):
            return changed(layer, cavity=plain(layer.cavity), framing=plain(layer.framing))
        return plain(layer)

    return case.with_house(
        constructions=tuple(
            changed(one, layers=tuple(leakier(layer) for layer in one.layers))
            for one in case.house.constructions
        )
    )


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


def _plugs(case: HouseCase, z: float) -> HouseCase:
    share = max(1.0 + PLUGS_SHARE * z, 0.1)
    use = case.use
    return replace(
        case,
        use=changed(
            use,
            plug_kwh_per_year=use.plug_kwh_per_year * share,
            light_kwh_per_year=use.light_kwh_per_year * share,
        ),
    )


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
        LEAKAGE_SHARE,
        "blower door and stack-and-wind model together; common practice, no source",
        _leakage,
    ),
    HouseFactor(
        "heat loss of the envelope", FABRIC_SHARE, "workmanship and materials; own judgment", _fabric
    ),
    HouseFactor("heating set-point", SET_POINT_K, "own judgment", _set_point, in_kelvin=True),
    HouseFactor("heat of people and appliances", GAINS_SHARE, "own judgment", _gains),
    HouseFactor("hot water drawn", HOT_WATER_SHARE, "own judgment", _hot_water),
    HouseFactor("plugs and lights", PLUGS_SHARE, "own judgment", _plugs),
    HouseFactor("burner efficiency", BURNER_SHARE, "common practice, no source", _burners),
    HouseFactor(
        "heat pump or air conditioner efficiency",
        HEAT_PUMP_SHARE,
        "laboratory rating against a field; common practice, no source",
        _heat_pumps,
    ),
)
TERM_FACTORS = (
    TermFactor("fuel price", 0.12, "spread of the last years' prices; own judgment"),
    TermFactor("electricity price", 0.06, "spread of the last years' prices; own judgment"),
    TermFactor("carbon of the grid", 0.15, "average against marginal power; own judgment"),
    TermFactor("cost of the measures", 0.10, "allowances and change orders; own judgment"),
)
