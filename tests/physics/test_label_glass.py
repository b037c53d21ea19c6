"""A window by its label: what its coating, or a maker's sheet, says of the sun at an angle."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from retrofit_desk.physics.elements import GainAtAngle, GlazingByLabel
from retrofit_desk.physics.network import glass_conductance_w_m2k
from retrofit_desk.physics.optics import GRID_DEG, WindowOptics, window_optics


def optics_of(**label: Any) -> WindowOptics:
    glass = GlazingByLabel(**({"name": "glass", "u_value_w_m2k": 2.7, "shgc": 0.6} | label))
    return window_optics(glass, glass.rated_outside_film_w_m2k, glass_conductance_w_m2k(glass))


def course(*pairs: tuple[float, float]) -> tuple[GainAtAngle, ...]:
    return tuple(GainAtAngle(angle_deg=angle, shgc=shgc) for angle, shgc in pairs)


def ratio_at(optics: WindowOptics, angle_deg: float) -> float:
    return float(np.interp(angle_deg, GRID_DEG, optics.transmitted) / optics.transmitted[0])


@pytest.mark.parametrize(
    ("coating", "u_value", "panes", "at_60"),
    [  # WIN-15: Karlsson & Roos, Solar Energy 69 (2000) (from memory), computed
        ("uncoated", 2.7, 1, 0.89439),
        ("uncoated", 1.6, 2, 0.87439),
        ("low-e", 2.7, 2, 0.83036),
        ("low-e", 1.7, 3, 0.78778),
        (None, 2.7, 2, 0.87439),  # told from its U-value
        (None, 1.6, 2, 0.83036),
    ],
)
def test_a_stated_coating_gives_the_course_and_else_the_u_value(
    coating: str | None, u_value: float, panes: int, at_60: float
) -> None:
    optics = optics_of(u_value_w_m2k=u_value, panes_count=panes, coating=coating)
    # the curve runs through values every 5 degrees; rounded to the printed digit
    assert ratio_at(optics, 60.0) == pytest.approx(at_60, abs=6e-6)


def test_a_handbook_s_course_is_scaled_to_the_label() -> None:
    # ASHRAE Fundamentals ch. 15 (from memory), double clear: SHGC by angle, diffuse .66 to the printed digit
    handbook = ((0.0, 0.76), (40.0, 0.74), (50.0, 0.71), (60.0, 0.64), (70.0, 0.50), (80.0, 0.26))
    optics = optics_of(shgc=0.57, shgc_by_angle=course(*handbook))
    for angle, shgc in handbook:
        assert ratio_at(optics, angle) == pytest.approx(shgc / 0.76, abs=1e-9)
    diffuse = optics.hemispherical[0] / optics.transmitted[0] * 0.76
    assert diffuse == pytest.approx(0.66, abs=0.005)
    assert optics.transmitted[-1] == 0.0


PERCENTS = st.integers(0, 100).map(lambda percent: percent / 100.0)


@given(st.integers(5, 100).map(lambda percent: percent / 100.0), st.lists(PERCENTS, min_size=1, max_size=6))
def test_a_course_neither_lets_in_more_than_all_nor_less_than_nothing(
    first: float, others: list[float]
) -> None:
    pairs = [(0.0, first), *((15.0 * (at + 1), share) for at, share in enumerate(others))]
    optics = optics_of(shgc_by_angle=course(*pairs))
    assert optics.transmitted.min() >= 0.0
    assert optics.transmitted.max() <= 1.0


@pytest.mark.parametrize(
    "wrong",
    [
        ((0.0, 0.6),),
        ((10.0, 0.6), (40.0, 0.5)),
        ((0.0, 0.6), (40.0, 0.5), (40.0, 0.4)),
        ((0.0, 0.0), (40.0, 0.5)),
    ],
    ids=["one angle", "does not begin at 0", "one angle twice", "nothing at 0"],
)
def test_a_course_that_says_nothing_is_refused(wrong: tuple[tuple[float, float], ...]) -> None:
    with pytest.raises(ValidationError, match="shgc_by_angle"):
        optics_of(shgc_by_angle=course(*wrong))


def test_a_label_without_these_facts_is_written_as_before() -> None:
    plain = GlazingByLabel(name="glass", u_value_w_m2k=2.7, shgc=0.6)
    assert not {"coating", "shgc_by_angle"} & set(plain.model_dump())
    told = plain.model_copy(update={"coating": "low-e", "shgc_by_angle": course((0.0, 0.6), (60.0, 0.4))})
    assert GlazingByLabel.model_validate_json(told.model_dump_json()) == told
