"""Floor loops and radiators: what they must give on the design day, how warm the water, how long the pipe."""

from __future__ import annotations

import math

from retrofit_desk.estimate.sizing.design import Basis
from retrofit_desk.estimate.sizing.size import Size, about, at_most, to_know
from retrofit_desk.physics.hydronics import flow_kg_s, friction, loop_length_m, needed_difference_k
from retrofit_desk.physics.plant_delivery import (
    FloorCircuit,
    HeatingSystem,
    RadiantFloors,
    WaterEmitter,
    WaterRadiators,
)
from retrofit_desk.physics.plant_machines import HeatPump
from retrofit_desk.physics.radiant_floor import (
    downward_share,
    floor_heating_output_w_m2,
    heating_k_of,
    supply_c,
    supply_margin_k,
    surface_limit_c,
)
from retrofit_desk.values.quantity import Dimension

ROOM_C = 20.0
EN_1264 = "EN 1264-2 (from memory)"
LOOP_RULE = "16 mm pipe, loops to 100 m, tails of 5 m: common practice, no source"
LONGEST_LOOP_M, TAIL_M, WALL_M = 100.0, 5.0, 0.002
WATER_KG_M3, WATER_PA_S = 994.0, 0.72e-3
"""At 35 °C (any steam table)."""
EMITTER_RULE = "output by the excess temperature: EN 442-2 (from memory)"


def floor_sizes(basis: Basis) -> tuple[Size, ...]:
    """Each room's floor: heat against what its surface may give, water, pipe and pressure."""
    found: list[Size] = []
    for system in basis.after.plant.heating:
        if isinstance(system.delivery, RadiantFloors):
            for circuit in system.delivery.circuits:
                found += about(circuit.zone, _circuit(basis, system, system.delivery, circuit))
    return tuple(found)


def _circuit(basis: Basis, system: HeatingSystem, floors: RadiantFloors, circuit: FloorCircuit) -> list[Size]:
    room = circuit.zone
    share = sum(one.share for one in system.serves if one.zone == room)
    heat_w = basis.need_ahead.room(room).heat_w * share
    needed_w_m2 = heat_w / circuit.active_area_m2
    most_w_m2 = floor_heating_output_w_m2(surface_limit_c(circuit, ROOM_C) - ROOM_C)
    given_w_m2 = min(needed_w_m2, most_w_m2)
    excess_k = given_w_m2 / heating_k_of(circuit)
    water_c = supply_c(ROOM_C, excess_k, floors.spread_k) + supply_margin_k(circuit)
    return [
        at_most(
            "Heat that the floor must give",
            Dimension.HEAT_FLUX,
            most_w_m2,
            needed_w_m2,
            EN_1264,
            "The limit keeps it pleasant underfoot and wood safe; what is beyond it needs other heat.",
        ),
        _water("Water to the floor on the design day", basis, system, water_c, EN_1264),
        *_pipe(floors, circuit, given_w_m2 * (1.0 + downward_share(circuit)) * circuit.active_area_m2),
    ]


def _pipe(floors: RadiantFloors, circuit: FloorCircuit, heat_w: float) -> list[Size]:
    bare_m = circuit.active_area_m2 / circuit.spacing_m
    loops = max(1, math.ceil(bare_m / (LONGEST_LOOP_M - 2.0 * TAIL_M)))
    loop_m = loop_length_m(circuit.active_area_m2 / loops, circuit.spacing_m, TAIL_M)
    flow_m3_s = flow_kg_s(heat_w, floors.spread_k) / WATER_KG_M3
    drop = friction(
        flow_m3_s / loops,
        circuit.pipe_outside_m - 2.0 * WALL_M,
        loop_m,
        density_kg_m3=WATER_KG_M3,
        viscosity_pa_s=WATER_PA_S,
    )
    loops_text = "one loop" if loops == 1 else f"{loops} loops of equal length"
    return [
        to_know("Pipe, tails and all", Dimension.LENGTH, loops * loop_m, LOOP_RULE, f"In {loops_text}."),
        to_know(
            "Water flow",
            Dimension.WATER_FLOW,
            flow_m3_s,
            "heat by flow and spread; the heat downward counts too (EN 1264-3, from memory)",
        ),
        to_know(
            "Pressure lost in a loop",
            Dimension.WATER_PRESSURE,
            drop.drop_pa,
            "Darcy and Weisbach with Colebrook's factor; fittings add 10 to 30%",
            "Between laminar and turbulent: take it as uncertain." if drop.uncertain else "",
        ),
    ]


def radiator_sizes(basis: Basis) -> tuple[Size, ...]:
    """How warm the water must be for each radiator to carry its room, and what the machine is rated for."""
    found: list[Size] = []
    for system in basis.after.plant.heating:
        if isinstance(system.delivery, WaterRadiators):
            for one in system.delivery.emitters:
                found += about(one.zone, [_radiator(basis, system, system.delivery, one)])
    return tuple(found)


def _radiator(basis: Basis, system: HeatingSystem, water: WaterRadiators, emitter: WaterEmitter) -> Size:
    need_w = basis.need_ahead.room(emitter.zone).heat_w
    mean_k = needed_difference_k(need_w / emitter.rated_w, emitter.rated_difference_k, emitter.exponent)
    needed_c = ROOM_C + mean_k + water.spread_k / 2.0
    return _water("Water that its radiator or coil needs", basis, system, needed_c, EMITTER_RULE)


def _water(subject: str, basis: Basis, system: HeatingSystem, needed_c: float, rule: str) -> Size:
    """Against the warmest water that the machine is rated for, where that is known."""
    machine = next(one for one in basis.after.plant.machines if one.name == system.machine)
    points = machine.heating.points if isinstance(machine, HeatPump) and machine.heating else ()
    warmest_c = max((point.load_c for point in points if point.load_c is not None), default=None)
    if warmest_c is None:
        return to_know(subject, Dimension.TEMPERATURE, needed_c, rule)
    says = (
        "Beyond the machine's rating points: insulate first, closer pipes, a thinner finish, a larger coil."
    )
    return at_most(
        subject, Dimension.TEMPERATURE, warmest_c, needed_c, rule, "" if needed_c <= warmest_c else says
    )
