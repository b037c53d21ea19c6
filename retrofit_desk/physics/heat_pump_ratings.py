"""Seasonal ratings of single-speed machines from their test points, and back (10 CFR 430 Subpart B App. M1).

In Btu/h and degF, as the procedure is written; it takes 3.413 Btu/Wh, which is kept to this file.
"""

from __future__ import annotations

from dataclasses import dataclass

from retrofit_desk.physics.errors import ImpossibleValue, require_positive
from retrofit_desk.physics.plant_machines import RatingPoint

TEST_BTU_PER_WH = 3.413
W_PER_BTU_H = 0.29307107
ZERO_LOAD_COOLING_F = 65.0


@dataclass(frozen=True)
class TestPoints:
    """A single-speed machine at 47 and 17 degF, and 35 degF where tested."""

    __test__ = False  # not a test case, whatever its name starts with

    capacity_47_btu_h: float
    power_47_w: float
    capacity_17_btu_h: float
    power_17_w: float
    capacity_35_btu_h: float | None = None
    power_35_w: float | None = None

    def at(self, temp_f: float) -> tuple[float, float]:
        """Capacity, Btu/h, and power, W: straight outside 17-45 degF, through the frost point inside."""
        if temp_f >= 45.0 or temp_f <= 17.0:
            part = (temp_f - 17.0) / 30.0
            return (
                self.capacity_17_btu_h + (self.capacity_47_btu_h - self.capacity_17_btu_h) * part,
                self.power_17_w + (self.power_47_w - self.power_17_w) * part,
            )
        q35, e35 = self.frost_point()
        part = (temp_f - 17.0) / 18.0
        return (
            self.capacity_17_btu_h + (q35 - self.capacity_17_btu_h) * part,
            self.power_17_w + (e35 - self.power_17_w) * part,
        )

    def frost_point(self) -> tuple[float, float]:
        """The 35 degF point: tested, or the default of App. M1 4.2.1."""
        q = self.capacity_17_btu_h + 0.6 * (self.capacity_47_btu_h - self.capacity_17_btu_h)
        e = self.power_17_w + 0.6 * (self.power_47_w - self.power_17_w)
        return (
            0.90 * q if self.capacity_35_btu_h is None else self.capacity_35_btu_h,
            0.985 * e if self.power_35_w is None else self.power_35_w,
        )

    def as_rating_points(self) -> tuple[RatingPoint, ...]:
        """Both points in SI, for a plant description."""
        rows = (
            (17.0, self.capacity_17_btu_h, self.power_17_w),
            (47.0, self.capacity_47_btu_h, self.power_47_w),
        )
        return tuple(
            RatingPoint(source_c=(f - 32.0) / 1.8, capacity_w=q * W_PER_BTU_H, power_w=e) for f, q, e in rows
        )


@dataclass(frozen=True)
class ClimateRegion:
    """Bins and load line of one region of App. M1; `bins` are (degF, fractional hours)."""

    design_f: float
    zero_load_f: float
    slope_factor: float
    bins: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class HeatingBin:
    """One line of the bin table; energies are per hour of the season (already times the fraction)."""

    temp_f: float
    fraction: float
    load_btu_h: float
    capacity_btu_h: float
    power_w: float
    load_factor: float
    part_load_factor: float
    energy_wh: float
    backup_wh: float


@dataclass(frozen=True)
class HeatingSeason:
    """HSPF2 in Btu/Wh and the table it comes from."""

    hspf2: float
    bins: tuple[HeatingBin, ...]


def hspf2(
    machine: TestPoints,
    region: ClimateRegion,
    cooling_capacity_95_btu_h: float,
    *,
    cycling_coefficient: float = 0.25,
    off_below_f: float | None = None,
    on_above_f: float | None = None,
    defrost_factor: float = 1.0,
) -> HeatingSeason:
    """Heating seasonal performance, App. M1 4.2.1; the bins are not renormalised to 1."""
    span = region.zero_load_f - region.design_f
    rows = []
    for temp_f, fraction in region.bins:
        if temp_f >= region.zero_load_f or fraction == 0.0:
            continue
        load = (region.zero_load_f - temp_f) / span * region.slope_factor * cooling_capacity_95_btu_h
        q, e = machine.at(temp_f)
        on = _on_share(temp_f, q / (TEST_BTU_PER_WH * e), off_below_f, on_above_f)
        x = min(1.0, load / q)
        plf = 1.0 - cycling_coefficient * (1.0 - x)
        energy = x * e * on / plf * fraction
        backup = (load - x * q * on) / TEST_BTU_PER_WH * fraction
        rows.append(HeatingBin(temp_f, fraction, load, q, e, x, plf, energy, backup))
    load_sum = sum(r.load_btu_h * r.fraction for r in rows)
    used = sum(r.energy_wh + r.backup_wh for r in rows)
    return HeatingSeason(load_sum / used * defrost_factor, tuple(rows))


def _on_share(temp_f: float, cop: float, off_f: float | None, on_f: float | None) -> float:
    if cop < 1.0 or (off_f is not None and temp_f <= off_f):
        return 0.0
    return 0.5 if off_f is not None and on_f is not None and temp_f <= on_f else 1.0


def seer2(
    capacity_82_btu_h: float,
    power_82_w: float,
    capacity_95_btu_h: float,
    power_95_w: float,
    bins: tuple[tuple[float, float], ...],
    *,
    cycling_coefficient: float = 0.20,
) -> float:
    """Cooling seasonal performance of a single-speed machine, Btu/Wh, through the A and B tests."""
    cold = energy = 0.0
    for temp_f, fraction in bins:
        part = (temp_f - 82.0) / 13.0
        q = capacity_82_btu_h + (capacity_95_btu_h - capacity_82_btu_h) * part
        e = power_82_w + (power_95_w - power_82_w) * part
        x = min(1.0, (temp_f - ZERO_LOAD_COOLING_F) / 30.0 * capacity_95_btu_h / 1.1 / q)
        cold += x * q * fraction
        energy += x * e * fraction / (1.0 - cycling_coefficient * (1.0 - x))
    return cold / energy


def points_from_hspf2(
    rated_hspf2: float,
    capacity_47_btu_h: float,
    capacity_17_btu_h: float,
    region: ClimateRegion,
    cooling_capacity_95_btu_h: float,
    *,
    power_17_by_47: float,
) -> TestPoints:
    """Powers that give back a published HSPF2 when nothing better is known; mark the result so.

    `power_17_by_47` is the ratio of the two powers, to be stated (single speed commonly 0.85-0.95).
    """
    require_positive("rated_hspf2", rated_hspf2)
    low, high = capacity_47_btu_h / 3.413 / 12.0, capacity_47_btu_h / 3.413

    def machine(power: float) -> TestPoints:
        return TestPoints(capacity_47_btu_h, power, capacity_17_btu_h, power * power_17_by_47)

    def rating(power: float) -> float:
        return hspf2(machine(power), region, cooling_capacity_95_btu_h).hspf2

    if not rating(high) <= rated_hspf2 <= rating(low):
        raise ImpossibleValue(f"an HSPF2 of {rated_hspf2:g} cannot come from these capacities")
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if rating(middle) > rated_hspf2 else (low, middle)
    return machine(0.5 * (low + high))


def power_95_from_seer2(
    rated_seer2: float,
    capacity_82_btu_h: float,
    capacity_95_btu_h: float,
    bins: tuple[tuple[float, float], ...],
    *,
    power_82_by_95: float,
) -> float:
    """Power at 95 degF, W, that gives back a published SEER2 when nothing better is known; mark it so.

    `power_82_by_95` is the ratio of the two powers, to be stated (single speed commonly 0.85-0.90).
    """
    require_positive("rated_seer2", rated_seer2)
    guess = capacity_95_btu_h / TEST_BTU_PER_WH
    rating = seer2(capacity_82_btu_h, guess * power_82_by_95, capacity_95_btu_h, guess, bins)
    return guess * rating / rated_seer2  # the rating goes exactly with one over the power
