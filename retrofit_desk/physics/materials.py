"""What a building material is to heat and vapor."""

from __future__ import annotations

import math
from dataclasses import dataclass

from retrofit_desk.physics.errors import require_positive
from retrofit_desk.physics.layers import SolidLayer
from retrofit_desk.physics.over_arrays import over_arrays

INCH_M = 0.0254
US_R_PER_M2K_W = 5.678263  # h·ft2·°F/Btu for each m2K/W


@dataclass(frozen=True)
class Material:
    """One row of the material table; `mu_dry`, `mu_wet` are vapor resistance factors, inf for tight ones."""

    key: str
    name: str
    conductivity_w_mk: float
    density_kg_m3: float
    specific_heat_j_kgk: float
    mu_dry: float
    mu_wet: float

    def __post_init__(self) -> None:
        require_positive("conductivity in W/mK", self.conductivity_w_mk, where=self.name)
        require_positive("density in kg/m3", self.density_kg_m3, where=self.name)
        require_positive("specific heat in J/kgK", self.specific_heat_j_kgk, where=self.name)

    @property
    def diffusivity_m2_s(self) -> float:
        return self.conductivity_w_mk / (self.density_kg_m3 * self.specific_heat_j_kgk)

    def layer(self, thickness_m: float) -> SolidLayer:
        """A layer of this material."""
        return SolidLayer(
            self.name, self.conductivity_w_mk, thickness_m, self.density_kg_m3, self.specific_heat_j_kgk
        )


@over_arrays
def r_per_inch(conductivity_w_mk: float) -> float:
    """R-value per inch, h·ft2·°F/Btu."""
    require_positive("conductivity in W/mK", conductivity_w_mk)
    return INCH_M / conductivity_w_mk * US_R_PER_M2K_W


@over_arrays
def conductivity_at_w_mk(
    conductivity_w_mk: float, temperature_factor_per_k: float, from_c: float, to_c: float
) -> float:
    """Conductivity at another mean temperature. ISO 10456:2007, clause 7 (from memory)."""
    return conductivity_w_mk * math.exp(temperature_factor_per_k * (to_c - from_c))
