"""Design loads: what each room and the house need on the coldest design day, and whether a machine fits."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from retrofit_desk.physics.errors import ImpossibleValue, require_between, require_positive
from retrofit_desk.physics.over_arrays import over_arrays

Array: TypeAlias = NDArray[np.float64]

AIR_HEAT_WH_M3K = 0.34  # EN 12831-1:2017, sea level (from memory)
GROUND_FACTOR = 1.45  # EN 12831: yearly swing of the ground, f_g1 (from memory)
WET_GROUND_FACTOR = 1.15  # EN 12831: ground water nearer than 1 m below the floor (from memory)
# ASHRAE Fundamentals ch. 14, design-day profile: share of the daily range below the maximum, hours 1 to 24
# (from memory)
DESIGN_DAY_SHARE = (
    *(0.88, 0.92, 0.95, 0.98, 1.00, 0.98, 0.91, 0.74, 0.55, 0.38, 0.23, 0.13),
    *(0.05, 0.00, 0.00, 0.06, 0.14, 0.24, 0.39, 0.50, 0.59, 0.68, 0.75, 0.82),
)


class Beyond(StrEnum):
    """What lies on the other side of an element."""

    OUTSIDE = "outside"
    UNHEATED = "unheated space"
    NEIGHBOR = "heated room"
    GROUND = "ground"


@dataclass(frozen=True)
class HeatPath:
    """An element of a room. `other_side_c` is needed unless it borders the outside.

    For ground it is the mean outdoor temperature of the year and `u_value_w_m2k` the equivalent U of
    ISO 13370. `bridge_u_w_m2k` is the addition for junctions; it counts towards the outside only.
    """

    name: str
    beyond: Beyond
    area_m2: float
    u_value_w_m2k: float
    bridge_u_w_m2k: float = 0.0
    other_side_c: float | None = None
    wet_ground: bool = False

    def __post_init__(self) -> None:
        require_between("area in m2", self.area_m2, 0.0, 1e5, where=self.name)
        require_between("U-value in W/m2K", self.u_value_w_m2k, 0.0, 20.0, where=self.name)
        if self.beyond is not Beyond.OUTSIDE and self.other_side_c is None:
            raise ImpossibleValue("the temperature on the other side is not stated", where=self.name)


@dataclass(frozen=True)
class RoomAtDesign:
    """A room on the design day; `recovered_share` of the heat of `outdoor_air_m3_h` is given back.

    `reheat_w_m2` is the pickup after a setback, 0 for a machine that runs through.
    """

    name: str
    inside_c: float
    floor_area_m2: float
    paths: tuple[HeatPath, ...]
    outdoor_air_m3_h: float
    recovered_share: float = 0.0
    reheat_w_m2: float = 0.0

    def __post_init__(self) -> None:
        require_positive("floor area in m2", self.floor_area_m2, where=self.name)
        require_between("outdoor air in m3/h", self.outdoor_air_m3_h, 0.0, 1e5, where=self.name)
        require_between("recovered share", self.recovered_share, 0.0, 1.0, where=self.name)


@dataclass(frozen=True)
class RoomLoad:
    """Design heating load of a room by part; no sun or gains are credited."""

    name: str
    floor_area_m2: float
    to_outside_w: float
    to_neighbors_w: float
    air_w: float
    reheat_w: float

    @property
    def total_w(self) -> float:
        return self.to_outside_w + self.to_neighbors_w + self.air_w + self.reheat_w

    @property
    def w_per_m2(self) -> float:
        return self.total_w / self.floor_area_m2


@dataclass(frozen=True)
class HouseLoad:
    """Design heating load of the house: the flows between its own rooms cancel and are left out."""

    rooms: tuple[RoomLoad, ...]
    to_outside_w: float
    air_w: float
    reheat_w: float

    @property
    def total_w(self) -> float:
        return self.to_outside_w + self.air_w + self.reheat_w

    @property
    def w_per_m2(self) -> float:
        return self.total_w / sum(room.floor_area_m2 for room in self.rooms)


class Fit(StrEnum):
    """How a machine's capacity at the design condition stands to the load."""

    SHORT = "short"
    FITS = "fits"
    GENEROUS = "generous"
    OVERSIZED = "oversized"


@dataclass(frozen=True)
class FitLimits:
    """Ratios of capacity to load that part the classes; a ratio on a limit belongs to the better fit."""

    fits_from: float
    fits_to: float
    generous_to: float


# Common practice, no source. A variable-speed heat pump is not oversized by its top capacity: compare its
# least output with the load in mild weather.
HEATING_LIMITS = FitLimits(1.00, 1.25, 1.40)
HEATING_LIMITS_VARIABLE = FitLimits(1.00, 1.25, math.inf)
COOLING_LIMITS = FitLimits(0.95, 1.15, 1.30)
COOLING_LIMITS_VARIABLE = FitLimits(0.95, 1.25, 1.30)


def design_temperature_c(hourly_c: ArrayLike, exceeded_share: float) -> float:
    """Dry bulb exceeded in a share of all hours (0.99 for heating, 0.01 for cooling), between sorted hours.

    A typical-year file is no design record: show this with that label, or use the station's published value.
    """
    require_between("share of hours", exceeded_share, 0.0, 1.0)
    return float(np.quantile(np.asarray(hourly_c, dtype=float), 1.0 - exceeded_share))


def design_day_c(highest_c: float, daily_range_k: float) -> Array:
    """Temperatures of hours 1 to 24 of a cooling design day, (24,). ASHRAE Fundamentals ch. 14."""
    return np.asarray(highest_c - daily_range_k * np.array(DESIGN_DAY_SHARE), dtype=float)


@over_arrays
def unheated_space_c(inside_c: float, outside_c: float, to_inside_w_k: float, to_outside_w_k: float) -> float:
    """Temperature of an unheated space by its heat balance; its own air change counts towards the outside."""
    require_positive("heat loss of the unheated space in W/K", to_inside_w_k + to_outside_w_k)
    return (inside_c * to_inside_w_k + outside_c * to_outside_w_k) / (to_inside_w_k + to_outside_w_k)


def room_load(room: RoomAtDesign, outside_c: float, pressure_ratio: float = 1.0) -> RoomLoad:
    """Design heating load of one room; `pressure_ratio` is the site's air pressure over sea level's.

    Source: EN 12831-1:2017, clause 6, and EN 12831:2003, clauses 7 and 8 (from memory).
    """
    flows = [(path, _flow_w(path, room.inside_c, outside_c)) for path in room.paths]
    neighbors = sum(flow for path, flow in flows if path.beyond is Beyond.NEIGHBOR)
    outside = sum(flow for path, flow in flows if path.beyond is not Beyond.NEIGHBOR)
    per_k = AIR_HEAT_WH_M3K * pressure_ratio * room.outdoor_air_m3_h * (1.0 - room.recovered_share)
    air = per_k * (room.inside_c - outside_c)
    return RoomLoad(
        room.name, room.floor_area_m2, outside, neighbors, air, room.floor_area_m2 * room.reheat_w_m2
    )


def house_load(
    rooms: Sequence[RoomAtDesign], outside_c: float, pressure_ratio: float = 1.0, air_share: float = 1.0
) -> HouseLoad:
    """Design heating load of the house, never the sum of its rooms' loads.

    `air_share` of the rooms' air enters at once: 1 for fans and for a whole-house flow divided among the
    rooms, about one half for room-by-room wind leakage. Source: EN 12831 (from memory).
    """
    require_between("share of room air", air_share, 0.0, 1.0)
    loads = tuple(room_load(room, outside_c, pressure_ratio) for room in rooms)
    return HouseLoad(
        loads,
        sum(load.to_outside_w for load in loads),
        air_share * sum(load.air_w for load in loads),
        sum(load.reheat_w for load in loads),
    )


def capacity_fit(capacity_w: float, load_w: float, limits: FitLimits) -> Fit:
    """Class of a machine by its capacity at the design condition; nameplate tons are not that capacity."""
    require_positive("load in W", load_w)
    ratio = round(capacity_w / load_w, 9)  # so that a ratio typed as its limit is not lost to binary digits
    if ratio < limits.fits_from:
        return Fit.SHORT
    if ratio <= limits.fits_to:
        return Fit.FITS
    return Fit.GENEROUS if ratio <= limits.generous_to else Fit.OVERSIZED


def _flow_w(path: HeatPath, inside_c: float, outside_c: float) -> float:
    if path.other_side_c is None:
        return path.area_m2 * (path.u_value_w_m2k + path.bridge_u_w_m2k) * (inside_c - outside_c)
    flow = path.area_m2 * path.u_value_w_m2k * (inside_c - path.other_side_c)
    if path.beyond is Beyond.GROUND:
        flow *= GROUND_FACTOR * (WET_GROUND_FACTOR if path.wet_ground else 1.0)
    return flow
