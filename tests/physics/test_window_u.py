"""U-values of glass and windows against EN 673, ISO 10077-1 and worked numbers."""

from __future__ import annotations

from dataclasses import fields

import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.physics.errors import ImpossibleValue
from retrofit_desk.physics.glazing import AIR, ARGON, Gap, Gas, Pane
from retrofit_desk.physics.window_u import (
    FramePart,
    GlassPart,
    gap_resistances_m2k_w,
    glass_u_w_m2k,
    two_in_series_u_w_m2k,
    window_u_w_m2k,
    window_with_frame_u_w_m2k,
    with_shutter_u_w_m2k,
)

TABLE = "ISO 10077-1:2017, table of U_g (from memory)"
COMPUTED = "formulas of EN 673:2011 (from memory), computed"
PLAIN = Pane(0.004, 20.0)


def coated(emissivity: float) -> Pane:
    """The inner pane, its coating facing the gap."""
    return Pane(0.004, 20.0, emissivity_outward=emissivity)


@pytest.mark.parametrize(
    ("gas", "width_mm", "printed", "exact", "source"),
    [  # WIN-5
        (AIR, 6, 3.3, 3.276, TABLE),
        (AIR, 8, 3.1, 3.080, TABLE),
        (AIR, 12, 2.8, 2.849, TABLE),
        (AIR, 16, 2.7, 2.731, TABLE),
        (AIR, 20, 2.7, 2.744, TABLE),
        (ARGON, 6, 3.0, 3.015, TABLE),
        (ARGON, 8, 2.9, 2.855, TABLE),
        (ARGON, 12, 2.7, 2.674, TABLE),
        (ARGON, 16, 2.6, 2.606, TABLE),
        (ARGON, 20, 2.6, 2.616, TABLE),
    ],
)
def test_uncoated_double_glazing_is_the_printed_one(
    gas: Gas, width_mm: int, printed: float, exact: float, source: str
) -> None:
    u = glass_u_w_m2k([PLAIN, PLAIN], [Gap(width_mm / 1000.0, gas)])
    assert u == pytest.approx(printed, abs=0.05), source
    assert u == pytest.approx(exact, abs=5e-4)


def filled(gas: Gas, share: float) -> Gas:
    """The gas with the rest air, properties by share of volume as EN 673 mixes them."""
    numbers = (f.name for f in fields(Gas) if f.name != "name")
    mixed = {n: share * getattr(gas, n) + (1.0 - share) * getattr(AIR, n) for n in numbers}
    return Gas(f"{share:.0%} {gas.name}", **mixed)


@pytest.mark.parametrize(
    ("gas", "width_mm", "printed"),
    [  # WIN-5, one pane coated to 0.05; gas gaps hold 90 % argon in that table
        (AIR, 6, 2.5),
        (AIR, 8, 2.1),
        (AIR, 12, 1.7),
        (AIR, 16, 1.4),
        (filled(ARGON, 0.9), 8, 1.7),
        (filled(ARGON, 0.9), 12, 1.3),
        (filled(ARGON, 0.9), 16, 1.2),
    ],
)
def test_low_emissivity_double_glazing_is_the_printed_one(gas: Gas, width_mm: int, printed: float) -> None:
    u = glass_u_w_m2k([PLAIN, coated(0.05)], [Gap(width_mm / 1000.0, gas)])
    assert u == pytest.approx(printed, abs=0.051), TABLE


@pytest.mark.parametrize(
    ("gas", "width_m", "emissivity", "u"),
    [(AIR, 0.012, 0.1, 1.770), (ARGON, 0.016, 0.1, 1.284), (ARGON, 0.016, 0.03, 1.0643)],
)
def test_coated_double_glazing(gas: Gas, width_m: float, emissivity: float, u: float) -> None:
    # WIN-5: EN 673:2011 (from memory), computed
    assert glass_u_w_m2k([PLAIN, coated(emissivity)], [Gap(width_m, gas)]) == pytest.approx(u, abs=6e-4)


@pytest.mark.parametrize(("gas", "fluid"), [(AIR, "Air"), (ARGON, "Argon")])
def test_filling_gases_are_near_their_measured_properties(gas: Gas, fluid: str) -> None:
    # CoolProp 6.8 reference equations at 10 °C, 1 atm; EN 673's rounded table lies within 1.5 %
    def real(output: str) -> float:
        return float(PropsSI(output, "T", 283.15, "P", 101325.0, fluid))

    assert gas.density_kg_m3 == pytest.approx(real("D"), rel=0.015)
    assert gas.viscosity_pa_s == pytest.approx(real("V"), rel=0.01)
    assert gas.conductivity_w_mk == pytest.approx(real("L"), rel=0.01)
    assert gas.specific_heat_j_kgk == pytest.approx(real("C"), rel=0.006)


def test_single_glazing() -> None:
    # WIN-5: EN 673:2011 (from memory), computed
    assert glass_u_w_m2k([PLAIN], []) == pytest.approx(5.747, abs=5e-4)


def test_triple_glazing() -> None:
    # WIN-6: EN 673:2011 (from memory), computed; one coating in each gap
    outer = Pane(0.004, 20.0, emissivity_inward=0.03)
    gaps = [Gap(0.012, ARGON), Gap(0.012, ARGON)]
    assert glass_u_w_m2k([outer, PLAIN, coated(0.03)], gaps) == pytest.approx(0.68175, abs=5e-5)
    assert glass_u_w_m2k([PLAIN] * 3, [Gap(0.012), Gap(0.012)]) == pytest.approx(1.8938, abs=5e-5)


def test_unequal_gaps_share_the_difference_as_they_resist() -> None:
    wide_first = gap_resistances_m2k_w([PLAIN] * 3, [Gap(0.020), Gap(0.006)])
    narrow_first = gap_resistances_m2k_w([PLAIN] * 3, [Gap(0.006), Gap(0.020)])
    assert wide_first == pytest.approx(narrow_first[::-1], rel=1e-9)
    assert wide_first[0] > wide_first[1]


@pytest.mark.parametrize(
    ("size", "rail_m", "u_g_f_psi", "expected"),
    [  # WIN-1, WIN-2, WIN-3: ISO 10077-1:2017, clause 6 (from memory), computed
        ((1.23, 1.48, 0.100), 0.0, (1.1, 1.4, 0.06), 1.33500),
        ((1.20, 1.50, 0.110), 0.0, (0.6, 1.3, 0.035), 0.90007),
        ((0.90, 1.50, 0.060), 0.050, (1.6, 1.8, 0.06), 1.90320),
    ],
)
def test_whole_windows(
    size: tuple[float, float, float], rail_m: float, u_g_f_psi: tuple[float, float, float], expected: float
) -> None:
    u = window_with_frame_u_w_m2k(
        width_m=size[0],
        height_m=size[1],
        frame_width_m=size[2],
        glass_u=u_g_f_psi[0],
        frame_u=u_g_f_psi[1],
        psi_w_mk=u_g_f_psi[2],
        meeting_rail_m=rail_m,
    )
    assert u == pytest.approx(expected, abs=6e-6)


@pytest.mark.parametrize(
    ("frame_u", "printed"),
    [(1.0, 4.3), (1.4, 4.4), (1.8, 4.5), (2.6, 4.8), (3.0, 4.9), (3.4, 5.0), (3.8, 5.1), (7.0, 6.1)],
)
def test_single_glass_in_frames_is_the_printed_table(frame_u: float, printed: float) -> None:
    # WIN-4: ISO 10077-1, table for a 30 % frame (from memory). 4.29, 4.41, 4.53, 4.77, 4.89, 5.01, 5.13, 6.09
    assert window_u_w_m2k([GlassPart(0.7, 5.7)], [FramePart(0.3, frame_u)]) == pytest.approx(
        printed, abs=0.05
    )


def test_two_windows_behind_each_other_and_a_shutter() -> None:
    # WIN-8: ISO 10077-1:2017, clause 6 (from memory), computed
    assert two_in_series_u_w_m2k(5.7, 5.7, 0.18) == pytest.approx(2.7710, abs=5e-5)
    assert two_in_series_u_w_m2k(4.53, 4.53, 0.18) == pytest.approx(2.2148, abs=5e-5)
    assert with_shutter_u_w_m2k(2.8, 0.17) == pytest.approx(1.8970, abs=5e-5)


@given(st.floats(0.004, 0.030), st.floats(0.02, 0.8))
def test_a_coating_or_another_pane_never_loses_more(width_m: float, emissivity: float) -> None:
    plain = glass_u_w_m2k([PLAIN, PLAIN], [Gap(width_m)])
    assert glass_u_w_m2k([PLAIN, coated(emissivity)], [Gap(width_m)]) < plain
    assert glass_u_w_m2k([PLAIN] * 3, [Gap(width_m)] * 2) < plain


@given(st.floats(0.3, 6.0), st.floats(0.3, 6.0), st.floats(0.02, 0.2))
def test_a_window_lies_between_its_parts(glass_u: float, frame_u: float, frame_m: float) -> None:
    u = window_with_frame_u_w_m2k(
        width_m=1.2, height_m=1.4, frame_width_m=frame_m, glass_u=glass_u, frame_u=frame_u, psi_w_mk=0.0
    )
    assert min(glass_u, frame_u) - 1e-9 <= u <= max(glass_u, frame_u) + 1e-9


def test_impossible_windows_are_refused() -> None:
    with pytest.raises(ImpossibleValue, match="no glass"):
        window_with_frame_u_w_m2k(
            width_m=0.2, height_m=1.0, frame_width_m=0.1, glass_u=1.0, frame_u=1.0, psi_w_mk=0.0
        )
    with pytest.raises(ImpossibleValue, match="one gap fewer"):
        glass_u_w_m2k([PLAIN], [Gap(0.012)])
    with pytest.raises(ImpossibleValue, match="tilts"):
        glass_u_w_m2k([PLAIN, PLAIN], [Gap(0.012)], tilt_deg=30)
