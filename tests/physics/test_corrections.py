"""Gaps, fixings and tapers."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.physics.corrections import (
    Taper,
    fixing_correction_w_m2k,
    gap_correction_w_m2k,
    tapered_u_w_m2k,
)
from retrofit_desk.physics.description import ThermalBridge
from retrofit_desk.physics.moisture import surface_temperature_c, temperature_factor


def test_gaps_and_fixings_add_to_u() -> None:
    # ENV-13: ISO 6946:2017, annex on corrections (from memory), computed
    assert gap_correction_w_m2k(1, 3.8889, 4.5) == pytest.approx(0.0074684, abs=5e-7)
    through = fixing_correction_w_m2k(
        conductivity_w_mk=50.0,
        section_m2=2.0e-5,
        count_per_m2=4.0,
        insulation_depth_m=0.10,
        layer_m2k_w=2.5,
        assembly_m2k_w=5.0,
    )
    assert through == pytest.approx(0.0080, abs=5e-5)
    recessed = fixing_correction_w_m2k(
        conductivity_w_mk=50.0,
        section_m2=2.0e-5,
        count_per_m2=4.0,
        insulation_depth_m=0.10,
        layer_m2k_w=2.5,
        assembly_m2k_w=5.0,
        fixing_length_m=0.05,
    )
    assert recessed == pytest.approx(through / 2.0)


@pytest.mark.parametrize(
    ("shape", "u"),
    [  # ENV-15: ISO 6946:2017, tapered layers annex (from memory), computed
        (Taper.RECTANGLE, 0.392332),
        (Taper.APEX_THICK, 0.455461),
        (Taper.APEX_THIN, 0.329202),
    ],
)
def test_tapered_insulation(shape: Taper, u: float) -> None:
    assert tapered_u_w_m2k(shape, 2.5, 1.5) == pytest.approx(u, abs=1e-6)


@given(st.floats(0.2, 10.0), st.floats(0.2, 10.0))
def test_two_triangles_make_the_rectangle(r1: float, r0: float) -> None:
    # ENV-15, identity
    thick, thin = (tapered_u_w_m2k(shape, r1, r0) for shape in (Taper.APEX_THICK, Taper.APEX_THIN))
    assert (thick + thin) / 2.0 == pytest.approx(tapered_u_w_m2k(Taper.RECTANGLE, r1, r0), rel=1e-9)


def test_junctions_add_a_tenth_to_this_house() -> None:
    # ENV-16: form of ISO 13789 (from memory), computed
    plain = 92 * 0.35 + 18 * 1.6 + 110 * 0.21 + 110 * 0.25
    lines = (("eave", 0.08, 44.0), ("sill", 0.12, 44.0), ("opening", 0.04, 62.0))
    junctions = [ThermalBridge(name=name, psi_w_mk=psi, length_m=length) for name, psi, length in lines]
    assert plain == pytest.approx(111.60)
    assert plain + sum(one.loss_w_k for one in junctions) == pytest.approx(122.88, abs=0.005)


def test_surface_temperature_follows_from_u() -> None:
    # ENV-16: form of ISO 13788 (from memory), computed
    assert temperature_factor(0.35) == pytest.approx(0.9125)
    assert surface_temperature_c(temperature_factor(0.35), 20.0, -10.0) == pytest.approx(17.375)
    assert temperature_factor(1.2) == pytest.approx(0.70)
