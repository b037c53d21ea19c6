"""Floors and basements in contact with the ground."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.errors import require_between, require_positive
from retrofit_desk.values.errors import CannotSay

# ISO 13370:2017 throughout (from memory)
YEAR_S = 3.15e7
R_SI_FLOOR_M2K_W, R_SI_WALL_M2K_W, R_SE_M2K_W = 0.17, 0.13, 0.04
GROUND_IN_MODEL_M = 0.5

Months: TypeAlias = NDArray[np.float64]


@dataclass(frozen=True)
class Soil:
    """The ground beside the house. Its conductivity is the largest doubt of every result here."""

    conductivity_w_mk: float
    heat_capacity_j_m3k: float

    def __post_init__(self) -> None:
        require_positive("soil conductivity in W/mK", self.conductivity_w_mk)
        require_positive("soil heat capacity in J/m3K", self.heat_capacity_j_m3k)

    @property
    def yearly_depth_m(self) -> float:
        """Periodic penetration depth of the yearly wave."""
        return math.sqrt(YEAR_S * self.conductivity_w_mk / (math.pi * self.heat_capacity_j_m3k))


@dataclass(frozen=True)
class EdgeInsulation:
    """A strip at the slab's edge, level under it (width) or upright beside it (depth)."""

    resistance_m2k_w: float
    thickness_m: float
    extent_m: float
    vertical: bool


@dataclass(frozen=True)
class GroundFloor:
    """Plan of a floor on the ground; `exposed_perimeter_m` borders the outside or an unheated space."""

    area_m2: float
    exposed_perimeter_m: float
    wall_thickness_m: float
    soil: Soil

    def __post_init__(self) -> None:
        require_positive("floor area in m2", self.area_m2)
        require_positive("exposed perimeter in m", self.exposed_perimeter_m)
        require_between("wall thickness in m", self.wall_thickness_m, 0.0, 3.0)

    @property
    def characteristic_m(self) -> float:
        """Characteristic dimension B."""
        return self.area_m2 / (0.5 * self.exposed_perimeter_m)

    def equivalent_thickness_m(self, resistance_m2k_w: float, r_si_m2k_w: float = R_SI_FLOOR_M2K_W) -> float:
        """Ground depth that resists as a floor of this resistance, its films and the wall's width do."""
        require_between("floor resistance in m2K/W", resistance_m2k_w, 0.0, 50.0)
        films = r_si_m2k_w + R_SE_M2K_W
        return self.wall_thickness_m + self.soil.conductivity_w_mk * (films + resistance_m2k_w)


@dataclass(frozen=True)
class GroundCoupling:
    """How a house loses heat through the ground: steady, and by the yearly waves inside and outside.

    `floor_u_w_m2k` is the floor's own; `wall_u_w_m2k` that of basement walls, None for a slab.
    """

    floor_u_w_m2k: float
    wall_u_w_m2k: float | None
    steady_w_k: float
    inside_wave_w_k: float
    outside_wave_w_k: float

    def monthly_loss_w(
        self, inside_c: float, mean_outside_c: float, half_swing_k: float, coldest_month: int = 1
    ) -> Months:
        """Heat flow to the ground in months 1 to 12, (12,), W, for a constant inside temperature.

        `half_swing_k` is half the yearly swing of the monthly outdoor means. The flow lags by one month.
        """
        month = np.arange(1, 13)
        wave = np.cos(2.0 * np.pi * (month - coldest_month - 1) / 12.0)
        steady = self.steady_w_k * (inside_c - mean_outside_c)
        return np.asarray(steady + self.outside_wave_w_k * half_swing_k * wave, dtype=float)

    def virtual_temperature_c(
        self, inside_c: float, mean_outside_c: float, half_swing_k: float, coldest_month: int = 1
    ) -> Months:
        """Boundary temperature behind the virtual layer, months 1 to 12, (12,), °C."""
        loss = self.monthly_loss_w(inside_c, mean_outside_c, half_swing_k, coldest_month)
        return np.asarray(inside_c - loss / self.steady_w_k, dtype=float)


def floor_u_w_m2k(floor: GroundFloor, equivalent_thickness_m: float) -> float:
    """U of a floor on the ground without its edge, from the thickness of ground that resists as it does.

    ISO 13370:2017, 7.2; for a basement's floor half its depth is added to the thickness.
    """
    require_positive("equivalent thickness in m", equivalent_thickness_m)
    b = floor.characteristic_m
    if equivalent_thickness_m < b:
        return _buried_u(floor.soil, b, equivalent_thickness_m)
    return floor.soil.conductivity_w_mk / (0.457 * b + equivalent_thickness_m)


def slab_on_ground(
    floor: GroundFloor, floor_resistance_m2k_w: float, edge: EdgeInsulation | None = None
) -> GroundCoupling:
    """A slab on the ground, with an insulated edge if given. ISO 13370:2017, slab-on-ground floors."""
    soil, d_f = floor.soil, floor.equivalent_thickness_m(floor_resistance_m2k_w)
    plain = floor_u_w_m2k(floor, d_f)
    psi = _edge_psi(soil, d_f, edge) if edge else 0.0
    u_value = plain + 2.0 * psi / floor.characteristic_m
    depth = soil.yearly_depth_m
    inside = floor.area_m2 * _inside_wave_u(soil, d_f)
    outside = 0.37 * floor.exposed_perimeter_m * soil.conductivity_w_mk * _edge_wave(soil, d_f, depth, edge)
    steady = floor.area_m2 * plain + floor.exposed_perimeter_m * psi
    return GroundCoupling(u_value, None, steady, inside, outside)


def heated_basement(
    floor: GroundFloor, depth_m: float, floor_resistance_m2k_w: float, wall_resistance_m2k_w: float
) -> GroundCoupling:
    """A heated basement with its floor `depth_m` below ground. ISO 13370:2017, heated basement."""
    require_positive("basement depth in m", depth_m)
    soil = floor.soil
    d_f = floor.equivalent_thickness_m(floor_resistance_m2k_w)
    d_w = soil.conductivity_w_mk * (R_SI_WALL_M2K_W + wall_resistance_m2k_w + R_SE_M2K_W)
    floor_u = floor_u_w_m2k(floor, d_f + depth_m / 2.0)
    wall_u = _basement_wall_u(soil, depth_m, d_f, d_w)
    wall_area = depth_m * floor.exposed_perimeter_m
    delta = soil.yearly_depth_m
    inside = floor.area_m2 * _inside_wave_u(soil, d_f) + wall_area * _inside_wave_u(soil, d_w)
    fade = math.exp(-depth_m / delta)
    outside = 0.37 * floor.exposed_perimeter_m * soil.conductivity_w_mk
    outside *= 2.0 * (1.0 - fade) * math.log(delta / d_w + 1.0) + fade * math.log(delta / d_f + 1.0)
    steady = floor.area_m2 * floor_u + wall_area * wall_u
    return GroundCoupling(floor_u, wall_u, steady, inside, outside)


def crawl_space_floor_u_w_m2k(
    floor: GroundFloor,
    floor_u_w_m2k: float,
    *,
    ground_resistance_m2k_w: float,
    height_m: float,
    wall_u_w_m2k: float,
    vent_area_m2_per_m: float,
    wind_at_10_m_m_s: float,
    wind_shelter_factor: float,
) -> float:
    """U from room through a suspended floor and its crawl space to the outside.

    `wind_shelter_factor` is 0.02 sheltered, 0.05 average, 0.10 exposed; `height_m` that of the floor above
    ground. Source: ISO 13370:2017, suspended floors.
    """
    d_g = floor.equivalent_thickness_m(ground_resistance_m2k_w)
    b = floor.characteristic_m
    ground_u = _buried_u(floor.soil, b, d_g)
    side_u = 2.0 * height_m * wall_u_w_m2k / b
    side_u += 1450.0 * vent_area_m2_per_m * wind_at_10_m_m_s * wind_shelter_factor / b
    return 1.0 / (1.0 / floor_u_w_m2k + 1.0 / (ground_u + side_u))


def unheated_basement_floor_u_w_m2k(
    floor: GroundFloor,
    basement: GroundCoupling,
    floor_above_u_w_m2k: float,
    *,
    wall_above_ground_w_k: float,
    air_change_m3_h: float,
) -> float:
    """U from room through its floor and an unheated basement to the outside. ISO 13370:2017."""
    loss = basement.steady_w_k + wall_above_ground_w_k + 0.33 * air_change_m3_h
    return 1.0 / (1.0 / floor_above_u_w_m2k + floor.area_m2 / loss)


def virtual_layer_m2k_w(u_value_w_m2k: float, floor_resistance_m2k_w: float, soil: Soil) -> float:
    """Massless layer below 0.5 m of ground that makes an hourly model lose heat at the steady U-value.

    Raises `CannotSay` where the construction already resists more. Source: ISO 13370:2017, hourly model.
    """
    ground = GROUND_IN_MODEL_M / soil.conductivity_w_mk
    layer = 1.0 / u_value_w_m2k - R_SI_FLOOR_M2K_W - floor_resistance_m2k_w - ground
    if layer <= 0.0:
        raise CannotSay("the ground's virtual layer", "a boundary temperature stated for this floor")
    return layer


def _buried_u(soil: Soil, b: float, thickness_m: float) -> float:
    reach = math.pi * b
    return 2.0 * soil.conductivity_w_mk / (reach + thickness_m) * math.log(reach / thickness_m + 1.0)


def _basement_wall_u(soil: Soil, depth_m: float, d_f: float, d_w: float) -> float:
    d_floor = min(d_f, d_w)  # the standard puts the wall's thickness for the floor's where it is smaller
    share = 1.0 + 0.5 * d_floor / (d_floor + depth_m)
    return 2.0 * soil.conductivity_w_mk / (math.pi * depth_m) * share * math.log(depth_m / d_w + 1.0)


def _edge_psi(soil: Soil, d_f: float, edge: EdgeInsulation) -> float:
    extent = edge.extent_m * (2.0 if edge.vertical else 1.0)
    added = _edge_thickness(soil, edge)
    logs = math.log(extent / d_f + 1.0) - math.log(extent / (d_f + added) + 1.0)
    return -soil.conductivity_w_mk / math.pi * logs


def _edge_thickness(soil: Soil, edge: EdgeInsulation) -> float:
    return (edge.resistance_m2k_w - edge.thickness_m / soil.conductivity_w_mk) * soil.conductivity_w_mk


def _inside_wave_u(soil: Soil, thickness_m: float) -> float:
    ratio = soil.yearly_depth_m / thickness_m
    return soil.conductivity_w_mk / thickness_m * math.sqrt(2.0 / ((1.0 + ratio) ** 2 + 1.0))


def _edge_wave(soil: Soil, d_f: float, delta: float, edge: EdgeInsulation | None) -> float:
    bare = math.log(delta / d_f + 1.0)
    if edge is None:
        return bare
    fade = math.exp(-(2.0 if edge.vertical else 1.0) * edge.extent_m / delta)
    insulated = math.log(delta / (d_f + _edge_thickness(soil, edge)) + 1.0)
    return (1.0 - fade) * insulated + fade * bare
