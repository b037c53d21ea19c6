"""Carbon of burning fuels and of the gas that leaks before it reaches the house."""

from __future__ import annotations

from dataclasses import dataclass

from retrofit_desk.carbon.gases import PotentialSet
from retrofit_desk.values.origin import Origin

KWH_PER_MMBTU = 293.0710702  # International Table Btu
METHANE_KG_PER_MMBTU = 18.999  # 1 MMBtu of methane by its higher heating value


@dataclass(frozen=True)
class FuelFactor:
    """Combustion factors of one fuel by its higher heating value (40 CFR 98, tables C-1 and C-2).

    Combustion only: what escapes before the house is told apart. `biogenic` carbon is shown apart, not zero.
    """

    key: str
    name: str
    unit: str
    mmbtu_per_unit: float
    co2_kg_per_mmbtu: float
    ch4_kg_per_mmbtu: float
    n2o_kg_per_mmbtu: float
    is_biogenic: bool
    origin: Origin

    def co2e_kg_per_mmbtu(self, potentials: PotentialSet) -> float:
        """CO2, methane and nitrous oxide of burning one MMBtu."""
        methane = potentials.of("ch4") if self.is_biogenic else potentials.of_fossil_methane()
        return (
            self.co2_kg_per_mmbtu
            + methane * self.ch4_kg_per_mmbtu
            + potentials.of("n2o") * self.n2o_kg_per_mmbtu
        )

    def co2e_kg_per_kwh(self, potentials: PotentialSet) -> float:
        """Per kWh of fuel, higher heating value."""
        return self.co2e_kg_per_mmbtu(potentials) / KWH_PER_MMBTU

    @property
    def co2_kg_per_unit(self) -> float:
        return self.co2_kg_per_mmbtu * self.mmbtu_per_unit

    @property
    def kwh_per_unit(self) -> float:
        """kWh of fuel in one billed unit, higher heating value."""
        return self.mmbtu_per_unit * KWH_PER_MMBTU


@dataclass(frozen=True)
class SupplyLeak:
    """Methane lost between the well and the house, as shares of gross production."""

    fuel: str
    share: float
    share_low: float
    share_high: float
    origin: Origin


def leaked_methane_kg_per_mmbtu(share_of_production: float) -> float:
    """Methane lost in the supply chain for each MMBtu delivered, when a share of gross production leaks."""
    return METHANE_KG_PER_MMBTU * share_of_production / (1 - share_of_production)


def upstream_co2e_kg_per_mmbtu(share_of_production: float, methane_gwp: float) -> float:
    """Carbon of that methane with the potential of the chosen horizon."""
    return leaked_methane_kg_per_mmbtu(share_of_production) * methane_gwp
