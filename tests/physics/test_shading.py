"""Shadows of overhangs and fins."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from retrofit_desk.physics.elements import Fin, Overhang, ShadePlate
from retrofit_desk.physics.shading import Rectangle, diffuse_left, shaded_fraction


def toward(altitude_deg: float, relative_deg: float) -> np.ndarray:
    """Sun seen from the wall; `relative_deg` counts to the right, seen from outside against the wall."""
    a, r = math.radians(altitude_deg), math.radians(relative_deg)
    return np.array([[math.cos(a) * math.sin(r), math.sin(a), math.cos(a) * math.cos(r)]])


def overhang(width: float, height: float, projection: float, gap: float, extension: float) -> Overhang:
    return Overhang(height_m=height + gap, from_x_m=-extension, to_x_m=width + extension, depth_m=projection)


ROWS = [
    # SHD-1: plane geometry (Duffie and Beckman 1.9), finite overhang by integration
    (73.4500, 0.0, 1.5, 1.2, 0.6, 0.3, 0.3, 1.000000),
    (50.0000, 0.0, 1.5, 1.2, 0.6, 0.3, 0.3, 0.345877),
    (48.8277, 80.1929, 1.5, 1.2, 0.6, 0.3, 0.3, 0.682366),
    (20.6602, 29.3558, 1.5, 1.2, 0.6, 0.3, 0.3, 0.0),
    (54.8446, 57.6234, 1.2, 1.5, 0.8, 0.2, 0.0, 0.529134),
    (27.7151, 51.9581 - 30.0, 1.2, 1.5, 0.8, 0.2, 0.0, 0.136076),
    (42.1847, 86.7100 - 45.0, 1.2, 1.5, 0.8, 0.2, 0.4, 0.477048),
]


@pytest.mark.parametrize(("altitude", "relative", "w", "h", "p", "g", "e", "expected"), ROWS)
@pytest.mark.parametrize("side", [1, -1])
def test_finite_overhang_shades_the_published_share(
    altitude: float,
    relative: float,
    w: float,
    h: float,
    p: float,
    g: float,
    e: float,
    expected: float,
    side: int,
) -> None:
    found = shaded_fraction(
        Rectangle(0, 0, w, h), (overhang(w, h, p, g, e),), toward(altitude, side * relative)
    )
    assert found[0] == pytest.approx(expected, abs=1e-4)


SUNS = [(30.0, 40.0), (45.0, 60.0), (20.0, 70.0)]
WINDOW = Rectangle(0.0, 0.0, 1.2, 1.5)
FIN = Fin(x_m=1.3, from_height_m=-50.0, to_height_m=1.7, depth_m=0.4)
ROOF = Overhang(height_m=1.7, from_x_m=-0.3, to_x_m=1.5, depth_m=0.6)


@pytest.mark.parametrize(("sun", "expected"), list(zip(SUNS, [0.193182, 0.407414, 0.795969], strict=True)))
def test_fin_on_the_sun_side_shades_the_published_share(sun: tuple[float, float], expected: float) -> None:
    # SHD-3: same formula with height and width exchanged
    assert shaded_fraction(WINDOW, (FIN,), toward(*sun))[0] == pytest.approx(expected, abs=1e-4)


@pytest.mark.parametrize(("sun", "expected"), list(zip(SUNS, [0.3315, 0.8244, 0.8707], strict=True)))
def test_fin_and_overhang_shade_their_union(sun: tuple[float, float], expected: float) -> None:
    # SHD-4: union by counting points
    assert shaded_fraction(WINDOW, (FIN, ROOF), toward(*sun))[0] == pytest.approx(expected, abs=0.002)


def test_fin_on_the_far_side_casts_no_shadow() -> None:
    assert shaded_fraction(WINDOW, (FIN,), toward(30.0, -40.0))[0] == 0.0


@pytest.mark.parametrize(
    ("p", "g", "h", "expected"),
    [(0.6, 0.3, 1.2, 0.787274), (0.8, 0.2, 1.5, 0.702806), (1.0, 0.0, 1.0, math.sqrt(2) - 1)],
)
def test_sky_left_under_a_long_overhang(p: float, g: float, h: float, expected: float) -> None:
    # SHD-5: crossed strings (Hottel); 200 m stand for endless, 30 x 72 directions reach 0.004
    long = Overhang(height_m=h + g, from_x_m=-100.0, to_x_m=101.0, depth_m=p)
    left = diffuse_left(Rectangle(0, 0, 1.0, h), (long,), 90.0, 180.0)
    assert left.sky == pytest.approx(expected, abs=0.004)
    assert left.ground == 1.0


def test_sky_hidden_by_a_finite_overhang() -> None:
    # SHD-6: double integral of the view factor: 0.0888 of the sphere's half, of a sky of one half
    left = diffuse_left(Rectangle(0, 0, 1.5, 1.2), (overhang(1.5, 1.2, 0.6, 0.3, 0.3),), 90.0, 180.0)
    assert (1.0 - left.sky) / 2.0 == pytest.approx(0.0888, abs=0.002)


suns = st.tuples(st.floats(1, 89), st.floats(-89, 89))
depths = st.floats(0.05, 2)
overhangs = st.builds(
    Overhang,
    height_m=st.floats(0, 3),
    from_x_m=st.floats(-2, 0),
    to_x_m=st.floats(0.1, 3),
    depth_m=depths,
)
fins = st.builds(
    Fin,
    x_m=st.floats(-1, 3),
    from_height_m=st.floats(-1, 1),
    to_height_m=st.floats(1.1, 3),
    depth_m=depths,
)
plates = st.one_of(overhangs, fins)


@settings(max_examples=60, deadline=None)
@given(suns, st.lists(plates, min_size=1, max_size=3))
def test_shadow_is_the_share_of_points_that_see_a_plate(
    sun: tuple[float, float], some: list[ShadePlate]
) -> None:
    d = toward(*sun)
    exact = shaded_fraction(WINDOW, tuple(some), d)[0]
    x, z = np.meshgrid((np.arange(60) + 0.5) / 60 * 1.2, (np.arange(60) + 0.5) / 60 * 1.5)
    hit = np.zeros(x.shape, bool)
    for plate in some:
        if isinstance(plate, Overhang):
            t = (plate.height_m - z) / d[0, 1]
            at = x + t * d[0, 0]
            hit |= (t > 0) & (t * d[0, 2] <= plate.depth_m) & (at >= plate.from_x_m) & (at <= plate.to_x_m)
        elif abs(d[0, 0]) > 1e-12:
            t = (plate.x_m - x) / d[0, 0]
            at = z + t * d[0, 1]
            low, high = plate.from_height_m, plate.to_height_m
            hit |= (t > 0) & (t * d[0, 2] <= plate.depth_m) & (at >= low) & (at <= high)
    assert exact == pytest.approx(hit.mean(), abs=0.06)  # edges through 60 x 60 cells
    more = shaded_fraction(WINDOW, (*some, ROOF), d)[0]
    assert more >= exact - 1e-9
