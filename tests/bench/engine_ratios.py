"""A simulated year against a general integrator on the same network, and against the bare arithmetic."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from numba import njit

from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.physics.description import House
from retrofit_desk.physics.engine import Model, build_model, step_year
from tests.bench.ratio import Ratio, best_seconds
from tests.physics.houses import BOARD, BRICK, ISO_FILMS, WOOL, box

INTEGRATOR_GOAL, ARITHMETIC_GOAL = 200.0, 3.0
AGREEMENT_K = 0.05
INTEGRATED_DAYS = 5
HOUR_S = 3600.0
ROOMS = 8
TIMES = 40
WARM_UP_H = 2 * 744  # January twice, as the engine starts


def rows() -> list[Ratio]:
    """One room and eight rooms, each against both."""
    weather = greensboro()
    found = []
    for label, house in (("one_room", _one_room()), ("eight_rooms", eight_rooms())):
        model, whole = build_model(house, weather), build_model(house, weather, at_once_s=0.0)
        year, bare = _in_turns(lambda m=model: step_year(m, keep_states=False), _bare_year(whole))
        floating = _integrator_seconds(
            build_model(_floating(house), weather), build_model(_floating(house), weather, at_once_s=0.0)
        )
        found += [
            Ratio.at_least(f"year_{label}_against_integrator", floating / year, INTEGRATOR_GOAL),
            Ratio.at_most(f"year_{label}_against_bare_arithmetic", year / bare, ARITHMETIC_GOAL),
        ]
    return found


def _in_turns(ours: Callable[[], object], bare: Callable[[], object]) -> tuple[float, float]:
    """Shortest times of both, measured turn by turn so that both meet the same machine."""
    ours(), bare()
    pairs = [(best_seconds(ours, 1), best_seconds(bare, 1)) for _ in range(TIMES)]
    return min(a for a, _ in pairs), min(b for _, b in pairs)


def _one_room() -> House:
    zone = {"leakage": {"air_changes_per_h": 0.5}, "gains": [{"power_w": 300.0}]}
    return House.model_validate(box(window_m2=2.5, zone=zone))


def eight_rooms() -> House:
    """Two storeys of four rooms, every inner wall and ceiling between two of them."""
    surfaces: list[dict[str, Any]] = []
    common = {"construction": "layers", "films": ISO_FILMS}
    for room in range(ROOMS):
        zone = {"zone": f"room {room}", **common}
        for side, azimuth in (("a", 0 if room % 4 < 2 else 180), ("b", 90 if room % 2 else 270)):
            glass = {"name": "glass", "glazing": "clear", "width_m": 1.2, "height_m": 1.3, "films": ISO_FILMS}
            surfaces.append(
                {**zone, "name": f"{room}{side}", "azimuth_deg": azimuth, "area_m2": 10.0, "windows": [glass],
                 "boundary": {"kind": "outdoors"}}
            )  # fmt: skip
        level = {"kind": "outdoors"} if room >= 4 else {"kind": "zone", "zone": f"room {room + 4}"}
        surfaces.append({**zone, "name": f"{room} over", "tilt_deg": 0, "area_m2": 16.0, "boundary": level})
        if room < 4:
            held = {"kind": "fixed_temperature", "temperature_c": 14.0}
            surfaces.append(
                {**zone, "name": f"{room} under", "tilt_deg": 180, "area_m2": 16.0, "boundary": held}
            )
        beside = room + 1 if room % 2 == 0 else room + (1 if room % 4 == 1 else -3)
        surfaces.append(
            {**zone, "name": f"{room} inner", "area_m2": 10.0, "construction": "partition",
             "boundary": {"kind": "zone", "zone": f"room {beside}"}}
        )  # fmt: skip
    zones = [
        {"name": f"room {r}", "volume_m3": 40.0, "leakage": {"air_changes_per_h": 0.4},
         "gains": [{"power_w": 60.0}], "thermostat": {"heating_c": 20.0 - 0.1 * r, "cooling_c": 26.0}}
        for r in range(ROOMS)
    ]  # fmt: skip
    described = {**box(), "name": "eight rooms", "zones": zones, "surfaces": surfaces}
    described["constructions"] = [
        {"name": "layers", "layers": [{**BRICK, "thickness_m": 0.09}, WOOL, BOARD]},
        {"name": "partition", "layers": [BOARD, {**WOOL, "density_kg_m3": 0}, BOARD]},
    ]
    return House.model_validate(described)


def _floating(house: House) -> House:
    zones = tuple(
        z.model_copy(update={"thermostat": None, "leakage": None, "gains": ()}) for z in house.zones
    )
    return house.model_copy(update={"zones": zones})


def _integrator_seconds(model: Model, whole: Model) -> float:
    """A year by scipy's stiff integrator, from a stretch of days it is timed on; checked at 0.05 K.

    `whole` is the model with every mode, from which the integrator has the network's heat.
    """
    from scipy.integrate import solve_ivp

    network = whole.network
    matrix = -network.conductance_w_k / network.capacity_j_k[:, None]
    rate = whole.forcing.modal @ whole.modes.shape.T  # heat over capacity: shape @ (shape.T @ heat)
    hours = INTEGRATED_DAYS * 24
    start = whole.modes.shape @ step_year(whole).start_modes
    ends = np.empty((hours, network.size))

    def integrate() -> None:
        state = start
        for hour in range(hours):
            solved = solve_ivp(
                lambda _, x, h=hour: matrix @ x + rate[h],
                (0.0, HOUR_S),
                state,
                method="LSODA",
                jac=lambda _, x: matrix,
                rtol=1e-4,
                atol=1e-3,
                t_eval=[HOUR_S],
            )
            state = solved.y[:, -1]
            ends[hour] = state

    seconds = best_seconds(integrate, 1)
    modes, zones = model.modes, len(network.air)
    z, ours = step_year(model).start_modes.copy(), np.empty((hours, zones))
    decay = np.exp(-modes.rates_per_s * HOUR_S)
    gain = np.where(modes.rates_per_s > 0, (1 - decay) / np.maximum(modes.rates_per_s, 1e-300), HOUR_S)
    for hour in range(hours):
        z = decay * z + gain * model.forcing.modal[hour]
        ours[hour] = modes.shape[network.air] @ z + model.forcing.at_once_k[hour, :zones]
    worst = float(np.abs(ours - ends[:, network.air]).max())
    if worst > AGREEMENT_K:
        raise AssertionError(f"the integrator and the engine differ by {worst:.3f} K")
    return seconds * 365.0 / INTEGRATED_DAYS


@njit(cache=True, nogil=True, fastmath={"reassoc", "contract"})
def _bare(forcing, decay, gain, rows, enters, base, share, z):
    """The recursion with as many products as a year has, and no decisions."""
    zones, modes = rows.shape[1], z.shape[0]
    air, plant = np.zeros(zones), np.zeros(zones)
    total = 0.0
    for t in range(forcing.shape[0]):
        for k in range(zones):
            a, b = base[t, k], base[t, zones + k]
            for i in range(modes):
                a += rows[0, k, i] * z[i]
                b += rows[1, k, i] * z[i]
            air[k], plant[k] = share * (5.0 - a), share * (20.0 - b)
        work = forcing[t].copy()
        for k in range(zones):
            for i in range(modes):
                work[i] += enters[0, k, i] * air[k] + enters[1, k, i] * plant[k]
        for i in range(modes):
            total += gain[i] * z[i]
            z[i] = decay[i] * z[i] + gain[i] * work[i]
    return total


def _bare_year(model: Model) -> Callable[[], None]:
    """The bare products of every mode's year: the forcing on each zone's rows, then the recursion."""
    modes, zones = len(model.modes.rates_per_s), len(model.house.zones)
    decay = np.exp(-model.modes.rates_per_s * HOUR_S)
    gain = np.where(model.modes.rates_per_s > 0, 1 - decay, 1.0)
    rows, enters = np.full((2, zones, modes), 1e-3), np.full((2, zones, modes), 1e-3)
    start = np.vstack([model.forcing.modal[:WARM_UP_H], model.forcing.modal])
    z = np.zeros(modes)

    def year() -> None:
        base = model.forcing.modal @ rows.reshape(2 * zones, modes).T
        _bare(start, decay, gain, rows, enters, np.vstack([base[:WARM_UP_H], base]), 1e-3, z)

    return year
