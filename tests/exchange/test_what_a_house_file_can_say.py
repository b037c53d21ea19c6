"""What a house file has to be able to say of fabric, air, gains and control, and what follows from it."""

from __future__ import annotations

import json
from copy import deepcopy
from functools import lru_cache
from typing import Any

import numpy as np
import pytest

from retrofit_desk.exchange.house_file import parse_house
from retrofit_desk.exchange.house_summary import house_summary
from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.physics.results import YearResult
from retrofit_desk.services.described_house import run_described
from tests.physics.houses import box

AIR_J_M3K = 1.2 * 1006.0
House = dict[str, Any]
COLD = {"heating_c": 20.0}


def room(**zone: Any) -> House:
    """The box as a file states it, with a floor over outdoor air and 2 m2 of glass a wall."""
    described = deepcopy(box(window_m2=2.0, zone={"leakage": {"air_changes_per_h": 0.5}, **zone}))
    for surface in described["surfaces"]:
        surface.setdefault("tilt_deg", 90)
    return described


def run(described: House) -> YearResult:
    return run_described(parse_house(json.dumps(described), where="case"), greensboro()).year


@lru_cache(maxsize=1)
def plain() -> YearResult:
    return run(room())


def part(described: House, name: str) -> dict[str, Any]:
    return next(one for one in described["surfaces"] if one["name"] == name)


def summary(described: House, kind: str, name: str) -> dict[str, Any]:
    found: Any = house_summary(parse_house(json.dumps(described), where="case"))[kind]
    return next(one for one in found if one["name"] == name)


def test_layers_and_films_give_the_u_value_by_hand() -> None:
    described = room()
    # brick, wool and board of the box, and films of 0.13 and 0.04 m2K/W: ISO 6946:2017, plain sum
    by_hand = 0.2 / 0.77 + 0.1 / 0.04 + 0.0125 / 0.21
    assert summary(described, "constructions", "layers")["resistance_m2k_w"] == pytest.approx(by_hand)
    u_value = summary(described, "surface_list", "north")["u_value_w_m2k"]
    assert u_value == pytest.approx(1 / (by_hand + 0.13 + 0.04))
    part(described, "north")["films"] = {
        "inside_convective_w_m2k": 3.0,
        "inside_radiative_w_m2k": 5.0,
        "outside_convective_w_m2k": 12.0,
        "outside_radiative_w_m2k": 4.0,
    }
    u_value = summary(described, "surface_list", "north")["u_value_w_m2k"]
    assert u_value == pytest.approx(1 / (by_hand + 1 / 8 + 1 / 16))


def test_floor_over_outdoor_air_gets_neither_sun_nor_wind_nor_sky() -> None:
    described = room()
    floor = part(described, "floor")
    floor |= {"boundary": {"kind": "outdoors", "sun": False, "sky": False, "wind": False}, "films": {}}
    # ISO 6946:2017: 4 + 4 v outside, still air 4, and 0.9 of a black body at 10 degC
    layers = 0.2 / 0.77 + 0.1 / 0.04 + 0.0125 / 0.21
    inside, outside = 0.7 + 0.9 * 5.7135, 4.0 + 0.9 * 5.1488
    found = summary(described, "surface_list", "floor")["u_value_w_m2k"]
    assert found == pytest.approx(1 / (layers + 1 / inside + 1 / outside), rel=1e-3)
    year = run(described)
    assert not next(s for s in year.surfaces if s.name == "floor").incident_sun_w_m2.any()
    floor["boundary"] = {"kind": "outdoors"}
    assert next(s for s in run(described).surfaces if s.name == "floor").incident_sun_w_m2.any()


def test_floor_on_a_fixed_temperature_loses_to_it_all_year() -> None:
    warm, cold = room(), room()
    for described, ground_c in ((warm, 20.0), (cold, 5.0)):
        part(described, "floor")["boundary"] = {"kind": "fixed_temperature", "temperature_c": ground_c}
    assert run(cold).heating_kwh > run(warm).heating_kwh + 100.0


def glass(**more: Any) -> dict[str, Any]:
    angles = {"angles_deg": [0, 30, 60, 80, 90], "u_value_w_m2k": 2.7}
    films = {"rated_outside_film_w_m2k": 25.0, "rated_inside_film_w_m2k": 1 / 0.13}
    return {"kind": "angles", "name": "clear", **angles, **films, **more}


def test_glass_by_angle_lets_in_its_stated_share() -> None:
    through, gain = [0.7, 0.69, 0.6, 0.3, 0.0], [0.76, 0.75, 0.66, 0.36, 0.0]
    halved = [value / 2 for value in through]
    described = room()
    described["glazings"] = [glass(transmittance=through, shgc=gain)]
    year = run(described)
    described["glazings"] = [glass(transmittance=halved, shgc=[value / 2 for value in gain])]
    half = run(described)
    for whole, part_ in zip(year.windows, half.windows, strict=True):
        assert part_.transmitted_sun_w.sum() == pytest.approx(whole.transmitted_sun_w.sum() / 2)
        assert whole.transmitted_sun_w.sum() < 0.7 * whole.incident_sun_w_m2.sum() * 2.0
    described["glazings"] = [glass(shgc=gain)]
    assert run(described).cooling_kwh == pytest.approx(year.cooling_kwh, rel=0.05)


def test_stated_shares_of_the_sun_go_where_they_are_stated() -> None:
    onto_floor, lost = room(), room()
    onto_floor["zones"][0]["sun_shares"] = [{"surface": "floor", "fraction": 1.0}]
    lost["zones"][0]["sun_shares"] = [{"surface": "floor", "fraction": 0.0}]
    assert run(lost).cooling_kwh < 0.5 * run(onto_floor).cooling_kwh


def test_overhang_and_fins_take_away_sun_by_their_place() -> None:
    described = room()
    over = {"kind": "overhang", "height_m": 2.3, "from_x_m": 0.0, "to_x_m": 6.0, "depth_m": 1.0}
    part(described, "south")["plates"] = [over]
    shaded = run(described)
    south = next(w for w in shaded.windows if w.surface == "south")
    free = next(w for w in plain().windows if w.surface == "south")
    summer = slice(24 * 150, 24 * 240)
    assert south.transmitted_sun_w[summer].sum() < 0.75 * free.transmitted_sun_w[summer].sum()
    part(described, "south")["plates"] = [over | {"from_x_m": 50.0, "to_x_m": 51.0}]
    aside = next(w for w in run(described).windows if w.surface == "south")
    assert aside.transmitted_sun_w.sum() == pytest.approx(free.transmitted_sun_w.sum(), rel=1e-3)


def test_air_changes_are_volume_at_site_density() -> None:
    described = room()
    described["site"] = {"density_factor": 0.8}
    zone = run(described).zones[0]
    assert zone.outdoor_air_m3_s == pytest.approx(np.full(8760, 0.5 * 75.0 / 3600.0))
    lost = 0.5 * 75.0 / 3600.0 * AIR_J_M3K * 0.8 * (greensboro().temp_c - zone.air_c)
    assert zone.outdoor_air_w == pytest.approx(lost, rel=1e-3, abs=0.05)


@pytest.mark.parametrize("radiative", [0.0, 0.6, 1.0])
def test_gains_are_all_in_the_account_whatever_their_radiant_share(radiative: float) -> None:
    described = room(gains=[{"power_w": 200.0, "radiative_fraction": radiative}])
    year = run(described)
    assert year.balance.gains_wh == pytest.approx(200.0 * 8760)
    assert year.heating_kwh < plain().heating_kwh
    assert abs(year.balance.residual_share) < 1e-9


def test_thermostat_follows_its_hours_and_leaves_the_dead_band_alone() -> None:
    night = {"hours": [15.0] * 7 + [20.0] * 16 + [15.0]}
    zone = run(room(thermostat={"heating_c": night, "cooling_c": 27.0})).zones[0]
    by_day = zone.air_c.reshape(365, 24)
    assert by_day[:, 8:23].min() >= 20.0 - 1e-6
    assert 15.0 - 1e-6 <= by_day[:, 2:6].min() < 18.0
    inside = (zone.air_c > 20.0 + 1e-6) & (zone.air_c < 27.0 - 1e-6)
    assert inside.sum() > 1000
    assert not zone.heating_w[inside].any()
    assert not zone.cooling_w[inside].any()


def test_room_without_a_thermostat_floats_and_one_without_cooling_is_not_cooled() -> None:
    floating = run(room(thermostat=None))
    assert floating.heating_kwh + floating.cooling_kwh == 0.0
    assert floating.zones[0].air_c.min() < 5.0
    assert run(room(thermostat=COLD)).cooling_kwh == 0.0


def test_fan_runs_by_its_schedule() -> None:
    flow = {"hours": [0.3] * 7 + [0.0] * 11 + [0.3] * 6}
    hours = {"hours": [None] * 7 + [26.0] * 11 + [None] * 6}
    year = run(room(fans=[{"flow_m3_s": flow}], thermostat={"cooling_c": hours}))
    moved = year.zones[0].outdoor_air_m3_s.reshape(365, 24)[0] - 0.5 * 75.0 / 3600.0
    assert moved == pytest.approx(flow["hours"])
    assert not year.zones[0].cooling_w.reshape(365, 24)[:, :7].any()
    still = run(room(thermostat={"cooling_c": hours}))
    assert year.cooling_kwh < still.cooling_kwh


def two_zones() -> House:
    """The box, and a glazed space without control on its south wall."""
    described = room()
    south = part(described, "south")
    described["zones"].append({"name": "sun", "volume_m3": 30.0, "leakage": {"air_changes_per_h": 0.5}})
    front = deepcopy(south) | {"name": "sun front", "zone": "sun"}
    sides = [
        deepcopy(part(described, side))
        | {"name": f"sun {side}", "zone": "sun", "area_m2": 5.0, "windows": []}
        for side in ("east", "west", "roof", "floor")
    ]
    south |= {"name": "between", "windows": [], "boundary": {"kind": "zone", "zone": "sun"}}
    for side in sides:
        side.pop("width_m", None)
    described["surfaces"] += [front, *sides]
    return described


def test_sunspace_floats_and_the_sun_on_its_wall_reaches_the_room() -> None:
    described = two_zones()
    described["zones"][1]["sun_shares"] = [{"surface": "between", "fraction": 0.9}]
    onto_wall = run(described)
    described["zones"][1]["sun_shares"] = [{"surface": "between", "fraction": 0.0}]
    lost = run(described)
    assert not onto_wall.zone("sun").heating_w.any()
    assert onto_wall.zone("sun").air_c.max() > lost.zone("sun").air_c.max()
    assert onto_wall.zone("room").heating_w.sum() < lost.zone("room").heating_w.sum()
    assert abs(onto_wall.balance.residual_share) < 1e-9


def test_answer_has_peaks_with_their_hours_months_and_each_surface() -> None:
    year = plain()
    hour = int(np.argmax(year.heating_w))
    assert year.peak_heating.power_w == year.heating_w[hour]
    day, clock = divmod(hour, 24)
    assert year.peak_heating.stamp.endswith(f"{clock + 1:02d}:00")
    assert day < 365
    assert {s.name for s in year.surfaces} == {"north", "east", "south", "west", "roof", "floor"}
