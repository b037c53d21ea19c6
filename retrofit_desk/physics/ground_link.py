"""The ground as the hourly engine takes it: half a meter of soil, a massless layer, a monthly temperature."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.elements import BasementGround, FixedTemperature, SlabOnGround
from retrofit_desk.physics.ground import (
    EdgeInsulation,
    GroundCoupling,
    GroundFloor,
    Soil,
    heated_basement,
    slab_on_ground,
    virtual_layer_m2k_w,
)

GROUND_IN_MODEL_M = 0.5
INDOOR_MEAN_C = 20.0  # the virtual temperature is stated against a constant indoor temperature
EDGE_STRIP_CONDUCTIVITY_W_MK = 0.035

Ground = SlabOnGround | BasementGround


def ground_chain(
    ground: Ground, layers_resistance_m2k_w: float, slice_share: float
) -> list[list[tuple[float, float]]]:
    """Massless layer and soil outside the construction, as slices of (m2K/W, J/m2K). ISO 13370:2017."""
    soil = _soil(ground)
    u_value = own_u_w_m2k(ground, coupling(ground, layers_resistance_m2k_w))
    depth = slice_share * math.sqrt(soil.conductivity_w_mk / soil.heat_capacity_j_m3k * 3600.0)
    count = max(1, math.ceil(GROUND_IN_MODEL_M / (4.0 * depth)))  # deep soil answers days, not hours
    thickness = GROUND_IN_MODEL_M / count
    piece = (thickness / soil.conductivity_w_mk, thickness * soil.heat_capacity_j_m3k)
    return [[(virtual_layer_m2k_w(u_value, layers_resistance_m2k_w, soil), 0.0)], [piece] * count]


def coupling(ground: Ground, layers_resistance_m2k_w: float) -> GroundCoupling:
    """The ISO 13370 coupling of the whole floor (or basement) this surface belongs to."""
    plan = GroundFloor(
        ground.floor_area_m2, ground.exposed_perimeter_m, ground.wall_thickness_m, _soil(ground)
    )
    if isinstance(ground, SlabOnGround):
        edge = None
        if ground.edge_insulation_depth_m > 0 and ground.edge_insulation_resistance_m2k_w > 0:
            resistance = ground.edge_insulation_resistance_m2k_w
            edge = EdgeInsulation(
                resistance,
                resistance * EDGE_STRIP_CONDUCTIVITY_W_MK,
                ground.edge_insulation_depth_m,
                ground.edge_insulation_vertical,
            )
        return slab_on_ground(plan, layers_resistance_m2k_w, edge)
    floor, wall = layers_resistance_m2k_w, ground.other_part_resistance_m2k_w
    if ground.part == "wall":
        floor, wall = wall, floor
    return heated_basement(plan, ground.depth_m, floor, wall)


def held_temperature_c(
    held: FixedTemperature | Ground, layers_resistance_m2k_w: float, monthly_outdoor_c: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Twelve boundary temperatures: stated ones, or the virtual ground temperature of ISO 13370:2017."""
    if isinstance(held, FixedTemperature):
        stated = held.monthly_temperature_c or (held.temperature_c,) * 12
        return np.array(stated, dtype=float)
    whole = coupling(held, layers_resistance_m2k_w)
    mean = float(monthly_outdoor_c.mean())
    half_swing = float(monthly_outdoor_c.max() - monthly_outdoor_c.min()) / 2.0
    coldest = int(np.argmin(monthly_outdoor_c)) + 1
    loss = np.array(whole.monthly_loss_w(INDOOR_MEAN_C, mean, half_swing, coldest), dtype=float)
    return np.asarray(INDOOR_MEAN_C - loss / whole.steady_w_k)


def own_u_w_m2k(ground: Ground, whole: GroundCoupling) -> float:
    """U-value of this part, floor or wall, of what touches the ground."""
    if isinstance(ground, BasementGround) and ground.part == "wall" and whole.wall_u_w_m2k is not None:
        return whole.wall_u_w_m2k
    return whole.floor_u_w_m2k


def _soil(ground: Ground) -> Soil:
    return Soil(ground.ground_conductivity_w_mk, ground.ground_heat_capacity_j_m3k)
