"""Global-warming potentials by set, and what a refrigerant leaks over its life."""

from __future__ import annotations

from dataclasses import dataclass

from retrofit_desk.values.errors import CannotSay
from retrofit_desk.values.origin import Origin


@dataclass(frozen=True)
class GasPotential:
    """GWP over 100 years of one gas in one set, kg CO2e per kg; over 20 years where the table has it."""

    gas: str
    gwp_set: str
    gwp100: float
    gwp20: float | None
    origin: Origin


@dataclass(frozen=True)
class PotentialSet:
    """One named set (AR4, AR5, AR6); its name is printed with every result."""

    name: str
    potentials: tuple[GasPotential, ...]

    def of(self, gas: str) -> float:
        """kg CO2e per kg. Raises `CannotSay` for a gas the set does not hold."""
        for one in self.potentials:
            if one.gas == gas:
                return one.gwp100
        raise CannotSay(f"the warming potential of {gas}", f"its value in the set {self.name}")

    def of_fossil_methane(self) -> float:
        """Methane from fossil sources where the set tells it apart, else methane."""
        known = {one.gas: one.gwp100 for one in self.potentials}
        return known.get("ch4_fossil", self.of("ch4"))

    def of_fossil_methane_in_20_years(self) -> float | None:
        """The same over 20 years; none where the set does not tell it."""
        return next((one.gwp20 for one in self.potentials if one.gas == "ch4_fossil"), None)


@dataclass(frozen=True)
class Refrigerant:
    """A refrigerant as (gas, mass share) parts that add up to one."""

    key: str
    name: str
    parts: tuple[tuple[str, float], ...]
    caution: str
    origin: Origin

    def __post_init__(self) -> None:
        if abs(sum(share for _, share in self.parts) - 1) > 1e-6:
            raise ValueError(f"{self.key}: the parts do not add up to one")

    def gwp100(self, potentials: PotentialSet) -> float:
        """Mass-weighted mean of its parts."""
        return sum(share * potentials.of(gas) for gas, share in self.parts)


@dataclass(frozen=True)
class LeakShares:
    """Shares of the full charge: lost at installing, each year (topped up), recovered at the end."""

    installing: float
    yearly: float
    recovered: float


@dataclass(frozen=True)
class Leak:
    """What escapes over a machine's life, kg of refrigerant (stages B1 and end of life)."""

    installing_kg: float
    in_use_kg: float
    at_end_kg: float

    @property
    def total_kg(self) -> float:
        return self.installing_kg + self.in_use_kg + self.at_end_kg


def leak(charge_kg: float, shares: LeakShares, life_years: float) -> Leak:
    """charge (install + annual life + (1 - recovery)); topped up, so the full charge stands at the end."""
    return Leak(
        charge_kg * shares.installing,
        charge_kg * shares.yearly * life_years,
        charge_kg * (1 - shares.recovered),
    )
