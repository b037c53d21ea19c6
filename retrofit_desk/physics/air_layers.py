"""Air layers and voids inside a construction, still or slightly ventilated."""

from __future__ import annotations

import math

from retrofit_desk.physics.errors import ImpossibleValue, require_between, require_positive
from retrofit_desk.physics.films import HeatFlow, radiative_coefficient_w_m2k
from retrofit_desk.physics.over_arrays import over_arrays

LARGEST_DEPTH_M = 0.3  # ISO 6946:2017: deeper is an unheated space, not a layer
MEAN_TEMP_C = 10.0
SLIGHTLY_FROM_MM2, WELL_FROM_MM2 = 500.0, 1500.0  # openings per m of length, or per m2 if level


@over_arrays
def air_layer_resistance_m2k_w(
    depth_m: float, flow: HeatFlow, emissivity_1: float = 0.9, emissivity_2: float = 0.9
) -> float:
    """Resistance of an unventilated air layer across its depth. ISO 6946:2017, air layers annex."""
    _check_depth(depth_m)
    exchange = 1.0 / (1.0 / emissivity_1 + 1.0 / emissivity_2 - 1.0)
    return 1.0 / (_convection_w_m2k(depth_m, flow) + exchange * radiative_coefficient_w_m2k(MEAN_TEMP_C))


@over_arrays
def small_void_resistance_m2k_w(
    depth_m: float, width_m: float, flow: HeatFlow, emissivity_1: float = 0.9, emissivity_2: float = 0.9
) -> float:
    """Resistance of a void narrower than ten times its depth. ISO 6946:2017, air layers annex."""
    _check_depth(depth_m)
    require_positive("void width in m", width_m)
    ratio = depth_m / width_m
    shape = 2.0 / (1.0 + math.sqrt(1.0 + ratio**2) - ratio)
    radiation = radiative_coefficient_w_m2k(MEAN_TEMP_C) / (
        1.0 / emissivity_1 + 1.0 / emissivity_2 - 2.0 + shape
    )
    return 1.0 / (_convection_w_m2k(depth_m, flow) + radiation)


@over_arrays
def slightly_ventilated_resistance_m2k_w(
    opening_mm2: float, unventilated_m2k_w: float, well_ventilated_m2k_w: float
) -> float:
    """Total resistance of an assembly whose air layer has openings of `opening_mm2` per m (per m2 if level).

    Below 500 mm2 the layer counts as still, from 1500 mm2 as open to the outside. ISO 6946:2017.
    """
    require_between("opening in mm2 per m", opening_mm2, 0.0, 1e7)
    open_share = (opening_mm2 - SLIGHTLY_FROM_MM2) / (WELL_FROM_MM2 - SLIGHTLY_FROM_MM2)
    open_share = min(1.0, max(0.0, open_share))
    return (1.0 - open_share) * unventilated_m2k_w + open_share * well_ventilated_m2k_w


def _convection_w_m2k(depth_m: float, flow: HeatFlow) -> float:
    limit = {HeatFlow.UP: 1.95, HeatFlow.HORIZONTAL: 1.25, HeatFlow.DOWN: 0.12 * math.pow(depth_m, -0.44)}[
        flow
    ]
    return max(limit, 0.025 / depth_m)


def _check_depth(depth_m: float) -> None:
    require_positive("air layer depth in m", depth_m)
    if depth_m > LARGEST_DEPTH_M:
        raise ImpossibleValue(
            f"an air layer of {depth_m:g} m is deeper than {LARGEST_DEPTH_M:g} m",
            do="describe it as an unheated space",
        )
