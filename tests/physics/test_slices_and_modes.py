"""The engine's slices and modes against closed forms of transient conduction."""

from __future__ import annotations

import numpy as np
import pytest

from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.physics.description import House
from retrofit_desk.physics.engine import build_model, run_model
from retrofit_desk.physics.layers import MasslessLayer, SolidLayer
from retrofit_desk.physics.network import (
    AT_ONCE_S,
    OUTDOOR_AIR,
    SKIN_J_M2K,
    SLICE_OF_HOURLY_DEPTH,
    Link,
    Modes,
    Network,
    modes_of,
    slices,
)
from retrofit_desk.physics.transient import DAY_S, periodic_response
from tests.physics.houses import box

BOOK = "Incropera & DeWitt, Fundamentals of Heat and Mass Transfer (from memory)"
CONCRETE = SolidLayer("concrete", 1.4, 0.100, 2300.0, 880.0)


def modes(capacity: list[float], conductance: np.ndarray) -> Modes:
    none = np.zeros(0, dtype=np.int64)
    return modes_of(Network(np.array(capacity), conductance, none, none, (), (), (), ()))


def after(found: Modes, start: np.ndarray, settled: np.ndarray, seconds: float) -> np.ndarray:
    """Exact state after a time with constant surroundings, as the engine steps it."""
    decay = np.exp(-found.rates_per_s * seconds)
    return settled + found.shape @ (decay * (found.to_modes @ (start - settled)))


def chain(
    layers: list[SolidLayer | MasslessLayer], films_m2k_w: tuple[float, float], share: float
) -> tuple[np.ndarray, np.ndarray]:
    """Capacities and conductances of 1 m2, nodes on the slices' faces as in the engine; inf: adiabatic."""
    capacity, conductance = [0.0], []
    for layer in layers:
        solid = isinstance(layer, SolidLayer)
        depth, heat = (layer.thickness_m, layer.heat_capacity_j_m2k) if solid else (0.0, 0.0)
        for resistance, held in slices(depth, layer.resistance_m2k_w, heat, share):
            capacity[-1] += held / 2.0
            capacity.append(held / 2.0)
            conductance.append(1.0 / resistance)
    g = np.array([1.0 / films_m2k_w[0], *conductance, 1.0 / films_m2k_w[1]])
    k = np.diag(g[:-1] + g[1:]) - np.diag(g[1:-1], 1) - np.diag(g[1:-1], -1)
    return np.maximum(capacity, SKIN_J_M2K), k


@pytest.mark.parametrize(("hours", "expected_c"), [(1.0, 18.61062), (6.0, 12.98419), (24.0, 3.55279)])
def test_one_node_cools_by_its_time_constant(hours: float, expected_c: float) -> None:
    # DYN-7: exact exponential, computed
    found = modes([1e7], np.array([[200.0]]))
    assert after(found, np.array([20.0]), np.zeros(1), hours * 3600.0)[0] == pytest.approx(
        expected_c, abs=1e-5
    )


@pytest.mark.parametrize(("hours", "expected_c"), [(1.0, 14.65265), (6.0, 13.24605), (24.0, 10.88820)])
def test_one_node_heated(hours: float, expected_c: float) -> None:
    # DYN-7: exact exponential, computed; outdoors -5 °C, 3,000 W, end state 10 °C
    found = modes([1e7], np.array([[200.0]]))
    state = after(found, np.array([15.0]), np.array([10.0]), hours * 3600.0)
    assert state[0] == pytest.approx(expected_c, abs=1e-5)


@pytest.mark.parametrize(
    ("hours", "air_mass_c"),
    [(1.0, (19.36867, 19.99410)), (6.0, (17.82219, 19.85909)), (24.0, (16.84930, 19.11506))],
)
def test_air_and_mass(hours: float, air_mass_c: tuple[float, float]) -> None:
    # DYN-11: matrix exponential, computed; 600 W, outdoors 0 °C, end state 12 °C
    found = modes([2e6, 2e7], np.array([[150.0, -100.0], [-100.0, 100.0]]))
    assert 1.0 / found.rates_per_s / 3600.0 == pytest.approx([174.23495, 3.54283], abs=1e-5)
    state = after(found, np.full(2, 20.0), np.full(2, 12.0), hours * 3600.0)
    assert state == pytest.approx(air_mass_c, abs=1e-5)


@pytest.mark.parametrize(
    ("biot", "fourier", "centre_surface", "stored"),
    [  # DYN-5: full series of the plane wall, Incropera & DeWitt, ch. 5 (from memory), computed
        (1.0, 0.05, (0.99975, 0.79038), 0.04269),
        (1.0, 0.2, (0.95064, 0.64339), 0.14840),
        (1.0, 1.0, (0.53386, 0.34818), 0.52960),
        (5.0, 0.5, (0.52311, 0.13303), 0.61483),
        (0.1, 5.0, (0.62638, 0.59632), 0.38368),
    ],
)
def test_a_sliced_wall_cools_as_the_series(
    biot: float, fourier: float, centre_surface: tuple[float, float], stored: float
) -> None:
    half = CONCRETE.thickness_m
    film = half / (biot * CONCRETE.conductivity_w_mk)
    capacity, k = chain([CONCRETE], (np.inf, film), SLICE_OF_HOURLY_DEPTH)
    found = modes(list(capacity), k)
    diffusivity = CONCRETE.conductivity_w_mk / (CONCRETE.density_kg_m3 * CONCRETE.specific_heat_j_kgk)
    state = after(found, np.ones(len(capacity)), np.zeros(len(capacity)), fourier * half**2 / diffusivity)
    # five slices of 20 mm: within .6 % of the first difference
    assert (state[0], state[-1]) == pytest.approx(centre_surface, abs=0.006)
    assert 1.0 - capacity @ state / capacity.sum() == pytest.approx(stored, abs=0.006)


def test_the_printed_pipe_wall() -> None:
    # DYN-6: Incropera & DeWitt, example 5.4/5.5 (from memory): outer face 42.9 °C, inner 45.2 °C, 2.73e7 J
    steel = SolidLayer("steel", 63.9, 0.040, 7832.0, 434.0)
    capacity, k = chain([steel], (np.inf, 1.0 / 500.0), 0.01)
    found = modes(list(capacity), k)
    state = after(found, np.full(len(capacity), -20.0), np.full(len(capacity), 60.0), 480.0)
    assert state[0] == pytest.approx(42.9, abs=0.3), BOOK
    assert state[-1] == pytest.approx(45.2, abs=0.3), BOOK
    assert float(capacity @ (state + 20.0)) * np.pi == pytest.approx(2.73e7, rel=0.01), BOOK


def test_the_frozen_water_main() -> None:
    # DYN-2: Incropera & DeWitt, example 5.6 (from memory): 0 °C reaches .68 m in 60 days
    soil = SolidLayer("soil", 0.52, 10.0, 2050.0, 1840.0)
    capacity, k = chain([soil], (1e-9, np.inf), SLICE_OF_HOURLY_DEPTH)
    found = modes(list(capacity), k)
    count = len(capacity)
    state = after(found, np.full(count, 20.0), np.full(count, -15.0), 60 * DAY_S)
    assert float(np.interp(0.0, state, np.linspace(0.0, 10.0, count))) == pytest.approx(0.68, abs=0.005), BOOK


@pytest.mark.parametrize(
    ("name", "layers"),
    [  # DYN-9: elements whose response is checked in the tests of the periodic response
        ("concrete", [SolidLayer("concrete", 1.8, 0.200, 2400.0, 1000.0)]),
        (
            "insulated outside",
            [
                SolidLayer("concrete", 1.8, 0.200, 2400.0, 1000.0),
                SolidLayer("insulation", 0.04, 0.100, 30.0, 1400.0),
                SolidLayer("render", 1.0, 0.005, 1200.0, 1500.0),
            ],
        ),
        (
            "wood frame",
            [
                SolidLayer("gypsum", 0.16, 0.0127, 640.0, 1150.0),
                SolidLayer("wool", 0.038, 0.140, 30.0, 840.0),
                SolidLayer("OSB", 0.13, 0.0111, 650.0, 1700.0),
                MasslessLayer("cladding", 0.11),
            ],
        ),
    ],
)
def test_a_sliced_wall_answers_a_daily_swing_as_the_standard_says(
    name: str, layers: list[SolidLayer | MasslessLayer]
) -> None:
    # ISO 13786:2017 (from memory); slices of the engine's own size
    capacity, k = chain(layers, (0.13, 0.04), SLICE_OF_HOURLY_DEPTH)
    matrix = k + 2j * np.pi / DAY_S * np.diag(capacity)
    inside, outside = np.zeros(len(capacity)), np.zeros(len(capacity))
    inside[0], outside[-1] = 1.0 / 0.13, 1.0 / 0.04
    through = 1.0 / 0.13 * np.linalg.solve(matrix, outside)[0]
    admitted = 1.0 / 0.13 * (1.0 - np.linalg.solve(matrix, inside)[0])
    exact = periodic_response(layers)
    assert abs(through) == pytest.approx(abs(exact.transmittance_w_m2k), rel=0.01), name
    assert abs(admitted) == pytest.approx(abs(exact.inside_admittance_w_m2k), rel=0.01), name
    assert np.angle(admitted) * 12.0 / np.pi == pytest.approx(exact.inside_lead_h, abs=0.05), name


def test_fast_modes_follow_at_once_and_hold_no_heat() -> None:
    # two rates, 1/10 s and 1/10 h: heat into the fast node reaches the slow one whole; own limit
    capacity, k = np.array([1e3, 3.6e6]), np.array([[100.0, -100.0], [-100.0, 200.0]])
    none = np.zeros(0, dtype=np.int64)
    network = Network(capacity, k, np.array([0]), none, (), (), (Link(1, OUTDOOR_AIR, 100.0),), ())
    found, whole = modes_of(network, 180.0), modes_of(network)
    assert len(found.rates_per_s) == 1
    heat = np.array([50.0, 0.0])
    settled = found.shape @ (found.shape.T @ heat / found.rates_per_s)
    steady = np.linalg.solve(k, heat)
    assert settled[0] + found.at_once_k_w[0] @ heat == pytest.approx(steady[0], abs=1e-9)
    lost = 100.0 * settled[1] + found.at_once_to_known @ heat
    assert lost == pytest.approx(heat.sum(), abs=1e-9)
    assert not whole.at_once_k_w.any()


def test_a_year_without_the_fast_modes_is_that_with_all_of_them() -> None:
    # own limit: loads to a ten-thousandth, the room's air to a tenth of a kelvin in every hour
    zone = {"thermostat": {"heating_c": 20.0, "cooling_c": 26.0}}
    house, weather = House.model_validate(box(window_m2=3.0, zone=zone)), greensboro()
    short, whole = (run_model(build_model(house, weather, at_once_s=s)) for s in (AT_ONCE_S, 0.0))
    for zone, other in zip(short.zones, whole.zones, strict=True):
        assert zone.heating_w.sum() == pytest.approx(other.heating_w.sum(), rel=1e-4)
        assert zone.air_c == pytest.approx(other.air_c, abs=0.1)
