"""U-values of glass and of whole windows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from retrofit_desk.physics.errors import ImpossibleValue, require_between, require_positive
from retrofit_desk.physics.films import STEFAN_BOLTZMANN_W_M2K4
from retrofit_desk.physics.glazing import Gap, Pane
from retrofit_desk.physics.over_arrays import over_arrays

# EN 673:2011 (from memory)
MEAN_TEMP_K = 283.0
DIFFERENCE_OVER_GAPS_K = 15.0
GRAVITY_M_S2 = 9.81
R_SE_M2K_W, R_SI_M2K_W = 0.04, 0.13
NUSSELT_A_N = {90: (0.035, 0.38), 45: (0.10, 0.31), 0: (0.16, 0.28)}  # tilt in degrees, heat flowing up


@dataclass(frozen=True)
class GlassPart:
    """Visible glass of one light, its visible perimeter and the loss along it (0 for single glass)."""

    area_m2: float
    u_value_w_m2k: float
    edge_m: float = 0.0
    psi_w_mk: float = 0.0

    def __post_init__(self) -> None:
        require_positive("glass area in m2", self.area_m2)
        require_positive("glass U-value in W/m2K", self.u_value_w_m2k)


@dataclass(frozen=True)
class FramePart:
    """Projected frame area, the larger side."""

    area_m2: float
    u_value_w_m2k: float

    def __post_init__(self) -> None:
        require_positive("frame area in m2", self.area_m2)
        require_positive("frame U-value in W/m2K", self.u_value_w_m2k)


def gap_resistances_m2k_w(
    panes: Sequence[Pane], gaps: Sequence[Gap], tilt_deg: int = 90
) -> tuple[float, ...]:
    """Resistance of each gap, outside first; the 15 K over all gaps divide as their resistances do.

    Source: EN 673:2011 (from memory).
    """
    if len(panes) != len(gaps) + 1:
        raise ImpossibleValue("glazing needs one gap fewer than panes")
    if tilt_deg not in NUSSELT_A_N:
        raise ImpossibleValue(f"glass U-values are known for tilts 90, 45 and 0, not {tilt_deg}")
    resistances = [1.0] * len(gaps)
    for _ in range(20):
        whole = sum(resistances)
        resistances = [
            1.0 / (_radiation(outer, inner) + _gas(gap, DIFFERENCE_OVER_GAPS_K * r / whole, tilt_deg))
            for outer, inner, gap, r in zip(panes[:-1], panes[1:], gaps, resistances, strict=True)
        ]
    return tuple(resistances)


def glass_u_w_m2k(panes: Sequence[Pane], gaps: Sequence[Gap], tilt_deg: int = 90) -> float:
    """Center-of-glass U with the films of EN 673:2011 (from memory)."""
    glass = sum(pane.thickness_m / pane.conductivity_w_mk for pane in panes)
    return 1.0 / (R_SE_M2K_W + R_SI_M2K_W + glass + sum(gap_resistances_m2k_w(panes, gaps, tilt_deg)))


def window_u_w_m2k(glass: Sequence[GlassPart], frame: Sequence[FramePart]) -> float:
    """U of a whole window from its lights and frame parts. ISO 10077-1:2017, clause 6 (from memory)."""
    area = sum(part.area_m2 for part in glass) + sum(part.area_m2 for part in frame)
    require_positive("window area in m2", area)
    loss = sum(part.area_m2 * part.u_value_w_m2k + part.edge_m * part.psi_w_mk for part in glass)
    return (loss + sum(part.area_m2 * part.u_value_w_m2k for part in frame)) / area


@over_arrays
def window_with_frame_u_w_m2k(
    *,
    width_m: float,
    height_m: float,
    frame_width_m: float,
    glass_u: float,
    frame_u: float,
    psi_w_mk: float,
    meeting_rail_m: float = 0.0,
) -> float:
    """U of a window with an equal frame all round; a `meeting_rail_m` across makes it two lights."""
    lights = 2 if meeting_rail_m > 0.0 else 1
    glass_w = width_m - 2.0 * frame_width_m
    glass_h = (height_m - 2.0 * frame_width_m - meeting_rail_m) / lights
    if min(glass_w, glass_h) <= 0.0:
        raise ImpossibleValue("the frame leaves no glass")
    light = GlassPart(glass_w * glass_h, glass_u, 2.0 * (glass_w + glass_h), psi_w_mk)
    frame = FramePart(width_m * height_m - lights * light.area_m2, frame_u)
    return window_u_w_m2k([light] * lights, [frame])


@over_arrays
def two_in_series_u_w_m2k(outer_u: float, inner_u: float, space_m2k_w: float) -> float:
    """U of coupled sashes (glass U) or of a double window (window U) with an air space between.

    Source: ISO 10077-1:2017, clause 6 (from memory).
    """
    return 1.0 / (1.0 / outer_u - R_SI_M2K_W + space_m2k_w - R_SE_M2K_W + 1.0 / inner_u)


@over_arrays
def with_shutter_u_w_m2k(window_u: float, added_m2k_w: float) -> float:
    """U of a window behind a closed shutter or shade. ISO 10077-1:2017, clause 6 (from memory)."""
    require_between("added resistance in m2K/W", added_m2k_w, 0.0, 10.0)
    return 1.0 / (1.0 / window_u + added_m2k_w)


def _radiation(outer: Pane, inner: Pane) -> float:
    exchange = 1.0 / (1.0 / outer.emissivity_inward + 1.0 / inner.emissivity_outward - 1.0)
    return 4.0 * STEFAN_BOLTZMANN_W_M2K4 * MEAN_TEMP_K**3 * exchange


def _gas(gap: Gap, difference_k: float, tilt_deg: int) -> float:
    gas, a_n = gap.gas, NUSSELT_A_N[tilt_deg]
    grashof = GRAVITY_M_S2 * gap.width_m**3 * difference_k * gas.density_kg_m3**2
    grashof /= MEAN_TEMP_K * gas.viscosity_pa_s**2
    prandtl = gas.viscosity_pa_s * gas.specific_heat_j_kgk / gas.conductivity_w_mk
    nusselt = max(1.0, a_n[0] * (grashof * prandtl) ** a_n[1])
    return float(nusselt * gas.conductivity_w_mk / gap.width_m)
