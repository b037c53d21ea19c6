"""The same house in the other hemisphere, under another clock, and turned about: the same year."""

from __future__ import annotations

from dataclasses import fields, replace
from functools import lru_cache
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.physics.engine import run_year
from retrofit_desk.physics.results import YearResult
from retrofit_desk.physics.sun import path_of
from retrofit_desk.physics.weather import WeatherYear
from tests.physics.houses import box, house

MOST_RUNS = {"max_examples": 6, "deadline": None, "suppress_health_check": list(HealthCheck)}


def lopsided(turn: Any = lambda azimuth: azimuth, *, mirror: bool = False) -> dict[str, Any]:
    """A box with all its glass on one side under an overhang that reaches farther to one end, and a fin."""
    described = box(window_m2=0.0)
    plates = [
        {"kind": "overhang", "height_m": 2.4, "from_x_m": 0.5, "to_x_m": 4.0, "depth_m": 0.8},
        {"kind": "fin", "x_m": 0.8, "from_height_m": 0.5, "to_height_m": 2.4, "depth_m": 0.6},
    ]
    glass = {"name": "glass", "glazing": "clear", "width_m": 2.0, "height_m": 1.4, "x_m": 1.0, "sill_m": 0.8}
    for surface in described["surfaces"]:
        if surface["name"] == "south":
            surface |= {"windows": [_flipped(glass, 6.0) if mirror else glass]}
            surface |= {"plates": [_flipped(plate, 6.0) if mirror else plate for plate in plates]}
        if "azimuth_deg" in surface:
            surface["azimuth_deg"] = turn(surface["azimuth_deg"]) % 360
    return described


def _flipped(part: dict[str, Any], width_m: float) -> dict[str, Any]:
    """Seen in a mirror: left is right."""
    flipped = dict(part)
    if "from_x_m" in part:
        flipped |= {"from_x_m": width_m - part["to_x_m"], "to_x_m": width_m - part["from_x_m"]}
    elif "x_m" in part:
        flipped["x_m"] = width_m - part["x_m"] - part.get("width_m", 0.0)
    return flipped


def sums(year: YearResult) -> list[float]:
    return [year.heating_kwh, year.cooling_kwh, float(year.windows[0].transmitted_sun_w.sum()) / 1000.0]


@lru_cache(maxsize=1)
def at_home() -> tuple[float, ...]:
    return tuple(sums(run_year(house(lopsided()), greensboro())))


def shifted(weather: WeatherYear, hours: int, **place: float) -> WeatherYear:
    """All rows moved around the year by some hours."""
    moved = {
        f.name: np.roll(getattr(weather, f.name), hours)
        for f in fields(weather)
        if isinstance(getattr(weather, f.name), np.ndarray)
    }
    return replace(weather, **moved, **place)


@given(st.integers(-8, 12))
@settings(**MOST_RUNS)
def test_another_clock_for_the_same_hours_changes_little(offset_h: int) -> None:
    # the rows are told by a clock that runs ahead: the same sun over the same place
    weather = greensboro()
    other = shifted(weather, int(offset_h - weather.utc_offset_h), utc_offset_h=float(offset_h))
    found = sums(run_year(house(lopsided()), other))
    # the house's controls do not look at the clock; only the turn of the year lies elsewhere
    assert found == pytest.approx(list(at_home()), rel=2e-3)


@given(st.integers(-11, 12))
@settings(**MOST_RUNS)
def test_a_place_further_round_the_earth_has_the_same_year(zones: int) -> None:
    # as many degrees as the clock is ahead: the sun of each hour is the same but for the day's drift
    weather = greensboro()
    east = (weather.longitude_deg + 15.0 * zones + 180.0) % 360.0 - 180.0
    other = replace(weather, longitude_deg=east, utc_offset_h=weather.utc_offset_h + zones)
    assert sums(run_year(house(lopsided()), other)) == pytest.approx(list(at_home()), rel=2e-3)


def test_the_sun_of_the_other_hemisphere_is_that_of_half_a_year_later() -> None:
    weather = greensboro()
    north, south = path_of(weather), path_of(replace(weather, latitude_deg=-weather.latitude_deg))
    noon = np.arange(12, 8760, 24)
    june, december = noon[171], noon[354]
    assert south.zenith_deg[june] == pytest.approx(north.zenith_deg[december], abs=0.3)
    assert south.zenith_deg[december] == pytest.approx(north.zenith_deg[june], abs=0.3)
    # at noon it stands in the north there, and goes from right to left
    assert abs((south.azimuth_deg[june] + 180.0) % 360.0 - 180.0) < 15.0
    assert abs(north.azimuth_deg[june] - 180.0) < 15.0


def test_mirrored_house_in_the_other_hemisphere_needs_the_same() -> None:
    """The year half a year later, the latitude mirrored, south turned to north and left to right.

    The earth's way round the sun is not the same in both halves of the year (it is nearest in January):
    the sun of a fixed calendar day differs by some percent, and the files' own sun is kept.
    """
    weather = greensboro()
    other = shifted(weather, 182 * 24, latitude_deg=-weather.latitude_deg)
    turned = lopsided(lambda azimuth: 180 - azimuth, mirror=True)
    assert sums(run_year(house(turned), other)) == pytest.approx(list(at_home()), rel=0.04)
    # a house that is not turned looks away from that sun
    away = sums(run_year(house(lopsided()), other))
    assert away[2] < 0.8 * at_home()[2]


def test_house_and_sky_seen_in_a_mirror_need_the_same() -> None:
    """East and west change places, morning and evening with them: a symmetric day gives the same sums."""
    weather = greensboro()
    # solar noon at the clock's noon on the mean of the year, and each day's sun made symmetric
    level = replace(weather, longitude_deg=weather.utc_offset_h * 15.0)
    mirrored = lopsided(lambda azimuth: 360 - azimuth, mirror=True)

    def even(values: np.ndarray) -> np.ndarray:
        days = values.reshape(365, 24)
        return np.asarray(((days + days[:, ::-1]) / 2.0).ravel())

    symmetric = replace(
        level,
        **{name: even(getattr(level, name)) for name in ("ghi_w_m2", "dni_w_m2", "dhi_w_m2", "ir_sky_w_m2")},
    )
    plain = run_year(house(lopsided()), symmetric).windows[0].transmitted_sun_w.sum()
    other = run_year(house(mirrored), symmetric).windows[0].transmitted_sun_w.sum()
    assert other == pytest.approx(plain, rel=0.02)
