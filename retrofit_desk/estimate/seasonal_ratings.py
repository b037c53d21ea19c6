"""Rating points of a heat pump of which nothing but its seasonal ratings is known, HSPF2 and SEER2.

It is taken for a single-speed machine that would earn the same rating; results from it are marked so.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator, Sequence
from functools import cache

from retrofit_desk.physics.heat_pump_ratings import (
    W_PER_BTU_H,
    ClimateRegion,
    points_from_hspf2,
    power_95_from_seer2,
)
from retrofit_desk.physics.plant_machines import RatingPoint
from retrofit_desk.records.shipped import shipped_folder

REGION = "IV"
"""HSPF2 is rated for region IV, 10 CFR 430 Subpart B App. M1."""
POWER_17_BY_47, POWER_82_BY_95, CAPACITY_82_BY_95 = 0.90, 0.87, 1.06
"""Single-speed machines (common practice, no source)."""
CAPACITY_17_BY_47 = 0.60
"""Of a single-speed machine whose capacity in the cold nobody states (common practice, no source)."""
HSPF2_BY_HSPF, SEER2_BY_SEER = 7.5 / 8.8, 14.3 / 15.0
"""Of ducted split machines: the federal minima of 2023 by both procedures (10 CFR 430.32(c), from memory)."""
RATED_95_C = 35.0


def heating_points(
    hspf2: float, capacity_47_w: float, capacity_17_w: float, cooling_95_w: float
) -> tuple[RatingPoint, ...]:
    """Both heating points, W. Raises `ImpossibleValue` where no machine of these capacities earns it."""
    made = points_from_hspf2(
        hspf2,
        capacity_47_w / W_PER_BTU_H,
        capacity_17_w / W_PER_BTU_H,
        _region(REGION),
        cooling_95_w / W_PER_BTU_H,
        power_17_by_47=POWER_17_BY_47,
    )
    return made.as_rating_points()


def cooling_point(seer2: float, capacity_95_w: float) -> RatingPoint:
    """The point at 95 degF outdoors, W."""
    capacity = capacity_95_w / W_PER_BTU_H
    power_w = power_95_from_seer2(
        seer2, CAPACITY_82_BY_95 * capacity, capacity, _cooling_bins(), power_82_by_95=POWER_82_BY_95
    )
    return RatingPoint(source_c=RATED_95_C, capacity_w=capacity_95_w, power_w=power_w)


@cache
def _region(name: str) -> ClimateRegion:
    row = next(one for one in _rows("heat_pump_climate_regions.csv") if one["region"] == name)
    zero_load_f = float(row["zero_load_f"])
    bins = _bins(one for one in _rows("heat_pump_climate_bins.csv") if one["region"] == name)
    cold = tuple(one for one in bins if one[0] < zero_load_f)
    return ClimateRegion(float(row["outdoor_design_f"]), zero_load_f, float(row["slope_factor"]), cold)


@cache
def _cooling_bins() -> tuple[tuple[float, float], ...]:
    return _bins(_rows("heat_pump_cooling_bins.csv"))


def _bins(rows: Iterator[dict[str, str]]) -> tuple[tuple[float, float], ...]:
    return tuple((float(row["bin_f"]), float(row["fraction_of_hours"])) for row in rows)


def _rows(table: str) -> Iterator[dict[str, str]]:
    with (shipped_folder("shared") / table).open(encoding="utf-8", newline="") as lines:
        yield from csv.DictReader(lines)


def worked_back(known: Sequence[str]) -> str:
    """How results from such points are marked; `known`: the ratings that are stated."""
    return (
        f"Worked back from {' and '.join(known)}, taken for a single-speed machine: nothing better is known."
    )
