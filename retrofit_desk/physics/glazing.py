"""Glass and its sun: transmitted, reflected and absorbed by angle, and the solar gain that follows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from retrofit_desk.physics.errors import ImpossibleValue, require_between, require_positive

Array: TypeAlias = NDArray[np.float64]

CLEAR_GLASS_INDEX = 1.526  # Duffie & Beckman, Solar Engineering of Thermal Processes, ch. 5
UNCOATED_EMISSIVITY = 0.837  # EN 673:2011 (from memory)
COATED_DOUBLE_BELOW_W_M2K = 2.2  # between double clear (2.6) and double low-e (1.8), whole window
COATED_TRIPLE_BELOW_W_M2K = 1.6


@dataclass(frozen=True)
class Gas:
    """A filling gas at 10 °C."""

    name: str
    density_kg_m3: float
    viscosity_pa_s: float
    conductivity_w_mk: float
    specific_heat_j_kgk: float


AIR = Gas("air", 1.232, 1.761e-5, 0.02496, 1008.0)  # EN 673:2011, gas properties table (from memory)
ARGON = Gas("argon", 1.699, 2.164e-5, 0.01684, 519.0)  # the same table


@dataclass(frozen=True)
class Pane:
    """One uncoated sheet for the sun; a coating shows in the emissivities of its faces for long waves."""

    thickness_m: float
    extinction_per_m: float
    refractive_index: float = CLEAR_GLASS_INDEX
    emissivity_outward: float = UNCOATED_EMISSIVITY
    emissivity_inward: float = UNCOATED_EMISSIVITY
    conductivity_w_mk: float = 1.0

    def __post_init__(self) -> None:
        require_positive("pane thickness in m", self.thickness_m)
        require_between("extinction per m", self.extinction_per_m, 0.0, 1e4)
        require_between("refractive index", self.refractive_index, 1.0, 3.0)
        require_between("emissivity", self.emissivity_outward, 0.005, 1.0)
        require_between("emissivity", self.emissivity_inward, 0.005, 1.0)
        require_positive("glass conductivity in W/mK", self.conductivity_w_mk)


@dataclass(frozen=True)
class Gap:
    """The space between two panes."""

    width_m: float
    gas: Gas = AIR

    def __post_init__(self) -> None:
        require_positive("gap width in m", self.width_m)


@dataclass(frozen=True)
class GlazingOptics:
    """Solar properties of a stack of panes; panes count from outside.

    `angle_deg`, `transmittance`, `reflectance`: (angles,); `absorptance_by_pane`: (panes, angles). The
    hemispherical values are for uniform diffuse light; their absorptance is (panes,).
    """

    angle_deg: Array
    transmittance: Array
    reflectance: Array
    absorptance_by_pane: Array
    hemispherical_transmittance: float
    hemispherical_reflectance: float
    hemispherical_absorptance_by_pane: Array


@dataclass(frozen=True)
class GainByAngle:
    """Solar heat gain coefficient by angle of incidence, (angles,), and for diffuse light."""

    angle_deg: Array
    shgc: Array
    hemispherical: float

    def at(self, angle_deg: ArrayLike) -> Array:
        """SHGC at any angles (same shape), linear between the given ones and 0 from 90° on."""
        angles = np.asarray(angle_deg, dtype=float)
        inside = np.interp(angles, self.angle_deg, self.shgc)
        return np.where(np.abs(angles) >= 90.0, 0.0, inside)


def angular_properties(panes: Sequence[Pane], angles_deg: ArrayLike) -> GlazingOptics:
    """Solar properties at `angles_deg` (0 = normal, 90 = grazing) of uncoated panes, outside first.

    Fresnel reflection and Bouguer absorption in each pane, all reflections between panes, each polarization
    apart and averaged last. Source: Duffie & Beckman, Solar Engineering of Thermal Processes, ch. 5.
    """
    if not panes:
        raise ImpossibleValue("glazing needs at least one pane")
    angles = np.atleast_1d(np.asarray(angles_deg, dtype=float))
    for angle in (angles.min(), angles.max()):
        require_between("angle of incidence in degrees", float(angle), 0.0, 90.0)
    t, r, a = _stack(panes, angles)
    nodes, weights = _hemisphere()
    t_h, r_h, a_h = _stack(panes, nodes)
    return GlazingOptics(angles, t, r, a, float(t_h @ weights), float(r_h @ weights), a_h @ weights)


def inward_fractions(
    gap_resistances_m2k_w: Sequence[float], r_si_m2k_w: float, r_se_m2k_w: float
) -> tuple[float, ...]:
    """Share of the sun absorbed in each pane, outside first, that flows inwards.

    One more pane than gaps. Source: EN 410, secondary internal heat transfer, in its general series form.
    """
    total = r_se_m2k_w + sum(gap_resistances_m2k_w) + r_si_m2k_w
    outside = [r_se_m2k_w + sum(gap_resistances_m2k_w[:i]) for i in range(len(gap_resistances_m2k_w) + 1)]
    return tuple(r / total for r in outside)


def shgc_by_angle(
    optics: GlazingOptics,
    gap_resistances_m2k_w: Sequence[float],
    r_si_m2k_w: float = 1 / 8.0,
    r_se_m2k_w: float = 1 / 23.0,
) -> GainByAngle:
    """Solar heat gain coefficient of the glass at the angles of `optics`.

    Default films are those of EN 410 / ISO 9050 (8 inside, 23 outside W/m2K). Source: EN 410.
    """
    if len(gap_resistances_m2k_w) + 1 != len(optics.absorptance_by_pane):
        raise ImpossibleValue("glazing needs one gap fewer than panes")
    inward = np.array(inward_fractions(gap_resistances_m2k_w, r_si_m2k_w, r_se_m2k_w))
    return GainByAngle(
        optics.angle_deg,
        optics.transmittance + inward @ optics.absorptance_by_pane,
        float(optics.hemispherical_transmittance + inward @ optics.hemispherical_absorptance_by_pane),
    )


def angular_from_product(
    shgc_normal: float, u_value_w_m2k: float, panes_count: int, *, is_coated: bool | None = None
) -> GainByAngle:
    """SHGC by angle (0 to 90° by 5) of a window known by its label alone.

    The U-value tells coated from clear glass where nobody has stated it. Source: Karlsson & Roos, Solar
    Energy 69 (2000), with class q 4 for clear, 2.5 for coated single and double and 2 for coated triple
    glazing (middle of the published bands; for a coated single pane common practice, no source).
    """
    require_between("SHGC", shgc_normal, 0.0, 1.0)
    require_positive("U-value in W/m2K", u_value_w_m2k)
    require_between("count of panes", panes_count, 1, 4)
    if is_coated is None:
        is_coated = _is_coated_by_its_u_value(u_value_w_m2k, panes_count)
    q = (2.5 if panes_count < 3 else 2.0) if is_coated else 4.0
    angles = np.arange(0.0, 95.0, 5.0)
    nodes, weights = _hemisphere()
    return GainByAngle(
        angles,
        shgc_normal * gain_ratio(angles, panes_count, q),
        float(shgc_normal * (gain_ratio(nodes, panes_count, q) @ weights)),
    )


def gain_ratio(angle_deg: ArrayLike, panes_count: int, glass_class: float) -> Array:
    """g(angle)/g(0) of Karlsson & Roos, Solar Energy 69 (2000); `glass_class` is their q."""
    z = np.asarray(angle_deg, dtype=float) / 90.0
    p, q = panes_count, glass_class
    a, b = 8.0, 0.25 / q
    c = 1.0 - a - b
    alpha, beta = 5.2 + 0.7 * q, 2.0
    gamma = (5.26 + 0.06 * p) + (0.73 + 0.04 * p) * q
    return np.asarray(np.clip(1.0 - a * z**alpha - b * z**beta - c * z**gamma, 0.0, 1.0), dtype=float)


def _is_coated_by_its_u_value(u_value_w_m2k: float, panes_count: int) -> bool:
    if panes_count == 2:
        return u_value_w_m2k < COATED_DOUBLE_BELOW_W_M2K
    return panes_count >= 3 and u_value_w_m2k < COATED_TRIPLE_BELOW_W_M2K


def _hemisphere() -> tuple[Array, Array]:
    """Angles in degrees and weights of the integral of f(angle)·sin(2·angle) over 0 to 90°."""
    x, w = np.polynomial.legendre.leggauss(64)
    angle = (x + 1.0) * np.pi / 4.0
    return np.degrees(angle), np.asarray(w * np.sin(2.0 * angle) * np.pi / 4.0, dtype=float)


def _stack(panes: Sequence[Pane], angles_deg: Array) -> tuple[Array, Array, Array]:
    """Transmittance, reflectance (angles,) and absorptance (panes, angles), mean of both polarizations."""
    both = [_combine([_single_pane(pane, angles_deg)[i] for pane in panes]) for i in (0, 1)]
    mean = [(both[0][i] + both[1][i]) / 2.0 for i in range(3)]
    return mean[0], mean[1], mean[2]


def _single_pane(pane: Pane, angles_deg: Array) -> tuple[tuple[Array, Array], tuple[Array, Array]]:
    """(transmittance, reflectance) of one pane for each polarization."""
    n = pane.refractive_index
    # grazing light is taken a hair short of 90°, where clear panes would need the limit of 0/0
    cos_in = np.cos(np.radians(angles_deg)).clip(min=1e-9)
    cos_glass = np.sqrt(1.0 - (1.0 - cos_in**2) / n**2)
    through = np.exp(-pane.extinction_per_m * pane.thickness_m / cos_glass)
    perpendicular = ((cos_in - n * cos_glass) / (cos_in + n * cos_glass)) ** 2
    parallel = ((n * cos_in - cos_glass) / (n * cos_in + cos_glass)) ** 2
    return _slab(perpendicular, through), _slab(parallel, through)


def _slab(r: Array, through: Array) -> tuple[Array, Array]:
    transmittance = through * (1.0 - r) ** 2 / (1.0 - (r * through) ** 2)
    return transmittance, r * (1.0 + through * transmittance)


def _combine(panes: list[tuple[Array, Array]]) -> tuple[Array, Array, Array]:
    """Adding method: each pane sees a stack outside it and a stack inside it."""
    nothing = (np.ones_like(panes[0][0]), np.zeros_like(panes[0][0]))
    # (transmittance, reflectance seen from inside) of all panes outside pane i, and reflectance of all inside
    outer = [nothing]
    for t, r in panes[:-1]:
        t_o, back_o = outer[-1]
        outer.append(_join(t_o, back_o, t, r))
    inner = [np.zeros_like(panes[0][0])]
    for t, r in reversed(panes):
        inner.append(r + t * t * inner[-1] / _loop(r, inner[-1]))
    inner.reverse()
    absorbed = []
    for i, (t, r) in enumerate(panes):
        onto = outer[i][0] / _loop(outer[i][1], inner[i])
        back = inner[i + 1] * t * onto / _loop(r, inner[i + 1])
        absorbed.append((1.0 - t - r) * (onto + back))
    whole_t, _ = _join(*outer[-1], *panes[-1])
    return whole_t, inner[0], np.array(absorbed)


def _join(t_o: Array, back_o: Array, t: Array, r: Array) -> tuple[Array, Array]:
    loop = _loop(back_o, r)
    return t_o * t / loop, r + t * t * back_o / loop


def _loop(r1: Array, r2: Array) -> Array:
    return np.asarray(1.0 - r1 * r2, dtype=float)
