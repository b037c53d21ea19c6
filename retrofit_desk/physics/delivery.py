"""What the rooms' loads ask of a machine: losses on the way, water temperature, limits of floors."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.ducts import AIR_J_M3K, delivery_effectiveness
from retrofit_desk.physics.plant_delivery import (
    Distribution,
    Ducts,
    FloorCircuit,
    InRoom,
    RadiantFloors,
    ResetLine,
    WaterEmitter,
    WaterRadiators,
)
from retrofit_desk.physics.radiant_floor import (
    COOLED_LIMIT_C,
    SURFACE_COEFFICIENTS_W_M2K,
    cooling_k_of,
    downward_share,
    heating_k_of,
    surface_limit_c,
)

Array = NDArray[np.float64]
HEATING_AIR_LIMIT_K, COOLING_AIR_RISE_K = 45.0, -11.0  # plausible air rise through a machine: common practice
STEAM_C = 102.0
"""Saturated at 1 psi above the air, as house systems run (ASHRAE steam table, from memory)."""


@dataclass(frozen=True, eq=False)
class RoomAsk:
    """Loads of the served zones, (8760, n) each, and what surrounds them."""

    zones: tuple[str, ...]
    load_w: Array
    room_c: Array
    dew_point_c: Array
    outdoor_c: Array
    temp_of: Callable[[str | None], Array]


@dataclass(frozen=True, eq=False)
class MachineAsk:
    """What arrives at the machine, (8760,) each."""

    asked_w: Array
    supply_c: Array
    return_c: Array
    arrives_share: Array
    out_of_reach_w: Array
    fan_w: float
    pump_w: float


def ask_of(delivery: Distribution, rooms: RoomAsk, machine_w: float, *, cooling: bool) -> MachineAsk:
    """Turn room loads into the machine's load. `machine_w` is its nominal capacity (for the air's rise)."""
    if isinstance(delivery, InRoom):
        return _ask_in_room(rooms, delivery.fan_w)
    if isinstance(delivery, Ducts):
        return _ask_ducts(delivery, rooms, machine_w, cooling)
    if isinstance(delivery, WaterRadiators):
        return _ask_emitters(delivery, rooms, cooling)
    return _ask_floors(delivery, rooms, cooling)


def _ask_in_room(rooms: RoomAsk, fan_w: float) -> MachineAsk:
    total = rooms.load_w.sum(axis=1)
    zero = np.zeros(total.shape)
    return MachineAsk(total, zero, zero, np.ones(total.shape), zero, fan_w, 0.0)


def _ask_ducts(ducts: Ducts, rooms: RoomAsk, machine_w: float, cooling: bool) -> MachineAsk:
    total = rooms.load_w.sum(axis=1)
    rise = machine_w / (ducts.flow_m3_s * AIR_J_M3K)
    rise = max(-rise, COOLING_AIR_RISE_K) if cooling else min(rise, HEATING_AIR_LIMIT_K)
    room = rooms.room_c.mean(axis=1)
    share = delivery_effectiveness(
        ducts.supply,
        ducts.back,
        ducts.flow_m3_s,
        rise_k=rise,
        room_c=room,
        around_c=rooms.temp_of(ducts.passes),
    )
    zero = np.zeros(total.shape)
    return MachineAsk(total / share, zero, zero, share, zero, ducts.fan_w, 0.0)


def _spread(spread_k: float, total: Array) -> Array:
    """Constant flow: the spread shrinks with the load."""
    most = float(total.max())
    return np.asarray(spread_k * total / most if most > 0 else np.zeros(total.shape))


def _ask_emitters(water: WaterRadiators, rooms: RoomAsk, cooling: bool) -> MachineAsk:
    """Each zone needs its water this much above the room; the hottest need is the supply."""
    if water.layout == "steam":
        return _ask_steam(water, rooms)
    total = rooms.load_w.sum(axis=1)
    spread = _spread(water.spread_k, total)
    sign = -1.0 if cooling else 1.0
    cooled = _cooled_share(water, rooms)
    need = np.full(total.shape, -np.inf)
    for j, zone in enumerate(rooms.zones):
        rated_w, first = _rated(water, zone)
        gap = first.rated_difference_k * (rooms.load_w[:, j] / rated_w) ** (1.0 / first.exponent)
        asked = sign * rooms.room_c[:, j] + gap + spread * cooled[:, j]
        need = np.where(rooms.load_w[:, j] > 0, np.maximum(need, asked), need)
    supply = _supply(sign * need, rooms, water.reset, sign)
    return _water_ask(total, np.zeros(total.shape), supply, spread * sign, water)


def _ask_steam(water: WaterRadiators, rooms: RoomAsk) -> MachineAsk:
    """Steam is always as hot; a radiator gives what its room asks, but no more than when it is full."""
    most = np.empty(rooms.load_w.shape)
    for j, zone in enumerate(rooms.zones):
        rated_w, first = _rated(water, zone)
        above = np.maximum(STEAM_C - rooms.room_c[:, j], 0.0)
        most[:, j] = rated_w * (above / first.rated_difference_k) ** first.exponent
    load = np.minimum(rooms.load_w, most)
    total = load.sum(axis=1)
    supply = np.where(total > 0, STEAM_C, rooms.room_c.mean(axis=1))
    spread = np.where(total > 0, water.spread_k, 0.0)
    return _water_ask(total, (rooms.load_w - load).sum(axis=1), supply, spread, water)


def _rated(water: WaterRadiators, zone: str) -> tuple[float, WaterEmitter]:
    """All emitters of a zone at the rated difference of its first, and that one."""
    mine = [e for e in water.emitters if e.zone == zone]
    first = mine[0]
    at_first = (e.rated_w * (first.rated_difference_k / e.rated_difference_k) ** e.exponent for e in mine)
    return sum(at_first), first


def _cooled_share(water: WaterRadiators, rooms: RoomAsk) -> Array:
    """Share of the spread that the water has lost at the middle of each zone's emitter, (8760, n)."""
    if water.layout == "two-pipe":
        return np.full(rooms.load_w.shape, 0.5)
    order = list(dict.fromkeys(e.zone for e in water.emitters if e.zone in rooms.zones))
    along = [rooms.zones.index(zone) for zone in order]
    load = rooms.load_w[:, along]
    total = np.maximum(load.sum(axis=1, keepdims=True), 1e-9)
    share = np.empty(rooms.load_w.shape)
    share[:, along] = (np.cumsum(load, axis=1) - load / 2.0) / total
    return share


def _ask_floors(floors: RadiantFloors, rooms: RoomAsk, cooling: bool) -> MachineAsk:
    spread = _spread(floors.spread_k, rooms.load_w.sum(axis=1))
    sign = -1.0 if cooling else 1.0
    load = rooms.load_w.copy()
    excess = np.zeros(load.shape)
    for j, zone in enumerate(rooms.zones):
        circuits = [c for c in floors.circuits if c.zone == zone]
        excess[:, j], load[:, j] = _floor_excess(circuits, rooms, j, cooling)
    with np.errstate(divide="ignore", invalid="ignore"):
        over = np.where(
            excess > 0,
            np.where(spread[:, None] > 1e-6, spread[:, None] / -np.expm1(-spread[:, None] / excess), excess),
            -np.inf,
        )
    need = (sign * rooms.room_c + over).max(axis=1)
    supply = _supply(sign * need, rooms, floors.reset, sign)
    if cooling:
        guard = rooms.dew_point_c.max(axis=1) + floors.dew_point_margin_k
        short = supply < guard
        supply = np.maximum(supply, guard)
        within = np.maximum(rooms.room_c - supply[:, None] - spread[:, None] / 2.0, 0.0)
        with np.errstate(divide="ignore", invalid="ignore"):
            reach = np.where(excess > 0, np.minimum(within / excess, 1.0), 1.0)
        load = np.where(short[:, None], load * reach, load)
    out_of_reach = (rooms.load_w - load).sum(axis=1)
    return _water_ask(load.sum(axis=1), out_of_reach, supply, spread * sign, floors)


def _floor_excess(
    circuits: list[FloorCircuit], rooms: RoomAsk, zone: int, cooling: bool
) -> tuple[Array, Array]:
    """Mean water above (below) room, and the load the floor can carry within its surface limit."""
    area = sum(c.active_area_m2 for c in circuits)
    room, load = rooms.room_c[:, zone], rooms.load_w[:, zone]
    first = circuits[0]
    if cooling:
        most = SURFACE_COEFFICIENTS_W_M2K["floor cooling"] * np.maximum(room - COOLED_LIMIT_C, 0.0)
        q = np.minimum(load / area, most)
        k = sum(cooling_k_of(c) * c.active_area_m2 for c in circuits) / area
        return q / k, np.minimum(load, q * area)
    below = np.full(room.shape, first.below_c) if first.below is None else rooms.temp_of(first.below)
    share, down = downward_share(first), (room - below) / first.below_m2k_w
    wanted = np.maximum((load / area - down) / (1.0 + share), 0.0)
    most = np.sum([_most_w_m2(c, room) * c.active_area_m2 for c in circuits], axis=0) / area
    q = np.minimum(wanted, most)
    k = sum(heating_k_of(c) * c.active_area_m2 for c in circuits) / area
    return np.where(load > 0, q / k, 0.0), np.where(q < wanted, (q * (1.0 + share) + down) * area, load)


def _most_w_m2(circuit: FloorCircuit, room: Array) -> Array:
    """Heat that the circuit's surface may give: a bathroom's limit goes with its room, others stand alone."""
    limit = surface_limit_c(circuit, 0.0)
    gap = np.maximum(limit - (np.zeros(room.shape) if circuit.bathroom else room), 0.0)
    return np.asarray(8.92 * gap**1.1)


def _supply(need_c: Array, rooms: RoomAsk, reset: ResetLine | None, sign: float) -> Array:
    """The need, or the reset line where that is warmer (colder); idle hours take the room."""
    idle = ~np.isfinite(need_c)
    supply = np.where(idle, rooms.room_c.mean(axis=1), need_c)
    if reset is None:
        return supply
    slope = (reset.supply_when_cold_c - reset.supply_when_warm_c) / (
        reset.warm_outdoor_c - reset.cold_outdoor_c
    )
    line = reset.supply_when_warm_c + (reset.warm_outdoor_c - rooms.outdoor_c) * slope
    return np.where(idle, supply, sign * np.maximum(sign * supply, sign * line))


def _water_ask(
    load: Array, out_of_reach: Array, supply: Array, spread: Array, water: WaterRadiators | RadiantFloors
) -> MachineAsk:
    arrives = np.full(load.shape, 1.0 - water.pipe_loss)
    return MachineAsk(load / arrives, supply, supply - spread, arrives, out_of_reach, 0.0, water.pump_w)
