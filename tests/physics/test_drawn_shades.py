"""Shades drawn before or behind the glass: when, and the heat they keep in."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.physics.drawn_shades import drawn, kept_w_k
from retrofit_desk.physics.elements import Blind
from retrofit_desk.physics.engine import run_year
from retrofit_desk.physics.sun import path_of
from tests.physics.houses import AIR_ONLY_FILMS, box, house
from tests.physics.weathers import FLAT, plain_year

FILMS = {**AIR_ONLY_FILMS, "outside_convective_w_m2k": 20.0, "outside_radiative_w_m2k": 5.0}
COVERED = {"side": "interior", "solar_factor": 1.0, "drawn": 1.0, "added_resistance_m2k_w": 0.17}


def glazed(u_value_w_m2k: float, blind: dict[str, Any] | None = None, **more: Any) -> dict[str, Any]:
    """A box whose windows have that U-value with its own films."""
    described = box(window_m2=2.5, films=FILMS, **more)
    described["glazings"][0] |= {
        "u_value_w_m2k": u_value_w_m2k, "rated_outside_film_w_m2k": 25.0, "rated_inside_film_w_m2k": 1 / 0.13,
    }  # fmt: skip
    for surface in described["surfaces"][:4]:
        surface["windows"][0]["blind"] = blind
    return described


def test_a_closed_shutter_makes_the_window_that_the_standard_names() -> None:
    # WIN-8: ISO 10077-1:2017, closed shutter of 0.17 m2K/W on a window of 2.8: 1.8970 W/m2K
    bare = house(glazed(2.8))
    covered = house(glazed(2.8, COVERED))
    kept = kept_w_k(covered, (FLAT,) * 4, plain_year())
    assert kept[0, 0] / 10.0 == pytest.approx(2.8 - 1.8970, abs=5e-5)
    assert not kept_w_k(bare, (FLAT,) * 4, plain_year()).any()


def test_a_room_behind_closed_shutters_needs_what_better_glass_would_need() -> None:
    shuttered = run_year(house(glazed(2.8, COVERED)), plain_year())
    better = run_year(house(glazed(1.8970)), plain_year())
    bare = run_year(house(glazed(2.8)), plain_year())
    saved = bare.heating_kwh - better.heating_kwh
    assert saved > 0.05 * bare.heating_kwh
    # by air alone: the shade acts on the room's air, glass is felt by the faces too (film split 1e-9)
    assert bare.heating_kwh - shuttered.heating_kwh == pytest.approx(saved, rel=1e-3)


def test_curtains_drawn_by_night_keep_heat_only_while_the_sun_is_down() -> None:
    weather = greensboro()
    blind = Blind(side="interior", solar_factor=0.7, drawn=0.0, by_night=True, added_resistance_m2k_w=0.2)
    down = ~path_of(weather).up
    assert np.array_equal(drawn(blind, FLAT + 500.0, weather).astype(bool), down)
    curtains = blind.model_dump()
    with_them = run_year(house(glazed(2.8, curtains)), weather)
    without = run_year(house(glazed(2.8)), weather)
    # a little light is left in the hour in which the sun goes down
    lets_in = [year.zones[0].transmitted_sun_w.sum() for year in (with_them, without)]
    assert lets_in[0] == pytest.approx(lets_in[1], rel=1e-4)
    night = with_them.heating_w[:744][down[:744]].sum() / without.heating_w[:744][down[:744]].sum()
    day = with_them.heating_w[:744][~down[:744]].sum() / without.heating_w[:744][~down[:744]].sum()
    assert night < 0.95 < day


def test_a_shade_on_either_side_of_the_glass_counts_and_both_together() -> None:
    weather = greensboro()
    screen = {"side": "exterior", "solar_factor": 0.3, "drawn": 1.0, "added_resistance_m2k_w": 0.08}
    curtain = {"side": "interior", "solar_factor": 0.5, "drawn": 1.0, "added_resistance_m2k_w": 0.17}
    described = glazed(2.8, screen)
    one = run_year(house(described), weather)
    for surface in described["surfaces"][:4]:
        surface["windows"][0]["blind_beside"] = curtain
    both = run_year(house(described), weather)
    assert both.zones[0].transmitted_sun_w.sum() == pytest.approx(0.5 * one.zones[0].transmitted_sun_w.sum())
    assert abs(both.balance.residual_share) < 1e-9
    # ISO 10077-1:2017, clause 6 (from memory): the resistances add up, 1/(1/2.8 + 0.08 + 0.17) = 1.647
    sun = tuple(np.zeros(8760) for _ in range(4))
    kept = kept_w_k(house(described), sun, weather)[:, 0]
    glass_m2 = 4 * 2.5
    assert kept == pytest.approx((2.8 - 1.647) * glass_m2, rel=1e-3)


def test_the_account_closes_and_tells_air_apart_from_shades() -> None:
    weather = greensboro()
    blind = COVERED | {"drawn": None, "by_night": True, "added_resistance_m2k_w": 0.5}
    year = run_year(house(glazed(2.8, blind, zone={"thermostat": None})), weather)
    assert abs(year.balance.residual_share) < 1e-9
    assert year.balance.outdoor_air_wh == pytest.approx(0.0, abs=1e-3)  # the box has no leakage
    held = run_year(house(glazed(2.8, blind)), weather)
    assert abs(held.balance.residual_share) < 1e-9


def test_more_resistance_never_takes_more_heat() -> None:
    needs = [
        run_year(house(glazed(2.8, COVERED | {"added_resistance_m2k_w": r})), plain_year()).heating_kwh
        for r in (0.0, 0.1, 0.5, 5.0)
    ]
    assert needs == sorted(needs, reverse=True)
    assert needs[-1] > 0.0
