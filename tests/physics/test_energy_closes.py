"""Energy closes in houses of several rooms, heated and not, over one another under a roof."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.physics.engine import build_model, heat_account
from retrofit_desk.physics.network import Network
from retrofit_desk.physics.stepping import Model, Run, step_year
from tests.physics.houses import BOARD, BRICK, ISO_FILMS, WOOL, box, house

ROUNDING = 1e-9
"""Share of the traffic: the steps are exact in the modes, so only rounding over 8,760 of them is left."""

SWING_K = 60.0
"""The air of a room stores no more than this over the year; its hourly means do not tell the exact ends."""

share = st.floats(0.0, 1.0)
rooms = st.fixed_dictionaries(
    {
        "ach": st.floats(0.05, 2.0),
        "fan_m3_s": st.floats(0.0, 0.05),
        "recovery": share,
        "people_w": st.floats(0.0, 400.0),
        "radiative": share,
        "warmed": st.booleans(),
        "capacity_w": st.one_of(st.none(), st.floats(0.0, 3000.0)),
        "door_m3_s": st.floats(0.0, 0.1),
        "heavy": st.booleans(),
    }
)


def described(glass_m2: float, shade: bool, upper: list[dict[str, Any]], volume_m3: float) -> dict[str, Any]:
    """A box on outdoor air with one to three spaces in a row above it; the last is under the roof."""
    found = box(window_m2=glass_m2, zone=_zone("room", upper[0], volume_m3))
    if shade and glass_m2:
        blind = {"side": "exterior", "solar_factor": 0.2, "by_night": True, "added_resistance_m2k_w": 0.2}
        for wall in found["surfaces"][:4]:
            wall["windows"][0]["blind"] = blind
    found["constructions"] += [
        {"name": "light", "layers": [WOOL, BOARD]},
        {"name": "inside", "layers": [BRICK]},
    ]
    roof, below, paths = found["surfaces"][4], "room", []
    for k, drawn in enumerate(upper[1:]):
        name = f"space {k}"
        found["zones"].append(_zone(name, drawn, volume_m3))
        common = {"films": ISO_FILMS, "construction": "inside" if drawn["heavy"] else "light"}
        roof |= {"boundary": {"kind": "zone", "zone": name}}
        wall = {"area_m2": 22.0, "zone": name, "boundary": {"kind": "outdoors"}}
        found["surfaces"].append(common | wall | {"name": f"{name} wall", "azimuth_deg": 90.0 * k})
        roof = {**wall, **common, "name": f"{name} roof", "tilt_deg": 0, "area_m2": 30.0}
        found["surfaces"].append(roof)
        paths.append({"zone_a": below, "zone_b": name, "flow_m3_s": drawn["door_m3_s"]})
        below = name
    return found | {"air_paths": paths}


def _zone(name: str, drawn: dict[str, Any], volume_m3: float) -> dict[str, Any]:
    emitter = {"capacity_w": drawn["capacity_w"], "radiative_fraction": 0.0}
    return {
        "name": name,
        "volume_m3": volume_m3,
        "leakage": {"air_changes_per_h": drawn["ach"]},
        "fans": [{"flow_m3_s": drawn["fan_m3_s"], "sensible_recovery": drawn["recovery"]}],
        "gains": [{"power_w": drawn["people_w"], "radiative_fraction": drawn["radiative"]}],
        "thermostat": {"heating_c": 20.0, "cooling_c": 25.0} if drawn["warmed"] else None,
        "heating": emitter,
        "cooling": emitter,
        "openings": [
            {"name": f"{name} casement", "area_m2": 0.5, "height_m": 1.0, "faces_deg": 180, "hinge": "left"}
        ],
    }


@settings(max_examples=6, deadline=None)
@given(glass_m2=st.floats(0.0, 4.0), shade=st.booleans(), drawn=st.lists(rooms, min_size=2, max_size=4))
def test_energy_closes_in_a_house_of_several_rooms(
    glass_m2: float, shade: bool, drawn: list[dict[str, Any]]
) -> None:
    model = build_model(house(described(glass_m2, shade, drawn, 75.0)), greensboro())
    assert abs(heat_account(model, step_year(model)).residual_share) < ROUNDING


def every_node(network: Network) -> NDArray[np.int64]:
    """Those usually kept first, in their places, then all the others."""
    first = [*network.air, *network.star, *(nodes.inner for nodes in network.surfaces)]
    return np.array([*first, *sorted(set(range(network.size)) - set(first))], dtype=np.int64)


def heat_left_over_wh(model: Model, run: Run, zone: int, convective: float) -> float:
    """A year's heat into the air of a room less what its neighbors in the network take out of it."""
    network = model.network
    seen = {int(node): run.seen_c[:, at] for at, node in enumerate(every_node(network))}
    air = int(network.air[zone])
    row = network.conductance_w_k[air]
    others = [int(node) for node in np.flatnonzero(row) if node != air]
    passed = sum(float(-row[n] * (seen[n] - run.air_c[:, zone]).sum()) for n in others)
    into = run.power_w + run.outdoor_air_w + run.shades_w + convective * run.gains_w
    return passed + float(into[:, zone].sum())


@settings(max_examples=3, deadline=None)
@given(glass_m2=st.floats(0.0, 4.0), shade=st.booleans(), drawn=st.lists(rooms, min_size=2, max_size=4))
def test_energy_closes_in_the_air_of_every_room(
    glass_m2: float, shade: bool, drawn: list[dict[str, Any]]
) -> None:
    # another volume than elsewhere: networks are kept by their fabric, and this one keeps every node
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Network, "seen", property(every_node))
        model = build_model(house(described(glass_m2, shade, drawn, 75.5)), greensboro())
        run = step_year(model)
    for zone, room in enumerate(drawn):
        stored_at_most = model.network.capacity_j_k[model.network.air[zone]] / 3600.0 * SWING_K
        assert abs(heat_left_over_wh(model, run, zone, 1.0 - room["radiative"])) <= stored_at_most
