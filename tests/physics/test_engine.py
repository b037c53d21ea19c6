"""The hourly engine against handbook answers, and what must hold in every house."""

from __future__ import annotations

import dataclasses
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.physics import forcing, network, sun, sun_on_house
from retrofit_desk.physics.engine import build_model, run_model, run_year
from retrofit_desk.physics.results import Peak, YearResult
from retrofit_desk.values.known import Known
from tests.physics.houses import AIR_ONLY_FILMS, BOARD, BRICK, WOOL, box, house
from tests.physics.weathers import FLAT, plain_year

WALL_AREA, FLAT_AREA = 55.0, 30.0


def test_steady_heating_is_the_sum_of_u_times_area() -> None:
    # ISO 6946:2017 resistances (R_si .13, R_se .04) and ISO 13789: H = sum of U A + 0.33 n V
    r = 0.13 + 0.04 + 0.2 / 0.77 + 0.1 / 0.04 + 0.0125 / 0.21
    loss = (2 * FLAT_AREA + WALL_AREA) / r
    air = 0.5 * 75.0 / 3600 * 1.2 * 1006
    described = box(zone={"leakage": {"air_changes_per_h": 0.5}}, films=AIR_ONLY_FILMS)
    year = run_year(house(described), plain_year())
    assert year.heating_w[4000:] == pytest.approx(20.0 * (loss + air), rel=1e-6)
    assert year.peak_heating.power_w == pytest.approx(20.0 * (loss + air), rel=1e-6)


def test_room_of_cold_faces_has_only_its_convective_film() -> None:
    # Six like faces radiate among themselves and nothing crosses: the inside film is 2.5 W/m2K alone
    r = 1 / 2.5 + 0.04 + 0.2 / 0.77 + 0.1 / 0.04 + 0.0125 / 0.21
    year = run_year(house(box()), plain_year())
    assert year.heating_w[5000] == pytest.approx(20.0 * 115.0 / r, rel=1e-6)
    assert year.zones[0].mean_radiant_c[5000] < 20.0


def test_window_keeps_its_stated_u_value() -> None:
    # EN 673 films of the box: 25 outside, 1/0.13 inside
    bare = run_year(house(box(films=AIR_ONLY_FILMS)), plain_year()).heating_w[5000]
    glazed = run_year(house(box(window_m2=2.5, films=AIR_ONLY_FILMS)), plain_year()).heating_w[5000]
    r = 0.13 + 0.04 + 0.2 / 0.77 + 0.1 / 0.04 + 0.0125 / 0.21
    assert glazed - bare == pytest.approx(
        20.0 * 10.0 * (2.7 - 1 / r), rel=0.02
    )  # faces differ, the star evens


def test_heat_recovery_keeps_its_share_of_the_fan_s_heat() -> None:
    # Sensible recovery: q = rho c V dT (1 - efficiency), ASHRAE Fundamentals ch. 16
    without = house(box(zone={"fans": [{"flow_m3_s": 0.05}]}))
    with_recovery = house(box(zone={"fans": [{"flow_m3_s": 0.05, "sensible_recovery": 0.75}]}))
    still = run_year(house(box()), plain_year()).heating_w[5000]
    full = run_year(without, plain_year()).heating_w[5000] - still
    kept = run_year(with_recovery, plain_year()).heating_w[5000] - still
    assert full == pytest.approx(0.05 * 1.2 * 1006 * 20.0, rel=1e-6)
    assert kept == pytest.approx(0.25 * full, rel=1e-6)


def test_air_at_height_carries_less_heat_once_not_twice() -> None:
    # Constant air changes are volume at site density: 0.822 at 1,609 m scales the air's heat, nothing else
    described = box(zone={"leakage": {"air_changes_per_h": 1.0}})
    sea = run_year(house(described), plain_year()).heating_w[5000]
    described["site"] = {"density_factor": 0.822}
    high = run_year(house(described), plain_year()).heating_w[5000]
    assert sea - high == pytest.approx((1 - 0.822) * 75.0 / 3600 * 1.2 * 1006 * 20.0, rel=1e-6)


def test_floor_on_a_held_temperature_without_film_loses_through_its_layers_alone() -> None:
    described = box(films=AIR_ONLY_FILMS)
    floor = described["surfaces"][5]
    floor["boundary"] = {"kind": "fixed_temperature", "temperature_c": 0.0}
    plain = run_year(house(box(films=AIR_ONLY_FILMS)), plain_year()).heating_w[5000]
    held = run_year(house(described), plain_year()).heating_w[5000]
    layers = 0.2 / 0.77 + 0.1 / 0.04 + 0.0125 / 0.21
    expected = 20.0 * 30.0 * (1 / (0.13 + layers) - 1 / (0.17 + layers))
    assert held - plain == pytest.approx(expected, rel=1e-6)


def test_room_with_gains_only_floats_to_gain_over_loss() -> None:
    # Lumped steady state: dT = Q / UA
    described = box(zone={"thermostat": None, "gains": [{"power_w": 500.0, "radiative_fraction": 0.4}]})
    year = run_year(house(described), plain_year())
    r = 0.13 + 0.04 + 0.2 / 0.77 + 0.1 / 0.04 + 0.0125 / 0.21
    assert year.start_settled
    rise = float(year.zones[0].air_c[8000] + year.zones[0].mean_radiant_c[8000]) / 2
    assert rise == pytest.approx(500.0 / (115.0 / r), rel=0.02)
    outer = year.balance.gains_wh + year.balance.boundaries_wh
    assert outer == pytest.approx(year.balance.stored_wh, abs=1e-6 * year.balance.gains_wh)


@pytest.mark.parametrize("capacity", [400.0, 900.0])
def test_emitter_never_gives_more_than_its_capacity(capacity: float) -> None:
    described = box(zone={"heating": {"capacity_w": capacity}})
    year = run_year(house(described), plain_year(temp_c=FLAT - 10.0))
    assert year.heating_w.max() <= capacity + 1e-9
    cold = year.heating_w > capacity - 1e-6
    assert np.all(year.zones[0].air_c[cold] <= 20.0 + 1e-6)


def test_setback_schedule_switches_at_its_hours() -> None:
    hours = [10.0] * 7 + [20.0] * 16 + [10.0]
    described = box(zone={"thermostat": {"heating_c": {"hours": hours}}})
    air = run_year(house(described), plain_year()).zones[0].air_c.reshape(365, 24)[200]
    assert air[8:22] == pytest.approx(20.0, abs=0.15)
    assert air[23] < 19.0
    assert air[6] < air[23]


def test_night_fan_by_schedule_cools_the_room_in_its_hours_only() -> None:
    flow = [0.4] * 7 + [0.0] * 11 + [0.4] * 6
    zone = {
        "thermostat": {"cooling_c": {"hours": [None] * 7 + [27.0] * 11 + [None] * 6}},
        "gains": [{"power_w": 800.0}],
        "fans": [{"flow_m3_s": {"hours": flow}}],
    }
    year = run_year(house(box(zone=zone)), plain_year(temp_c=FLAT + 20.0))
    by_hour = year.zones[0].outdoor_air_w.reshape(365, 24)
    assert np.all(by_hour[:, 7:18] == 0.0)
    assert np.all(by_hour[:, 19:] < 0.0)
    assert np.all(year.cooling_w.reshape(365, 24)[:, :7] == 0.0)


def test_two_rooms_behind_one_wall_share_their_heat() -> None:
    described = two_rooms()
    year = run_year(house(described), plain_year())
    warm, cold = year.zone("room"), year.zone("porch")
    assert 0.5 < cold.air_c[5000] < warm.air_c[5000] == pytest.approx(20.0, abs=1e-6)
    assert abs(year.balance.residual_share) < 1e-9


def two_rooms() -> dict[str, Any]:
    described = box()
    described["zones"].append({"name": "porch", "volume_m3": 30.0})
    described["air_paths"] = [{"zone_a": "room", "zone_b": "porch", "flow_m3_s": 0.005}]
    films = described["surfaces"][0]["films"]
    described["surfaces"][2]["boundary"] = {"kind": "zone", "zone": "porch"}
    described["surfaces"].append(
        {"name": "porch glass wall", "zone": "porch", "construction": "layers",
         "area_m2": 40.0, "azimuth_deg": 180,
         "boundary": {"kind": "outdoors"}, "films": films,
         "windows": [{"name": "big", "glazing": "clear", "width_m": 5.0, "height_m": 2.0, "films": films}]}
    )  # fmt: skip
    return described


def test_sun_let_into_a_room_is_absorbed_or_leaves_by_the_glass() -> None:
    model = build_model(house(box(window_m2=2.5)), greensboro())
    split = model.forcing.splits[0]
    assert 0.85 < sum(split.shares) < 1.0
    floor = split.shares[split.nodes.index(model.network.surfaces[5].inner)]
    assert floor == pytest.approx(0.6, abs=0.1)  # absorptance 0.6, the floor first


def test_awning_takes_summer_sun_from_the_south_glass() -> None:
    described = box(window_m2=2.5)
    bare = run_year(house(described), greensboro())
    described["surfaces"][2]["plates"] = [
        {"kind": "overhang", "height_m": 2.4, "from_x_m": 0.0, "to_x_m": 6.0, "depth_m": 0.8}
    ]
    shaded = run_year(house(described), greensboro())
    month = np.repeat(np.arange(12), np.array((31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)) * 24)

    def let_in(year: YearResult, m: int) -> float:
        south = next(w for w in year.windows if w.surface == "south")
        return float(south.transmitted_sun_w[month == m].sum())

    june, december = (let_in(shaded, m) / let_in(bare, m) for m in (5, 11))
    assert june < 0.75  # the diffuse half stays
    assert december > june + 0.1
    assert shaded.cooling_kwh < bare.cooling_kwh


def test_radiant_floor_warms_from_the_pipe_plane_and_holds_the_room() -> None:
    described = box(layers=(WOOL, BRICK, BOARD))
    described["surfaces"][5]["pipe_plane_after_layer"] = 1
    described["zones"][0]["heating"] = {
        "kind": "floor",
        "surfaces": ["floor"],
        "capacity_w": 4000,
        "look_ahead_h": 8,
    }
    year = run_year(house(described), plain_year(temp_c=5.0 * np.sin(np.arange(8760) * 2 * np.pi / 24)))
    late = slice(4000, 8760)
    assert year.zones[0].air_c[late].mean() == pytest.approx(20.0, abs=0.5)
    assert year.surfaces[5].inner_face_c[late].mean() > year.zones[0].air_c[late].mean() + 1.0
    assert np.abs(np.diff(year.heating_w[late])).max() < 1500.0
    pipes = year.surfaces[5].pipe_plane_c
    assert pipes is not None
    assert pipes[late].mean() > year.surfaces[5].inner_face_c[late].mean()


def test_mirrored_house_under_a_mirrored_sun_is_the_same_house(monkeypatch: pytest.MonkeyPatch) -> None:
    described = box(window_m2=2.0)
    described["surfaces"][2]["plates"] = [
        {"kind": "fin", "x_m": 0.8, "from_height_m": 0.0, "to_height_m": 2.5, "depth_m": 0.6}
    ]
    described["surfaces"][1]["outside_absorptance"] = 0.9
    weather = greensboro()
    one = run_year(house(described), weather)
    mirrored = box(window_m2=2.0)
    mirrored["surfaces"][2]["plates"] = [
        {"kind": "fin", "x_m": 5.2, "from_height_m": 0.0, "to_height_m": 2.5, "depth_m": 0.6}
    ]
    mirrored["surfaces"][3]["outside_absorptance"] = 0.9
    for wall, width in zip(mirrored["surfaces"][:4], (6, 5, 6, 5), strict=True):
        wall["windows"][0]["x_m"] = width - 1.0 - wall["windows"][0]["width_m"]
    path = sun.path_of(weather)
    flipped = dataclasses.replace(path, azimuth_deg=360.0 - path.azimuth_deg)
    monkeypatch.setattr(sun, "path_of", lambda _: flipped)
    monkeypatch.setattr(sun_on_house, "path_of", lambda _: flipped)
    two = run_year(house(mirrored), dataclasses.replace(weather, name="mirrored"))
    assert two.heating_kwh == pytest.approx(one.heating_kwh, rel=1e-9)
    assert two.cooling_kwh == pytest.approx(one.cooling_kwh, rel=1e-9)


@settings(max_examples=12, deadline=None)
@given(
    window_m2=st.floats(0.0, 4.0),
    ach=st.floats(0.0, 3.0),
    heat=st.floats(15.0, 22.0),
    capacity=st.one_of(st.none(), st.floats(0.0, 3000.0)),
    radiative=st.floats(0.0, 1.0),
    heavy=st.booleans(),
)
def test_heat_account_closes_in_every_house(
    window_m2: float, ach: float, heat: float, capacity: float | None, radiative: float, heavy: bool
) -> None:
    zone = {
        "leakage": {"air_changes_per_h": ach},
        "thermostat": {"heating_c": heat, "cooling_c": heat + 3.0},
        "heating": {"capacity_w": capacity, "radiative_fraction": radiative},
        "gains": [{"power_w": 200.0}],
        "openings": [
            {"name": "casement", "area_m2": 0.5, "height_m": 1.0, "faces_deg": 180, "hinge": "left"}
        ],
    }
    layers = (BRICK, WOOL, BOARD) if heavy else (WOOL, BOARD)
    year = run_year(house(box(layers=layers, window_m2=window_m2, zone=zone)), greensboro())
    assert abs(year.balance.residual_share) < 1e-9
    assert year.unsettled_hours == 0
    assert np.all(year.heating_w * year.cooling_w == 0.0)


@settings(max_examples=20, deadline=None)
@given(
    thickness=st.floats(0.02, 0.3),
    more=st.floats(0.005, 0.2),
    inside=st.booleans(),
    window_m2=st.floats(0.0, 4.0),
    ach=st.floats(0.0, 2.0),
    heat=st.floats(20.0, 24.0),
    radiative=st.floats(0.0, 1.0),
)
def test_more_insulation_never_raises_heating_without_sun(
    thickness: float, more: float, inside: bool, window_m2: float, ach: float, heat: float, radiative: float
) -> None:
    """Within or without the brick, behind glass and drafts; outdoors is never warmer than the room."""
    temp = (
        5.0 + 10.0 * np.cos(np.arange(8760) * 2 * np.pi / 8760) + 4.0 * np.cos(np.arange(8760) * np.pi / 12)
    )
    weather = plain_year("dark", temp_c=temp)
    zone = {
        "leakage": {"air_changes_per_h": ach},
        "thermostat": {"heating_c": heat},
        "heating": {"radiative_fraction": radiative},
    }

    def heating(wool_m: float) -> float:
        wool = {**WOOL, "thickness_m": wool_m}
        layers = (BRICK, wool, BOARD) if inside else (wool, BRICK, BOARD)
        return run_year(house(box(layers=layers, window_m2=window_m2, zone=zone)), weather).heating_kwh

    assert heating(thickness + more) <= heating(thickness) + 1e-6


def test_results_do_not_depend_on_the_count_of_threads(monkeypatch: pytest.MonkeyPatch) -> None:
    """Four houses of two fabrics at once, nothing known before: networks, modes and forcing are made anew."""
    weather = greensboro()
    houses = [
        house(box(f"h{i}", window_m2=1.0 + i % 2, zone={"leakage": {"air_changes_per_h": 0.1 * i}}))
        for i in range(4)
    ]

    def forget() -> None:
        monkeypatch.setattr(network, "_networks", Known(4))
        monkeypatch.setattr(network, "_modes", Known(4))
        monkeypatch.setattr(forcing, "_forcings", Known(4))

    forget()
    alone = [run_year(h, weather) for h in houses]
    forget()
    with ThreadPoolExecutor(4) as pool:
        together = list(pool.map(lambda h: run_year(h, weather), houses))
    for a, b in zip(alone, together, strict=True):
        assert np.array_equal(a.heating_w, b.heating_w)
        assert np.array_equal(a.cooling_w, b.cooling_w)
        assert np.array_equal(a.zones[0].air_c, b.zones[0].air_c)


def test_change_of_controls_reuses_modes_and_forcing() -> None:
    weather = greensboro()
    first = build_model(house(box(window_m2=2.0)), weather)
    other = build_model(
        house(
            box(
                "set back",
                window_m2=2.0,
                zone={"thermostat": {"heating_c": 18.0}, "leakage": {"air_changes_per_h": 2.0}},
            )
        ),
        weather,
    )
    assert other.modes is first.modes
    assert other.forcing is first.forcing
    assert run_model(other).heating_kwh != run_model(first).heating_kwh


def test_peak_tells_its_hour_by_the_hour_ending_clock() -> None:
    assert Peak(1.0, 0).stamp == "01-01 01:00"
    assert Peak(1.0, 8759).stamp == "12-31 24:00"
    assert Peak(1.0, 31 * 24).stamp == "02-01 01:00"
