"""The form for what a measure is made of, for every kind, on the sample house."""

from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtWidgets import QComboBox
from pytestqt.qtbot import QtBot

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.measure_facts import ChoiceFact, MeasureFactsDialog, QuantityFact
from retrofit_desk.estimate.measures import kinds
from retrofit_desk.records import models as m
from retrofit_desk.services.measure_inputs import FactsSheet, FactWrong, MeasureInputsService
from retrofit_desk.services.measures import MeasureService
from tests.estimate.measure_inputs import INPUTS, WATER_POINT


def new(desk: Desk, kind: str) -> int:
    return desk.service(MeasureService).add(kind, f"A new {kind}")


def dialog_for(desk: Desk, qtbot: QtBot, measure_id: int) -> MeasureFactsDialog:
    dialog = MeasureFactsDialog(desk, None, measure_id)
    qtbot.addWidget(dialog)
    return dialog


def sheet(desk: Desk, measure_id: int) -> FactsSheet:
    found = desk.service(MeasureInputsService).sheet(measure_id)
    assert found is not None
    return found


def rounded(value: Any) -> Any:
    if isinstance(value, float):
        return float(f"{value:.9g}")
    if isinstance(value, dict):
        return {name: rounded(one) for name, one in value.items()}
    return [rounded(one) for one in value] if isinstance(value, list | tuple) else value


def test_every_kind_goes_through_its_form_unchanged(sample_desk: Desk, qtbot: QtBot) -> None:
    service = sample_desk.service(MeasureInputsService)
    with sample_desk.project.action("Tanks to be given up") as work:
        work.session.add_all(
            m.Meter(key=f"{fuel}-tank", name=f"Tank, {fuel}", fuel=fuel, unit=m.EnergyUnit.GALLON)
            for fuel in (m.Fuel.OIL, m.Fuel.PROPANE)
        )
    for key, facts in INPUTS.items():
        measure_id = new(sample_desk, key)
        model = kinds()[key].inputs
        service.record(measure_id, facts)
        dialog = dialog_for(sample_desk, qtbot, measure_id)
        dialog.record()  # rows with empty fields too, such as roof planes without shading
        with sample_desk.project.session() as session:
            kept = session.get_one(m.Measure, measure_id).inputs
        expected = model.model_validate(facts).model_dump(mode="json")
        assert rounded(model.model_validate(kept).model_dump(mode="json")) == rounded(expected), key


def test_what_is_missing_is_said_and_may_stay_missing(sample_desk: Desk) -> None:
    service = sample_desk.service(MeasureInputsService)
    measure_id = new(sample_desk, "battery")
    assert sheet(sample_desk, measure_id).cannot_say == (
        "Cannot say what A new battery is worth, needs: Usable, Power, Round-trip efficiency."
    )
    half = service.record(measure_id, {"usable_kwh": 10.0})
    assert half.missing == ("Power", "Round-trip efficiency")
    whole = service.record(measure_id, {"usable_kwh": 10.0, "power_w": 5000.0, "round_trip": 0.9})
    assert whole.cannot_say == ""


def test_what_cannot_be_is_refused_and_nothing_is_changed(sample_desk: Desk) -> None:
    service = sample_desk.service(MeasureInputsService)
    measure_id = new(sample_desk, "battery")
    with pytest.raises(FactWrong, match="less than or equal to 1"):
        service.record(measure_id, {"usable_kwh": 10.0, "round_trip": 9.0})
    assert sheet(sample_desk, measure_id).missing == ("Usable", "Power", "Round-trip efficiency")


@pytest.mark.parametrize(
    ("kind", "facts", "where", "words"),
    [
        ("continuous_insulation", {"thickness_m": 60.0}, "Thickness", "more than any house has"),
        ("electric_car", {"hours": [22, 24]}, "Hours 2", "more than any house has"),
        ("heat_pump_water_heater", {"set_point_c": -80.0}, "Set point", "less than any house has"),
        (
            "water_source_heat_pump",
            {"heating_points": [WATER_POINT | {"capacity_w": 9e6}]},
            "Heating points 1, Capacity",
            "more than any house has",
        ),
        (
            "own_figures",
            {"electricity_saved_by_month_kwh": [1.0] * 3},
            "Electricity saved by month",
            "twelve",
        ),
        (
            "own_figures",
            {"fuel_saved_kwh": 5.0, "fuel_saved_by_month_kwh": [1.0] * 12},
            "Fuel saved a year",
            "not both",
        ),
    ],
)
def test_a_slipped_key_is_refused_by_the_name_of_its_fact(
    sample_desk: Desk, kind: str, facts: dict[str, Any], where: str, words: str
) -> None:
    service = sample_desk.service(MeasureInputsService)
    with pytest.raises(FactWrong, match=words) as refused:
        service.record(new(sample_desk, kind), INPUTS[kind] | facts)
    assert refused.value.line().startswith(where)


def test_a_material_brings_its_numbers_along(sample_desk: Desk, qtbot: QtBot) -> None:
    dialog = dialog_for(sample_desk, qtbot, new(sample_desk, "continuous_insulation"))
    material, conductivity = dialog.facts.field("material_key"), dialog.facts.field("conductivity_w_mk")
    assert isinstance(material, ChoiceFact)
    assert isinstance(conductivity, QuantityFact)
    at = material.findData("wood_fiber_board")
    material.setCurrentIndex(at)
    material.activated.emit(at)
    assert conductivity.value() == pytest.approx(0.04)


def test_rooms_and_faces_are_chosen_by_their_names(sample_desk: Desk, qtbot: QtBot) -> None:
    dialog = dialog_for(sample_desk, qtbot, new(sample_desk, "heat_pump_water_heater"))
    stands = dialog.facts.field("stands_in")
    assert isinstance(stands, QComboBox)
    assert "Utility room" in [stands.itemText(at) for at in range(stands.count())]


def test_the_measures_of_the_sample_house_are_complete(sample_desk: Desk) -> None:
    for row in sample_desk.service(MeasureService).rows():
        if row.in_line_up:
            assert sheet(sample_desk, row.id).cannot_say == "", row.title
