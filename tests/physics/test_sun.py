"""The sun's place and what it sends on tilted planes."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.physics.shading import plane_axes
from retrofit_desk.physics.sun import path_of, plane_sun, sun_path
from retrofit_desk.physics.weather import HOURS, WeatherYear

FLAT = np.zeros(HOURS)


def dark_year(**changes: object) -> WeatherYear:
    """A still, sunless year at 0 °C under a sky as warm as the air."""
    base = {
        "name": "plain", "source": "made for a test", "latitude_deg": 36.1, "longitude_deg": -75.0,
        "elevation_m": 0.0, "utc_offset_h": -5.0, "temp_c": FLAT, "dew_point_c": FLAT - 5.0,
        "rh_percent": FLAT + 60.0, "pressure_pa": FLAT + 101325.0, "wind_m_s": FLAT, "wind_dir_deg": FLAT,
        "ghi_w_m2": FLAT, "dni_w_m2": FLAT, "dhi_w_m2": FLAT, "ir_sky_w_m2": FLAT, "cloud_tenths": FLAT,
    }  # fmt: skip
    return WeatherYear(**{**base, **changes})  # type: ignore[arg-type]


def test_noon_sun_at_the_solstices_stands_where_geometry_puts_it() -> None:
    # SOL-4: noon zenith = latitude - declination, 23.45 at the solstices (Duffie and Beckman 1.6)
    path = sun_path(36.1, -67.5, 0.0, -5.0)  # solar noon close to 11:30, the middle of an hour
    for day, declination in ((171, 23.45), (354, -23.45)):
        lowest = path.zenith_deg[day * 24 + 11]
        assert lowest == pytest.approx(36.1 - declination, abs=0.05)


def test_morning_sun_is_in_the_east() -> None:
    path = sun_path(36.1, -75.0, 0.0, -5.0)
    nine = 79 * 24 + 8
    assert 110 < path.azimuth_deg[nine] < 140


def test_sunrise_hour_uses_the_middle_of_its_sunlit_part() -> None:
    # TMY3 convention: radiation of the first hour falls in its sunlit part
    path = sun_path(36.1, -75.0, 0.0, -5.0)
    for day in (10, 100, 200, 300):
        first = day * 24 + int(np.argmax(path.up[day * 24 : day * 24 + 24]))
        assert 0 < 90 - path.zenith_deg[first] < 7.5


PEREZ_ROWS = [
    # SOL-11 and SOL-12: Perez et al. 1990, set "allsitescomposite1990", recomputed with pvlib 0.16.1
    ("A", 30.0, 180.0, 755.6832, 65.9306, 105.9824, 14.3551, 9.5884),
    ("B", 90.0, 180.0, 589.1856, 22.5897, 84.8454, 20.9363, 40.1245),
    ("C", 90.0, 270.0, 450.2831, 32.6504, 93.1510, 27.3296, 50.1089),
    ("D", 90.0, 0.0, 0.0, 32.6520, 0.0, 27.3274, 50.1089),
]
SKIES = {
    "A": (800.0, 150.0, 45.0, 160.0, 100),
    "B": (700.0, 90.0, 63.6, 200.0, 20),
    "C": (600.0, 140.0, 53.0, 250.0, 200),
    "D": (600.0, 140.0, 53.0, 120.0, 172),
}


@pytest.mark.parametrize(("sky", "tilt", "azimuth", "beam", "even", "circum", "band", "ground"), PEREZ_ROWS)
def test_parts_of_the_anisotropic_sky(
    monkeypatch: pytest.MonkeyPatch,
    sky: str,
    tilt: float,
    azimuth: float,
    beam: float,
    even: float,
    circum: float,
    band: float,
    ground: float,
) -> None:
    dni, dhi, zenith, sun_azimuth, day = SKIES[sky]
    hour = (day - 1) * 24 + 12
    real = path_of(greensboro())
    z = np.full(HOURS, zenith)
    mass = 1.0 / (np.cos(np.radians(z)) + 0.50572 * (96.07995 - z) ** -1.6364)
    fixed = dataclasses.replace(
        real, zenith_deg=z, azimuth_deg=np.full(HOURS, sun_azimuth), up=np.ones(HOURS, bool), air_mass=mass
    )
    monkeypatch.setattr("retrofit_desk.physics.sun.path_of", lambda _: fixed)
    ghi = dni * np.cos(np.radians(zenith)) + dhi
    weather = dark_year(name=f"sky {sky}", dni_w_m2=FLAT + dni, dhi_w_m2=FLAT + dhi, ghi_w_m2=FLAT + ghi)
    plane = plane_sun.__wrapped__(weather, tilt, azimuth, (0.2,))
    assert plane.beam[hour] == pytest.approx(beam, abs=0.01)
    assert plane.isotropic[hour] == pytest.approx(even, abs=0.01)
    assert plane.circumsolar[hour] == pytest.approx(circum, abs=0.01)
    assert plane.horizon[hour] == pytest.approx(band, abs=0.01)
    assert plane.ground[hour] == pytest.approx(ground, abs=0.01)


def test_flat_plane_receives_the_global_sun() -> None:
    weather = greensboro()
    plane = plane_sun(weather, 0.0, 180.0, (0.2,))
    assert plane.total.sum() == pytest.approx(weather.ghi_w_m2.sum(), rel=0.01)
    assert np.all(plane.ground == 0.0)


def test_wall_at_night_is_dark() -> None:
    weather = greensboro()
    plane = plane_sun(weather, 90.0, 180.0, (0.2,))
    night = ~path_of(weather).up
    assert night.sum() > 4000
    assert plane.beam[night].max() == 0.0
    assert plane.total.min() >= 0.0


@settings(max_examples=20, deadline=None)
@given(st.floats(0, 180), st.floats(0, 360))
def test_axes_of_a_plane_are_square_and_right_handed(tilt: float, azimuth: float) -> None:
    axes = plane_axes(tilt, azimuth)
    assert np.allclose(axes @ axes.T, np.eye(3), atol=1e-12)
    assert np.allclose(np.cross(axes[0], axes[1]), axes[2], atol=1e-12)


def test_place_one_zone_west_sees_the_same_sun_an_hour_later_on_the_same_clock() -> None:
    here, west = sun_path(36.1, -75.0, 0.0, -5.0), sun_path(36.1, -90.0, 0.0, -6.0)
    assert np.abs(here.zenith_deg - west.zenith_deg).max() < 0.05  # the sun itself moves a little in an hour


def test_southern_house_sees_the_northern_noon_sun_in_its_north() -> None:
    # Symmetry of the sphere: at the December solstice 36.1 S has the June noon of 36.1 N, mirrored
    south, north = sun_path(-36.1, -67.5, 0.0, -5.0), sun_path(36.1, -67.5, 0.0, -5.0)
    december, june = 354 * 24 + 11, 171 * 24 + 11
    assert south.zenith_deg[december] == pytest.approx(north.zenith_deg[june], abs=0.1)
    assert min(south.azimuth_deg[december], 360 - south.azimuth_deg[december]) < 12
    assert abs(north.azimuth_deg[june] - 180) < 12
