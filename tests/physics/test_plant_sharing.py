"""A stove that is too small for its room is helped by the boiler that serves the room too."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from retrofit_desk.physics import plant_delivery as d
from retrofit_desk.physics import plant_description as p
from retrofit_desk.physics import plant_machines as m
from retrofit_desk.physics.plant import run_plant
from retrofit_desk.physics.plant_results import PlantYear
from tests.physics.plants import SERVED, use
from tests.physics.years import plain_loads, sunny_year

FIRST = SERVED[0].zone


def with_stove(stove_w: float, stove_share: float, boiler_share: float | None) -> p.PlantDescription:
    """A stove in the first room, and a boiler on radiators in all rooms, or in all but the first."""
    stove = m.Burner(name="stove", fuel="wood", capacity_w=stove_w, efficiency=0.7)
    boiler = m.Burner(name="boiler", fuel="oil", capacity_w=1e5, efficiency=0.8)
    rooms = [z.zone for z in SERVED]
    by_boiler = [
        d.ServedZone(zone=zone, share=1.0 if zone != FIRST else boiler_share or 0.0)
        for zone in rooms
        if zone != FIRST or boiler_share is not None
    ]
    emitters = tuple(d.WaterEmitter(zone=zone, rated_w=8000.0, rated_difference_k=50.0) for zone in rooms)
    return p.PlantDescription(
        machines=(stove, boiler),
        heating=(
            d.HeatingSystem(
                name="stove",
                machine="stove",
                serves=(d.ServedZone(zone=FIRST, share=stove_share),),
                delivery=d.InRoom(),
            ),
            d.HeatingSystem(
                name="boiler",
                machine="boiler",
                serves=tuple(by_boiler),
                delivery=d.WaterRadiators(emitters=emitters, pump_w=40.0),
            ),
        ),
    )


def year_of(plant: p.PlantDescription) -> PlantYear:
    return run_plant(plant, use(), plain_loads(), sunny_year())


def test_what_the_stove_lacks_the_boiler_gives() -> None:
    loads = plain_loads().heating_w
    small_w = 0.4 * float(loads[:, 0].max())
    year = year_of(with_stove(small_w, 1.0, 0.0))
    stove, boiler = year.systems
    assert max(stove.unmet_w.max(), boiler.unmet_w.max()) == 0.0
    assert float(stove.delivered_w.max()) == pytest.approx(small_w)
    beyond = np.maximum(loads[:, 0] - small_w, 0.0)
    assert beyond.any()
    assert boiler.asked_w == pytest.approx(loads[:, 1:].sum(axis=1) + beyond)


def test_alone_in_its_room_a_small_stove_leaves_it_cold_and_says_so() -> None:
    loads = plain_loads().heating_w
    small_w = 0.4 * float(loads[:, 0].max())
    year = year_of(with_stove(small_w, 1.0, None))
    assert year.systems[0].unmet_w == pytest.approx(np.maximum(loads[:, 0] - small_w, 0.0), abs=1e-6)
    assert any(note.startswith("stove: too small") for note in year.notes)


@settings(max_examples=8, deadline=None)
@given(st.floats(0.05, 1.5), st.floats(0.1, 0.9))
def test_every_watt_that_the_rooms_ask_for_is_given_once(size: float, share: float) -> None:
    loads = plain_loads().heating_w
    plant = with_stove(size * float(loads[:, 0].max()), share, 1.0 - share)
    given_w = sum(one.delivered_w for one in year_of(plant).systems)
    assert given_w == pytest.approx(loads.sum(axis=1), rel=1e-9, abs=1e-6)


def test_a_stove_that_is_large_enough_keeps_its_stated_share() -> None:
    loads = plain_loads().heating_w
    stove, _ = year_of(with_stove(1e6, 0.6, 0.4)).systems
    assert stove.delivered_w == pytest.approx(0.6 * loads[:, 0])
