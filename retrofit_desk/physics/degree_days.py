"""Yearly fuel by degree-days and by temperature bins: the short way, to check the long one."""

from __future__ import annotations

from dataclasses import dataclass

from retrofit_desk.physics.errors import require_positive
from retrofit_desk.physics.over_arrays import over_arrays

BTU_PER_KWH = 3412.142


@over_arrays
def balance_temp(set_point: float, gains: float, loss_per_degree: float) -> float:
    """Outdoor temperature at which gains cover the loss; the right base for degree-days."""
    require_positive("loss_per_degree", loss_per_degree)
    return set_point - gains / loss_per_degree


def yearly_load_btu(loss_btu_h_f: float, degree_days_f: float) -> float:
    """24 UA HDD."""
    return 24.0 * loss_btu_h_f * degree_days_f


@over_arrays
def yearly_fuel(load_btu: float, efficiency: float, btu_per_unit: float) -> float:
    """Units of fuel; for a heat pump the COP stands as efficiency and a kWh as unit."""
    require_positive("efficiency", efficiency)
    require_positive("btu_per_unit", btu_per_unit)
    return load_btu / (efficiency * btu_per_unit)


@dataclass(frozen=True)
class StraightMachine:
    """Capacity, Btu/h, and power, W, straight through two temperatures, degF."""

    cold_f: float
    warm_f: float
    cold_capacity_btu_h: float
    warm_capacity_btu_h: float
    cold_power_w: float
    warm_power_w: float

    def at(self, temp_f: float) -> tuple[float, float]:
        """Capacity and power."""
        part = (temp_f - self.cold_f) / (self.warm_f - self.cold_f)
        return (
            self.cold_capacity_btu_h + (self.warm_capacity_btu_h - self.cold_capacity_btu_h) * part,
            self.cold_power_w + (self.warm_power_w - self.cold_power_w) * part,
        )


@dataclass(frozen=True)
class BinYear:
    """Sums over the bins."""

    load_btu: float
    machine_btu: float
    machine_kwh: float
    backup_kwh: float

    @property
    def seasonal_cop(self) -> float:
        """Heat delivered by all electricity, backup included."""
        return self.load_btu / BTU_PER_KWH / (self.machine_kwh + self.backup_kwh)


def bin_year(
    bins: tuple[tuple[float, float], ...],
    loss_btu_h_f: float,
    base_f: float,
    machine: StraightMachine,
    *,
    cycling_coefficient: float = 0.0,
) -> BinYear:
    """Bins of (degF, hours); bins above the base are skipped. Backup is resistance heat."""
    load = from_machine = energy = backup = 0.0
    for temp_f, hours in bins:
        if temp_f >= base_f:
            continue
        asked = loss_btu_h_f * (base_f - temp_f)
        capacity, power = machine.at(temp_f)
        x = min(1.0, asked / capacity)
        load += asked * hours
        from_machine += x * capacity * hours
        energy += x * power * hours / (1.0 - cycling_coefficient * (1.0 - x)) / 1000.0
        backup += (asked - x * capacity) * hours / BTU_PER_KWH
    return BinYear(load, from_machine, energy, backup)
