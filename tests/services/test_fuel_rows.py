"""A fuel is weighed by the row of the unit that it is billed in."""

from __future__ import annotations

import pytest

from retrofit_desk.records.tables import Tables
from retrofit_desk.services.fuel_rows import fuel_factor, kwh_of

BTU_KWH = 1055.05585262 / 3.6e6  # International Table Btu


def test_gas_by_the_volume_holds_more_heat_than_a_therm() -> None:
    # 40 CFR 98 Subpart C, table C-1: natural gas 1.026e-3 MMBtu a standard cubic foot; a therm is 100,000 Btu
    tables = Tables()
    assert kwh_of(tables, "gas", "CCF") == pytest.approx(102_600 * BTU_KWH, rel=1e-6)
    assert kwh_of(tables, "gas", "therm") == pytest.approx(100_000 * BTU_KWH, rel=1e-6)


def test_what_is_not_sold_in_a_unit_is_not_counted_in_it() -> None:
    tables = Tables()
    assert fuel_factor(tables, "oil", "cord") is None
    assert fuel_factor(tables, "electricity", "therm") is None
    assert kwh_of(tables, "electricity", "kWh") == 1.0
