"""Gaps, fixings, tapers, slopes and junctions."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.physics.corrections import (
    Junction,
    Taper,
    corrected_u_w_m2k,
    fixing_correction_w_m2k,
    gap_correction_w_m2k,
    junction_loss_w_k,
    slope_angle_deg,
    slope_area_factor,
    tapered_u_w_m2k,
)
from retrofit_desk.physics.moisture import surface_temperature_c, temperature_factor


@pytest.mark.parametrize(
    ("rise", "factor", "angle_deg"),
    [  # ENV-12: plain trigonometry, computed
        (4.0, 1.05409, 18.435),
        (6.0, 1.11803, 26.565),
        (8.0, 1.20185, 33.690),
        (12.0, 1.41421, 45.000),
    ],
)
def test_a_pitched_roof_is_larger_than_its_plan(rise: float, factor: float, angle_deg: float) -> None:
    assert slope_area_factor(rise) == pytest.approx(factor, abs=5e-6)
    assert slope_angle_deg(rise) == pytest.approx(angle_deg, abs=5e-4)


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


def test_small_corrections_are_left_out() -> None:
    # ISO 6946:2017 (from memory): below 3 % of U
    assert corrected_u_w_m2k(0.30, [0.005, 0.003]) == 0.30
    assert corrected_u_w_m2k(0.30, [0.005, 0.005]) == pytest.approx(0.31)


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
    junctions = [Junction("eave", 0.08, 44.0), Junction("sill", 0.12, 44.0), Junction("opening", 0.04, 62.0)]
    assert plain == pytest.approx(111.60)
    assert plain + junction_loss_w_k(junctions) == pytest.approx(122.88, abs=0.005)


def test_surface_temperature_follows_from_u() -> None:
    # ENV-16: form of ISO 13788 (from memory), computed
    assert temperature_factor(0.35) == pytest.approx(0.9125)
    assert surface_temperature_c(temperature_factor(0.35), 20.0, -10.0) == pytest.approx(17.375)
    assert temperature_factor(1.2) == pytest.approx(0.70)
