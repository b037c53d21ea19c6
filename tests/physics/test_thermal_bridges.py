"""Thermal bridges in the hourly engine."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from retrofit_desk.physics.description import House
from retrofit_desk.physics.engine import run_year
from retrofit_desk.physics.errors import ImpossibleValue
from tests.physics.houses import box, house
from tests.physics.weathers import plain_year


def bridged(*bridges: tuple[float, float]) -> House:
    described: dict[str, Any] = box()
    described["surfaces"][0]["bridges"] = [
        {"name": f"line {number}", "length_m": length, "psi_w_mk": psi}
        for number, (length, psi) in enumerate(bridges)
    ]
    return house(described)


def test_steady_heating_rises_by_psi_times_length() -> None:
    # ENV-16: form of ISO 13789 (from memory), its junctions: 11.28 W/K
    plain = run_year(house(box()), plain_year()).heating_w[5000]
    year = run_year(bridged((44.0, 0.08), (44.0, 0.12), (62.0, 0.04)), plain_year())
    assert year.heating_w[5000] - plain == pytest.approx(20.0 * 11.28, rel=1e-6)
    assert abs(year.balance.residual_share) < 1e-9


def test_an_outside_corner_measured_from_outside_takes_away_again() -> None:
    """The same corner in both systems of dimensions loses the same.

    A wall 0.3125 m thick is longer by that at its corner; ISO 14683:2017, annex, gives such a corner about
    +0.05 W/mK by inside and -0.05 to -0.20 W/mK by outside dimensions (from memory).
    """
    u_value, thickness_m, height_m, psi_inside = 0.35, 0.3125, 2.5, 0.05
    psi_outside = psi_inside - 2.0 * thickness_m * u_value
    assert -0.20 < psi_outside < -0.05
    inside = u_value * (4.0 + 5.0) * height_m + psi_inside * height_m
    outside = u_value * (4.0 + 5.0 + 2.0 * thickness_m) * height_m + psi_outside * height_m
    assert outside == pytest.approx(inside)
    plain = run_year(house(box()), plain_year())
    corner = run_year(bridged((height_m, psi_outside)), plain_year())
    less = plain.heating_w[5000] - corner.heating_w[5000]
    assert less == pytest.approx(-20.0 * height_m * psi_outside, rel=1e-6)
    assert abs(corner.balance.residual_share) < 1e-9


def test_bridges_that_take_away_more_than_the_faces_lose_are_refused() -> None:
    with pytest.raises(ImpossibleValue, match="more than the faces lose"):
        run_year(bridged((5000.0, -1.0)), plain_year())
    with pytest.raises(ValidationError, match="psi_w_mk"):
        bridged((1.0, -1.01))


@settings(max_examples=8, deadline=None)
@given(st.floats(0.1, 100.0), st.floats(0.0, 2.0))
def test_a_bridge_that_loses_never_lowers_heating(length_m: float, psi_w_mk: float) -> None:
    without = run_year(house(box()), plain_year())
    with_one = run_year(bridged((length_m, psi_w_mk)), plain_year())
    assert with_one.heating_w.sum() >= without.heating_w.sum() * (1.0 - 1e-9)


def test_a_house_without_bridges_is_written_as_before() -> None:
    assert "bridges" not in house(box()).model_dump_json()
    described = bridged((10.0, 0.5))
    assert House.model_validate_json(described.model_dump_json()) == described
