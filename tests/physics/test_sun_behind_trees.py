"""Hills and trees take sun away, hour by hour and on every face, and never add any; nor does their mirror."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.physics import sun
from retrofit_desk.physics.description import HorizonPoint, Site, Trees
from retrofit_desk.physics.sun import path_of
from retrofit_desk.physics.sun_on_house import SunOnHouse, sun_on_house
from retrofit_desk.physics.weather import WeatherYear
from tests.physics.houses import house
from tests.physics.test_mirrored_places import lopsided

FEW = {"max_examples": 10, "deadline": None, "suppress_health_check": list(HealthCheck)}
ROUNDING_W_M2 = 1e-9
ALL_YEAR = 12

azimuths = st.integers(0, 359).map(float)
heights = st.integers(0, 89).map(float)
shares = st.floats(0.0, 1.0)


@st.composite
def horizons(draw: st.DrawFn) -> tuple[HorizonPoint, ...]:
    at = draw(st.lists(azimuths, unique=True, max_size=8))
    return tuple(HorizonPoint(azimuth_deg=one, altitude_deg=draw(heights)) for one in sorted(at))


@st.composite
def stands(draw: st.DrawFn, through: st.SearchStrategy[tuple[float, ...]]) -> tuple[Trees, ...]:
    count = draw(st.integers(0, 3))
    return tuple(
        Trees(
            name=f"trees {number}",
            from_azimuth_deg=draw(azimuths),
            to_azimuth_deg=draw(azimuths),
            altitude_deg=draw(heights),
            monthly_transmittance=draw(through),
        )
        for number in range(count)
    )


by_month = st.lists(shares, min_size=12, max_size=12).map(tuple)


def falls_on(described: dict[str, Any], site: Site, weather: WeatherYear) -> SunOnHouse:
    one = house(described)
    return sun_on_house(one.surfaces, one.glazings, site, weather)


@lru_cache(maxsize=1)
def in_the_open() -> SunOnHouse:
    return falls_on(lopsided(), Site(), greensboro())


def never_more(less: SunOnHouse, more: SunOnHouse) -> bool:
    """On every face and through every window, in every hour."""
    faces = zip(less.surfaces, more.surfaces, strict=True)
    panes = zip(less.windows, more.windows, strict=True)
    return all((a.incident_w_m2 <= b.incident_w_m2 + ROUNDING_W_M2).all() for a, b in faces) and all(
        (a.incident_w_m2 <= b.incident_w_m2 + ROUNDING_W_M2).all()
        and (a.transmitted_w <= b.transmitted_w + ROUNDING_W_M2).all()
        for a, b in panes
    )


@given(horizons(), stands(by_month))
@settings(**FEW)
def test_surroundings_never_raise_the_sun_on_any_face_in_any_hour(
    horizon: tuple[HorizonPoint, ...], trees: tuple[Trees, ...]
) -> None:
    behind = falls_on(lopsided(), Site(horizon=horizon, trees=trees), greensboro())
    assert never_more(behind, in_the_open())
    assert all((one.incident_w_m2 >= 0.0).all() for one in behind.surfaces)


def test_a_low_hedge_hides_no_dark_band_alone() -> None:
    """In dull hours the sky of Perez et al. is darker at the horizon: hiding that band adds no sun."""
    around = tuple(HorizonPoint(azimuth_deg=90.0 * at, altitude_deg=4.0) for at in range(4))
    plane = sun.plane_sun(greensboro(), 90.0, 0.0, (0.2,))
    assert (plane.horizon < 0.0).any()
    assert never_more(falls_on(lopsided(), Site(horizon=around), greensboro()), in_the_open())


@given(stands(by_month), shares)
@settings(**FEW)
def test_trees_in_leaf_let_through_no_more_than_bare_ones(trees: tuple[Trees, ...], leaves: float) -> None:
    in_leaf = tuple(
        one.model_copy(update={"monthly_transmittance": tuple(t * leaves for t in one.monthly_transmittance)})
        for one in trees
    )
    bare = falls_on(lopsided(), Site(trees=trees), greensboro())
    assert never_more(falls_on(lopsided(), Site(trees=in_leaf), greensboro()), bare)


@given(horizons(), stands(by_month))
@settings(**FEW)
def test_house_and_surroundings_seen_in_a_mirror_get_the_same_sun(
    horizon: tuple[HorizonPoint, ...], trees: tuple[Trees, ...]
) -> None:
    """East and west change places, the sun's own path with them: equal to rounding, hour by hour."""
    weather = greensboro()
    plain = falls_on(lopsided(), Site(horizon=horizon, trees=trees), weather)
    seen = Site(horizon=tuple(map(_flipped_point, horizon)), trees=tuple(map(_flipped_trees, trees)))
    path = path_of(weather)
    flipped = replace(path, azimuth_deg=(360.0 - path.azimuth_deg) % 360.0)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sun, "sun_path", lambda *place: flipped)
        mirror = falls_on(
            lopsided(lambda azimuth: 360 - azimuth, mirror=True), seen, replace(weather, name="in a mirror")
        )
    for one, other in zip(plain.surfaces, mirror.surfaces, strict=True):
        assert other.incident_w_m2 == pytest.approx(one.incident_w_m2, abs=1e-6)
    for glass, other_glass in zip(plain.windows, mirror.windows, strict=True):
        assert other_glass.transmitted_w == pytest.approx(glass.transmitted_w, abs=1e-6)


def _flipped_point(point: HorizonPoint) -> HorizonPoint:
    return point.model_copy(update={"azimuth_deg": (360.0 - point.azimuth_deg) % 360.0})


def _flipped_trees(trees: Trees) -> Trees:
    return trees.model_copy(
        update={
            "from_azimuth_deg": (360.0 - trees.to_azimuth_deg) % 360.0,
            "to_azimuth_deg": (360.0 - trees.from_azimuth_deg) % 360.0,
        }
    )


def test_a_whole_ring_of_trees_leaves_its_share_of_all_but_the_ground_s_light() -> None:
    half = Trees(
        from_azimuth_deg=0.0,
        to_azimuth_deg=360.0,
        altitude_deg=90.0,
        monthly_transmittance=(0.5,) * ALL_YEAR,
    )
    flat = next(at for at, one in enumerate(lopsided()["surfaces"]) if one["name"] == "roof")
    behind = falls_on(lopsided(), Site(trees=(half,)), greensboro()).surfaces[flat].incident_w_m2
    assert behind == pytest.approx(in_the_open().surfaces[flat].incident_w_m2 / 2.0, abs=1e-6)
    assert np.max(behind) > 100.0
