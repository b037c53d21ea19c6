"""Glass and its sun, against Duffie & Beckman, EN 410 and the handbook's reference glass."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from retrofit_desk.physics.errors import ImpossibleValue
from retrofit_desk.physics.glazing import (
    GainByAngle,
    GlazingOptics,
    Pane,
    angular_from_product,
    angular_properties,
    gain_ratio,
    inward_fractions,
    shgc_by_angle,
)

BOOK = "Duffie & Beckman, Solar Engineering of Thermal Processes, ch. 5 (from memory)"
HANDBOOK = "ASHRAE Fundamentals ch. 15, clear 1/8 in. glass (from memory)"
CLEAR = Pane(0.003, 30.0)  # K·d 0.09
PERFECT = Pane(0.003, 0.0)
TWO_FACES_ONE_REFLECTION = 2.0


@pytest.mark.parametrize(
    ("angle_deg", "covers", "printed", "exact", "source"),
    [  # WIN-9, WIN-10
        (0.0, 2, 0.85, 0.84652, BOOK),
        (60.0, 2, 0.76, 0.7588, BOOK),
        (0.0, 1, None, 0.91688, BOOK),
        (60.0, 1, None, 0.84210, BOOK),
    ],
)
def test_covers_without_absorption_let_through_the_printed_share(
    angle_deg: float, covers: int, printed: float | None, exact: float, source: str
) -> None:
    t = float(angular_properties([PERFECT] * covers, [angle_deg]).transmittance[0])
    assert t == pytest.approx(exact, abs=6e-5), source
    if printed is not None:
        assert t == pytest.approx(printed, abs=0.005), source


def test_normal_reflection_of_one_face_is_the_printed_one() -> None:
    # WIN-9: Duffie & Beckman, ch. 5 (from memory): r(0) = .0434. Two faces, nothing absorbed: R = 2r/(1+r)
    whole = float(angular_properties([PERFECT], [0.0]).reflectance[0])
    assert whole / (TWO_FACES_ONE_REFLECTION - whole) == pytest.approx(0.0434, abs=5e-5)


@pytest.mark.parametrize(
    ("angle_deg", "t", "r", "a"),
    [  # WIN-11: Duffie & Beckman, ch. 5 (from memory), computed
        (0.0, 0.83771, 0.07656, 0.08573),
        (20.0, 0.83535, 0.07679, 0.08786),
        (40.0, 0.82174, 0.08426, 0.09400),
        (50.0, 0.80084, 0.10100, 0.09816),
        (60.0, 0.75276, 0.14489, 0.10235),
    ],
)
def test_one_clear_pane(angle_deg: float, t: float, r: float, a: float) -> None:
    optics = angular_properties([CLEAR], [angle_deg])
    assert float(optics.transmittance[0]) == pytest.approx(t, abs=1e-5)
    assert float(optics.reflectance[0]) == pytest.approx(r, abs=1e-5)
    assert float(optics.absorptance_by_pane[0, 0]) == pytest.approx(a, abs=1e-5)


@pytest.mark.parametrize(
    ("angle_deg", "t", "r", "source"),
    [  # WIN-11, printed row: spectral data, hence .012
        (0.0, 0.83, 0.08, HANDBOOK),
        (40.0, 0.82, 0.08, HANDBOOK),
        (50.0, 0.80, 0.10, HANDBOOK),
        (60.0, 0.75, 0.14, HANDBOOK),
    ],
)
def test_one_clear_pane_is_near_the_handbook_sheet(angle_deg: float, t: float, r: float, source: str) -> None:
    optics = angular_properties([CLEAR], [angle_deg])
    assert float(optics.transmittance[0]) == pytest.approx(t, abs=0.012), source
    assert float(optics.reflectance[0]) == pytest.approx(r, abs=0.012), source


def test_one_clear_pane_under_diffuse_light() -> None:
    # WIN-11: computed; printed .75 and .14, ASHRAE Fundamentals ch. 15 (from memory)
    optics = angular_properties([CLEAR], [0.0])
    assert optics.hemispherical_transmittance == pytest.approx(0.76124, abs=1e-5)
    assert optics.hemispherical_transmittance == pytest.approx(0.75, abs=0.012)
    assert optics.hemispherical_reflectance == pytest.approx(0.14288, abs=1e-5)
    assert optics.hemispherical_reflectance == pytest.approx(0.14, abs=0.012)


@pytest.mark.parametrize(
    ("angle_deg", "t", "r", "a"),
    [  # WIN-12: Duffie & Beckman, ch. 5 (from memory), computed
        (0.0, 0.70589, 0.13060, (0.09127, 0.07224)),
        (40.0, 0.68450, 0.13719, (0.10030, 0.07801)),
        (60.0, 0.60338, 0.20449, (0.11215, 0.07999)),
    ],
)
def test_two_clear_panes(angle_deg: float, t: float, r: float, a: tuple[float, float]) -> None:
    optics = angular_properties([CLEAR, CLEAR], [angle_deg])
    assert float(optics.transmittance[0]) == pytest.approx(t, abs=1e-5)
    assert float(optics.reflectance[0]) == pytest.approx(r, abs=1e-5)
    assert optics.absorptance_by_pane[:, 0] == pytest.approx(a, abs=1e-5)
    assert optics.hemispherical_transmittance == pytest.approx(0.61753, abs=1e-5)


def reference_sheet(cos_theta: float) -> tuple[float, float]:
    """Transmittance and absorptance of double-strength clear sheet, ASHRAE Fundamentals (from memory)."""
    t = (-0.00885, 2.71235, -0.62062, -7.07329, 9.75995, -3.89922)
    a = (0.01154, 0.77674, -3.94657, 8.57811, -8.38135, 3.01188)
    return sum(c * cos_theta**j for j, c in enumerate(t)), sum(c * cos_theta**j for j, c in enumerate(a))


@pytest.mark.parametrize("angle_deg", [0.0, 20.0, 30.0, 40.0, 50.0, 60.0, 70.0])
def test_optics_follow_the_reference_sheet(angle_deg: float) -> None:
    # WIN-14: polynomial of the reference glass, ASHRAE Fundamentals (from memory). Its absorption at normal
    # incidence, .05035, fixes K·d; the rest must follow. The fit's absorption dips by .005 at 20°
    t, a = reference_sheet(np.cos(np.radians(angle_deg)))
    optics = angular_properties([Pane(0.003, 17.3)], [angle_deg])
    assert float(optics.transmittance[0]) == pytest.approx(t, abs=0.009)
    assert float(optics.absorptance_by_pane[0, 0]) == pytest.approx(a, abs=0.006)


def test_diffuse_light_follows_the_reference_sheet() -> None:
    # WIN-14: diffuse .79901 by the reference polynomial
    optics = angular_properties([Pane(0.003, 17.3)], [0.0])
    assert optics.hemispherical_transmittance == pytest.approx(0.79901, abs=0.01)


def stated_optics(t: float, absorbed: tuple[float, ...]) -> GlazingOptics:
    a = np.array(absorbed)
    return GlazingOptics(
        np.array([0.0]),
        np.array([t]),
        np.array([1.0 - t - sum(absorbed)]),
        a[:, None],
        t,
        1.0 - t - a.sum(),
        a,
    )


def test_double_glazing_gains_by_en_410() -> None:
    # WIN-13: EN 410 (from memory), handbook .76; gap conductance 5.6
    gain = shgc_by_angle(stated_optics(0.70, (0.10, 0.07)), [1 / 5.6])
    assert float(gain.shgc[0]) == pytest.approx(0.7573, abs=5e-5)
    assert float(gain.shgc[0]) == pytest.approx(0.76, abs=0.005)


def test_single_glazing_gains_by_en_410() -> None:
    # WIN-13: EN 410 (from memory), computed
    gain = shgc_by_angle(stated_optics(0.83, (0.09,)), [])
    assert float(gain.shgc[0]) == pytest.approx(0.85323, abs=5e-6)


@pytest.mark.parametrize(
    ("panes", "q", "expected"),
    [  # WIN-15: Karlsson & Roos, Solar Energy 69 (2000) (from memory), computed; 20, 40, 50, 60, 75 degrees
        (1, 4.0, (0.99689, 0.98325, 0.95877, 0.89439, 0.62304)),
        (2, 4.0, (0.99688, 0.98198, 0.95263, 0.87439, 0.56301)),
        (2, 2.5, (0.99493, 0.96922, 0.92597, 0.83036, 0.51789)),
        (3, 2.0, (0.99359, 0.95919, 0.90330, 0.78778, 0.44998)),
    ],
)
def test_gain_falls_with_the_angle(panes: int, q: float, expected: tuple[float, ...]) -> None:
    assert gain_ratio([20.0, 40.0, 50.0, 60.0, 75.0], panes, q) == pytest.approx(expected, abs=6e-6)


def test_a_label_gives_a_curve_from_normal_to_grazing() -> None:
    clear, coated = angular_from_product(0.60, 2.7, 2), angular_from_product(0.40, 1.6, 2)
    assert float(clear.at(0.0)) == pytest.approx(0.60)
    assert float(clear.at(90.0)) == 0.0
    # the coated window's gain falls off sooner, ratio by ratio
    assert float(coated.at(60.0)) / 0.40 < float(clear.at(60.0)) / 0.60
    assert 0.80 * 0.60 < clear.hemispherical < 0.60


def test_a_label_curve_is_near_the_glass_itself() -> None:
    # double clear by Fresnel and Bouguer against the published ratio form, within .025 of the normal value
    optics = angular_properties([CLEAR, CLEAR], [0.0, 40.0, 60.0, 70.0])
    gain = shgc_by_angle(optics, [0.17])
    curve = angular_from_product(float(gain.shgc[0]), 2.7, 2)
    assert curve.at([0.0, 40.0, 60.0, 70.0]) == pytest.approx(gain.shgc, abs=0.025)


def test_diffuse_light_is_the_integral_over_the_hemisphere() -> None:
    # scipy.integrate.quad of T(angle)·sin(2·angle), the definition
    optics = angular_properties([CLEAR, CLEAR], [0.0])
    whole, _ = quad(
        lambda a: (
            float(angular_properties([CLEAR, CLEAR], [np.degrees(a)]).transmittance[0]) * np.sin(2.0 * a)
        ),
        0.0,
        np.pi / 2.0,
    )
    assert optics.hemispherical_transmittance == pytest.approx(whole, abs=1e-7)


PANES = st.lists(
    st.builds(Pane, st.floats(0.002, 0.012), st.floats(0.0, 60.0), st.floats(1.3, 1.7)),
    min_size=1,
    max_size=4,
)


@given(PANES)
def test_light_is_transmitted_reflected_or_absorbed(panes: list[Pane]) -> None:
    optics = angular_properties(panes, np.linspace(0.0, 90.0, 10))
    everything = optics.transmittance + optics.reflectance + optics.absorptance_by_pane.sum(axis=0)
    assert everything == pytest.approx(np.ones(10), abs=1e-9)
    assert optics.absorptance_by_pane.min() >= -1e-9
    assert float(optics.transmittance[-1]) == pytest.approx(0.0, abs=1e-7)
    diffuse = optics.hemispherical_transmittance + optics.hemispherical_reflectance
    diffuse += float(optics.hemispherical_absorptance_by_pane.sum())
    assert diffuse == pytest.approx(1.0, abs=1e-9)


@given(PANES)
def test_a_window_lets_as_much_out_as_in(panes: list[Pane]) -> None:
    inward = angular_properties(panes, [0.0, 50.0]).transmittance
    outward = angular_properties(panes[::-1], [0.0, 50.0]).transmittance
    assert inward == pytest.approx(outward, rel=1e-9)


@given(PANES)
def test_gain_lies_between_what_passes_and_what_is_not_reflected(panes: list[Pane]) -> None:
    optics = angular_properties(panes, [0.0, 30.0, 75.0])
    gain: GainByAngle = shgc_by_angle(optics, [0.17] * (len(panes) - 1))
    assert np.all(gain.shgc >= optics.transmittance - 1e-12)
    assert np.all(gain.shgc <= 1.0 - optics.reflectance + 1e-12)


def test_inner_panes_give_more_of_their_heat_to_the_room() -> None:
    inward = inward_fractions([0.17, 0.17], 0.13, 0.04)
    assert inward[0] < inward[1] < inward[2] < 1.0


@pytest.mark.parametrize(
    ("build", "words"),
    [
        (lambda: angular_properties([], [0.0]), "at least one pane"),
        (lambda: angular_properties([CLEAR], [100.0]), "angle of incidence"),
        (lambda: Pane(0.0, 30.0), "thickness"),
        (lambda: shgc_by_angle(angular_properties([CLEAR], [0.0]), [0.17]), "one gap fewer"),
        (lambda: angular_from_product(1.4, 2.0, 2), "SHGC"),
    ],
)
def test_impossible_glass_is_refused(build, words: str) -> None:
    with pytest.raises(ImpossibleValue, match=words):
        build()
