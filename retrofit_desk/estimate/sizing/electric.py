"""Circuits and breakers that a measure asks for."""

from __future__ import annotations

from retrofit_desk.estimate.sizing.design import Basis
from retrofit_desk.estimate.sizing.hot_water import circuit
from retrofit_desk.estimate.sizing.size import Size, at_most, cannot_say
from retrofit_desk.physics.panel_load import SERVICE_V, solar_breaker_a
from retrofit_desk.physics.plant_machines import Resistance
from retrofit_desk.values.quantity import Dimension

SOLAR_RULE = "120% of the bus, at the end away from the main: NEC 705.12 (from memory); local code rules"
LASTING = 1.25


def backup_sizes(basis: Basis) -> tuple[Size, ...]:
    """The circuit of electric heaters that help a heat pump."""
    heaters = (one for one in basis.after.plant.machines if isinstance(one, Resistance))
    return tuple(circuit("Electric backup heat", one.capacity_w) for one in heaters if one.capacity_w)


def car_sizes(basis: Basis) -> tuple[Size, ...]:
    car = basis.after.plant.car
    return () if car is None else (circuit("The car's charger", car.charger_w),)


def solar_sizes(basis: Basis) -> tuple[Size, ...]:
    """The breaker that the inverters need against what the bus may take."""
    alternating_w = sum(one.ac_limit_w for one in basis.after.plant.inverters)
    needed_a = LASTING * alternating_w / SERVICE_V
    subject = "Breaker for all inverters"
    if basis.panel_a is None:
        return (cannot_say(subject, Dimension.CURRENT, "the panel's bus rating", SOLAR_RULE),)
    main_a, bus_a = basis.panel_a
    says = "Beyond it: ahead of the main, a smaller main, or a larger bus. A licensed electrician decides."
    limit_a = solar_breaker_a(bus_a, main_a)
    line = at_most(
        subject, Dimension.CURRENT, limit_a, needed_a, SOLAR_RULE, says if needed_a > limit_a else ""
    )
    return (line,)
