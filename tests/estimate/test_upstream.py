"""What no longer leaks on the fuel's way to the house."""

from __future__ import annotations

from pathlib import Path

import pytest

from retrofit_desk.carbon.fuels import KWH_PER_MMBTU
from retrofit_desk.estimate.savings import YearSummary
from retrofit_desk.estimate.scenario import MonthlyUse
from retrofit_desk.estimate.upstream import upstream_leaks
from retrofit_desk.physics.plant_machines import Fuel
from retrofit_desk.records.tables import Tables

TABLES = Tables()


def a_year(**mmbtu: float) -> YearSummary:
    fuels: tuple[Fuel, ...] = ("gas", "oil", "wood", "electricity")
    uses = tuple(
        MonthlyUse(fuel, "heating", (mmbtu[fuel] * KWH_PER_MMBTU / 12,) * 12)
        for fuel in fuels
        if fuel in mmbtu
    )
    return YearSummary(uses, (), 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, ())


def test_gas_no_longer_burned_no_longer_leaks_before_the_house() -> None:
    # FUEL-2: Alvarez et al., Science 361, 2018: 13.33 kg CO2e per MMBtu over 100 years, 36.9 over 20 (AR6)
    (gas,) = upstream_leaks(a_year(gas=101.0, electricity=30.0), a_year(gas=1.0), TABLES).known
    assert gas.kg == pytest.approx(1333, abs=0.5)
    assert gas.in_20_years_kg == pytest.approx(3690, abs=5)
    # 11 and 15 Tg of the 13 Tg that make 2.3 %: 18.999 x 29.8 x s / (1 - s)
    assert (gas.low_kg, gas.high_kg) == pytest.approx((1126, 1541), abs=1)


def test_more_gas_than_before_leaks_more() -> None:
    (gas,) = upstream_leaks(a_year(gas=1.0), a_year(gas=2.0), TABLES).known
    assert gas.low_kg < gas.kg < gas.high_kg < 0


def test_oil_is_unknown_and_what_did_not_change_is_not_told() -> None:
    leaks = upstream_leaks(a_year(oil=50.0, gas=3.0, wood=9.0), a_year(gas=3.0), TABLES)
    assert leaks.known == ()
    assert leaks.unknown == ("oil",)


def test_the_owners_own_table_tells_oil(tmp_path: Path) -> None:
    (tmp_path / "upstream_methane.csv").write_text(
        "fuel,share,share_low,share_high,source,edition,date,confidence\n"
        "oil,0.01,0.005,0.02,the owner's own study,,2026-03-01,from memory\n"
    )
    leaks = upstream_leaks(a_year(oil=50.0), a_year(), Tables(tmp_path))
    assert [one.fuel for one in leaks.known] == ["oil"]
    assert leaks.unknown == ()


def test_an_own_table_without_the_set_leaves_it_unknown(tmp_path: Path) -> None:
    (tmp_path / "gwp.csv").write_text(
        "gas,gwp_set,gwp100,source,edition,date,confidence\nch4,AR5,28,own study,,2026-03-01,from memory\n"
    )
    leaks = upstream_leaks(a_year(gas=9.0), a_year(), Tables(tmp_path))
    assert leaks.known == ()
    assert leaks.unknown == ("gas",)
