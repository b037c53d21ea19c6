"""A low emittance on either side, with films that are worked out and with stated ones."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from retrofit_desk.physics.engine import run_year
from tests.physics.houses import house
from tests.physics.weathers import SIGMA, plain_year

COLD_WALL_M2, PARTY_WALL_M2, WALL_M2K_W = 20.0, 40.0, 1.5
SKY_LOSS_W_M2 = 60.0
WALL_SKY_SHARE = 0.5**1.5  # view of the sky times its root: Walton, NBSIR 83-2655 (1983), from memory
STATED = {
    "inside_convective_w_m2k": 3.0, "inside_radiative_w_m2k": 5.0,
    "outside_convective_w_m2k": 18.0, "outside_radiative_w_m2k": 4.0,
}  # fmt: skip


def radiative(emittance: float, mean_c: float) -> float:
    # ENV-1: ISO 6946:2017, h_r0 5.1490 at 10 degC, 5.7140 at 20 degC (from memory)
    return emittance * {10.0: 5.1490, 20.0: 5.7140}[mean_c]


def heat_by_hand_w(inside: float, outside: float, films: dict[str, float]) -> float:
    """Steady heat into a room of 20 degC with one wall to air of 0 degC under a colder sky."""
    hc = films.get("inside_convective_w_m2k", 2.5)
    hr = films.get("inside_radiative_w_m2k", radiative(inside, 20.0))
    ho = films.get("outside_convective_w_m2k", 20.0)
    ho += films.get("outside_radiative_w_m2k", radiative(outside, 10.0))
    to_air = 1.0 / (WALL_M2K_W + 1.0 / ho)  # from the inner face, W/m2K
    sky_c = -outside * WALL_SKY_SHARE * SKY_LOSS_W_M2 / ho  # outdoor air as cold as the sky makes the face
    a, b = COLD_WALL_M2, PARTY_WALL_M2
    balance = np.array(
        [
            [a * (hc + hr + to_air), 0.0, -a * hr],  # the cold wall
            [0.0, b * (hc + hr), -b * hr],  # the party walls
            [a * hr, b * hr, -(a + b) * hr],  # what they see of each other
        ]
    )
    cold, party, _ = np.linalg.solve(balance, [a * (hc * 20.0 + to_air * sky_c), b * hc * 20.0, 0.0])
    return float(hc * (a * (20.0 - cold) + b * (20.0 - party)))


def room(inside: float, outside: float, films: dict[str, float]) -> dict[str, Any]:
    layer = {"kind": "massless", "name": "foam", "resistance_m2k_w": WALL_M2K_W}
    common = {
        "zone": "room", "construction": "foam", "tilt_deg": 90, "films": films,
        "inside_emittance": inside, "outside_emittance": outside,
    }  # fmt: skip
    return {
        "name": "room",
        "constructions": [{"name": "foam", "layers": [layer]}],
        "zones": [{"name": "room", "volume_m3": 50.0, "thermostat": {"heating_c": 20.0}}],
        "surfaces": [
            common | {"name": "cold", "area_m2": COLD_WALL_M2, "boundary": {"kind": "outdoors"}},
            common | {"name": "party", "area_m2": PARTY_WALL_M2, "boundary": {"kind": "adiabatic"}},
        ],
    }


@pytest.mark.parametrize(("inside", "outside"), [(0.1, 0.1), (0.1, 0.9), (0.9, 0.1), (0.9, 0.9)])
@pytest.mark.parametrize("films", [{}, STATED])
def test_steady_heat_follows_the_emittances_and_stated_films_stay(
    inside: float, outside: float, films: dict[str, float]
) -> None:
    """Worked-out films fall with their emittance on both sides, and so does the loss to the sky."""
    sky = SIGMA * 273.15**4 - SKY_LOSS_W_M2
    year = run_year(house(room(inside, outside, films)), plain_year(ir_sky_w_m2=np.full(8760, sky)))
    assert year.heating_kwh / 8.76 == pytest.approx(heat_by_hand_w(inside, outside, films), rel=5e-4)
