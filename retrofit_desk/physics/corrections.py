"""What the plain layer sum leaves out: gaps, fixings and tapers."""

from __future__ import annotations

import math
from enum import StrEnum

from retrofit_desk.physics.errors import require_between, require_positive
from retrofit_desk.physics.over_arrays import over_arrays

GAP_U_W_M2K = (0.0, 0.01, 0.04)  # ISO 6946:2017, air void annex, levels 0, 1, 2 (from memory)


class Taper(StrEnum):
    """Plan shape of a tapered insulation layer."""

    RECTANGLE = "rectangle"
    APEX_THICK = "triangle, thickest at its apex"
    APEX_THIN = "triangle, thinnest at its apex"


@over_arrays
def gap_correction_w_m2k(level: int, layer_m2k_w: float, assembly_m2k_w: float) -> float:
    """Addition to U for air voids in insulation; level 0, 1 or 2. ISO 6946:2017, annex (from memory)."""
    require_between("gap level", level, 0, 2)
    return GAP_U_W_M2K[level] * (layer_m2k_w / assembly_m2k_w) ** 2


@over_arrays
def fixing_correction_w_m2k(
    *,
    conductivity_w_mk: float,
    section_m2: float,
    count_per_m2: float,
    insulation_depth_m: float,
    layer_m2k_w: float,
    assembly_m2k_w: float,
    fixing_length_m: float | None = None,
) -> float:
    """Addition to U for fixings through insulation; a `fixing_length_m` below the depth means recessed ones.

    Source: ISO 6946:2017, mechanical fasteners annex (from memory).
    """
    require_positive("insulation depth in m", insulation_depth_m)
    reach = 1.0 if fixing_length_m is None else min(1.0, fixing_length_m / insulation_depth_m)
    through = 0.8 * reach * conductivity_w_mk * section_m2 * count_per_m2 / insulation_depth_m
    return through * (layer_m2k_w / assembly_m2k_w) ** 2


@over_arrays
def tapered_u_w_m2k(shape: Taper, largest_taper_m2k_w: float, rest_m2k_w: float) -> float:
    """Mean U of a taper from 0 to `largest_taper_m2k_w` in series with the rest, films included.

    Source: ISO 6946:2017, tapered layers annex (from memory).
    """
    require_positive("taper resistance in m2K/W", largest_taper_m2k_w)
    require_positive("resistance of the rest in m2K/W", rest_m2k_w)
    r1, r0 = largest_taper_m2k_w, rest_m2k_w
    log = math.log1p(r1 / r0)
    if shape is Taper.RECTANGLE:
        return log / r1
    if shape is Taper.APEX_THICK:
        return 2.0 / r1 * ((1.0 + r0 / r1) * log - 1.0)
    return 2.0 / r1 * (1.0 - r0 / r1 * log)
