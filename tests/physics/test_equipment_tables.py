"""The published tables for equipment: every row says where it comes from and holds plausible values."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

SHARED = Path(__file__).parents[2] / "shared"
TABLES = (
    "old_equipment",
    "appliance_efficiencies",
    "floor_coverings",
    "ground_and_grout",
    "electrical_code_editions",
    "heat_pump_climate_bins",
    "heat_pump_climate_regions",
    "heat_pump_cooling_bins",
)


def rows(name: str) -> list[dict[str, str]]:
    with (SHARED / f"{name}.csv").open(newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("name", TABLES)
def test_every_row_has_source_date_and_confidence(name: str) -> None:
    found = rows(name)
    assert found
    for row in found:
        assert row["source"], row
        assert row["date"], row
        assert row["confidence"], row


@pytest.mark.parametrize(
    "name", ["old_equipment", "floor_coverings", "ground_and_grout", "appliance_efficiencies"]
)
def test_low_is_never_above_high(name: str) -> None:
    for row in rows(name):
        for low in (k for k in row if "low" in k and row[k]):
            assert float(row[low]) <= float(row[low.replace("low", "high")]), row


# ASHRAE/Kavanaugh table (second-hand): k 1.4 Btu/h ft degF and 0.84 ft2/day of saturated heavy soil
def test_soil_rows_are_converted_right() -> None:
    row = next(r for r in rows("ground_and_grout") if r["key"] == "heavy_soil_saturated")
    assert float(row["conductivity_low_w_mk"]) == pytest.approx(1.4 * 1.730735, abs=5e-3)
    assert float(row["diffusivity_low_m2_day"]) == pytest.approx(0.84 * 0.092903, abs=5e-5)
