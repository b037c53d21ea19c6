"""Floors that heat and cool: output, water temperature, downward loss (EN 1264, ISO 11855; from memory)."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from retrofit_desk.physics.errors import ImpossibleValue, require_between, require_positive
from retrofit_desk.physics.over_arrays import over_arrays
from retrofit_desk.physics.plant_delivery import FloorCircuit

# EN 1264-2 tables, from memory. A 2-D conduction check finds them 8-14 % high for bare floors
# (covering resistance 0) and 0-6 % high otherwise: `supply_margin_k` says what to add on paper.
_COVERINGS = np.array([0.0, 0.05, 0.10, 0.15])
_A_T = np.array([1.23, 1.188, 1.156, 1.134])
_SPACINGS = np.array([0.05, 0.075, 0.10, 0.15, 0.20, 0.225, 0.30, 0.375])
_A_U = np.array(
    [
        [1.069, 1.056, 1.043, 1.037],
        [1.066, 1.053, 1.041, 1.035],
        [1.063, 1.050, 1.039, 1.0335],
        [1.057, 1.046, 1.035, 1.0305],
        [1.051, 1.041, 1.0315, 1.0275],
        [1.048, 1.038, 1.0295, 1.026],
        [1.0395, 1.031, 1.024, 1.021],
        [1.030, 1.0221, 1.0181, 1.015],
    ]
)
_A_D = np.array(
    [
        [1.013, 1.013, 1.012, 1.011],
        [1.021, 1.019, 1.016, 1.014],
        [1.029, 1.025, 1.022, 1.018],
        [1.040, 1.034, 1.029, 1.024],
        [1.046, 1.040, 1.035, 1.030],
        [1.049, 1.043, 1.038, 1.033],
        [1.053, 1.049, 1.044, 1.039],
        [1.056, 1.051, 1.046, 1.042],
    ]
)
B_STANDARD = 6.7  # pipe of 0.35 W/mK with a 2 mm wall
WIDEST_M = 0.375
FLOOR_COEFFICIENT_W_M2K = 10.8  # heated floor, surface to room
COOLED_FLOOR_COEFFICIENT_W_M2K = 6.5
STAPLED_SHARE = 0.4  # of the output with plates at equal water: common practice, 0.3-0.5

# Whole-coefficient forms, W/m2K: Olesen, AIVC 2008; Kim & Olesen, ASHRAE Journal Feb 2015 (from memory)
SURFACE_COEFFICIENTS_W_M2K = {
    "floor heating": 11.0,
    "floor cooling": 7.0,
    "wall heating": 8.0,
    "wall cooling": 8.0,
    "ceiling heating": 6.0,
    "ceiling cooling": 11.0,
}
OCCUPIED_LIMIT_C, EDGE_LIMIT_C, BATH_ABOVE_ROOM_K, WOOD_LIMIT_C = 29.0, 35.0, 9.0, 27.0
COOLED_LIMIT_C = 20.0


@over_arrays
def floor_heating_output_w_m2(surface_less_room_k: float) -> float:
    """Basic characteristic q = 8.92 dT^1.1 (EN 1264-2)."""
    return float(8.92 * max(surface_less_room_k, 0.0) ** 1.1)


@over_arrays
def surface_less_room_k(output_w_m2: float) -> float:
    """Mean floor temperature above the room for an output; inverse of the basic characteristic."""
    return float((max(output_w_m2, 0.0) / 8.92) ** (1.0 / 1.1))


def panel_output_w_m2(surface_c: float, air_c: float, surroundings_c: float) -> tuple[float, float]:
    """Radiant and convective parts by the panel equations (ASHRAE Systems & Equipment, from memory).

    A second view on EN 1264: expect the two to differ by 7-17 %. Cooling gives negative values.
    """
    radiant = 5e-8 * ((surface_c + 273.15) ** 4 - (surroundings_c + 273.15) ** 4)
    gap = surface_c - air_c
    convective = 2.13 * gap**1.31 if gap >= 0 else -0.87 * (-gap) ** 1.25
    return radiant, convective


@dataclass(frozen=True)
class Pipe:
    """Loop pipe; the standard's own is 0.35 W/mK with a 2 mm wall."""

    outside_m: float
    wall_m: float
    conductivity_w_mk: float


def covering_factor(covering_m2k_w: float, cover_conductivity_w_mk: float) -> float:
    """a_B of EN 1264-2."""
    top = 1.0 / FLOOR_COEFFICIENT_W_M2K + 0.045 / 1.0
    return top / (1.0 / FLOOR_COEFFICIENT_W_M2K + 0.045 / cover_conductivity_w_mk + covering_m2k_w)


def screed_k_w_m2k(
    spacing_m: float,
    covering_m2k_w: float,
    *,
    cover_m: float,
    cover_conductivity_w_mk: float,
    outside_m: float,
    pipe: Pipe | None = None,
) -> float:
    """K_H of pipes in screed (types A and C), W per m2 and kelvin of mean water above room."""
    require_positive("spacing_m", spacing_m)
    require_between("cover_m", cover_m, 0.010, 0.2)
    require_between("outside_m", outside_m, 0.008, 0.030)
    t = min(spacing_m, WIDEST_M)
    product = covering_factor(covering_m2k_w, cover_conductivity_w_mk)
    product *= float(np.interp(covering_m2k_w, _COVERINGS, _A_T)) ** (1.0 - t / 0.075)
    product *= _table(_A_U, t, covering_m2k_w) ** (100.0 * (0.045 - cover_m))
    product *= _table(_A_D, t, covering_m2k_w) ** (250.0 * (outside_m - 0.020))
    b = B_STANDARD
    if pipe is not None:
        wall = math.log(pipe.outside_m / (pipe.outside_m - 2.0 * pipe.wall_m)) / (
            2.0 * pipe.conductivity_w_mk
        )
        standard = math.log(pipe.outside_m / (pipe.outside_m - 0.004)) / (2.0 * 0.35)
        b = 1.0 / (1.0 / B_STANDARD + 1.1 / math.pi * product * t * (wall - standard))
    beyond = WIDEST_M / spacing_m if spacing_m > WIDEST_M else 1.0
    return float(b * product * beyond)


def _table(table: Any, spacing_m: float, covering_m2k_w: float) -> float:
    by_spacing = [float(np.interp(spacing_m, _SPACINGS, table[:, j])) for j in range(4)]
    return float(np.interp(covering_m2k_w, _COVERINGS, by_spacing))


def whole_surface_k_w_m2k(covering_m2k_w: float, *, cover_m: float, cover_conductivity_w_mk: float) -> float:
    """K_H of a whole-surface element (type D)."""
    a_u = (1.0 / FLOOR_COEFFICIENT_W_M2K + 0.045) / (
        1.0 / FLOOR_COEFFICIENT_W_M2K + cover_m / cover_conductivity_w_mk
    )
    x = 6.5 * 1.06 * a_u
    return x / (1.0 + x * covering_m2k_w)


@dataclass(frozen=True)
class GroovedPlate:
    """A tube in a grooved panel with an aluminum plate (fin form); a measured table outranks it."""

    tube_outside_m: float
    tube_inside_m: float
    tube_conductivity_w_mk: float
    contact_mk_w: float
    free_width_m: float
    plate_conductivity_w_mk: float
    plate_m: float

    def fin_efficiency(self, upward_w_m2k: float, downward_w_m2k: float) -> float:
        """tanh(mL)/(mL)."""
        m = math.sqrt((upward_w_m2k + downward_w_m2k) / (self.plate_conductivity_w_mk * self.plate_m))
        return math.tanh(m * self.free_width_m) / (m * self.free_width_m)

    def output_w_mk(self, upward_w_m2k: float, downward_w_m2k: float) -> float:
        """Upward output per meter of tube and kelvin of water above room."""
        width = self.tube_outside_m + 2.0 * self.free_width_m * self.fin_efficiency(
            upward_w_m2k, downward_w_m2k
        )
        bare = upward_w_m2k * width
        wall = math.log(self.tube_outside_m / self.tube_inside_m) / (
            2.0 * math.pi * self.tube_conductivity_w_mk
        )
        return 1.0 / (1.0 / bare + (wall + self.contact_mk_w) * (1.0 + downward_w_m2k / upward_w_m2k))


# A usual 0.5 mm plate with 60 mm each side of a 16/12 mm tube: common practice
USUAL_PLATE = GroovedPlate(0.016, 0.012, 0.35, 0.03, 0.06, 200.0, 0.0005)


def cooling_k_w_m2k(
    bare_k: float, covered_k: float, covering_m2k_w: float, surface_w_m2k: float = 6.5
) -> float:
    """K for cooling from K_H at covering 0 and 0.15 (EN 1264-5)."""
    change = 1.0 / surface_w_m2k - 1.0 / FLOOR_COEFFICIENT_W_M2K
    return bare_k / (1.0 + (change + covering_m2k_w) / 0.15 * (bare_k / covered_k - 1.0))


def heating_k_of(circuit: FloorCircuit) -> float:
    """K_H of a described circuit, W/m2K."""
    return _k_of(circuit, circuit.covering_m2k_w)


def cooling_k_of(circuit: FloorCircuit) -> float:
    """K for cooling of a described circuit, W/m2K."""
    if circuit.stated_k_w_m2k is not None:
        change = 1.0 / COOLED_FLOOR_COEFFICIENT_W_M2K - 1.0 / FLOOR_COEFFICIENT_W_M2K
        return 1.0 / (1.0 / circuit.stated_k_w_m2k + change)
    return cooling_k_w_m2k(_k_of(circuit, 0.0), _k_of(circuit, 0.15), circuit.covering_m2k_w)


def _k_of(circuit: FloorCircuit, covering_m2k_w: float) -> float:
    if circuit.stated_k_w_m2k is not None:
        return circuit.stated_k_w_m2k
    if circuit.build == "in screed":
        return screed_k_w_m2k(
            circuit.spacing_m,
            covering_m2k_w,
            cover_m=circuit.cover_m,
            cover_conductivity_w_mk=circuit.cover_conductivity_w_mk,
            outside_m=circuit.pipe_outside_m,
        )
    if circuit.build == "on whole surface":
        return whole_surface_k_w_m2k(
            covering_m2k_w, cover_m=circuit.cover_m, cover_conductivity_w_mk=circuit.cover_conductivity_w_mk
        )
    board = circuit.cover_m / circuit.cover_conductivity_w_mk
    up = 1.0 / (1.0 / FLOOR_COEFFICIENT_W_M2K + covering_m2k_w + board)
    plate = USUAL_PLATE.output_w_mk(up, 1.0 / circuit.below_m2k_w) / circuit.spacing_m
    return plate if circuit.build == "plates in grooves" else STAPLED_SHARE * plate


def downward_share(circuit: FloorCircuit) -> float:
    """R_o/R_u: downward heat per upward heat, before the difference of the two rooms."""
    up = (
        1.0 / FLOOR_COEFFICIENT_W_M2K
        + circuit.covering_m2k_w
        + circuit.cover_m / circuit.cover_conductivity_w_mk
    )
    return up / circuit.below_m2k_w


def downward_loss_w_m2(
    output_w_m2: float, upward_m2k_w: float, downward_m2k_w: float, room_c: float, below_c: float
) -> float:
    """q_u = q R_o/R_u + (room - below)/R_u (EN 1264-3)."""
    return output_w_m2 * upward_m2k_w / downward_m2k_w + (room_c - below_c) / downward_m2k_w


@over_arrays
def log_mean_excess_k(supply_c: float, return_c: float, room_c: float) -> float:
    """Logarithmic mean of water above room (below, if all signs turn)."""
    hot, cool = supply_c - room_c, return_c - room_c
    if hot * cool <= 0:
        raise ImpossibleValue("supply and return must lie on the same side of the room temperature")
    return hot if math.isclose(hot, cool) else (hot - cool) / math.log(hot / cool)


@over_arrays
def supply_c(room_c: float, excess_k: float, spread_k: float) -> float:
    """Exact supply temperature for a log-mean excess and a spread."""
    return room_c + spread_k / -math.expm1(-spread_k / excess_k)


@over_arrays
def supply_by_rule_c(room_c: float, excess_k: float, spread_k: float) -> float:
    """The rule of EN 1264-3, in two branches."""
    extra = 0.0 if spread_k / excess_k <= 0.5 else spread_k**2 / (12.0 * excess_k)
    return room_c + excess_k + spread_k / 2.0 + extra


def surface_limit_c(circuit: FloorCircuit, room_c: float) -> float:
    """Highest mean surface temperature that is comfortable and safe for the finish."""
    limit = EDGE_LIMIT_C if circuit.edge_zone else OCCUPIED_LIMIT_C
    if circuit.bathroom:
        limit = room_c + BATH_ABOVE_ROOM_K
    return min(limit, WOOD_LIMIT_C) if circuit.wood_finish else limit


def supply_margin_k(circuit: FloorCircuit) -> float:
    """Kelvin to add on paper for bare and tiled screed, until the K_H table is checked in print."""
    return 2.0 if circuit.build == "in screed" and circuit.covering_m2k_w < 0.05 else 0.0


def stored_wh_m2k(thickness_m: float, density_kg_m3: float, heat_j_kgk: float) -> float:
    """Heat a layer holds per square meter and kelvin."""
    return thickness_m * density_kg_m3 * heat_j_kgk / 3600.0
