"""The network and its modes against closed solutions of conduction."""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest

from retrofit_desk.physics.films import HeatFlow
from retrofit_desk.physics.layer_parts import FramedLayerPart, MasslessLayerPart, SolidLayerPart
from retrofit_desk.physics.network import (
    SLICE_OF_HOURLY_DEPTH,
    Link,
    Network,
    layer_chain,
    modes_of,
    slices,
)
from retrofit_desk.physics.surface_films import SurfaceFilms

NO = np.zeros(0, dtype=np.int64)
ISO = SurfaceFilms(1 / 0.13 - 5.0, 5.0, 20.0, 5.0)


def network(capacity: list[float], conductance: list[list[float]]) -> Network:
    return Network(np.array(capacity), np.array(conductance), NO, NO, (), (), (), ())


def chain_network(parts: list[tuple[float, float]], film_w_m2k: float) -> Network:
    """Slices in a row, 1 m2, a film from a known temperature on the first face, adiabatic at the last."""
    n = len(parts) + 1
    c, k = np.zeros(n), np.zeros((n, n))
    for i, (resistance, heat) in enumerate(parts):
        c[i] += heat / 2
        c[i + 1] += heat / 2
        k[i, i] += 1 / resistance
        k[i + 1, i + 1] += 1 / resistance
        k[i, i + 1] = k[i + 1, i] = -1 / resistance
    k[0, 0] += film_w_m2k
    return Network(c, k, NO, NO, (), (), (Link(0, -1, film_w_m2k),), ())


def after(net: Network, start: np.ndarray, end: np.ndarray, seconds: float) -> np.ndarray:
    modes = modes_of(net)
    decay = np.exp(-modes.rates_per_s * seconds)
    return end + modes.shape @ (decay * (modes.to_modes @ (start - end)))


@pytest.mark.parametrize(
    ("hours", "air", "mass"), [(1, 19.36867, 19.99410), (6, 17.82219, 19.85909), (24, 16.84930, 19.11506)]
)
def test_air_and_mass_cool_as_the_matrix_exponential_says(hours: int, air: float, mass: float) -> None:
    # DYN-11: two-node RC by matrix exponential, C 2e6 and 2e7 J/K, 50 and 100 W/K, 600 W, outdoors 0 C
    net = network([2e6, 2e7], [[150.0, -100.0], [-100.0, 100.0]])
    found = after(net, np.array([20.0, 20.0]), np.array([12.0, 12.0]), hours * 3600.0)
    assert found == pytest.approx([air, mass], abs=1e-5)
    assert np.sort(1 / modes_of(net).rates_per_s / 3600) == pytest.approx([3.54283, 174.23495], rel=1e-5)


@pytest.mark.parametrize(
    ("biot", "fourier", "centre", "surface", "heat"),
    [
        (1, 0.05, 0.99975, 0.79038, 0.04269),
        (1, 0.2, 0.95064, 0.64339, 0.14840),
        (1, 1, 0.53386, 0.34818, 0.52960),
        (5, 0.5, 0.52311, 0.13303, 0.61483),
        (0.1, 5, 0.62638, 0.59632, 0.38368),
    ],
)
def test_plane_wall_cools_as_its_series_says(
    biot: float, fourier: float, centre: float, surface: float, heat: float
) -> None:
    # DYN-5: Incropera section 5.5, full series (Heisler chart); half thickness 0.1 m in 80 slices
    half, k, rho_c = 0.1, 1.4, 2300 * 880.0
    net = chain_network([(half / 80 / k, half / 80 * rho_c)] * 80, biot * k / half)
    seconds = fourier * half**2 * rho_c / k
    found = after(net, np.ones(81), np.zeros(81), seconds)
    assert found[-1] == pytest.approx(centre, abs=2e-4)
    assert found[0] == pytest.approx(surface, abs=2e-4)
    assert 1 - net.capacity_j_k @ found / net.capacity_j_k.sum() == pytest.approx(heat, abs=2e-4)


def test_water_main_freezes_at_the_printed_depth() -> None:
    # DYN-2: Incropera Example 5.6 (from memory): soil at 20 C, surface -15 C for 60 days, 0 C at 0.68 m
    k, rho_c, depth, n = 0.52, 2050 * 1840.0, 6.0, 300
    net = chain_network([(depth / n / k, depth / n * rho_c)] * n, 1e6)
    found = after(net, np.full(n + 1, 20.0), np.full(n + 1, -15.0), 60 * 86400.0)
    assert np.interp(0.0, found, np.linspace(0, depth, n + 1)) == pytest.approx(0.68, abs=0.005)


def test_pipe_wall_warms_to_the_printed_temperatures() -> None:
    # DYN-6: Incropera Examples 5.4 and 5.5 (from memory): 42.9 outside, 45.2 inside after 8 min
    net = chain_network([(0.001 / 63.9, 0.001 * 7832 * 434.0)] * 40, 500.0)
    found = after(net, np.full(41, -20.0), np.full(41, 60.0), 480.0)
    assert found[-1] == pytest.approx(42.9, abs=0.3)
    assert found[0] == pytest.approx(45.2, abs=0.3)
    assert net.capacity_j_k @ (found + 20.0) * math.pi == pytest.approx(2.73e7, rel=0.01)


def periodic_transmittance(parts: list[tuple[float, float]], period_s: float) -> complex:
    """Y12 of a sliced chain with the ISO films 0.13 and 0.04 m2K/W."""
    z = np.array([[1, -0.04], [0, 1]], dtype=complex)
    for resistance, heat in parts:
        half = np.array([[1, 0], [-1j * 2 * math.pi / period_s * heat / 2, 1]])
        z = z @ half @ np.array([[1, -resistance], [0, 1]]) @ half
    z = z @ np.array([[1, -0.13], [0, 1]])
    return complex(-1 / z[0, 1])


CONCRETE = SolidLayerPart(
    name="concrete", conductivity_w_mk=1.8, thickness_m=0.2, density_kg_m3=2400, specific_heat_j_kgk=1000
)
FOAM = SolidLayerPart(
    name="foam", conductivity_w_mk=0.04, thickness_m=0.1, density_kg_m3=30, specific_heat_j_kgk=1400
)
RENDER = SolidLayerPart(
    name="render", conductivity_w_mk=1.0, thickness_m=0.005, density_kg_m3=1200, specific_heat_j_kgk=1500
)
GYPSUM = SolidLayerPart(
    name="gypsum", conductivity_w_mk=0.16, thickness_m=0.0127, density_kg_m3=640, specific_heat_j_kgk=1150
)
BATT = SolidLayerPart(
    name="batt", conductivity_w_mk=0.038, thickness_m=0.14, density_kg_m3=30, specific_heat_j_kgk=840
)
SHEATHING = SolidLayerPart(
    name="sheathing", conductivity_w_mk=0.13, thickness_m=0.0111, density_kg_m3=650, specific_heat_j_kgk=1700
)
CLADDING = MasslessLayerPart(name="cladding", resistance_m2k_w=0.11)


@pytest.mark.parametrize(
    ("layers", "transmittance", "shift_h"),
    [
        ((CONCRETE,), 1.827071, -5.6757),
        ((RENDER, FOAM, CONCRETE), 0.060558, -8.1088),
        ((CONCRETE, FOAM, RENDER), 0.118162, -7.4262),
        ((CLADDING, SHEATHING, BATT, GYPSUM), 0.235370, -1.7790),
    ],
)
@pytest.mark.parametrize(("share", "within"), [(SLICE_OF_HOURLY_DEPTH, 0.01), (0.05, 0.0005)])
def test_sliced_wall_passes_the_daily_wave_of_iso_13786(
    layers: tuple[SolidLayerPart, ...], transmittance: float, shift_h: float, share: float, within: float
) -> None:
    # DYN-9: ISO 13786:2017 clause 7 matrices (executed); the third wall has its insulation inside
    parts = [p for piece in layer_chain(layers, HeatFlow.HORIZONTAL, ISO, share) for p in piece]
    found = periodic_transmittance(parts, 86400.0)
    assert abs(found) == pytest.approx(transmittance, rel=within)
    shift = cmath.phase(found) * 24 / (2 * math.pi)
    shift = shift - 24 if shift > 0 else shift
    assert shift == pytest.approx(shift_h, abs=0.05 if share > 0.1 else 0.005)


def test_framed_layer_enters_with_the_mean_of_both_limits() -> None:
    # ENV-8, d = 0 mm: R_up 3.09909, R_low 2.94936, mean 3.02423 (ISO 6946:2017 6.7.2), R_se 0.13
    board = SolidLayerPart(
        name="board", conductivity_w_mk=0.25, thickness_m=0.0125, density_kg_m3=900, specific_heat_j_kgk=1000
    )
    fill = SolidLayerPart(
        name="fill", conductivity_w_mk=0.036, thickness_m=0.14, density_kg_m3=30, specific_heat_j_kgk=1030
    )
    stud = SolidLayerPart(
        name="stud", conductivity_w_mk=0.13, thickness_m=0.14, density_kg_m3=500, specific_heat_j_kgk=1600
    )
    osb = SolidLayerPart(
        name="osb", conductivity_w_mk=0.13, thickness_m=0.011, density_kg_m3=650, specific_heat_j_kgk=1700
    )
    framed = FramedLayerPart(name="studs", cavity=fill, framing=stud, framing_fraction=0.2)
    films = SurfaceFilms(1 / 0.13 - 5.0, 5.0, 1 / 0.13 - 5.0, 5.0)
    total = sum(
        r for piece in layer_chain((osb, framed, board), HeatFlow.HORIZONTAL, films, 0.4) for r, _ in piece
    )
    assert total + 0.26 == pytest.approx(3.02423, abs=5e-5)


def test_slices_are_finer_where_heat_creeps() -> None:
    # Common practice, no source: no slice beyond 0.4 of the depth a change reaches in an hour
    concrete = slices(0.2, 0.2 / 1.8, 0.2 * 2400 * 1000, 0.4)
    assert all(0.2 / len(concrete) <= 0.4 * math.sqrt(1.8 / 2.4e6 * 3600) + 1e-12 for _ in concrete)
    assert sum(r for r, _ in concrete) == pytest.approx(0.2 / 1.8, rel=1e-12)
    assert sum(c for _, c in concrete) == pytest.approx(480_000, rel=1e-12)
    assert slices(1.0, 25.0, 0.0, 0.4) == [(25.0, 0.0)]
