"""The material table and what follows from a material."""

from __future__ import annotations

import csv
import math

import pytest

from retrofit_desk.physics.errors import ImpossibleValue
from retrofit_desk.physics.materials import Material, conductivity_at_w_mk, r_per_inch
from retrofit_desk.records.shipped import shipped_folder


def rows() -> list[dict[str, str]]:
    with (shipped_folder("shared") / "materials.csv").open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


def material(key: str) -> Material:
    row = next(row for row in rows() if row["key"] == key)
    columns = ("conductivity_w_mk", "density_kg_m3", "specific_heat_j_kgk", "mu_dry", "mu_wet")
    return Material(row["key"], row["name"], *(float(row[column]) for column in columns))


@pytest.mark.parametrize(
    ("conductivity", "expected"), [(0.13, 1.1094), (0.040, 3.6057), (0.035, 4.1208), (0.022, 6.5558)]
)
def test_r_per_inch(conductivity: float, expected: float) -> None:
    # MAT-1: unit conversion, computed
    assert r_per_inch(conductivity) == pytest.approx(expected, abs=5e-5)


@pytest.mark.parametrize(
    ("key", "thickness_m", "kj_m2k"),
    [("gypsum_board_dense", 0.0125, 11.25), ("concrete_dense", 0.100, 240.0), ("softwood", 0.100, 80.0)],
)
def test_areal_heat_capacity(key: str, thickness_m: float, kj_m2k: float) -> None:
    # MAT-3: densities and specific heats of ISO 10456:2007 Table 3 (from memory)
    assert material(key).layer(thickness_m).heat_capacity_j_m2k / 1000.0 == pytest.approx(kj_m2k)


@pytest.mark.parametrize(("key", "m2_s"), [("softwood", 1.625e-7), ("concrete_reinforced", 1.000e-6)])
def test_diffusivity(key: str, m2_s: float) -> None:
    # MAT-3: ISO 10456:2007 Table 3 (from memory)
    assert material(key).diffusivity_m2_s == pytest.approx(m2_s, rel=5e-4)


@pytest.mark.parametrize(("to_c", "expected"), [(0.0, 0.033426), (26.0, 0.037673)])
def test_insulation_conducts_more_when_warm(to_c: float, expected: float) -> None:
    # MAT-4: ISO 10456:2007, clause 7 (from memory), computed
    assert conductivity_at_w_mk(0.035, 0.0046, 10.0, to_c) == pytest.approx(expected, abs=5e-7)


def test_every_material_names_its_source_and_can_exist() -> None:
    keys = [row["key"] for row in rows()]
    assert len(keys) == len(set(keys)) > 40
    for row in rows():
        assert all(row[column] for column in ("source", "date", "confidence")), row["key"]
        assert row["conductivity_w_mk"] or row["us_r_each"] or row["family"] == "air", row["key"]
        assert 1.0 <= float(row["mu_wet"]) <= float(row["mu_dry"]), row["key"]
        if row["conductivity_w_mk"]:
            material(row["key"])


def test_handbook_r_and_conductivity_tell_the_same_story() -> None:
    # ASHRAE Fundamentals ch. 26 R per inch beside ISO 10456 conductivities (both from memory): within a half
    for row in rows():
        if row["us_r_per_inch"]:
            ratio = float(row["us_r_per_inch"]) / r_per_inch(float(row["conductivity_w_mk"]))
            assert 0.67 < ratio < 1.5, row["key"]


def test_tight_materials_are_infinitely_tight() -> None:
    assert math.isinf(material("cellular_glass").mu_dry)


def test_a_material_without_conductivity_is_refused() -> None:
    with pytest.raises(ImpossibleValue, match="conductivity"):
        Material("x", "Nothing", 0.0, 1.0, 1.0, 1.0, 1.0)
