"""Carbon in materials by stage: made, hauled, wasted, replaced (EN 15978, EN 15804+A2)."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil

from retrofit_desk.values.origin import Origin

TRUCK_KG_PER_T_KM = 0.15  # common practice 0.10 to 0.15, no single source


@dataclass(frozen=True)
class MaterialFactor:
    """Cradle-to-gate factor (A1-A3) per `unit`, without stored carbon, with its spread."""

    key: str
    name: str
    unit: str
    density_low_kg_m3: float | None
    density_high_kg_m3: float | None
    kg_co2e: float
    kg_co2e_low: float
    kg_co2e_high: float
    note: str
    origin: Origin


@dataclass(frozen=True)
class EndFactor:
    """Haul, processing and disposal at the end of a material (C2-C4) per `unit`, without what grew in it.

    `way`: what becomes of it, such as landfilled or recycled. Taking it out (C1) is not in it.
    """

    key: str
    unit: str
    way: str
    kg_co2e: float
    kg_co2e_low: float
    kg_co2e_high: float
    note: str
    origin: Origin


@dataclass(frozen=True)
class Piece:
    """An amount of one material as built in. `amount` in the factor's unit; `mass_kg` is what is hauled."""

    factor: MaterialFactor
    amount: float
    mass_kg: float
    waste_share: float
    haul_km: float
    life_years: float | None = None
    end_of_life_kg: float | None = None
    """Stages C1-C4, when known."""


@dataclass(frozen=True)
class StageSum:
    """kg CO2e by stage. `left_out` names what is not in it; D is never added."""

    made_kg: float
    hauled_kg: float
    wasted_kg: float
    replaced_kg: float
    end_of_life_kg: float
    low_kg: float
    high_kg: float
    left_out: tuple[str, ...]

    @property
    def upfront_kg(self) -> float:
        """A1-A5."""
        return self.made_kg + self.hauled_kg + self.wasted_kg

    @property
    def total_kg(self) -> float:
        """A-C as far as told."""
        return self.upfront_kg + self.replaced_kg + self.end_of_life_kg


def waste_factor(waste_share: float) -> float:
    """WF = 1/(1 - WR) - 1: what is bought beyond what stays."""
    return 1 / (1 - waste_share) - 1


def replacements(study_years: float, life_years: float) -> int:
    """How often it is replaced within the study period: ceil(study / life - 1), never below zero."""
    return max(ceil(study_years / life_years - 1), 0)


def stage_sum(pieces: Iterable[Piece], study_years: float) -> StageSum:
    """All pieces over the study period; low and high from the factors' own spread."""
    made = hauled = wasted = replaced = ended = 0.0
    low = high = 0.0
    left_out: set[str] = {"A5 site energy", "D beyond the boundary"}
    for piece in pieces:
        a13 = piece.amount * piece.factor.kg_co2e
        a4 = piece.mass_kg / 1000 * piece.haul_km * TRUCK_KG_PER_T_KM
        a5 = waste_factor(piece.waste_share) * (a13 + a4)
        times = replacements(study_years, piece.life_years) if piece.life_years else 0
        made, hauled, wasted = made + a13, hauled + a4, wasted + a5
        replaced += times * (a13 + a4 + a5)
        ended += piece.end_of_life_kg or 0.0
        if piece.end_of_life_kg is None:
            left_out.add("C end of life")
        bought = piece.amount * (1 + waste_factor(piece.waste_share)) * (1 + times)
        low -= bought * (piece.factor.kg_co2e - piece.factor.kg_co2e_low)
        high += bought * (piece.factor.kg_co2e_high - piece.factor.kg_co2e)
    total = made + hauled + wasted + replaced + ended
    return StageSum(made, hauled, wasted, replaced, ended, total + low, total + high, tuple(sorted(left_out)))
