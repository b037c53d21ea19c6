"""The House page on the sample house."""

from __future__ import annotations

from pathlib import Path
from typing import cast

import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtWidgets import QApplication, QLabel, QPushButton
from pytestqt.qtbot import QtBot

from retrofit_desk.desk.context import Bench, Desk
from retrofit_desk.desk.dialogs import read_in as reading_in
from retrofit_desk.desk.dialogs.close_account import CloseAccountDialog
from retrofit_desk.desk.dialogs.face_form import SurfaceDialog
from retrofit_desk.desk.dialogs.keep_file import KeepFileDialog
from retrofit_desk.desk.dialogs.layers import LayersDialog
from retrofit_desk.desk.dialogs.leakage_test import LeakageTestDialog
from retrofit_desk.desk.dialogs.machine_forms import MachineDialog
from retrofit_desk.desk.dialogs.new_house import NewHouseDialog
from retrofit_desk.desk.dialogs.opening_form import OpeningDialog
from retrofit_desk.desk.dialogs.panel import PanelDialog
from retrofit_desk.desk.dialogs.room_forms import RoomDialog, StoreyDialog
from retrofit_desk.desk.pages.house import HousePage
from retrofit_desk.desk.pages.house_face import section_of
from retrofit_desk.desk.pages.house_meters import MetersPane
from retrofit_desk.desk.pages.house_panel import PanelPane
from retrofit_desk.desk.pictures.section_hatch import Section
from retrofit_desk.estimate.plant_from_records import plant_of
from retrofit_desk.records.project import Project
from retrofit_desk.services.account_closing import AccountClosingService
from retrofit_desk.services.equipment import EquipmentService
from retrofit_desk.services.equipment_entry import EquipmentEntryService, EquipmentKind
from retrofit_desk.services.house import HouseService, Tint
from retrofit_desk.services.house_faces import FaceService
from retrofit_desk.services.machine_values import MachineFacts, WrittenWorkings
from retrofit_desk.services.meters import MeterService
from retrofit_desk.services.panel import Stage
from retrofit_desk.services.read_in import ReadIn
from retrofit_desk.values.place import PageKey, Place
from retrofit_desk.values.quantity import Units
from retrofit_desk.values.stated import Stated, StatedValue
from tests.desk.conftest import OpenPage

LIVING, DEN = 4, 1


@pytest.fixture
def page(sample_desk: Desk, open_page: OpenPage) -> HousePage:
    return open_page(HousePage(sample_desk), 1280, 720)


def told(page: HousePage) -> list[str]:
    return [picture.accessibleDescription() for picture in page.plan.pictures]


def test_storeys_are_drawn_from_their_rooms_with_their_heat_loss(page: HousePage) -> None:
    assert len(page.plan.pictures) == 5
    living = page.desk.service(HouseService).room(LIVING)
    assert living.load is not None
    assert any("Living room" in words and "Kitchen and dining" in words for words in told(page))
    assert "Attic, not heated" in told(page)[0]


def test_another_tint_shows_measures_in_place(page: HousePage) -> None:
    page.choose_tint(Tint.IN_PLACE)
    assert "Attic, 2 of 3" in told(page)[0]
    assert page.plan.tint.currentText() == "measures in place"


def test_units_change_live(page: HousePage, sample_desk: Desk) -> None:
    before = told(page)
    sample_desk.set_units(Units.SI)
    page.refresh()
    assert told(page) != before
    assert "m² of floor" in page.room._facts.text()
    assert page.room.faces.model.columns[2].title == "U, W/(m²·K)"


def test_a_click_on_the_plan_shows_the_room(page: HousePage, qtbot: QtBot) -> None:
    page.show_item(Place(PageKey.HOUSE, "equipment", 1))
    picture = next(one for one in page.plan.pictures if "Living room" in one.accessibleDescription())
    picture.grab()  # a part can be chosen once it was drawn
    hot = next(part for part in picture.hot if part.key == LIVING)
    qtbot.mouseClick(picture, Qt.MouseButton.LeftButton, pos=QPointF(hot.area.center()).toPoint())
    assert page._tabs.currentWidget() is page.room
    assert page.room._heading._title.text() == "Living room"


def test_go_to_a_surface_opens_its_room_and_draws_it(page: HousePage) -> None:
    page.show_item(Place(PageKey.HOUSE, "surface", 14))
    assert page.room.face.sheet is not None
    assert (page.room.face.sheet.room, page.room.face.sheet.row.name) == ("Den", "North wall")


def test_go_to_a_machine_a_meter_and_a_test(page: HousePage) -> None:
    page.show_item(Place(PageKey.HOUSE, "equipment", 7))
    assert page.equipment.table.selected().id == 7
    page.show_item(Place(PageKey.HOUSE, "meter", 2))
    assert page.meters.meter.currentText().startswith("Electric meter")
    page.show_item(Place(PageKey.HOUSE, "leakage test", 1))
    assert page._tabs.currentWidget() is page.leakage


def test_the_core_sample_is_told_in_words(page: HousePage) -> None:
    page.choose_room(LIVING)
    picture = page.room.face._column.itemAt(2).widget()
    assert picture.accessibleDescription().startswith("From outdoors to Living room: Brick veneer")
    assert "U 0.0" in picture.accessibleDescription()


def test_a_room_changed_in_its_form_is_one_undo_step(
    page: HousePage, sample_desk: Desk, qtbot: QtBot
) -> None:
    sheet = sample_desk.service(HouseService).room(DEN)
    dialog = RoomDialog(sample_desk, page, sheet)
    qtbot.addWidget(dialog)
    dialog._area.setText("430 sq ft")
    dialog._gain.set_stated(StatedValue(None, Stated.NOT_STATED))
    dialog.accept()
    after = sample_desk.service(HouseService).room(DEN)
    assert after.facts.floor_area_m2 == pytest.approx(430 * 0.3048**2)
    assert after.facts.internal_gain_w == StatedValue(None, Stated.NOT_STATED)
    assert sample_desk.project.undo_title == "Change Den"


def test_a_form_opened_and_recorded_changes_nothing_by_itself(
    page: HousePage, sample_desk: Desk, qtbot: QtBot
) -> None:
    faces, before = sample_desk.service(FaceService), sample_desk.project.undo_title
    sheet = faces.sheet(1)
    for dialog in (
        SurfaceDialog(sample_desk, page, sheet),
        OpeningDialog(sample_desk, page, sheet.openings[0]),
    ):
        qtbot.addWidget(dialog)
        dialog.accept()
    assert sample_desk.project.undo_title == before
    assert faces.sheet(1) == sheet


def test_windows_too_large_stay_in_the_form_with_the_reason(
    page: HousePage, sample_desk: Desk, qtbot: QtBot
) -> None:
    window = sample_desk.service(FaceService).sheet(1).openings[0]
    dialog = OpeningDialog(sample_desk, page, window)
    qtbot.addWidget(dialog)
    dialog._width.setText("60 ft")
    dialog.accept()
    assert "larger than the face" in dialog._trouble.text()
    assert sample_desk.service(FaceService).sheet(1).openings[0] == window


def test_a_layer_added_inside_raises_the_resistance(page: HousePage, sample_desk: Desk, qtbot: QtBot) -> None:
    before = sample_desk.service(FaceService).sheet(1)
    dialog = LayersDialog(sample_desk, page, before)
    qtbot.addWidget(dialog)
    line = dialog.layers.add_line()
    line.material.setCurrentIndex(line.material.findData("wood_fiber_board"))
    line.material.activated.emit(line.material.currentIndex())
    line.thickness.field.setText("2 in")
    dialog._only_here.setChecked(True)
    dialog.accept()
    after = sample_desk.service(FaceService).sheet(1)
    assert [layer.name for layer in after.layers][-1] == "Wood-fiber board"
    assert after.resistance is not None
    assert before.resistance is not None
    added = after.resistance.isothermal_planes_m2k_w - before.resistance.isothermal_planes_m2k_w
    assert added == pytest.approx(0.0508 / after.layers[-1].conductivity_w_mk)
    assert after.shared_by == 1


def test_half_typed_layers_come_back(page: HousePage, sample_desk: Desk, qtbot: QtBot) -> None:
    sheet = sample_desk.service(FaceService).sheet(1)
    first = LayersDialog(sample_desk, page, sheet)
    qtbot.addWidget(first)
    first.layers.add_line().name.setText("Cork")
    first.reject()
    second = LayersDialog(sample_desk, page, sheet)
    qtbot.addWidget(second)
    assert [line.name.text() for line in second.layers.lines][-1] == "Cork"
    assert len(second.layers.lines) == len(sheet.layers) + 1


def test_a_leakage_test_is_recorded_from_its_form(page: HousePage, sample_desk: Desk, qtbot: QtBot) -> None:
    dialog = LeakageTestDialog(sample_desk, page)
    qtbot.addWidget(dialog)
    dialog._flow.setText("1900 cfm")
    dialog._volume.setText("15250 cu ft")
    dialog.accept()
    newest = sample_desk.service(MeterService).leakage_tests()[0]
    assert newest.flow_50pa_m3_s == pytest.approx(1900 * 0.3048**3 / 60)
    page.refresh()
    assert page.leakage.table.shown_texts()[0][2] == "1,900"


def test_a_test_without_its_flow_stays_in_the_form(page: HousePage, sample_desk: Desk, qtbot: QtBot) -> None:
    dialog = LeakageTestDialog(sample_desk, page)
    qtbot.addWidget(dialog)
    dialog.accept()
    assert "cannot be left empty" in dialog._trouble.text()
    assert len(sample_desk.service(MeterService).leakage_tests()) == 2


def test_the_panel_shows_what_nobody_stated_and_its_cautions(page: HousePage) -> None:
    page.panel.stage.setCurrentText(str(Stage.ALL))
    page.panel.refresh()
    lines = [row.accessibleName() for row in page.panel._answer.rows]
    assert lines[0].startswith("At least 92 A of 150 A")
    assert any("Loop and floor pumps (not stated)" in line for line in lines)
    assert "licensed electrician" in page.panel._remarks.text()


def test_a_panel_that_is_missing_can_be_recorded(empty_desk: Desk, qtbot: QtBot) -> None:
    page = HousePage(empty_desk)
    qtbot.addWidget(page)
    page.refresh()
    assert page.panel.record.isVisibleTo(page.panel)
    assert not page.panel.circuits.isVisibleTo(page.panel)
    dialog = PanelDialog(empty_desk, page)
    qtbot.addWidget(dialog)
    dialog._main.setText("100 A")
    dialog.accept()
    assert "floor area" in dialog._trouble.text()  # an empty project has none yet


def keeps(monkeypatch: pytest.MonkeyPatch, answer: bool = True) -> list[str]:
    """Answers the question whether to keep a file; what was shown is in the list."""
    shown: list[str] = []

    def ask(_parent: object, name: str, found: ReadIn) -> bool:
        shown.extend((name, found.line, *found.about))
        return answer

    monkeypatch.setattr(reading_in, "ask_to_keep", ask)
    return shown


READINGS = "Start,Usage (kWh)\n" + "\n".join(
    f"2026-{month:02d}-{day:02d} {hour:02d}:00,{hour / 10}"
    for month in (1, 7)
    for day in (5, 6)
    for hour in range(24)
)


def test_readings_are_shown_before_they_are_kept_and_then_under_the_bills(
    page: HousePage, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "hours.csv"
    file.write_text(READINGS, encoding="utf-8")
    shown = keeps(monkeypatch, answer=False)
    page.meters.read_in_file(file)
    assert "Holds 96 readings of Electric meter" in shown
    assert not page.desk.project.undo_title or "Read in" not in page.desk.project.undo_title
    keeps(monkeypatch)
    page.meters.read_in_file(file)
    assert page.desk.project.undo_title == "Read in readings from hours.csv"
    power = next(one for one in page.desk.service(MeterService).meters() if one.unit == "kWh")
    page.refresh()
    page.meters.choose(power.id)
    # the sample house has its own readings of the same hours; the file read in last counts
    assert "8,760 readings of 60 minutes" in page.meters.readings.about.text()
    assert page.meters.readings.files.text().startswith("From 2026-11-06 electric hours.csv, hours.csv")
    assert page.meters.readings.picture.isVisibleTo(page.meters.readings)
    assert "summer: most from" in page.meters.readings.picture.accessibleDescription()


def test_the_question_shows_every_line_of_the_summary(page: HousePage, qtbot: QtBot) -> None:
    dialog = KeepFileDialog(page, "hours.csv", ReadIn("readings", 2, "Holds 2 readings", ("One gap",)))
    qtbot.addWidget(dialog)
    words = [label.text() for label in dialog.findChildren(QLabel)]
    assert words[:2] == ["Holds 2 readings.", "One gap."]


def test_bills_are_read_in_from_a_table(
    page: HousePage, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown = keeps(monkeypatch)
    file = tmp_path / "gas.csv"
    file.write_text(
        "period_start,period_end,quantity,unit,cost\n2026-11-05,2026-11-18,20.5,therm,40.10\n",
        encoding="utf-8",
    )
    page.meters.read_in_file(file)
    assert shown == ["gas.csv", "Holds 1 bill of Gas meter"]
    page.refresh()
    assert page.meters.bills.shown_texts()[0][3] == "20.5"
    assert page.desk.project.undo_title == "Read in bills from gas.csv"


def test_a_file_that_holds_no_bills_is_told_in_one_line(
    page: HousePage, sample_desk: Desk, tmp_path: Path
) -> None:
    lines: list[str] = []
    sample_desk.notices.told.connect(lambda line, _owner: lines.append(line))
    file = tmp_path / "notes.csv"
    file.write_text("nothing\n", encoding="utf-8")
    page.meters.read_in_file(file)
    assert len(lines) == 1
    assert len(sample_desk.service(MeterService).meters()[0].bills) == 24


def test_with_large_text_the_plan_becomes_a_tab(page: HousePage) -> None:
    assert page._tabs.indexOf(page.plan) == -1
    page.resize(page.fontMetrics().averageCharWidth() * 60, 600)
    assert page._tabs.indexOf(page.plan) == 0
    page.resize(1280, 720)
    assert page._tabs.indexOf(page.plan) == -1


def test_an_empty_project_says_what_to_do(empty_desk: Desk, qtbot: QtBot) -> None:
    page = HousePage(empty_desk)
    qtbot.addWidget(page)
    page.refresh()
    assert "Describe a new house" in page.room._facts.text()


def test_layers_are_hatched_by_their_material() -> None:
    assert section_of("Brick veneer", "brick_facing", False) is Section.MASONRY
    assert section_of("Slab", "concrete_medium", False) is Section.CONCRETE
    assert section_of("Batt", "glass_fiber_batt", False) is Section.SOFT_INSULATION
    assert section_of("Board", "wood_fiber_board", False) is Section.RIGID_INSULATION
    assert section_of("Air space 1 in", "", True) is Section.AIR


def test_a_new_house_is_described_and_made(qapp: QApplication, qtbot: QtBot, tmp_path: Path) -> None:
    dialog = NewHouseDialog(Bench())
    qtbot.addWidget(dialog)
    dialog.name.setText("Elm Street")
    dialog.state.setText("NC")
    dialog.area.setText("1500 sq ft")
    dialog.year.setText("1955")
    dialog.people.setText("3")
    dialog.fuel.field.setText("700")
    dialog._kept_in.setText(str(tmp_path / "houses"))
    dialog.accept()
    made = cast(Path, dialog.made)
    assert made == tmp_path / "houses" / "Elm Street.retrofit"
    with Project.open(made) as project:
        assert HouseService(project).plan(Tint.HEAT_LOSS).cannot_say == ""


@pytest.mark.parametrize(("year", "said"), [("", "Year built"), ("soon", "no year"), ("1200", "no house")])
def test_a_new_house_without_a_year_stays_in_the_form(
    qapp: QApplication, qtbot: QtBot, tmp_path: Path, year: str, said: str
) -> None:
    dialog = NewHouseDialog(Bench())
    qtbot.addWidget(dialog)
    dialog.name.setText("Elm Street")
    dialog.area.setText("1500")
    dialog.people.setText("3")
    dialog.year.setText(year)
    dialog._kept_in.setText(str(tmp_path / "houses"))
    dialog.accept()
    assert said in dialog._trouble.text()
    assert dialog.made is None
    assert not (tmp_path / "houses" / "Elm Street.retrofit").exists()


def test_a_circuit_is_freed_and_a_machine_added_in_the_window(
    page: HousePage, sample_desk: Desk, qtbot: QtBot
) -> None:
    pane = page.findChild(PanelPane)
    assert pane is not None
    pane.refresh()
    pane.circuits.select(pane.circuits.shown_rows()[0])
    next(one for one in pane.findChildren(QPushButton) if one.text() == "Free the circuit").click()
    assert sample_desk.project.undo_title == "Free a circuit"
    dialog = MachineDialog(sample_desk, page, None)
    qtbot.addWidget(dialog)
    dialog._name.setText("Attic fan")
    dialog.accept()
    assert sample_desk.project.undo_title == "Record Attic fan"


def test_a_bore_is_tied_to_two_points_in_its_form(page: HousePage, sample_desk: Desk, qtbot: QtBot) -> None:
    entry = EquipmentEntryService(sample_desk.project)
    bores = next(row.id for row in EquipmentService(sample_desk.project).machines() if "bores" in row.name)
    dialog = MachineDialog(sample_desk, page, bores)
    qtbot.addWidget(dialog)
    assert dialog.form.isRowVisible(dialog._ties)
    assert not dialog.form.isRowVisible(dialog._heated_by)
    dialog._ties.add_row(("Bore 1", "NE corner", "24.3 ft", "SE corner", "36.4 ft", "36.06001", "-79.87003"))
    dialog.accept()
    (tie,) = entry.sheet(bores).ties
    assert tie.first_distance_m == pytest.approx(24.3 * 0.3048)
    assert (tie.latitude_deg, tie.longitude_deg) == (36.06001, -79.87003)


def test_a_form_of_a_machine_shows_its_own_numbers_and_refuses_nonsense(
    page: HousePage, sample_desk: Desk, qtbot: QtBot
) -> None:
    rows = {row.name: row.id for row in EquipmentService(sample_desk.project).machines()}
    dialog = MachineDialog(sample_desk, page, rows["Ducts in the attic"])
    qtbot.addWidget(dialog)
    ducts = dialog._workings[EquipmentKind.DUCTS]
    assert {key for key, field in ducts.items() if dialog.form.isRowVisible(field)} == set(ducts)
    assert not any(
        dialog.form.isRowVisible(field) for field in dialog._workings[EquipmentKind.FURNACE].values()
    )
    leak = ducts["supply_leakage"]
    leak.setText("120%")
    dialog.accept()
    assert leak.trouble.endswith("The field kept '11%'. Type 0% to 90%.")
    assert dialog.machine_id is not None
    assert sample_desk.project.undo_title != "Record Ducts in the attic"
    leak.setText("20%")
    dialog._passes.setCurrentText("outdoors")
    dialog.accept()
    told = EquipmentEntryService(sample_desk.project).sheet(rows["Ducts in the attic"]).workings
    assert (dict(told.numbers)["supply_leakage"], told.passes) == (0.2, "")
    sample_desk.project.undo()
    told = EquipmentEntryService(sample_desk.project).sheet(rows["Ducts in the attic"]).workings
    assert (dict(told.numbers)["supply_leakage"], told.passes) == (0.11, "attic")


def test_a_tank_heated_by_something_else_than_a_boiler_shows_its_name(
    page: HousePage, sample_desk: Desk, qtbot: QtBot
) -> None:
    entry, project = EquipmentEntryService(sample_desk.project), sample_desk.project
    facts = MachineFacts("Tank", EquipmentKind.WATER_HEATER)
    tank, _effect = entry.record(None, facts, workings=WrittenWorkings(heated_by="heat-pump"))
    dialog = MachineDialog(sample_desk, page, tank)
    qtbot.addWidget(dialog)
    assert dialog._heated_by.currentText() == "Ground-source heat pump, water to water"
    dialog.accept()
    assert entry.sheet(tank).workings.heated_by == "heat-pump"
    assert project.undo_title == "Record Tank"


def test_a_rating_typed_with_what_it_gives_and_takes_is_kept_exactly(
    page: HousePage, sample_desk: Desk, qtbot: QtBot
) -> None:
    entry = EquipmentEntryService(sample_desk.project)
    pump = next(row.id for row in EquipmentService(sample_desk.project).machines() if "to water" in row.name)
    before = entry.sheet(pump).ratings
    dialog = MachineDialog(sample_desk, page, pump)
    qtbot.addWidget(dialog)
    dialog._ratings.add_row(("COP", "3.1", "23 F", "95 F", "24 kBtu/h", "2.3 kW", "Leaflet"))
    dialog.accept()
    *same, new = entry.sheet(pump).ratings
    assert tuple(same) == before
    assert (new.capacity_w, new.power_w) == (pytest.approx(7033.7, abs=0.1), pytest.approx(2300.0))
    assert new.source_temp_c == pytest.approx(-5.0)


def test_the_gas_account_is_closed_from_its_meter_for_a_written_reason_alone(
    page: HousePage, sample_desk: Desk, qtbot: QtBot
) -> None:
    pane = page.findChild(MetersPane)
    assert pane is not None
    pane.refresh()
    gas = next(one for one in pane._meters if one.fuel == "natural gas")
    pane.choose(gas.id)
    texts = [one.text() for one in pane.findChildren(QPushButton) if not one.isHidden()]
    assert "Close the account …" in texts
    end = AccountClosingService(sample_desk.project).of_meter(gas.id)
    assert end is not None
    dialog = CloseAccountDialog(sample_desk, page, end)
    qtbot.addWidget(dialog)
    dialog.accept()
    assert sample_desk.project.undo_title != "Close an account"
    dialog.reason.setPlainText("The street main is closed")
    dialog.accept()
    assert sample_desk.project.undo_title == "Close an account"


def test_a_face_and_a_window_are_taken_out_in_the_window_and_undo_brings_them_back(
    page: HousePage, sample_desk: Desk
) -> None:
    page.show_item(Place(PageKey.HOUSE, "room", LIVING))
    before = page.desk.service(HouseService).room(LIVING)
    faces = {row.name: row for row in before.surfaces}
    page.room.choose_face(faces["Wall to the kitchen"].id)
    page.room.take_face_out()
    page.refresh()
    assert "Wall to the kitchen" not in {row.name for row in page.room.faces.model.rows}
    sample_desk.project.undo()
    page.refresh()
    assert page.desk.service(HouseService).room(LIVING) == before


def test_a_room_on_which_the_record_leans_stays_and_says_why(page: HousePage, sample_desk: Desk) -> None:
    lines: list[str] = []
    sample_desk.notices.told.connect(lambda line, _needs_owner: lines.append(line))
    page.show_item(Place(PageKey.HOUSE, "room", LIVING))
    page.room.take_room_out()
    assert page.desk.service(HouseService).room(LIVING).facts.name == "Living room"
    assert len(lines) == 1
    assert "Living room" in lines[0]


def test_the_story_of_a_room_is_renamed_in_the_window(
    page: HousePage, sample_desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    page.show_item(Place(PageKey.HOUSE, "room", LIVING))
    before = page.desk.service(HouseService).room(LIVING).storey

    def rename(form: StoreyDialog) -> int:
        assert form._name.text() == before
        form._name.setText("Garden level")
        form.accept()
        return 1

    monkeypatch.setattr(StoreyDialog, "exec", rename)
    page.room.change_storey()
    assert page.desk.service(HouseService).room(LIVING).storey == "Garden level"
    sample_desk.project.undo()
    assert page.desk.service(HouseService).room(LIVING).storey == before


def test_the_rooms_a_machine_serves_are_ticked_in_its_form(
    page: HousePage, sample_desk: Desk, qtbot: QtBot
) -> None:
    rows = {one.name: one for one in sample_desk.service(EquipmentService).machines()}
    furnace = rows["Gas furnace"]
    dialog = MachineDialog(sample_desk, page, furnace.id)
    qtbot.addWidget(dialog)
    assert len(dialog._serves.ticked()) == 7  # all heated rooms of the sample
    dialog._serves.tick(("den", "living"))
    dialog.accept()
    again = next(one for one in sample_desk.service(EquipmentService).machines() if one.id == furnace.id)
    assert again.serves == ("Den", "Living room")
    with sample_desk.project.session() as session:
        (system,) = [one for one in plant_of(session).heating if one.name == "furnace"]
    assert [one.zone for one in system.serves] == ["den", "living"]
