"""What the rooms ask of a machine: water temperatures of worked rooms, limits of floors."""

from __future__ import annotations

import numpy as np
import pytest

from retrofit_desk.physics import plant_delivery as d
from retrofit_desk.physics.delivery import MachineAsk, RoomAsk, ask_of

N = 3


def ask(
    delivery: d.Distribution, load_w: float, *, room: float = 20.0, dew: float = 8.0, cooling: bool = False
) -> MachineAsk:
    flat = np.ones((N, 1))
    rooms = RoomAsk(
        ("a",),
        load_w * flat,
        room * flat,
        dew * flat,
        np.array([-15.0, 0.0, 15.0]),
        lambda _: np.full(N, 0.659),
    )
    return ask_of(delivery, rooms, 8000.0, cooling=cooling)


def floor(**changes: object) -> d.RadiantFloors:
    values: dict[str, object] = {
        "zone": "a",
        "active_area_m2": 18.0,
        "spacing_m": 0.15,
        "pipe_outside_m": 0.017,
        "cover_m": 0.045,
        "cover_conductivity_w_mk": 1.2,
        "covering_m2k_w": 0.05,
        "below_m2k_w": 1.77,
        "below": "cellar",
    }
    circuit = d.FloorCircuit.model_validate(values | changes)
    return d.RadiantFloors(circuits=(circuit,), spread_k=6.0, pump_w=20.0)


# RAD-10: the worked room, heat into the pipes = up and down (EN 1264-2/-3, from memory)
def test_supply_water_of_the_worked_room() -> None:
    got = ask(floor(), 18.0 * (56.826 + 16.709))
    assert got.supply_c == pytest.approx(np.full(N, 36.744), abs=2e-3)
    assert got.return_c == pytest.approx(np.full(N, 30.744), abs=2e-3)
    assert got.out_of_reach_w.max() == 0.0


# EMIT-3: radiator of 2,400 W at 50 K for 1,022.87 W, spread 10 K
def test_supply_water_of_a_radiator() -> None:
    radiator = d.WaterRadiators(emitters=(d.WaterEmitter(zone="a", rated_w=2400.0),), pump_w=20.0)
    assert ask(radiator, 1022.87).supply_c == pytest.approx(np.full(N, 50.945), abs=6e-4)


# HYD-3: the reset line rules where it is warmer than the need (degF turned to degC)
def test_reset_line_sets_the_supply() -> None:
    line = d.ResetLine(
        cold_outdoor_c=-15.0,
        supply_when_cold_c=130 / 1.8 - 32 / 1.8,
        warm_outdoor_c=65 / 1.8 - 32 / 1.8,
        supply_when_warm_c=80 / 1.8 - 32 / 1.8,
    )
    radiator = d.WaterRadiators(emitters=(d.WaterEmitter(zone="a", rated_w=9000.0),), pump_w=20.0, reset=line)
    supply = ask(radiator, 500.0).supply_c
    assert supply[0] * 1.8 + 32 == pytest.approx(130.0)
    assert supply[0] > supply[1] > supply[2]


# RAD-1: 100 W/m2 is the limit of an occupied floor at 20 degC
def test_a_floor_gives_no_more_than_its_surface_may() -> None:
    got = ask(floor(below_m2k_w=1000.0), 18.0 * 150.0)
    assert got.out_of_reach_w[0] == pytest.approx(18.0 * 50.0, rel=0.01)
    wood = ask(floor(below_m2k_w=1000.0, wood_finish=True), 18.0 * 150.0)
    assert wood.out_of_reach_w[0] > got.out_of_reach_w[0]


# RAD-13: 24.16 W/m2 of cold takes 17 degC supply and 20 degC return at 26 degC (EN 1264-5, from memory)
def test_cooled_floor_water() -> None:
    cold = d.RadiantFloors(circuits=floor().circuits, spread_k=3.0, pump_w=20.0)
    got = ask(cold, 18.0 * 24.16, room=26.0, cooling=True)
    assert got.supply_c == pytest.approx(np.full(N, 17.0), abs=0.01)
    assert got.return_c == pytest.approx(np.full(N, 20.0), abs=0.01)


def test_damp_air_holds_the_water_above_its_dew_point() -> None:
    got = ask(floor(), 18.0 * 24.16, room=26.0, dew=18.0, cooling=True)
    assert got.supply_c.min() == pytest.approx(19.5)
    assert 0 < got.out_of_reach_w[0] < 18.0 * 24.16


def two_rooms(*load_w: float) -> RoomAsk:
    shape = (N, 2)
    return RoomAsk(
        ("a", "b"),
        np.tile(np.array(load_w), (N, 1)),
        np.full(shape, 20.0),
        np.full(shape, 5.0),
        np.linspace(-15.0, 15.0, N),
        lambda _zone: np.zeros(N),
    )


def test_in_a_series_loop_the_last_emitter_sees_the_coolest_water() -> None:
    """Both at their rated 50 K: two-pipe needs 20 + 50 + 10/2; in series the last one sits at 3/4 of 10 K."""
    emitters = tuple(d.WaterEmitter(zone=zone, rated_w=1000.0) for zone in ("a", "b"))
    supply = {
        layout: ask_of(
            d.WaterRadiators(emitters=emitters, layout=layout, spread_k=10.0, pump_w=20.0),
            two_rooms(1000.0, 1000.0),
            9000.0,
            cooling=False,
        ).supply_c[0]
        for layout in ("two-pipe", "series loop")
    }
    assert supply["two-pipe"] == pytest.approx(75.0)
    assert supply["series loop"] == pytest.approx(77.5)
    one = d.WaterRadiators(emitters=emitters[:1], layout="series loop", spread_k=10.0, pump_w=20.0)
    assert ask(one, 1000.0).supply_c[0] == pytest.approx(75.0)


# 240 Btu/h a square foot of equivalent radiation, 215 degF steam, 70 degF room: trade rule, from memory
def test_a_steam_radiator_gives_no_more_than_when_it_is_full() -> None:
    area_ft2, room_c = 20.0, 20.0
    rated_w = 240.0 * area_ft2 * 0.29307107
    radiator = d.WaterEmitter(zone="a", rated_w=rated_w, rated_difference_k=(215.0 - 70.0) / 1.8)
    steam = d.WaterRadiators(emitters=(radiator,), layout="steam", pump_w=0.0)
    within, beyond = ask(steam, 1000.0), ask(steam, 3000.0)
    assert within.supply_c == pytest.approx(np.full(N, 102.0))
    assert within.out_of_reach_w == pytest.approx(np.zeros(N))
    full_w = rated_w * ((102.0 - room_c) / radiator.rated_difference_k) ** 1.3
    assert beyond.out_of_reach_w == pytest.approx(np.full(N, 3000.0 - full_w))
    assert full_w == pytest.approx(rated_w, rel=0.03)
    with pytest.raises(ValueError, match="steam has no reset line"):
        d.WaterRadiators(
            emitters=(radiator,),
            layout="steam",
            pump_w=0.0,
            reset=d.ResetLine(
                cold_outdoor_c=-10.0, supply_when_cold_c=75.0, warm_outdoor_c=15.0, supply_when_warm_c=45.0
            ),
        )
