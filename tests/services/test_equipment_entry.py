"""Machines and circuits recorded, changed and taken out by the owner."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from sqlalchemy import select

from retrofit_desk.physics.panel_load import metered_load_va
from retrofit_desk.records import models as m
from retrofit_desk.records.machine_facts import RESET_KEYS
from retrofit_desk.records.project import Project
from retrofit_desk.rules.holds import HoldAction, NotYet
from retrofit_desk.services.circuit_entry import CircuitEntryService, CircuitUnclear, WrittenCircuit
from retrofit_desk.services.equipment import EquipmentService, MachineRow
from retrofit_desk.services.equipment_entry import (
    CoverKind,
    EquipmentEntryService,
    EquipmentKind,
    EquipmentStatus,
    Fuel,
)
from retrofit_desk.services.holds import HoldService
from retrofit_desk.services.machine_values import (
    MachineFacts,
    MachineUnclear,
    WrittenRating,
    WrittenTie,
    WrittenWarranty,
    WrittenWorkings,
)
from retrofit_desk.services.panel import PanelService, Stage
from retrofit_desk.values.stated import StatedValue

TODAY = date(2026, 11, 20)


def machine(project: Project, name: str) -> MachineRow:
    return next(one for one in EquipmentService(project).machines() if name in one.name)


def test_a_machine_is_added_changed_and_undone_step_by_step(sample_project: Project) -> None:
    entry, count = EquipmentEntryService(sample_project), len(EquipmentService(sample_project).machines())
    facts = MachineFacts("Garage heater", EquipmentKind.ELECTRIC_HEATER, fuel=Fuel.ELECTRICITY, serial="G-1")
    rating = WrittenRating("COP", 1.0, "Plate")
    new, _effect = entry.record(None, facts, (rating,), (("Thermostat", "12 C"),))
    found = machine(sample_project, "Garage heater")
    assert (found.id, found.serial, found.settings) == (new, "G-1", (("Thermostat", "12 C"),))
    assert [(one.name, one.as_of) for one in found.ratings] == [("COP", TODAY)]
    entry.record(new, replace(facts, serial="G-2"))
    assert machine(sample_project, "Garage heater").serial == "G-2"
    assert machine(sample_project, "Garage heater").ratings == ()
    sample_project.undo()
    assert entry.sheet(new).ratings == (rating,)
    sample_project.undo()
    assert len(EquipmentService(sample_project).machines()) == count


def test_what_is_read_into_the_form_goes_back_unchanged(sample_project: Project) -> None:
    entry = EquipmentEntryService(sample_project)
    for row in EquipmentService(sample_project).machines():
        before = entry.sheet(row.id)
        entry.record(row.id, before.facts, before.ratings, before.settings)
        assert entry.sheet(row.id) == before
        assert machine(sample_project, row.name) == row


def test_the_workings_of_a_boiler_are_kept_whole_or_refused(sample_project: Project) -> None:
    entry = EquipmentEntryService(sample_project)
    facts = MachineFacts("Oil boiler", EquipmentKind.BOILER, fuel=Fuel.OIL)
    told = WrittenWorkings((("pump_w", 85.0), ("pipe_loss", 0.08)))
    new, _effect = entry.record(None, facts, workings=told)
    assert entry.sheet(new).workings == told
    entry.record(new, facts)  # a caller that says nothing of them leaves them
    assert entry.sheet(new).workings == told
    with pytest.raises(MachineUnclear, match="all four"):
        entry.record(new, facts, workings=WrittenWorkings((("reset_cold_outdoor_c", -10.0),)))
    entry.record(new, facts, workings=WrittenWorkings())
    assert entry.sheet(new).workings.numbers == ()


PLAIN = {
    EquipmentKind.FURNACE: (("seasonal_efficiency", 0.8), ("standby_loss_w", 300.0), ("pilot_w", 90.0)),
    EquipmentKind.BOILER: (("efficiency_at_30c_return", 0.96), ("efficiency_at_60c_return", 0.88)),
    EquipmentKind.DUCTS: (("supply_leakage", 0.12), ("supply_resistance_m2k_w", 0.7)),
    EquipmentKind.RADIATORS: (("rated_difference_k", 60.0), ("exponent", 1.25)),
    EquipmentKind.HEAT_PUMP_WATER_HEATER: (("cop_rated", 3.2),),
}


@pytest.mark.parametrize("kind", PLAIN, ids=str)
def test_the_workings_of_each_kind_are_recorded_and_undone(
    sample_project: Project, kind: EquipmentKind
) -> None:
    entry = EquipmentEntryService(sample_project)
    facts = MachineFacts("One more", kind)
    new, _effect = entry.record(None, facts)
    entry.record(new, facts, workings=WrittenWorkings(PLAIN[kind]))
    assert dict(entry.sheet(new).workings.numbers) == dict(PLAIN[kind])
    sample_project.undo()
    assert entry.sheet(new).workings.numbers == ()


def test_ducts_pass_through_a_room_and_a_machine_may_be_ductless(sample_project: Project) -> None:
    entry, ducts = EquipmentEntryService(sample_project), machine(sample_project, "Ducts in the attic")
    before = entry.sheet(ducts.id)
    assert before.workings.passes == "attic"
    entry.record(ducts.id, before.facts, workings=replace(before.workings, passes="crawl-space"))
    assert entry.sheet(ducts.id).workings.passes == "crawl-space"
    heads = MachineFacts("Two heads", EquipmentKind.AIR_SOURCE_HEAT_PUMP)
    new, _effect = entry.record(None, heads, workings=WrittenWorkings(ductless=True))
    assert entry.sheet(new).workings.ductless


@pytest.mark.parametrize(
    ("kind", "key", "value", "says"),
    [
        (EquipmentKind.FURNACE, "seasonal_efficiency", 78.0, "7,800% is not possible. Nothing was changed."),
        (EquipmentKind.FURNACE, "pilot_w", -5.0, "between 0 Btu/h and 3,412 Btu/h"),
        (EquipmentKind.DUCTS, "supply_leakage", 1.2, "between 0% and 90%"),
        (EquipmentKind.RADIATORS, "exponent", 13.0, "between 1.00 and 1.60"),
        (EquipmentKind.BOILER, "spread_k", 0.0, "between 4 °F and 72 °F"),
    ],
)
def test_nonsense_is_refused_in_one_line_with_unit_and_range(
    sample_project: Project, kind: EquipmentKind, key: str, value: float, says: str
) -> None:
    entry = EquipmentEntryService(sample_project)
    with pytest.raises(MachineUnclear) as told:
        entry.record(None, MachineFacts("Odd", kind), workings=WrittenWorkings(((key, value),)))
    assert says.casefold() in told.value.line().casefold()
    assert "\n" not in told.value.line()


@pytest.mark.parametrize(
    ("facts", "rating", "says"),
    [
        ({"heating_capacity_w": StatedValue(9e6)}, None, "Heats"),
        ({"volume_m3": -1.0}, None, "Holds"),
        ({"refrigerant_charge_kg": 900.0}, None, "Its charge"),
        ({}, WrittenRating("AFUE", 95.0), "AFUE: 95 is not possible"),
        ({}, WrittenRating("COP, cooling", 44.0), "between 0.3 and 20"),
        ({}, WrittenRating("COP", 4.4, "", 350.0), "Temperature of a rating"),
    ],
)
def test_a_plate_or_rating_no_machine_has_is_refused(
    sample_project: Project, facts: dict[str, Any], rating: WrittenRating | None, says: str
) -> None:
    entry = EquipmentEntryService(sample_project)
    with pytest.raises(MachineUnclear) as told:
        entry.record(
            None, MachineFacts("Odd", EquipmentKind.OTHER, **facts), (rating,) if rating is not None else ()
        )
    assert says.casefold() in told.value.line().casefold()


def test_an_outdoor_reset_that_runs_backwards_is_refused(sample_project: Project) -> None:
    entry = EquipmentEntryService(sample_project)
    backwards = dict(zip(RESET_KEYS, (-10.0, 45.0, 15.0, 75.0), strict=True))
    facts = MachineFacts("Boiler", EquipmentKind.BOILER)
    with pytest.raises(MachineUnclear, match="runs backwards"):
        entry.record(None, facts, workings=WrittenWorkings(tuple(backwards.items())))


def test_the_list_tells_what_the_model_takes_of_a_machine(sample_project: Project) -> None:
    told = {one.name: one.value_si for one in machine(sample_project, "Gas furnace").workings}
    assert told["Efficiency over the season"] == 0.76
    ducts = machine(sample_project, "Ducts in the attic").workings
    assert (ducts[-1].name, ducts[-1].word) == ("Pass through", "Attic")
    assert machine(sample_project, "Hall thermostat").workings == ()


def test_a_tie_off_the_earth_is_refused(sample_project: Project) -> None:
    entry = EquipmentEntryService(sample_project)
    bores = machine(sample_project, "Three bores").id
    facts = entry.sheet(bores).facts
    with pytest.raises(MachineUnclear, match="a latitude of 136° is not on earth"):
        entry.record(bores, facts, ties=(WrittenTie("Bore 1", latitude_deg=136.0, longitude_deg=-79.0),))
    with pytest.raises(MachineUnclear, match="Distance of a tie"):
        entry.record(bores, facts, ties=(WrittenTie("Bore 1", "corner", 90_000.0),))


def test_ties_of_the_loop_are_entered_and_a_tie_to_nothing_is_refused(sample_project: Project) -> None:
    # MOM-11
    entry = EquipmentEntryService(sample_project)
    bores = machine(sample_project, "Three bores").id
    before = entry.sheet(bores)
    tie = WrittenTie("Bore 1", "northeast corner", 7.42, "southeast corner", 11.08, 36.060012, -79.870031)
    entry.record(bores, before.facts, before.ratings, before.settings, ties=(tie,))
    assert entry.sheet(bores).ties == (tie,)
    with pytest.raises(MachineUnclear, match="not tied"):
        entry.record(bores, before.facts, ties=(WrittenTie("Bore 2"),))
    assert entry.sheet(bores).ties == (tie,)


def test_the_furnace_stays_until_the_new_heat_runs_or_a_reason_is_written(sample_project: Project) -> None:
    # NEED-13: never without heat; PER-6
    entry, furnace = EquipmentEntryService(sample_project), machine(sample_project, "Gas furnace")
    assert any("the heat pump is tested and running" in one for one in entry.removal_holds(furnace.id))
    with pytest.raises(NotYet):
        entry.take_out(furnace.id, TODAY)
    assert machine(sample_project, "Gas furnace").removed_on is None
    entry.take_out(furnace.id, TODAY, reason="It leaks gas; a heater is lent")
    assert machine(sample_project, "Gas furnace").removed_on == TODAY
    overridden = [one for one in HoldService(sample_project).overridden() if one.answer.hold.done_on == TODAY]
    assert any("It leaks gas" in one.sentence for one in overridden)
    with pytest.raises(MachineUnclear, match="already"):
        entry.take_out(furnace.id, TODAY)


def test_a_machine_tested_and_running_frees_what_waited_for_it(sample_project: Project) -> None:
    entry, pump = EquipmentEntryService(sample_project), machine(sample_project, "Ground-source heat pump")
    sheet = entry.sheet(pump.id)
    running = replace(sheet.facts, tested_on=TODAY, status=EquipmentStatus.IN_USE)
    entry.record(pump.id, running, sheet.ratings)
    waits = entry.removal_holds(machine(sample_project, "Gas furnace").id)
    assert not any("tested and running" in one for one in waits)
    with pytest.raises(MachineUnclear, match="its own step"):
        entry.record(pump.id, replace(running, status=EquipmentStatus.REMOVED))


def test_a_warranty_is_registered(sample_project: Project) -> None:
    # NEED-22: registration within weeks; the day it must be registered by is an alarm at hand
    entry, pump = EquipmentEntryService(sample_project), machine(sample_project, "Ground-source heat pump")
    told = WrittenWarranty(CoverKind.PARTS, TODAY, date(2036, 11, 20), date(2027, 1, 19))
    new = entry.put_warranty(pump.id, None, told)
    entry.put_warranty(pump.id, new, replace(told, registered_on=TODAY, number="R-77"))
    found = next(one for one in machine(sample_project, pump.name).warranties if one.id == new)
    assert (found.registered_on, found.number) == (TODAY, "R-77")
    with pytest.raises(MachineUnclear, match="before it begins"):
        entry.put_warranty(pump.id, None, replace(told, ends_on=date(2020, 1, 1)))


class TestCircuits:
    CHARGER = WrittenCircuit(
        "Car charger",
        "27/29",
        50.0,
        2,
        volt_amperes=StatedValue(9600.0),
        category="car charger",
        source="Plate",
    )

    def panel(self, project: Project) -> int:
        return PanelService(project).sheets(Stage.TODAY, 2020)[0].id

    def test_a_circuit_is_added_freed_and_undone(self, sample_project: Project) -> None:
        entry, panels = CircuitEntryService(sample_project), PanelService(sample_project)
        before = panels.sheets(Stage.ALL, 2020)[0]
        new = entry.put(before.id, None, self.CHARGER)
        with_it = panels.sheets(Stage.ALL, 2020)[0]
        assert with_it.answer is not None
        assert before.answer is not None
        assert with_it.answer.amperes > before.answer.amperes
        assert entry.circuit(new) == self.CHARGER
        entry.free(new)
        freed = panels.sheets(Stage.ALL, 2020)[0]
        assert freed.answer == before.answer
        assert freed.free_spaces == before.free_spaces
        sample_project.undo()
        assert panels.sheets(Stage.ALL, 2020)[0] == with_it
        sample_project.undo()
        assert panels.sheets(Stage.ALL, 2020)[0] == before

    def test_two_circuits_do_not_share_a_space(self, sample_project: Project) -> None:
        entry = CircuitEntryService(sample_project)
        with pytest.raises(CircuitUnclear, match="sits there"):
            entry.put(self.panel(sample_project), None, replace(self.CHARGER, spaces="2/4"))
        with pytest.raises(CircuitUnclear, match="2 poles take 2 spaces"):
            entry.put(self.panel(sample_project), None, replace(self.CHARGER, spaces="27"))

    def test_a_circuit_is_not_energized_before_its_inspection(self, sample_project: Project) -> None:
        entry, panel = CircuitEntryService(sample_project), self.panel(sample_project)
        new = entry.put(panel, None, self.CHARGER)
        with sample_project.action("Hold it") as work:
            need = m.HoldNeed(kind=m.NeedKind.INSPECTION, text="the electrical final has passed")
            hold = m.Hold(
                key="charger",
                action=HoldAction.ENERGIZE,
                what="the car charger",
                subject=m.HoldSubject.CIRCUIT,
                subject_id=new,
                needs=[need],
            )
            work.session.add(hold)
        live = replace(self.CHARGER, live_since=TODAY)
        assert entry.waits(new) == (
            "Not yet: don't energize the car charger until the electrical final has passed.",
        )
        with pytest.raises(NotYet, match="energize the car charger"):
            entry.put(panel, new, live)
        entry.put(panel, new, replace(live, reason="The inspector said so by phone"))
        assert entry.circuit(new).live_since == TODAY
        with sample_project.session() as session:
            assert session.scalars(select(m.HoldOverride.reason)).all()[-1].startswith("The inspector")

    def test_the_ledger_follows_each_measure_by_the_codes_two_ways(self, sample_project: Project) -> None:
        # NEC 220.87: 125 % of the year's highest demand and the new load at its plate
        panels, panel = PanelService(sample_project), self.panel(sample_project)
        assert all(one.metered_a is None for one in panels.sheets(Stage.TODAY, 2020)[0].ledger)
        CircuitEntryService(sample_project).put_peak(panel, 8000.0, TODAY, "Utility")
        today, pump = panels.sheets(Stage.TODAY, 2020)[0].ledger
        assert today.metered_a == pytest.approx(1.25 * 8000.0 / 240.0)
        assert pump.added_va == 4800.0
        expected = metered_load_va(8000.0, 4800.0, basis="year of bills") / 240.0
        assert pump.metered_a == pytest.approx(expected)
        assert pump.missing == ("Loop and floor pumps",)
        whole = panels.sheets(Stage.ALL, 2020)[0].answer
        assert whole is not None
        assert pump.counted_a == pytest.approx(whole.amperes)
