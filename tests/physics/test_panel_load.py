"""Service loads against the code's own examples and worked examination examples."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.physics import panel_load as pl
from retrofit_desk.physics.errors import ImpossibleValue

TABLE = Path(__file__).parents[2] / "shared" / "electrical_code_editions.csv"


def edition(year: int) -> pl.CodeEdition:
    with TABLE.open(newline="") as file:
        row = next(r for r in csv.DictReader(file) if int(r["year"]) == year)
    least = row["car_charger_least_va"]
    return pl.CodeEdition(
        year,
        float(row["general_va_ft2"]),
        float(row["optional_first_va"]),
        float(row["existing_first_va"]),
        float(row["rest_share"]),
        float(row["supplemental_heat_share"]),
        float(row["few_heaters_share"]),
        float(row["many_heaters_share"]),
        float(least) if least else None,
        row["car_charger_nameplate_only"] == "yes",
        row["source"],
    )


# NEC-1: Informative Annex D, example D1(a) (2005 text, second-hand)
def test_standard_method() -> None:
    load = pl.standard_load(1500, range_kw=12, dryer_va=5500)
    assert (load.lighting_va, load.range_va, load.dryer_va) == (5100, 8000, 5500)
    assert load.total_va == 18600
    assert round(load.amperes) == 78
    assert load.neutral_va == pytest.approx(14550)
    assert round(load.neutral_amperes) == 61


# NEC-2: Annex D, example D1(b): air conditioners of 6 A at 230 V and 12 A at 115 V, disposer, dishwasher
def test_motors_on_one_leg() -> None:
    base = pl.standard_load(1500, range_kw=12, dryer_va=5500)
    legs = pl.LegLoads(motors_a=(12,)), pl.LegLoads(motors_a=(8,), others_a=(10,))
    a, b = pl.leg_currents_a(base, 6, legs)
    assert (a, b) == (99, 104)
    assert pl.next_standard_a(max(a, b)) == 110


# NEC-3: Annex D, example D2(a)
def test_optional_method_with_room_heaters() -> None:
    house = pl.Dwelling(
        1500,
        appliances=(("range", 12000), ("water heater", 2500), ("dishwasher", 1200), ("dryer", 5000)),
        climate=pl.Climate(cooling_va=1380, electric_heat_va=9000, separately_controlled=5),
    )
    load = pl.optional_load(house, edition(2020))
    assert (load.general_va, load.after_demand_va, load.climate_va) == (29700, 17880, 3600)
    assert load.total_va == 21480
    assert load.next_standard_a == 100


# NEC-4: Annex D, example D2(b)
def test_optional_method_with_room_air_conditioners() -> None:
    house = pl.Dwelling(
        1500,
        appliances=(
            ("ovens", 8000),
            ("cooktop", 5100),
            ("water heater", 4500),
            ("dishwasher", 1200),
            ("washer-dryer", 5000),
        ),
        climate=pl.Climate(cooling_va=6 * 7 * 240, electric_heat_va=1500),
    )
    load = pl.optional_load(house, edition(2017))
    assert (load.general_va, load.after_demand_va, load.climate_va) == (32800, 19120, 10080)
    assert load.total_va == 29200
    assert round(load.amperes) == 122


# NEC-5: 220.82, 2014 examination example (second-hand)
def test_examination_example_2014() -> None:
    house = pl.Dwelling(
        2800,
        appliances=(("range", 14000), ("water heater", 3000), ("dryer", 5000), ("dishwasher", 1500)),
        climate=pl.Climate(cooling_va=29 * 240, electric_heat_va=15000),
    )
    load = pl.optional_load(house, edition(2014))
    assert (load.general_va, load.after_demand_va, load.climate_va) == (36400, 20560, 9750)
    assert load.total_va == 30310
    assert round(load.amperes) == 126


# NEC-6: 220.82, 2017 examination example (second-hand)
def test_examination_example_2017() -> None:
    house = pl.Dwelling(
        50 * 42,
        appliances=(
            ("range", 13000),
            ("water heater", 4500),
            ("dryer", 5000),
            ("disposer", 864),
            ("dishwasher", 1200),
        ),
        climate=pl.Climate(heat_pump_va=40 * 240, supplemental_va=10000),
    )
    load = pl.optional_load(house, edition(2017))
    assert load.general_va == 35364
    assert load.after_demand_va == pytest.approx(20145.6)
    assert load.climate_va == 16100
    assert load.total_va == pytest.approx(36246, abs=0.5)
    assert round(load.amperes) == 151
    assert load.next_standard_a == 175


EXISTING = (("range", 12000), ("water heater", 4500), ("dishwasher", 1200), ("dryer", 5000))


# NEC-7: 220.83, 2020/2023
def test_existing_dwelling() -> None:
    e2020, e2023 = edition(2020), edition(2023)
    plain = pl.existing_load(pl.Dwelling(1800, appliances=EXISTING), e2020, new_climate=False)
    assert plain.general_va == 32600
    assert plain.total_va == 17840
    assert plain.amperes == pytest.approx(74.3, abs=0.05)
    car = pl.Dwelling(1800, appliances=EXISTING, car_chargers_va=(7200,))
    assert pl.existing_load(car, e2023, new_climate=False).total_va == 20720
    pump = pl.Dwelling(
        1800, appliances=EXISTING, car_chargers_va=(7200,), climate=pl.Climate(heat_pump_va=7200)
    )
    assert pl.existing_load(pump, e2023, new_climate=True).total_va == 27920
    strips = pl.Dwelling(
        1800,
        appliances=EXISTING,
        car_chargers_va=(7200,),
        climate=pl.Climate(heat_pump_va=7200, supplemental_va=10000),
    )
    assert pl.existing_load(strips, e2023, new_climate=True).amperes == pytest.approx(158.0, abs=0.05)


# NEC-8: 220.82 against 120.82 of 2026
def test_the_edition_changes_the_answer() -> None:
    house = pl.Dwelling(
        1800, appliances=EXISTING, climate=pl.Climate(heat_pump_va=7200, supplemental_va=10000)
    )
    old, new = (pl.optional_load(house, edition(y)) for y in (2023, 2026))
    assert old.total_va == 32740
    assert new.general_va == 30800
    assert new.total_va == 30820
    assert (old.amperes, new.amperes) == pytest.approx((136.4, 128.4), abs=0.05)


# NEC-9: 705.12, 120 % rule (second-hand)
def test_solar_on_the_bus() -> None:
    breaker = pl.solar_breaker_a(200, 200)
    assert breaker == pytest.approx(40)
    assert pl.solar_inverter_w(breaker) == pytest.approx(7680)


# NEC-10: P/V and 125 % for continuous loads
@pytest.mark.parametrize(
    ("kw", "load", "circuit"),
    [(5, 20.83, 26.04), (7.5, 31.25, 39.06), (10, 41.67, 52.08), (15, 62.5, 78.13), (20, 83.33, 104.17)],
)
def test_strip_heat_circuits(kw: float, load: float, circuit: float) -> None:
    assert pl.branch_amperes(kw * 1000, continuous=False) == pytest.approx(load, abs=6e-3)
    assert pl.branch_amperes(kw * 1000, continuous=True) == pytest.approx(circuit, abs=6e-3)


# NEC-10, car charging
@pytest.mark.parametrize(("kw", "circuit"), [(3.84, 20), (5.76, 30), (7.68, 40), (9.60, 50), (11.52, 60)])
def test_car_charging_circuits(kw: float, circuit: int) -> None:
    assert pl.branch_amperes(kw * 1000, continuous=True) == pytest.approx(circuit)


# NEC article 220.87 (second-hand)
def test_metered_demand() -> None:
    assert pl.metered_load_va(12000, 7200, basis="year of bills") == 22200
    with pytest.raises(ImpossibleValue, match="solar"):
        pl.metered_load_va(12000, 7200, basis="30 days recorded", has_solar=True)


@given(area=st.floats(500, 5000), extra=st.floats(0, 20000))
def test_another_appliance_never_lowers_the_load(area: float, extra: float) -> None:
    plain = pl.Dwelling(area, appliances=EXISTING)
    more = pl.Dwelling(area, appliances=(*EXISTING, ("more", extra)))
    for year in (2020, 2023, 2026):
        assert (
            pl.optional_load(more, edition(year)).total_va >= pl.optional_load(plain, edition(year)).total_va
        )
