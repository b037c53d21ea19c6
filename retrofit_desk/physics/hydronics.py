"""Water to the rooms: flow, friction, outdoor reset, radiators and ducts' air."""

from __future__ import annotations

import math
from dataclasses import dataclass

from retrofit_desk.physics.errors import ImpossibleValue, require_positive
from retrofit_desk.physics.over_arrays import over_arrays

WATER_HEAT_J_KGK = 4187.0
LAMINAR_BELOW, TURBULENT_FROM = 2300.0, 4000.0
PLASTIC_ROUGHNESS_M = 7e-6  # common practice
BTU_H_PER_GPM_F = 500.0  # trade rule for water; about 485-490 with 20-25 % glycol
BTU_H_PER_CFM_F = 1.10  # standard air at sea level


def reset_supply_c(
    outdoor_c: float, *, cold_outdoor_c: float, when_cold_c: float, warm_outdoor_c: float, when_warm_c: float
) -> float:
    """Supply water on a straight reset line (common practice); any one temperature unit will do."""
    slope = (when_cold_c - when_warm_c) / (warm_outdoor_c - cold_outdoor_c)
    return when_warm_c + (warm_outdoor_c - outdoor_c) * slope


@over_arrays
def emitter_share(difference_k: float, rated_difference_k: float, exponent: float) -> float:
    """Output by rated output, (dT/dT_rated)^n (EN 442-2; baseboard and fan-coil: common practice)."""
    require_positive("rated_difference_k", rated_difference_k)
    return float((max(difference_k, 0.0) / rated_difference_k) ** exponent)


@over_arrays
def needed_difference_k(share: float, rated_difference_k: float, exponent: float) -> float:
    """Mean water above room that gives a share of the rated output."""
    return float(rated_difference_k * max(share, 0.0) ** (1.0 / exponent))


@over_arrays
def mean_difference_k(supply_c: float, return_c: float, room_c: float, *, logarithmic: bool) -> float:
    """Mean water above room; EN 442-2 takes the arithmetic one while (return-room)/(supply-room) >= 0.7."""
    hot, cool = supply_c - room_c, return_c - room_c
    if hot <= 0 or cool <= 0:
        raise ImpossibleValue("the water must be warmer than the room")
    if not logarithmic or math.isclose(hot, cool):
        return (hot + cool) / 2.0
    return (hot - cool) / math.log(hot / cool)


@over_arrays
def flow_gpm(heat_btu_h: float, difference_f: float) -> float:
    """Water flow by the trade rule 500 gpm dT."""
    require_positive("difference_f", difference_f)
    return heat_btu_h / (BTU_H_PER_GPM_F * difference_f)


@over_arrays
def flow_kg_s(heat_w: float, difference_k: float) -> float:
    """Water flow for a heat and a spread."""
    require_positive("difference_k", difference_k)
    return heat_w / (WATER_HEAT_J_KGK * difference_k)


@over_arrays
def air_flow_cfm(heat_btu_h: float, rise_f: float, *, pressure_ratio: float = 1.0) -> float:
    """Air flow that carries a sensible heat; pressure_ratio is the site's air pressure by sea level's."""
    require_positive("rise_f", rise_f)
    return heat_btu_h / (BTU_H_PER_CFM_F * pressure_ratio * rise_f)


@dataclass(frozen=True)
class Friction:
    """Flow in a round pipe. Between Re 2300 and 4000 the turbulent value is given and `uncertain` is set."""

    velocity_m_s: float
    reynolds: float
    factor: float
    drop_pa: float
    uncertain: bool


def friction(
    flow_m3_s: float,
    inside_m: float,
    length_m: float,
    *,
    density_kg_m3: float,
    viscosity_pa_s: float,
    roughness_m: float = PLASTIC_ROUGHNESS_M,
) -> Friction:
    """Darcy-Weisbach with Colebrook's factor (any fluid text); fittings add 10-30 %."""
    for name, value in (("flow_m3_s", flow_m3_s), ("inside_m", inside_m), ("length_m", length_m)):
        require_positive(name, value)
    velocity = flow_m3_s / (math.pi * inside_m**2 / 4.0)
    reynolds = density_kg_m3 * velocity * inside_m / viscosity_pa_s
    factor = 64.0 / reynolds if reynolds < LAMINAR_BELOW else colebrook(reynolds, roughness_m / inside_m)
    drop = factor * length_m / inside_m * density_kg_m3 * velocity**2 / 2.0
    return Friction(velocity, reynolds, factor, drop, LAMINAR_BELOW <= reynolds < TURBULENT_FROM)


@over_arrays
def colebrook(reynolds: float, relative_roughness: float) -> float:
    """Darcy factor of turbulent flow."""
    inverse_root = 7.0
    for _ in range(50):
        inverse_root = -2.0 * math.log10(relative_roughness / 3.7 + 2.51 / reynolds * inverse_root)
    return float(inverse_root**-2)


def loop_length_m(area_m2: float, spacing_m: float, tail_m: float) -> float:
    """Pipe of a floor loop: area by spacing and twice the tail to the manifold."""
    return area_m2 / spacing_m + 2.0 * tail_m
