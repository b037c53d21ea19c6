"""Who carries the load of a room that several systems heat or cool: stated shares, then what one lacks."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.plant_delivery import HeatingSystem, InRoom
from retrofit_desk.physics.plant_description import PlantDescription
from retrofit_desk.physics.plant_machines import Burner, Resistance
from retrofit_desk.physics.plant_systems import System

Array = NDArray[np.float64]


def shared_out(
    plant: PlantDescription, systems: Sequence[System], zones: tuple[str, ...], load_w: Array
) -> list[Array]:
    """Load of each system by the zones it serves, (8760, served) W each; `load_w`: (8760, zones).

    What a stove or heater in the room cannot give goes to the other systems of its room by their shares,
    evenly where they state none; where no other serves the room it stays with it and is not met.
    """
    columns = [[zones.index(served.zone) for served in system.serves] for system in systems]
    shares = np.zeros((len(systems), len(zones)))
    for at, system in enumerate(systems):
        shares[at, columns[at]] = [served.share for served in system.serves]
    asked = [load_w[:, kept] * shares[at, kept] for at, kept in enumerate(columns)]
    most_w = [_most_w(plant, system) for system in systems]
    helps = _helping_shares(systems, shares, columns, [limit is None for limit in most_w])
    helped = helps.sum(axis=0) > 0
    spilled = np.zeros(load_w.shape)
    for at, (kept, limit) in enumerate(zip(columns, most_w, strict=True)):
        if limit is not None:
            beyond = _beyond(asked[at], limit) * helped[kept]
            asked[at] = asked[at] - beyond
            spilled[:, kept] += beyond
    return [
        mine + spilled[:, kept] * helps[at, kept]
        for at, (mine, kept) in enumerate(zip(asked, columns, strict=True))
    ]


def _most_w(plant: PlantDescription, system: System) -> float | None:
    """What a stove or heater in its room can give; None for all that may help one."""
    machine = plant.machine(system.machine)
    has_backup = isinstance(system, HeatingSystem) and system.backup is not None
    if has_backup or not isinstance(system.delivery, InRoom):
        return None
    return machine.capacity_w if isinstance(machine, Burner | Resistance) else None


def _helping_shares(
    systems: Sequence[System], shares: Array, columns: list[list[int]], may_help: list[bool]
) -> Array:
    """The share that each system takes of a zone's spilled load, (systems, zones); all 0 where none helps."""
    serves = np.zeros(shares.shape)
    for at, kept in enumerate(columns):
        serves[at, kept] = 1.0 if may_help[at] else 0.0
    weights = shares * serves
    weights = np.where(weights.sum(axis=0) > 0, weights, serves)
    return np.asarray(weights / np.maximum(weights.sum(axis=0), 1e-9))


def _beyond(load_w: Array, limit_w: float) -> Array:
    """The part of the zones' load above what all of them together may have, as each asks for it."""
    total = load_w.sum(axis=1, keepdims=True)
    return np.asarray(load_w * np.maximum(1.0 - limit_w / np.maximum(total, 1e-9), 0.0))
