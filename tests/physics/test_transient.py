"""Periodic response by ISO 13786: worked layers, whole elements, identities."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.physics.layers import MasslessLayer, SolidLayer
from retrofit_desk.physics.transient import (
    DAY_S,
    element_matrix,
    layer_matrix,
    penetration_depth_m,
    periodic_response,
)

CONCRETE = SolidLayer("concrete", 1.8, 0.200, 2400.0, 1000.0)
BRICK = SolidLayer("brickwork", 0.7, 0.150, 1600.0, 1000.0)
INSULATION = SolidLayer("insulation", 0.04, 0.100, 30.0, 1400.0)
RENDER = SolidLayer("render", 1.0, 0.005, 1200.0, 1500.0)
A = [CONCRETE]
B = [CONCRETE, INSULATION, RENDER]
C = [
    SolidLayer("gypsum", 0.16, 0.0127, 640.0, 1150.0),
    SolidLayer("wool", 0.038, 0.140, 30.0, 840.0),
    SolidLayer("OSB", 0.13, 0.0111, 650.0, 1700.0),
    MasslessLayer("cladding", 0.11),
]
COMPUTED = "matrices of ISO 13786:2017, clause 7 (from memory), computed"


@pytest.mark.parametrize(
    ("layer", "depth_m", "z11", "z12", "z21"),
    [  # DYN-8
        (CONCRETE, 0.143619, 0.378820 + 1.858463j, -0.097252 - 0.070540j, 22.160937 - 30.552550j),
        (BRICK, 0.109691, 0.422033 + 1.797540j, -0.189423 - 0.131351j, 10.698355 - 15.428291j),
    ],
)
def test_a_layers_matrix(layer: SolidLayer, depth_m: float, z11: complex, z12: complex, z21: complex) -> None:
    assert penetration_depth_m(layer) == pytest.approx(depth_m, abs=1e-6), COMPUTED
    z = layer_matrix(layer)
    assert [z[0, 0], z[0, 1], z[1, 0], z[1, 1]] == pytest.approx([z11, z12, z21, z11], abs=1e-5)


@pytest.mark.parametrize(
    ("layers", "z11_z12", "z21_z22"),
    [  # DYN-9
        (A, (-0.50762 + 3.08057j, -0.04641 - 0.54535j), (22.16094 - 30.55255j, -2.50210 + 5.83029j)),
        (B, (-68.68225 + 70.06896j, 8.66054 - 14.05977j), (80.27837 + 21.33834j, -13.97785 - 0.51716j)),
    ],
)
def test_an_elements_matrix(
    layers: list, z11_z12: tuple[complex, complex], z21_z22: tuple[complex, complex]
) -> None:
    z = element_matrix(layers)
    assert [z[0, 0], z[0, 1]] == pytest.approx(list(z11_z12), abs=2e-5), COMPUTED
    assert [z[1, 0], z[1, 1]] == pytest.approx(list(z21_z22), abs=2e-5), COMPUTED


@pytest.mark.parametrize(
    ("layers", "u", "inside", "outside", "through", "capacities"),
    [  # DYN-9: value and shift in h of Y11, Y22, Y12; then decrement; kJ/m2K inside, outside
        (A, 3.55731, (5.70431, 0.9481), (11.59188, 1.8728), (1.827071, 5.6757, 0.51361), (86.1677, 170.8749)),
        (B, 0.35892, (5.94176, 0.8530), (0.84705, 4.0324), (0.060558, 8.1088, 0.16872), (82.2901, 12.4800)),
        (
            B[::-1],
            0.35892,
            (0.81497, 3.7912),
            (12.05381, 1.7794),
            (0.118162, 7.4262, 0.32921),
            (12.8018, 166.9643),
        ),
        (C, 0.24219, (0.77123, 4.3069), (0.95011, 4.3666), (0.235370, 1.7790, 0.97184), (11.1574, 13.5790)),
    ],
)
def test_whole_elements(
    *,
    layers: list,
    u: float,
    inside: tuple[float, float],
    outside: tuple[float, float],
    through: tuple[float, float, float],
    capacities: tuple[float, float],
) -> None:
    found = periodic_response(layers)
    assert found.u_value_w_m2k == pytest.approx(u, abs=6e-6), COMPUTED
    assert abs(found.inside_admittance_w_m2k) == pytest.approx(inside[0], rel=1e-4)
    assert found.inside_lead_h == pytest.approx(inside[1], abs=1e-3)
    assert abs(found.outside_admittance_w_m2k) == pytest.approx(outside[0], rel=1e-4)
    assert found.outside_lead_h == pytest.approx(outside[1], abs=1e-3)
    assert abs(found.transmittance_w_m2k) == pytest.approx(through[0], rel=1e-4)
    assert found.delay_h == pytest.approx(through[1], abs=1e-3)
    assert found.decrement == pytest.approx(through[2], rel=1e-4)
    shown = found.inside_capacity_j_m2k / 1000.0, found.outside_capacity_j_m2k / 1000.0
    assert shown == pytest.approx(capacities, rel=1e-4)


LAYERS = st.lists(
    st.builds(
        SolidLayer,
        st.just("layer"),
        st.floats(0.03, 2.5),
        st.floats(0.005, 0.2),
        st.floats(15.0, 2500.0),
        st.floats(800.0, 2100.0),
    ),
    min_size=1,
    max_size=4,
)


@given(LAYERS)
def test_the_matrix_keeps_its_determinant(layers: list[SolidLayer]) -> None:
    # DYN-10, identity; the bound scales with the products that cancel
    z = element_matrix(layers)
    scale = abs(z[0, 0] * z[1, 1]) + abs(z[0, 1] * z[1, 0])
    assert abs(z[0, 0] * z[1, 1] - z[0, 1] * z[1, 0] - 1.0) < 1e-9 * max(1.0, scale)


@pytest.mark.parametrize("parts", [2, 5, 20])
def test_a_layer_is_its_slices(parts: int) -> None:
    # DYN-10, identity
    slice_ = SolidLayer("slice", 1.8, 0.200 / parts, 2400.0, 1000.0)
    assert np.allclose(element_matrix([slice_] * parts), element_matrix(A), rtol=1e-9)


def test_a_slow_swing_sees_only_the_u_value() -> None:
    # DYN-10: computed, 3.557277 against 3.55731
    slow = periodic_response(A, period_s=365.0 * DAY_S)
    assert abs(slow.transmittance_w_m2k) == pytest.approx(3.557277, abs=1e-6)


def test_very_thick_concrete_answers_as_a_half_space() -> None:
    # DYN-10: sqrt(2 pi conductivity density heat / period), at 45 degrees
    thick = [SolidLayer("concrete", 1.8, 3.0, 2400.0, 1000.0)]
    bare = periodic_response(thick, r_si_m2k_w=0.0)
    assert abs(bare.inside_admittance_w_m2k) == pytest.approx(17.7245, abs=5e-5)
    assert bare.inside_lead_h == pytest.approx(3.0, abs=1e-6)
    assert abs(periodic_response(thick).inside_admittance_w_m2k) == pytest.approx(5.7302, abs=5e-5)


@given(LAYERS)
def test_mass_never_passes_more_than_the_steady_flow(layers: list[SolidLayer]) -> None:
    found = periodic_response(layers)
    assert found.decrement <= 1.0 + 1e-9
    assert found.delay_h >= 0.0


def test_insulation_outside_keeps_the_mass_in_the_room() -> None:
    assert periodic_response(B).inside_capacity_j_m2k > 6.0 * periodic_response(B[::-1]).inside_capacity_j_m2k
