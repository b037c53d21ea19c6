"""What is not known exactly, how far it may lie off, and how a described house changes with it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.estimate.case import HouseCase, OwnFigures, changed
from retrofit_desk.physics.description import Zone
from retrofit_desk.physics.elements import Schedule, Timed
from retrofit_desk.physics.layer_parts import AirLayerPart, FramedLayerPart, LayerPart, MasslessLayerPart
from retrofit_desk.physics.plant_description import HeatPumpTank
from retrofit_desk.physics.plant_machines import Burner, HeatPump, Machine, RatingPoint, Ratings

Array = NDArray[np.float64]


class Shift(Protocol):
    def __call__(self, case: HouseCase, z: float) -> HouseCase: ...


class NewShift(Protocol):
    def __call__(self, case: HouseCase, z: float, base: HouseCase) -> HouseCase: ...


@dataclass(frozen=True)
class HouseFactor:
    """An uncertain trait of house, plant or family; `shift` moves the house as it stands by z deviations.

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
class NewFactor:
    """How far what the measures bring may miss what is planned; `shift` touches nothing that `base` has."""

    name: str
    spread: str
    source: str
    shift: NewShift


@dataclass(frozen=True)
class TermFactor:
    """Anything else that is uncertain, with its relative standard deviation."""

    name: str
    share: float
    source: str

    @property
    def spread(self) -> str:
        return f"{self.share:.0%}"


def shifted(base: HouseCase, factors: Sequence[HouseFactor], z: Array) -> HouseCase:
    """The house with every trait moved by its z, (traits,)."""
    case = base
    for factor, one in zip(factors, z, strict=True):
        if one != 0.0:
            case = factor.shift(case, float(one))
    return case


LEAKAGE_SHARE = 0.15
FABRIC_SHARE = 0.10
SET_POINT_K = 0.5
GAINS_SHARE = 0.15
HOT_WATER_SHARE = 0.20
PLUGS_SHARE = 0.15
BURNER_SHARE = 0.05
HEAT_PUMP_SHARE = 0.08
NEW_WORK_SHARE, NEW_MACHINE_SHARE = 0.10, 0.08
PERCENTILE_90 = 1.2816  # standard deviations from the middle to the ninetieth percentile


def _leakage(case: HouseCase, z: float) -> HouseCase:
    door = case.house.blower_door
    if door is None:
        return case
    flow = door.flow_at_50_pa_m3_s * max(1.0 + LEAKAGE_SHARE * z, 0.1)
    return case.with_house(blower_door=changed(door, flow_at_50_pa_m3_s=flow))


def _fabric(case: HouseCase, z: float) -> HouseCase:
    """Walls, roof and floors; windows keep the U-value of their label."""
    share = max(1.0 + FABRIC_SHARE * z, 0.1)
    return _each_layer(case, lambda layer: _leakier(layer, share))


def _each_layer(case: HouseCase, change: Callable[[LayerPart], LayerPart]) -> HouseCase:
    return case.with_house(
        constructions=tuple(
            changed(one, layers=tuple(change(layer) for layer in one.layers))
            for one in case.house.constructions
        )
    )


def _leakier(layer: LayerPart, share: float) -> LayerPart:
    """A layer through which `share` times as much heat goes; still air is what its formula says."""
    if isinstance(layer, FramedLayerPart):
        return changed(layer, cavity=_leakier(layer.cavity, share), framing=_leakier(layer.framing, share))
    if isinstance(layer, AirLayerPart):
        return layer
    if isinstance(layer, MasslessLayerPart):
        return changed(layer, resistance_m2k_w=layer.resistance_m2k_w / share)
    return changed(layer, conductivity_w_mk=layer.conductivity_w_mk * share)


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
    share = _power_share(HEAT_PUMP_SHARE * z)
    return case.with_plant(machines=tuple(_better(machine, share) for machine in case.plant.machines))


def _new_work(case: HouseCase, z: float, base: HouseCase) -> HouseCase:
    """Layers that the house did not have, and a leakage that was brought down."""
    old = [layer for one in base.house.constructions for layer in one.layers]
    share = max(1.0 + NEW_WORK_SHARE * z, 0.1)
    moved = _each_layer(case, lambda layer: layer if layer in old else _leakier(layer, share))
    door = case.house.blower_door
    if door is None or door == base.house.blower_door:
        return moved
    flow = door.flow_at_50_pa_m3_s * share
    return moved.with_house(blower_door=changed(door, flow_at_50_pa_m3_s=flow))


def _new_machines(case: HouseCase, z: float, base: HouseCase) -> HouseCase:
    """Heat pumps for rooms and water that the house did not have."""
    share, old = _power_share(NEW_MACHINE_SHARE * z), base.plant.machines
    machines = tuple(one if one in old else _better(one, share) for one in case.plant.machines)
    heater = case.plant.water_heater
    if isinstance(heater, HeatPumpTank) and heater != base.plant.water_heater:
        heater = changed(heater, cop_rated=heater.cop_rated / share)
    return case.with_plant(machines=machines, water_heater=heater)


def _own_figures(case: HouseCase, z: float, base: HouseCase) -> HouseCase:
    """Each as far off as the owner says it may be."""

    def moved(one: OwnFigures) -> OwnFigures:
        share = 1.0 + one.off_share / PERCENTILE_90 * z
        months = tuple((fuel, tuple(month * share for month in kwh)) for fuel, kwh in one.months_kwh)
        return replace(one, months_kwh=months, cents=one.cents * share)

    return replace(case, own_figures=tuple(moved(one) for one in case.own_figures))


def _power_share(better: float) -> float:
    return 1.0 / max(1.0 + better, 0.1)


def _better(machine: Machine, share: float) -> Machine:
    """A heat pump or air conditioner that draws `share` of its power; other machines stay."""
    if not isinstance(machine, HeatPump):
        return machine

    def points(ratings: Ratings | None) -> Ratings | None:
        if ratings is None:
            return None
        return changed(
            ratings,
            points=tuple(_drawing(point, share) for point in ratings.points),
            low_speed_points=tuple(_drawing(point, share) for point in ratings.low_speed_points),
        )

    return changed(machine, heating=points(machine.heating), cooling=points(machine.cooling))


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
NEW_FACTORS = (
    NewFactor("workmanship of the measures", f"{NEW_WORK_SHARE:.0%}", "own judgment", _new_work),
    NewFactor(
        "efficiency of the new machines",
        f"{NEW_MACHINE_SHARE:.0%}",
        "laboratory rating against a field; common practice, no source",
        _new_machines,
    ),
    NewFactor("the owner's own figures", "as stated with each", "the owner", _own_figures),
)
WEATHER_FACTOR = TermFactor(
    "weather of a single year",
    0.09,
    "heating degree-days of single years against a typical year, stations of the eastern United States; "
    "from memory",
)
TERM_FACTORS = (
    TermFactor("fuel price", 0.12, "spread of the last years' prices; own judgment"),
    TermFactor("electricity price", 0.06, "spread of the last years' prices; own judgment"),
    TermFactor("carbon of the grid", 0.15, "average against marginal power; own judgment"),
    TermFactor("cost of the measures", 0.10, "allowances and change orders; own judgment"),
)
