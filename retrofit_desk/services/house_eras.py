"""What a house of a certain age is usually made of, as the first assumption about a new one."""

from __future__ import annotations

import csv
from dataclasses import dataclass

from retrofit_desk.records.shipped import shipped_folder
from retrofit_desk.values.errors import DeskError


class NoSuchEra(DeskError):
    """The year lies outside the table."""


@dataclass(frozen=True)
class Era:
    """Typical fabric of the years from one to another; a resistance of 0 stands for no insulation."""

    built_from: int
    built_to: int
    wall_cavity_r_m2kw: float
    ceiling_r_m2kw: float
    floor_r_m2kw: float
    window_u_w_m2k: float
    window_shgc: float
    panes: int
    ach50_per_h: float
    furnace_efficiency: float
    duct_leakage: float
    source: str

    @property
    def words(self) -> str:
        """How the assumption is named: "usual for a house of 1960-1979"."""
        return f"usual for a house of {self.built_from}-{self.built_to}"


def era_of(year: int) -> Era:
    """The era a year lies in. Raises `NoSuchEra`."""
    with (shipped_folder("shared") / "house_eras.csv").open(newline="", encoding="utf-8") as file:
        for row in csv.DictReader(file):
            if int(row["built_from"]) <= year <= int(row["built_to"]):
                return _era(row)
    raise NoSuchEra(f"no house was built in {year}", where="Year built", do="type a year such as 1964")


def _era(row: dict[str, str]) -> Era:
    return Era(
        built_from=int(row["built_from"]),
        built_to=int(row["built_to"]),
        wall_cavity_r_m2kw=float(row["wall_cavity_r_m2kw"]),
        ceiling_r_m2kw=float(row["ceiling_r_m2kw"]),
        floor_r_m2kw=float(row["floor_r_m2kw"]),
        window_u_w_m2k=float(row["window_u_w_m2k"]),
        window_shgc=float(row["window_shgc"]),
        panes=int(row["panes"]),
        ach50_per_h=float(row["ach50_per_h"]),
        furnace_efficiency=float(row["furnace_efficiency"]),
        duct_leakage=float(row["duct_leakage"]),
        source=row["source"],
    )
