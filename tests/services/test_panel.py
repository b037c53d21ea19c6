"""The panel's calculation on the sample house, worked by hand from the clause."""

from dataclasses import replace

import pytest

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.circuit_entry import CircuitEntryService, WrittenCircuit
from retrofit_desk.services.panel import HELD_BACK, PanelService, Stage, code_editions
from retrofit_desk.values.stated import StatedValue

# NEC 2020, 220.83: lights 3 VA/ft2 on 1,860 ft2, 4,500 kitchen and laundry, 1,200 dishwasher, 5,600 dryer,
# 4,500 water heater, 9,600 range
REST_VA = 5580 + 4500 + 1200 + 5600 + 4500 + 9600


def test_as_it_stands_today_the_air_conditioner_joins_the_rest(sample_project: Project) -> None:
    (sheet,) = PanelService(sample_project).sheets(Stage.TODAY, 2020)
    assert sheet.answer is not None
    assert sheet.answer.total_va == pytest.approx(8000 + 0.4 * (REST_VA + 5300 - 8000), abs=1.0)
    assert sheet.clause == "NEC 2020, 220.83(A)"
    assert sheet.missing == ()
    assert any("does not say plainly" in remark for remark in sheet.remarks)


def test_with_every_measure_the_heat_pump_counts_in_full(sample_project: Project) -> None:
    (sheet,) = PanelService(sample_project).sheets(Stage.ALL, 2020)
    assert sheet.answer is not None
    assert sheet.answer.total_va == pytest.approx(8000 + 0.4 * (REST_VA - 8000) + 4800, abs=1.0)
    assert sheet.clause == "NEC 2020, 220.83(B)"
    assert sheet.fits


def test_a_load_nobody_stated_is_named_not_counted_as_zero(sample_project: Project) -> None:
    (sheet,) = PanelService(sample_project).sheets(Stage.ALL, 2020)
    assert sheet.missing == ("Loop and floor pumps (not stated)",)


def test_the_edition_changes_the_answer(sample_project: Project) -> None:
    panels = PanelService(sample_project)
    (before,), (after,) = panels.sheets(Stage.TODAY, 2023), panels.sheets(Stage.TODAY, 2026)
    assert before.answer is not None
    assert after.answer is not None
    assert before.answer.general_va - after.answer.general_va == pytest.approx(1860, abs=1.0)
    assert set(code_editions()) >= {2020, 2023, 2026}


def test_without_a_floor_area_the_load_cannot_be_said(sample_project: Project) -> None:
    with sample_project.action("Forget the area") as work:
        site = work.session.get_one(m.Site, 1)
        site.floor_area_m2 = None
    (sheet,) = PanelService(sample_project).sheets(Stage.TODAY, 2020)
    assert sheet.answer is None
    assert "floor area" in sheet.cannot_say
    assert not sheet.fits


def test_free_spaces_leave_out_every_circuit_in_use(sample_project: Project) -> None:
    (sheet,) = PanelService(sample_project).sheets(Stage.TODAY, 2020)
    assert sheet.free_spaces == 30 - sum(one.poles for one in sheet.circuits if not one.is_spare)
    assert any(one.comes_with for one in sheet.circuits)


def test_a_load_held_back_is_an_alternative_to_a_larger_service(sample_project: Project) -> None:
    # NEED-10
    panels, circuits = PanelService(sample_project), CircuitEntryService(sample_project)
    (before,) = panels.sheets(Stage.ALL, 2020)
    measure = circuits.choices().measures[0][0]
    charger = WrittenCircuit(
        "Car charger",
        "",
        60.0,
        2,
        measure_id=measure,
        volt_amperes=StatedValue(40_000.0),
        category="fastened in place",
    )
    circuit = circuits.put(before.id, None, charger)
    (too_much,) = panels.sheets(Stage.ALL, 2020)
    assert not too_much.fits
    assert "Car charger" in too_much.fits_without
    assert "Ground-source heat pump" not in too_much.fits_without  # heat does not wait
    circuits.put(before.id, circuit, replace(charger, is_managed=True))
    (held,) = panels.sheets(Stage.ALL, 2020)
    assert held.fits
    assert held.fits_without == ()
    line = next(load for load in held.loads if load.name == "Car charger")
    assert not line.counts
    assert line.why == HELD_BACK
    assert held.answer == before.answer
    assert [step.counted_a for step in held.ledger] == [step.counted_a for step in before.ledger]
    assert circuits.circuit(circuit).is_managed
