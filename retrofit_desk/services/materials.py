"""The table of materials, as choices for a layer and as the columns that a choice fills."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache

from retrofit_desk.records.shipped import shipped_folder

US_R_M2K_W = 0.176110
"""One h·ft²·°F/Btu. NIST SP 811 (2008), appendix B."""


@dataclass(frozen=True)
class Material:
    """One row of the table. A product known only by its piece has `resistance_m2k_w` and no conductivity;
    an air space has neither: it resists by its depth and by how it lies.

    `vapor_resistance_factor` is the dry one, None where the table has none.
    """

    key: str
    name: str
    family: str
    conductivity_w_mk: float | None
    resistance_m2k_w: float | None
    density_kg_m3: float
    specific_heat_j_kgk: float
    vapor_resistance_factor: float | None
    source: str


@cache
def materials() -> dict[str, Material]:
    """All materials by key, in the order of the table."""
    with (shipped_folder("shared") / "materials.csv").open(newline="", encoding="utf-8") as file:
        return {row["key"]: _material(row) for row in csv.DictReader(file)}


def _material(row: dict[str, str]) -> Material:
    known_by_piece = row["us_r_each"] and not row["conductivity_w_mk"]
    return Material(
        key=row["key"],
        name=row["name"],
        family=row["family"],
        conductivity_w_mk=float(row["conductivity_w_mk"]) if row["conductivity_w_mk"] else None,
        resistance_m2k_w=float(row["us_r_each"]) * US_R_M2K_W if known_by_piece else None,
        density_kg_m3=float(row["density_kg_m3"]),
        specific_heat_j_kgk=float(row["specific_heat_j_kgk"]),
        vapor_resistance_factor=float(row["mu_dry"]) if row["mu_dry"] else None,
        source=f"{row['source']}, {row['edition']}" if row["edition"] else row["source"],
    )
