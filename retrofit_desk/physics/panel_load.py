"""Electrical load of a dwelling's service by the National Electrical Code, by edition.

Information only: the authority having jurisdiction and a licensed electrician decide. The edition
is an input, because it changes the answer; its numbers come as a `CodeEdition` from a dated table.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Literal

from retrofit_desk.physics.errors import ImpossibleValue, require_positive

SERVICE_V = 240.0
SMALL_APPLIANCE_VA = 1500.0
STANDARD_SIZES_A = (100, 110, 125, 150, 175, 200, 225, 250, 300, 350, 400)


@dataclass(frozen=True)
class CodeEdition:
    """What differs between editions."""

    year: int
    general_va_ft2: float
    optional_first_va: float
    existing_first_va: float
    rest_share: float
    supplemental_heat_share: float
    few_heaters_share: float
    many_heaters_share: float
    car_charger_least_va: float | None
    car_charger_nameplate_only: bool
    source: str


@dataclass(frozen=True)
class Climate:
    """Heating and cooling for the load calculation, VA at nameplate."""

    cooling_va: float = 0.0
    heat_pump_va: float = 0.0
    supplemental_va: float = 0.0
    interlocked: bool = False
    electric_heat_va: float = 0.0
    separately_controlled: int = 1
    thermal_storage_va: float = 0.0


@dataclass(frozen=True)
class Dwelling:
    """Loads of one dwelling; appliances are nameplate VA by name."""

    area_ft2: float
    small_appliance_circuits: int = 2
    laundry_circuits: int = 1
    appliances: tuple[tuple[str, float], ...] = ()
    car_chargers_va: tuple[float, ...] = ()
    climate: Climate = field(default_factory=Climate)


@dataclass(frozen=True)
class ServiceLoad:
    """The sum with its steps."""

    general_va: float
    after_demand_va: float
    climate_va: float
    total_va: float

    @property
    def amperes(self) -> float:
        """At 240 V, three-wire."""
        return self.total_va / SERVICE_V

    @property
    def next_standard_a(self) -> int:
        """Next standard overcurrent size, not below the 100 A of a dwelling's service."""
        return next_standard_a(self.amperes)


def next_standard_a(amperes: float) -> int:
    """Smallest standard size that carries the load (NEC 240.6, from memory)."""
    for size in STANDARD_SIZES_A:
        if size >= amperes:
            return size
    raise ImpossibleValue(f"{amperes:.0f} A is more than a dwelling's service covered here")


def general_va(dwelling: Dwelling, edition: CodeEdition) -> float:
    """Lighting, small-appliance, laundry, appliances and car chargers at nameplate."""
    require_positive("area_ft2", dwelling.area_ft2)
    circuits = max(dwelling.small_appliance_circuits, 2) + dwelling.laundry_circuits
    chargers = sum(car_charger_va(va, edition) for va in dwelling.car_chargers_va)
    return (
        edition.general_va_ft2 * dwelling.area_ft2
        + SMALL_APPLIANCE_VA * circuits
        + sum(va for _, va in dwelling.appliances)
        + chargers
    )


def car_charger_va(nameplate_va: float, edition: CodeEdition) -> float:
    """Larger of nameplate and the edition's least value; the 2026 edition takes a known nameplate."""
    if edition.car_charger_least_va is None or (edition.car_charger_nameplate_only and nameplate_va > 0):
        return nameplate_va
    return max(nameplate_va, edition.car_charger_least_va)


def climate_va(climate: Climate, edition: CodeEdition) -> float:
    """Largest of the heating and cooling choices of the optional method (220.82(C), 120.82(C))."""
    share = edition.few_heaters_share if climate.separately_controlled < 4 else edition.many_heaters_share
    compressor = 0.0 if climate.interlocked else climate.heat_pump_va
    return max(
        climate.cooling_va,
        climate.heat_pump_va,
        compressor + edition.supplemental_heat_share * climate.supplemental_va,
        share * climate.electric_heat_va,
        climate.thermal_storage_va,
    )


def optional_load(dwelling: Dwelling, edition: CodeEdition) -> ServiceLoad:
    """Optional method for a dwelling with a service of 100 A or more."""
    general = general_va(dwelling, edition)
    demand = _first_and_rest(general, edition.optional_first_va, edition.rest_share)
    climate = climate_va(dwelling.climate, edition)
    return ServiceLoad(general, demand, climate, demand + climate)


def existing_load(dwelling: Dwelling, edition: CodeEdition, *, new_climate: bool) -> ServiceLoad:
    """Existing dwelling (220.83): (A) without, (B) with new heating or cooling at 100 %.

    Under (A) it is not clear whether heating and cooling that stay are counted; here they are, in
    the general load. Show that to the user.
    """
    general = general_va(dwelling, edition)
    c = dwelling.climate
    full = max(c.cooling_va, c.heat_pump_va + c.supplemental_va, c.electric_heat_va, c.thermal_storage_va)
    if not new_climate:
        general += full
        full = 0.0
    demand = _first_and_rest(general, edition.existing_first_va, edition.rest_share)
    return ServiceLoad(general, demand, full, demand + full)


def _first_and_rest(total_va: float, first_va: float, rest: float) -> float:
    return min(total_va, first_va) + rest * max(total_va - first_va, 0.0)


def metered_load_va(
    peak_va: float,
    new_va: float,
    *,
    basis: Literal["year of bills", "30 days recorded"],
    has_solar: bool = False,
) -> float:
    """125 % of the metered maximum demand and the new load (220.87).

    The 30-day recording may not be used with solar or peak shaving. Hourly meter peaks may
    understate the 15-minute peaks that the rule asks for.
    """
    if basis == "30 days recorded" and has_solar:
        raise ImpossibleValue("a 30-day recording does not count where there is solar or peak shaving")
    return 1.25 * peak_va + new_va


@dataclass(frozen=True)
class StandardLoad:
    """Standard method: service load and neutral, VA."""

    lighting_va: float
    range_va: float
    dryer_va: float
    total_va: float
    neutral_va: float

    @property
    def amperes(self) -> float:
        return self.total_va / SERVICE_V

    @property
    def neutral_amperes(self) -> float:
        return self.neutral_va / SERVICE_V


def standard_load(
    area_ft2: float,
    *,
    range_kw: float,
    dryer_va: float,
    small_appliance_circuits: int = 2,
    laundry_circuits: int = 1,
    va_per_ft2: float = 3.0,
) -> StandardLoad:
    """Standard method for general load, one range and one dryer (Annex D example D1(a))."""
    raw = va_per_ft2 * area_ft2 + SMALL_APPLIANCE_VA * (small_appliance_circuits + laundry_circuits)
    lighting = (
        min(raw, 3000.0) + 0.35 * min(max(raw - 3000.0, 0.0), 117000.0) + 0.25 * max(raw - 120000.0, 0.0)
    )
    cooking = range_demand_va(range_kw)
    dryer = max(dryer_va, 5000.0) if dryer_va else 0.0
    neutral = lighting + 0.70 * cooking + 0.70 * dryer
    return StandardLoad(lighting, cooking, dryer, lighting + cooking + dryer, neutral)


def range_demand_va(nameplate_kw: float) -> float:
    """One household range: 8 kW up to 12 kW, 5 % more each further kW (Table 220.55 C, from memory)."""
    if nameplate_kw <= 0:
        return 0.0
    if nameplate_kw <= 8.0:
        return 0.8 * nameplate_kw * 1000.0
    extra = max(math.ceil(nameplate_kw - 12.0 - 0.5), 0)
    return 8000.0 * (1.0 + 0.05 * extra)


@dataclass(frozen=True)
class LegLoads:
    """120 V loads on one leg, A; motors are counted with 25 % of the largest added."""

    motors_a: tuple[float, ...] = ()
    others_a: tuple[float, ...] = ()

    @property
    def total_a(self) -> float:
        return sum(self.motors_a) + sum(self.others_a) + 0.25 * max(self.motors_a, default=0.0)


def leg_currents_a(
    base: StandardLoad, at_240_v_a: float, legs: tuple[LegLoads, LegLoads]
) -> tuple[float, float]:
    """Current of both legs; the base is rounded to whole amperes, as Annex D example D1(b) does."""
    common = round(base.amperes) + at_240_v_a
    return common + legs[0].total_a, common + legs[1].total_a


def solar_breaker_a(bus_a: float, main_a: float) -> float:
    """Largest breaker for solar at the far end of the bus, 120 % rule (705.12)."""
    return max(1.2 * bus_a - main_a, 0.0)


def solar_inverter_w(breaker_a: float) -> float:
    """Continuous output behind a breaker: its rating by 1.25 at 240 V."""
    return breaker_a / 1.25 * SERVICE_V


def branch_amperes(power_w: float, *, continuous: bool) -> float:
    """Current at 240 V, with 125 % for continuous loads (strip heat, car charging)."""
    return power_w / SERVICE_V * (1.25 if continuous else 1.0)
