"""What a window does with the sun at every angle: let through, absorbed outside, absorbed inside."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.elements import GlazingByAngle, GlazingByLabel, GlazingByPanes, GlazingPart
from retrofit_desk.physics.glazing import angular_from_product, angular_properties

Array = NDArray[np.float64]
GRID_DEG: Array = np.arange(0.0, 90.5, 0.5)


@dataclass(frozen=True, eq=False)
class WindowOptics:
    """Shares of the incident sun on `GRID_DEG` (0 to 90 by 0.5 degrees) and for an even hemisphere."""

    transmitted: Array
    absorbed_outer: Array
    absorbed_inner: Array
    hemispherical: tuple[float, float, float]

    def at(self, cos_incidence: Array) -> tuple[Array, Array, Array]:
        """The three shares at each cosine of incidence."""
        angle = np.degrees(np.arccos(np.clip(cos_incidence, 0.0, 1.0)))
        return (
            np.interp(angle, GRID_DEG, self.transmitted),
            np.interp(angle, GRID_DEG, self.absorbed_outer),
            np.interp(angle, GRID_DEG, self.absorbed_inner),
        )


@lru_cache(maxsize=256)
def window_optics(glazing: GlazingPart, outside_film_w_m2k: float, core_w_m2k: float) -> WindowOptics:
    """Optics of a glazing; SHGC beyond what is let through becomes heat at the inner pane.

    The film and the core conductance (rated) give the share of that heat that flows inward.
    """
    if isinstance(glazing, GlazingByPanes):
        return _from_panes(glazing)
    inside_film = glazing.rated_inside_film_w_m2k
    outer = 1.0 / outside_film_w_m2k + 1.0 / core_w_m2k
    inward = outer / (outer + 1.0 / inside_film)
    if isinstance(glazing, GlazingByLabel):
        return _from_gain(*_label_course(glazing), glazing.transmitted_share_of_shgc, inward)
    if glazing.absorptance_outer and glazing.absorptance_inner and glazing.transmittance:
        return _from_tables(glazing)
    gain_curve = _on_grid(glazing.angles_deg, glazing.shgc)
    even = glazing.shgc_hemispherical
    even = hemispherical(gain_curve) if even is None else even
    if not glazing.transmittance:
        return _from_gain(gain_curve, even, glazing.transmitted_share_of_shgc, inward)
    through = _on_grid(glazing.angles_deg, glazing.transmittance)
    stated = glazing.transmittance_hemispherical
    even_through = hemispherical(through) if stated is None else stated
    inner = np.maximum(gain_curve - through, 0.0) / inward
    return WindowOptics(
        through, np.zeros_like(inner), inner, (even_through, 0.0, max(even - even_through, 0.0) / inward)
    )


def hemispherical(by_angle: Array) -> float:
    """Mean over an even hemisphere: the integral of f sin(2 angle), exact for straight pieces to 1e-4."""
    angle = np.radians(GRID_DEG)
    weight = np.sin(2.0 * angle)
    return float(np.trapezoid(by_angle * weight, angle) / np.trapezoid(weight, angle))


def _label_course(glazing: GlazingByLabel) -> tuple[Array, float]:
    """SHGC on `GRID_DEG` and for an even sky: by the stated course, else by panes and coating."""
    course = glazing.shgc_by_angle
    if not course:
        gain = angular_from_product(
            glazing.shgc, glazing.u_value_w_m2k, glazing.panes_count, is_coated=_is_coated(glazing)
        )
        return _on_grid(gain.angle_deg, gain.shgc), gain.hemispherical
    angles, shares = [one.angle_deg for one in course], [one.shgc / course[0].shgc for one in course]
    if angles[-1] < 90.0:
        angles, shares = [*angles, 90.0], [*shares, 0.0]
    curve = np.clip(_on_grid(angles, shares) * glazing.shgc, 0.0, 1.0)
    return curve, hemispherical(curve)


def _is_coated(glazing: GlazingByLabel) -> bool | None:
    return None if glazing.coating is None else glazing.coating == "low-e"


def _from_panes(glazing: GlazingByPanes) -> WindowOptics:
    panes = [pane.of_glass for pane in glazing.panes]
    found = angular_properties(panes, GRID_DEG)
    last = len(panes) - 1
    resistance = [p.thickness_m / p.conductivity_w_mk for p in glazing.panes]
    gaps = glazing.gap_resistances_m2k_w
    at = [sum(gaps[:i]) + sum(resistance[:i]) + resistance[i] / 2.0 for i in range(last + 1)]
    whole = sum(gaps) + sum(resistance)
    inner_share = np.array([0.5 if last == 0 else min(max(x / whole, 0.0), 1.0) for x in at])
    if last > 0:
        inner_share[0], inner_share[last] = 0.0, 1.0
    a, even = found.absorptance_by_pane, found.hemispherical_absorptance_by_pane
    return WindowOptics(
        found.transmittance,
        (1.0 - inner_share) @ a,
        inner_share @ a,
        (
            found.hemispherical_transmittance,
            float((1.0 - inner_share) @ even),
            float(inner_share @ even),
        ),
    )


def _from_tables(glazing: GlazingByAngle) -> WindowOptics:
    curves = [
        _on_grid(glazing.angles_deg, table)
        for table in (glazing.transmittance, glazing.absorptance_outer, glazing.absorptance_inner)
    ]
    stated = (
        glazing.transmittance_hemispherical,
        glazing.absorptance_outer_hemispherical,
        glazing.absorptance_inner_hemispherical,
    )
    even = [hemispherical(c) if s is None else s for c, s in zip(curves, stated, strict=True)]
    return WindowOptics(curves[0], curves[1], curves[2], (even[0], even[1], even[2]))


def _from_gain(gain: Array, even: float, transmitted_share: float, inward: float) -> WindowOptics:
    rest = (1.0 - transmitted_share) / inward
    return WindowOptics(
        gain * transmitted_share,
        np.zeros_like(gain),
        gain * rest,
        (even * transmitted_share, 0.0, even * rest),
    )


def _on_grid(angles_deg: object, values: object) -> Array:
    """A smooth curve without overshoot through the tabulated values."""
    from scipy.interpolate import PchipInterpolator

    angles, table = np.asarray(angles_deg, dtype=float), np.asarray(values, dtype=float)
    inside = np.clip(GRID_DEG, angles[0], angles[-1])
    return np.asarray(PchipInterpolator(angles, table)(inside), dtype=float)
