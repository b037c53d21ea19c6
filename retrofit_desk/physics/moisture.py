"""Vapor in constructions: surface humidity, condensation inside a wall, and whether it dries.

Screening only: no air leakage, which usually carries more, no liquid flow, storage, rain or sun.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from retrofit_desk.physics.errors import ImpossibleValue, require_between, require_positive
from retrofit_desk.physics.over_arrays import over_arrays

# ISO 13788, annex E (from memory)
TRIPLE_PA = 610.5
WATER = (17.269, 237.3)
ICE = (21.875, 265.5)
AIR_PERMEABILITY_KG_MSPA = 2.0e-10  # ISO 13788; 1.95e-10 in ISO 10456
PERM_KG_SM2PA = 57.2135e-12  # one US perm
TIGHT_SD_M = 1500.0  # ISO 10456, Table 5: aluminum foil (from memory)
MOLD_HUMIDITY = 0.8  # ISO 13788: highest lasting surface humidity
MONTH_S = 30 * 86400.0


@dataclass(frozen=True)
class VaporLayer:
    """A layer for heat and vapor, inside to outside; `sd_m` is the still air that holds vapor back alike."""

    name: str
    resistance_m2k_w: float
    sd_m: float

    def __post_init__(self) -> None:
        require_between("resistance in m2K/W", self.resistance_m2k_w, 0.0, 100.0, where=self.name)
        require_positive("vapor thickness sd in m", self.sd_m, where=self.name)


@dataclass(frozen=True)
class Climate:
    """Air on both sides over one spell; humidities 0 to 1."""

    inside_c: float
    inside_humidity: float
    outside_c: float
    outside_humidity: float

    def __post_init__(self) -> None:
        require_between("inside humidity, 0 to 1,", self.inside_humidity, 0.0, 1.0)
        require_between("outside humidity, 0 to 1,", self.outside_humidity, 0.0, 1.0)

    @property
    def inside_pa(self) -> float:
        return self.inside_humidity * saturation_pa(self.inside_c)

    @property
    def outside_pa(self) -> float:
        return self.outside_humidity * saturation_pa(self.outside_c)


@dataclass(frozen=True)
class Plane:
    """A face between two layers, or a surface, with its vapor pressure by plain diffusion."""

    name: str
    sd_m: float
    temp_c: float
    saturation_pa: float
    diffusion_pa: float

    @property
    def dew_point_c(self) -> float:
        return dew_point_c(self.diffusion_pa)

    @property
    def would_condense(self) -> bool:
        return self.diffusion_pa > self.saturation_pa


@dataclass(frozen=True)
class WetPlane:
    """Net water arriving at a plane, kg/m2s; negative while it dries."""

    plane: int
    rate_kg_m2s: float


@dataclass(frozen=True)
class MoistureYear:
    """Water held at the planes after each month, counted from the first wet month on.

    `first_month` is its index in the given months; empty `held_kg_m2` means it never gets wet.
    """

    first_month: int
    held_kg_m2: tuple[float, ...]

    @property
    def peak_kg_m2(self) -> float:
        return max(self.held_kg_m2, default=0.0)

    @property
    def dries_within_the_year(self) -> bool:
        return not self.held_kg_m2 or min(self.held_kg_m2) == 0.0


@over_arrays
def saturation_pa(temp_c: float) -> float:
    """Saturation pressure over water, over ice below 0 °C. ISO 13788, annex E (from memory)."""
    a, b = WATER if temp_c >= 0.0 else ICE
    return TRIPLE_PA * math.exp(a * temp_c / (b + temp_c))


@over_arrays
def dew_point_c(vapor_pa: float) -> float:
    """Temperature at which this vapor pressure saturates. ISO 13788, annex E (from memory)."""
    require_positive("vapor pressure in Pa", vapor_pa)
    a, b = WATER if vapor_pa >= TRIPLE_PA else ICE
    log = math.log(vapor_pa / TRIPLE_PA)
    return b * log / (a - log)


@over_arrays
def sd_of_layer_m(mu: float, thickness_m: float) -> float:
    """Still-air thickness of a layer from its vapor resistance factor; tight ones count as metal foil."""
    require_positive("thickness in m", thickness_m)
    return min(mu * thickness_m, TIGHT_SD_M)


@over_arrays
def sd_from_perms_m(perms: float, permeability_kg_mspa: float = AIR_PERMEABILITY_KG_MSPA) -> float:
    """Still-air thickness of a membrane stated in US perms."""
    require_positive("permeance in perms", perms)
    return permeability_kg_mspa / (perms * PERM_KG_SM2PA)


def temperature_factor(u_value_w_m2k: float, r_si_m2k_w: float = 0.25) -> float:
    """f_Rsi of a plain surface: film 0.25 m2K/W against mold, 0.13 for glass. ISO 13788 (from memory)."""
    return 1.0 - u_value_w_m2k * r_si_m2k_w


def surface_temperature_c(factor: float, inside_c: float, outside_c: float) -> float:
    """Inside surface temperature from its temperature factor."""
    return outside_c + factor * (inside_c - outside_c)


def coldest_surface_without_mold_c(inside_c: float, inside_humidity: float) -> float:
    """Surface temperature at which the air beside it reaches 80 %. ISO 13788 (from memory)."""
    return dew_point_c(_vapor_pa(inside_c, inside_humidity) / MOLD_HUMIDITY)


def least_temperature_factor(inside_c: float, inside_humidity: float, outside_c: float) -> float:
    """f_Rsi a surface needs to stay free of mold."""
    limit = coldest_surface_without_mold_c(inside_c, inside_humidity)
    return (limit - outside_c) / (inside_c - outside_c)


def sheathing_c(inside_c: float, outside_c: float, inward_m2k_w: float, outward_m2k_w: float) -> float:
    """Temperature of the sheathing's inside face: all resistance inward of it, films too, and all outward."""
    return inside_c - (inside_c - outside_c) * inward_m2k_w / (inward_m2k_w + outward_m2k_w)


def outward_share_needed(inside_c: float, inside_humidity: float, outside_c: float) -> float:
    """Share of the total resistance outside the sheathing that keeps it at the inside dew point."""
    dew = dew_point_c(_vapor_pa(inside_c, inside_humidity))
    return (dew - outside_c) / (inside_c - outside_c)


def planes(
    layers: Sequence[VaporLayer], climate: Climate, r_si_m2k_w: float = 0.13, r_se_m2k_w: float = 0.04
) -> tuple[Plane, ...]:
    """Every plane from the inner to the outer surface, one more than layers. ISO 13788 (from memory)."""
    if not layers:
        raise ImpossibleValue("a wall needs at least one layer")
    total_r = r_si_m2k_w + sum(layer.resistance_m2k_w for layer in layers) + r_se_m2k_w
    total_sd = sum(layer.sd_m for layer in layers)
    names = ["inner surface"]
    names += [f"{a.name} / {b.name}" for a, b in pairwise(layers)]
    names.append("outer surface")
    found, r, sd = [], r_si_m2k_w, 0.0
    for i, name in enumerate(names):
        temp = climate.inside_c - (climate.inside_c - climate.outside_c) * r / total_r
        vapor = climate.inside_pa - (climate.inside_pa - climate.outside_pa) * sd / total_sd
        found.append(Plane(name, sd, temp, saturation_pa(temp), vapor))
        if i < len(layers):
            r, sd = r + layers[i].resistance_m2k_w, sd + layers[i].sd_m
    return tuple(found)


def wet_planes(
    layers: Sequence[VaporLayer],
    climate: Climate,
    r_si_m2k_w: float = 0.13,
    r_se_m2k_w: float = 0.04,
    already_wet: Sequence[int] = (),
) -> tuple[WetPlane, ...]:
    """Planes that gather or still give off water: the vapor line drawn taut below saturation (Glaser).

    `already_wet` planes hold water from before and stay at saturation. Source: ISO 13788 (from memory).
    """
    through = planes(layers, climate, r_si_m2k_w, r_se_m2k_w)
    last = len(through) - 1
    points = [(p.sd_m, p.saturation_pa) for p in through]
    points[0], points[last] = (0.0, climate.inside_pa), (points[last][0], climate.outside_pa)
    fixed = sorted({0, last, *(i for i in already_wet if 0 < i < last)})
    touched = [0]
    for a, b in pairwise(fixed):
        touched += _taut(points, a, b)[1:]
    return tuple(
        WetPlane(i, _net_rate(points[before], points[i], points[after]))
        for before, i, after in zip(touched, touched[1:], touched[2:], strict=False)
    )


def moisture_year(
    layers: Sequence[VaporLayer],
    months: Sequence[Climate],
    r_si_m2k_w: float = 0.13,
    r_se_m2k_w: float = 0.04,
) -> MoistureYear:
    """Water gathered and dried over twelve months of 30 days, from the first wet one after a dry one.

    Source: ISO 13788, month by month (from memory).
    """
    wets = [bool(wet_planes(layers, month, r_si_m2k_w, r_se_m2k_w)) for month in months]
    if not any(wets):
        return MoistureYear(0, ())
    first = next((i for i, wet in enumerate(wets) if wet and not wets[i - 1]), 0)
    held: dict[int, float] = {}
    totals = []
    for month in [*months[first:], *months[:first]]:
        rates = wet_planes(layers, month, r_si_m2k_w, r_se_m2k_w, [i for i, kg in held.items() if kg > 0.0])
        for wet in rates:
            held[wet.plane] = max(0.0, held.get(wet.plane, 0.0) + wet.rate_kg_m2s * MONTH_S)
        totals.append(sum(held.values()))
    return MoistureYear(first, tuple(totals))


def _taut(points: Sequence[tuple[float, float]], start: int, end: int) -> list[int]:
    """Indices of the lowest line from start to end that stays at or below the points between: lower hull."""
    line: list[int] = []
    for i in range(start, end + 1):
        while len(line) > 1 and _slope(points, line[-2], line[-1]) >= _slope(points, line[-1], i):
            line.pop()
        line.append(i)
    return line


def _slope(points: Sequence[tuple[float, float]], a: int, b: int) -> float:
    return (points[b][1] - points[a][1]) / (points[b][0] - points[a][0])


def _net_rate(before: tuple[float, float], at: tuple[float, float], after: tuple[float, float]) -> float:
    arriving = (before[1] - at[1]) / (at[0] - before[0])
    leaving = (at[1] - after[1]) / (after[0] - at[0])
    return AIR_PERMEABILITY_KG_MSPA * (arriving - leaving)


def _vapor_pa(temp_c: float, humidity: float) -> float:
    require_between("humidity, 0 to 1,", humidity, 0.0, 1.0)
    return humidity * saturation_pa(temp_c)
