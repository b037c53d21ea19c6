"""Thermal bridges in the hourly engine."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from retrofit_desk.physics.description import House
from retrofit_desk.physics.engine import run_year
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


@settings(max_examples=8, deadline=None)
@given(st.floats(0.1, 100.0), st.floats(0.0, 2.0))
def test_a_bridge_never_lowers_heating(length_m: float, psi_w_mk: float) -> None:
    without = run_year(house(box()), plain_year())
    with_one = run_year(bridged((length_m, psi_w_mk)), plain_year())
    assert with_one.heating_w.sum() >= without.heating_w.sum() * (1.0 - 1e-9)


def test_a_house_without_bridges_is_written_as_before() -> None:
    assert "bridges" not in house(box()).model_dump_json()
    described = bridged((10.0, 0.5))
    assert House.model_validate_json(described.model_dump_json()) == described
