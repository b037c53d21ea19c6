"""Sets of measures on the small house: what adds up, what must not stand together, what reruns nothing."""

from __future__ import annotations

import numpy as np
import pytest

from retrofit_desk.estimate.line_up import FIGURES, LineUp, NotTogether, obstacle
from retrofit_desk.estimate.scenario import Simulator
from retrofit_desk.estimate.shares import OrderImpossible
from retrofit_desk.exchange.weather import greensboro
from tests.estimate.builders import a_case
from tests.estimate.line_ups import ALL_ELECTRIC, GAS_FIXED_CENTS, a_line_up, a_simulator, chosen, terms

AT = {name: number for number, name in enumerate(FIGURES)}


def quietly(share: float, doing: str) -> None:
    """A report that nobody reads."""


def test_the_parts_in_their_places_add_up_to_the_whole() -> None:
    line_up = a_line_up("air_sealing", "insulation_cavity", "induction_range")
    gains = line_up.in_its_place(quietly)
    whole = line_up.worth(line_up.whole) - line_up.worth(0)
    np.testing.assert_allclose(gains.sum(axis=0), whole, rtol=0, atol=1e-6)


def test_fair_parts_add_up_to_the_whole_and_leave_no_one_out() -> None:
    line_up = a_line_up("air_sealing", "insulation_cavity", "photovoltaics")
    parts = line_up.fair_parts(quietly)
    whole = line_up.worth(line_up.whole) - line_up.worth(0)
    np.testing.assert_allclose(parts.sum(axis=0), whole, rtol=0, atol=1e-6)
    assert all(parts[bit].any() for bit in range(3))


def test_the_same_set_is_the_same_house_whatever_the_order_of_choosing() -> None:
    keys = ("insulation_cavity", "air_sealing", "induction_range", "ground_source_heat_pump", "radiant_floor")
    one, other = a_line_up(*keys), a_line_up(*reversed(keys))
    assert one.case(one.whole) == other.case(other.whole)
    np.testing.assert_array_equal(one.worth(one.whole), other.worth(other.whole))


def test_behind_a_heat_pump_insulation_saves_power_and_no_gas() -> None:
    before = a_line_up("insulation_cavity").in_its_place(quietly)[0]
    after = a_line_up("ground_source_heat_pump", "insulation_cavity").in_its_place(quietly)[1]
    assert -before[AT["gas_kwh"]] > 1000.0
    assert abs(after[AT["gas_kwh"]]) < 1.0
    assert after[AT["drawn_kwh"]] < before[AT["drawn_kwh"]]


def test_a_changed_tariff_runs_no_engine_again() -> None:
    simulator = Simulator(greensboro())
    keys = ("air_sealing", "induction_range")
    first = LineUp(a_case(), chosen(*keys), simulator, terms()).in_its_place(quietly)
    runs = simulator.engine_runs
    dearer = LineUp(a_case(), chosen(*keys), simulator, terms(gas_price="2.40")).in_its_place(quietly)
    assert simulator.engine_runs == runs
    fuel = AT["fuel_bill_cents"]
    assert dearer[0, fuel] == pytest.approx(
        2 * first[0, fuel], abs=13
    )  # twelve bills, each rounded to a cent
    np.testing.assert_array_equal(np.delete(dearer, fuel, axis=1), np.delete(first, fuel, axis=1))


def test_a_measure_of_the_plant_runs_no_engine_again_either() -> None:
    simulator = Simulator(greensboro())
    LineUp(a_case(), chosen("air_sealing"), simulator, terms()).in_its_place(quietly)
    runs = simulator.engine_runs
    assert runs == 2
    keys = ("induction_range", "photovoltaics", "air_sealing")
    LineUp(a_case(), chosen(*keys), simulator, terms()).in_its_place(quietly)
    assert simulator.engine_runs == runs


def test_floors_need_a_source_of_water() -> None:
    line_up = a_line_up("radiant_floor", "ground_source_heat_pump")
    assert not line_up.is_possible(0b01)
    with pytest.raises(NotTogether, match="Floors that heat and cool needs another measure first"):
        line_up.check_order()
    assert line_up.is_possible(0b11)
    assert line_up.smallest_with(0) == (0b10, 0b11)


def test_two_heat_pumps_cannot_stand_side_by_side() -> None:
    pair = chosen("ground_source_heat_pump", "air_source_heat_pump")
    assert obstacle(pair) == f"{pair[0].title} cannot stand beside {pair[1].title}"
    assert obstacle(pair[:1]) == ""
    tank = chosen("indirect_water_tank")
    assert "air-to-water heat pump" in obstacle(tank)  # by their titles, not their keys


def test_the_gas_account_stays_open_while_something_burns_gas() -> None:
    line_up = a_line_up("gas_account_closed", "induction_range")
    with pytest.raises(NotTogether, match="something still burns gas"):
        line_up.year(line_up.whole)
    with pytest.raises(OrderImpossible, match="cannot be done without much else"):
        line_up.smallest_with(0)


def test_closing_the_account_ends_its_fixed_charge_and_nothing_else() -> None:
    line_up = a_line_up(*ALL_ELECTRIC, "gas_account_closed")
    closing = line_up.in_its_place(quietly)[-1]
    assert closing[AT["fuel_bill_cents"]] == -12 * GAS_FIXED_CENTS
    assert not np.delete(closing, AT["fuel_bill_cents"]).any()
    before, after = line_up.smallest_with(3)
    np.testing.assert_array_equal(line_up.worth(after) - line_up.worth(before), closing)


def test_cheaper_checks_of_the_order_run_nothing() -> None:
    simulator = Simulator(greensboro())
    LineUp(a_case(), chosen(*ALL_ELECTRIC, "gas_account_closed"), simulator, terms()).check_order()
    assert simulator.engine_runs == 0


def test_the_end_of_an_account_is_not_one_of_the_twelve_and_its_part_is_its_fixed_charge() -> None:
    simulator = Simulator(greensboro())
    line_up = LineUp(a_case(), chosen(*ALL_ELECTRIC, "gas_account_closed"), simulator, terms())
    parts = line_up.fair_parts(quietly)
    assert parts[3, AT["fuel_bill_cents"]] == pytest.approx(-12 * GAS_FIXED_CENTS)
    assert not np.delete(parts[3], AT["fuel_bill_cents"]).any()
    assert simulator.engine_runs <= 2  # none of these but the heat pump touches the house itself


def test_more_than_twelve_measures_are_not_all_enumerated() -> None:
    line_up = LineUp(a_case(), chosen("induction_range") * 13, a_simulator(), terms())
    with pytest.raises(NotTogether, match="more than 12 measures"):
        line_up.possible_sets()


MANY = (
    "air_sealing", "insulation_cavity", "insulation_batts", "continuous_insulation", "glazing_and_shading",
    "heat_pump_water_heater", "induction_range", "heat_pump_dryer", "photovoltaics", "battery",
    "ground_source_heat_pump", "thermal_storage", "radiant_floor", "casement_windows",
)  # fmt: skip


def test_parts_of_fourteen_measures_are_drawn_and_say_how_sure_they_are() -> None:
    line_up = a_line_up(*MANY)
    assert len(line_up.chosen) == 14
    drawn = line_up.drawn_parts(quietly, orders=4)
    whole = line_up.worth(line_up.whole) - line_up.worth(0)
    np.testing.assert_allclose(drawn.parts.sum(axis=0), whole, atol=1e-6)
    assert drawn.orders == 4
    assert drawn.money_error_cents.shape == (14,)
    assert (drawn.money_error_cents >= 0).all()
    assert drawn.money_error_cents.max() > 0


def test_drawn_parts_come_near_the_exact_ones() -> None:
    line_up = a_line_up("air_sealing", "heat_pump_water_heater", "ground_source_heat_pump", "thermal_storage")
    exact, drawn = line_up.fair_parts(quietly), line_up.drawn_parts(quietly, orders=400)
    money = exact[:, AT["fuel_bill_cents"]] + exact[:, AT["power_bill_cents"]]
    close = drawn.parts[:, AT["fuel_bill_cents"]] + drawn.parts[:, AT["power_bill_cents"]]
    # five standard errors: a false alarm in four figures is less likely than 1e-5
    assert (np.abs(close - money) <= 5 * drawn.money_error_cents + 1e-6).all()
