"""Seasonal ratings and single points of air-source machines."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from retrofit_desk.physics.heat_pump_ratings import (
    ClimateRegion,
    TestPoints,
    hspf2,
    points_from_hspf2,
    seer2,
)

SHARED = Path(__file__).parents[2] / "shared"
UNIT = TestPoints(36000.0, 2950.0, 21500.0, 2600.0)


def bins(region: str) -> tuple[tuple[float, float], ...]:
    with (SHARED / "heat_pump_climate_bins.csv").open(newline="") as file:
        return tuple(
            (float(r["bin_f"]), float(r["fraction_of_hours"]))
            for r in csv.DictReader(file)
            if r["region"] == region
        )


def region(name: str) -> ClimateRegion:
    with (SHARED / "heat_pump_climate_regions.csv").open(newline="") as file:
        row = next(r for r in csv.DictReader(file) if r["region"] == name)
    cold = tuple(b for b in bins(name) if b[0] < float(row["zero_load_f"]))
    return ClimateRegion(
        float(row["outdoor_design_f"]), float(row["zero_load_f"]), float(row["slope_factor"]), cold
    )


# ASHP-1: 10 CFR 430 Subpart B App. M, bin table (second-hand)
@pytest.mark.parametrize("name", ["IV", "V"])
def test_fractional_hours_of_a_region_sum_to_one(name: str) -> None:
    # region V as transcribed sums to 1.000; both are printed to three decimals
    assert sum(f for _, f in bins(name)) == pytest.approx(1.000, abs=5e-4)


# ASHP-2: 10 CFR 430 Subpart B App. M1 4.2.1 worked by hand, region IV
def test_hspf2_of_a_single_speed_machine_in_region_iv() -> None:
    season = hspf2(UNIT, region("IV"), 36000.0)
    assert season.hspf2 == pytest.approx(7.2469, abs=5e-5)
    assert sum(b.load_btu_h * b.fraction for b in season.bins) == pytest.approx(12478.788, abs=5e-4)
    assert sum(b.energy_wh for b in season.bins) == pytest.approx(1248.837, abs=5e-4)
    assert sum(b.backup_wh for b in season.bins) == pytest.approx(473.109, abs=5e-4)
    assert UNIT.frost_point() == pytest.approx((27180.0, 2767.85), abs=5e-3)


# ASHP-2, lines of the table: (degF, X, PLF, e/N, RH/N)
@pytest.mark.parametrize(
    ("temp_f", "x", "plf", "energy", "backup"),
    [
        (52, 0.0647, 0.7662, 26.150, 0.0),
        (42, 0.3663, 0.8416, 123.302, 0.0),
        (32, 0.7259, 0.9315, 269.048, 0.0),
        (22, 1.0, 1.0, 145.564, 68.427),
        (-8, 1.0, 1.0, 2.308, 12.525),
    ],
)
def test_bin_lines(temp_f: float, x: float, plf: float, energy: float, backup: float) -> None:
    line = next(b for b in hspf2(UNIT, region("IV"), 36000.0).bins if b.temp_f == temp_f)
    assert line.load_factor == pytest.approx(x, abs=6e-5)
    assert line.part_load_factor == pytest.approx(plf, abs=6e-5)
    assert line.energy_wh == pytest.approx(energy, abs=6e-4)
    assert line.backup_wh == pytest.approx(backup, abs=6e-4)


def test_a_cut_out_moves_cold_bins_to_resistance_heat() -> None:
    with_cut = hspf2(UNIT, region("IV"), 36000.0, off_below_f=10.0, on_above_f=20.0)
    cold = next(b for b in with_cut.bins if b.temp_f == 7)
    assert cold.energy_wh == 0.0
    assert with_cut.hspf2 < hspf2(UNIT, region("IV"), 36000.0).hspf2


# ASHP-3 (first line): COPs of the two test points
def test_cop_of_the_test_points() -> None:
    btu = 3.412142
    assert UNIT.at(47)[0] / UNIT.at(47)[1] / btu == pytest.approx(3.5765, abs=5e-5)
    assert UNIT.at(17)[0] / UNIT.at(17)[1] / btu == pytest.approx(2.4235, abs=5e-5)
    q, e = UNIT.at(5)
    assert q == pytest.approx(15700.0)
    # the linear power at 5 degF is 2460 W
    assert q / e / btu == pytest.approx(1.870, abs=5e-4)


def test_published_hspf2_comes_back_from_the_points_made_of_it() -> None:
    made = points_from_hspf2(8.1, 36000.0, 24000.0, region("IV"), 36000.0, power_17_by_47=0.9)
    assert hspf2(made, region("IV"), 36000.0).hspf2 == pytest.approx(8.1, abs=1e-6)


def test_seer2_of_a_machine_without_cycling_loss_lies_between_its_bin_efficiencies() -> None:
    with (SHARED / "heat_pump_cooling_bins.csv").open(newline="") as file:
        cool = tuple((float(r["bin_f"]), float(r["fraction_of_hours"])) for r in csv.DictReader(file))
    assert sum(f for _, f in cool) == pytest.approx(1.0, abs=5e-4)
    # SEER = PLF(0.5) EER_B when efficiency does not change with temperature at half load;
    # short form of App. M1, from memory: the bin form of a real unit lies within 6 % of it
    full = seer2(37500.0, 2900.0, 36000.0, 3300.0, cool, cycling_coefficient=0.20)
    assert full == pytest.approx(0.9 * 37500.0 / 2900.0, rel=0.06)
