"""What is stored in each room and its walls changes in every hour by what flows in and out of it."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.physics.engine import build_model
from retrofit_desk.physics.network import Network
from retrofit_desk.physics.stepping import HOUR_S, Model, Run, step_year
from tests.physics.houses import house
from tests.physics.test_energy_closes import described, every_node, rooms

Array = NDArray[np.float64]
ROUNDING = 1e-12
"""Share of the heat that passes through a node: states at the hours' ends are chained from their means."""


def rooms_of_nodes(model: Model) -> NDArray[np.int64]:
    """The room of every node: its air and star, and its faces with all that lies behind them."""
    network, zones = model.network, len(model.house.zones)
    room = np.full(network.size, -1)
    room[network.air] = room[network.star] = np.arange(zones)
    names = [zone.name for zone in model.house.zones]
    for surface, nodes in zip(model.house.surfaces, network.surfaces, strict=True):
        room[nodes.inner] = names.index(surface.zone)
    for panes in network.windows:
        room[[panes.inner, panes.outer]] = names.index(model.house.surfaces[panes.surface].zone)
    # inside a wall: as the neighbor that is already given to a room, until all are
    links = network.conductance_w_k < 0.0
    inside = [*network.air, *network.star]
    links[inside, :] = links[:, inside] = False
    while (room < 0).any():
        for node in np.flatnonzero(room < 0):
            known = [room[k] for k in np.flatnonzero(links[node]) if room[k] >= 0]
            if known:
                room[node] = known[0]
    return room


def stored_w(model: Model, run: Run, mean_c: Array) -> Array:
    """What each node takes up in each hour, (8760, nodes) W, by the hours' means alone."""
    modes = model.modes
    means = mean_c @ modes.to_modes.T
    fall = modes.rates_per_s * HOUR_S
    decay = np.exp(-fall)
    of_state = -np.expm1(-fall) / fall
    of_heat = (1.0 - of_state) / fall
    state, rise = run.start_modes.copy(), np.empty_like(means)
    for hour, mean in enumerate(means):
        end = decay * state + of_state * (mean - of_state * state) / of_heat
        rise[hour], state = end - state, end
    assert state == pytest.approx(run.end_modes, rel=1e-7, abs=1e-6 * np.abs(run.end_modes).max())
    return np.asarray(rise @ modes.shape.T * model.network.capacity_j_k / HOUR_S)


def flows_w(model: Model, run: Run, mean_c: Array, radiative: Array) -> Array:
    """Heat into each node from its neighbors, weather, sun, gains, outdoor air and plant, (8760, nodes) W."""
    network, forcing = model.network, model.forcing
    weather = forcing.modal @ (model.modes.shape * network.capacity_j_k[:, None]).T
    nodes = every_node(network)
    by_place = np.empty_like(weather)
    by_place[:, nodes] = forcing.at_once_k
    weather = weather + by_place @ network.conductance_w_k
    into = weather - mean_c @ network.conductance_w_k
    to_air = run.power_w + run.outdoor_air_w + run.shades_w + run.gains_w * (1.0 - radiative)
    into[:, network.air] += to_air
    into[:, network.star] += run.gains_w * radiative
    return np.asarray(into)


@settings(max_examples=3, deadline=None)
@given(glass_m2=st.floats(0.0, 4.0), shade=st.booleans(), drawn=st.lists(rooms, min_size=2, max_size=4))
def test_every_room_closes_in_every_hour(glass_m2: float, shade: bool, drawn: list[dict[str, Any]]) -> None:
    # another volume than elsewhere: networks are kept by their fabric, and this one keeps every node
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Network, "seen", property(every_node))
        model = build_model(house(described(glass_m2, shade, drawn, 76.0)), greensboro())
        run = step_year(model)
    mean_c = np.empty_like(run.seen_c)
    mean_c[:, every_node(model.network)] = run.seen_c
    radiative = np.array([room["radiative"] for room in drawn])
    stored, into = stored_w(model, run, mean_c), flows_w(model, run, mean_c, radiative)
    room = rooms_of_nodes(model)
    traffic_w = float((np.abs(mean_c) @ np.abs(model.network.conductance_w_k)).max())
    for zone in range(len(drawn)):
        mine = room == zone
        gap = stored[:, mine].sum(axis=1) - into[:, mine].sum(axis=1)
        assert np.abs(gap).max() <= ROUNDING * traffic_w
