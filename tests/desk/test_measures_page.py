"""Measures, their schedule and writing up the work, on the sample house."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QPushButton
from pytestqt.qtbot import QtBot

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.step_forms import AddStepDialog, AgreeDayDialog, SlipDialog, WaitForDialog
from retrofit_desk.desk.dialogs.write_up import WriteUpDialog
from retrofit_desk.desk.pages import measures, measures_schedule
from retrofit_desk.desk.pages.measures import MeasuresPage
from retrofit_desk.desk.widgets.lines import LineRow
from retrofit_desk.desk.widgets.site_test_block import TestBlock
from retrofit_desk.rules.states import MeasureState
from retrofit_desk.services.drafts import DraftService
from retrofit_desk.services.measures import MeasureRow, MeasureService
from retrofit_desk.values.place import PageKey, Place
from retrofit_desk.values.quantity import Units
from tests.desk.conftest import OpenPage


@pytest.fixture
def page(sample_desk: Desk, open_page: OpenPage) -> MeasuresPage:
    return open_page(MeasuresPage(sample_desk))


def row(page: MeasuresPage, word: str) -> MeasureRow:
    return next(one for one in page.desk.service(MeasureService).rows() if word in one.title)


def choose(page: MeasuresPage, word: str) -> None:
    next(one for one in page.register.lines if word in one.row.title).picked.emit(row(page, word).id)


def line(page: MeasuresPage, word: str) -> LineRow:
    return next(one for one in page.sheet.findChildren(LineRow) if word in one.accessibleName())


def button(owner: object, words: str) -> QPushButton:
    assert isinstance(owner, MeasuresPage | LineRow)
    return next(one for one in owner.findChildren(QPushButton) if one.text() == words)


def told(page: MeasuresPage) -> list[str]:
    lines: list[str] = []
    page.desk.notices.told.connect(lambda text, _needs: lines.append(text))
    return lines


def test_the_register_goes_by_keys_and_shows_what_is_chosen(page: MeasuresPage, qtbot: QtBot) -> None:
    solar = next(one for one in page.register.lines if "Solar" in one.row.title)
    qtbot.keyClick(solar, Qt.Key.Key_Return)
    assert solar.is_chosen
    assert page.sheet.sheet is not None
    assert page.sheet.sheet.row.title == solar.row.title
    assert "Not yet: don't start work on the roof" in line(page, "work on the roof").accessibleName()


def test_a_step_that_must_wait_is_passed_only_for_a_reason(
    page: MeasuresPage, monkeypatch: pytest.MonkeyPatch
) -> None:
    choose(page, "Wood-fiber batts")
    monkeypatch.setattr(measures, "ask_reason", lambda *_args: None)
    button(line(page, "the den north wall"), "Go on for a reason …").click()
    page.refresh()
    assert not line(page, "the den north wall").accessibleName().endswith("done")
    monkeypatch.setattr(measures, "ask_reason", lambda *_args: "Opened again on Monday")
    button(line(page, "the den north wall"), "Go on for a reason …").click()
    page.refresh()
    done = line(page, "the den north wall").accessibleName()
    assert "Opened again on Monday" in done
    assert done.endswith("done")


def test_dropping_asks_for_a_reason_and_undo_takes_it_back(
    page: MeasuresPage, monkeypatch: pytest.MonkeyPatch
) -> None:
    choose(page, "Thermal storage tank")
    monkeypatch.setattr(measures, "ask_reason", lambda *_args: "The slab would crack")
    button(page, "Drop …").click()
    page.refresh()
    assert row(page, "Thermal storage").state is MeasureState.DROPPED
    assert "The slab would crack" in line(page, "The slab would crack").accessibleName()
    page.desk.project.undo()
    assert row(page, "Thermal storage").state is MeasureState.IDEA


def test_moving_on_without_the_facts_is_not_offered(page: MeasuresPage) -> None:
    choose(page, "Clear high-gain glass")
    assert not button(page, "Move on: committed").isEnabled()


def test_work_is_written_up_and_told_what_it_frees_or_still_blocks(
    page: MeasuresPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fill(dialog: WriteUpDialog) -> int:
        qtbot.addWidget(dialog)
        dialog.who.setText("Idris")
        dialog.notes.setPlainText("Stapled the cable at the single box")
        dialog.accept()
        return dialog.result()

    monkeypatch.setattr(WriteUpDialog, "exec", fill)
    choose(page, "Wood-fiber batts")
    lines = told(page)
    page.write_up()
    page.refresh()
    assert "Stapled the cable" in line(page, "Idris").accessibleName()
    assert any("Written up." in one and "don't cover the den north wall" in one for one in lines)


def a_form(page: MeasuresPage, qtbot: QtBot, word: str) -> WriteUpDialog:
    dialog = WriteUpDialog(page.desk, page, row(page, word).id)
    qtbot.addWidget(dialog)
    dialog.show()
    return dialog


def test_a_write_up_without_its_day_stays_in_the_form(page: MeasuresPage, qtbot: QtBot) -> None:
    dialog = a_form(page, qtbot, "Radiant floors")
    dialog.worked_on.set_value(None)
    dialog.accept()
    assert dialog.isVisible()
    assert dialog.written is None


def test_a_half_finished_write_up_is_there_again(page: MeasuresPage, qtbot: QtBot) -> None:
    dialog = a_form(page, qtbot, "Radiant floors")
    dialog.who.setText("Maren")
    dialog.items.add_row(("PEX tubing", "Tarn", "TX-12", "TX12-0077"))
    dialog.reject()
    again = a_form(page, qtbot, "Radiant floors")
    assert again.who.text() == "Maren"
    assert again.items.rows() == [["PEX tubing", "Tarn", "TX-12", "TX12-0077"]]
    again.who.setText("Maren and Idris")
    again.accept()
    assert again.written is not None
    assert page.desk.service(DraftService).read(f"write-up:{row(page, 'Radiant floors').id}") == {}


def a_tubing_test(dialog: WriteUpDialog) -> TestBlock:
    dialog.tests.known.setCurrentIndex(dialog.tests.known.findText("Tubing pressure"))
    dialog.tests.known.activated.emit(dialog.tests.known.currentIndex())
    return dialog.tests.blocks[-1]


READINGS = {
    "value": "102 psi",
    "end_value": "101.5",
    "started": "3:40 pm",
    "ended": "16:12",
    "ambient": "2 F",
    "medium": "water",
    "gauge": "WF-3",
    "witness": "Della",
}


def test_a_known_test_brings_its_limits_and_says_at_once_what_it_needs(
    page: MeasuresPage, qtbot: QtBot, tmp_path: Path
) -> None:
    dialog = a_form(page, qtbot, "Radiant floors")
    block = a_tubing_test(dialog)
    assert (block.fields["low"].text(), block.fields["needed"].text()) == ("100 psi", "30")
    assert "it needs the value" in block.verdict_text()
    block.fields["value"].setText("loud")
    assert "no number in it" in block.verdict_text()
    for name, text in READINGS.items():
        block.fields[name].setText(text)
    assert block.verdict_text() == "Incomplete: Tubing in the floor, pressure, it needs a photo of the gauge."
    gauge = tmp_path / "gauge.jpg"
    gauge.write_bytes(b"\xff\xd8\xff gauge")
    dialog.photos.add_photo(gauge)
    assert block.photo is not None
    block.photo.setCurrentIndex(1)
    assert block.verdict_text() == "Passed: Tubing in the floor, pressure."
    block.fields["medium"].setText("oxygen")
    assert "never test with oxygen" in block.verdict_text()
    block.fields["medium"].setText("water")
    dialog.who.setText("Maren")
    dialog.accept()
    choose(page, "Radiant floors")
    assert "passed" in line(page, "102 psi to 101.5 psi, 32 min").accessibleName()


def test_a_test_that_lacks_something_says_so_on_the_sheet(page: MeasuresPage, qtbot: QtBot) -> None:
    dialog = a_form(page, qtbot, "Radiant floors")
    a_tubing_test(dialog).fields["value"].setText("97")
    dialog.who.setText("Maren")
    dialog.accept()
    assert dialog.written is not None
    assert dialog.written.effect.frees == ()
    choose(page, "Radiant floors")
    told = line(page, "Test: Tubing pressure 97").accessibleName()
    assert "97 psi is below 100 psi" in told
    assert "its gauge" in told


def test_a_half_finished_test_is_there_again_and_can_be_taken_out(page: MeasuresPage, qtbot: QtBot) -> None:
    dialog = a_form(page, qtbot, "Radiant floors")
    block = a_tubing_test(dialog)
    for name, text in READINGS.items():
        block.fields[name].setText(text)
    block.fields["low"].setText("120 psi")
    own = dialog.tests.put("")
    own.fields["name"].setText("Noise at the fence")
    dialog.reject()
    again = a_form(page, qtbot, "Radiant floors")
    kept, other = again.tests.blocks
    assert kept.texts() == block.texts()
    assert "101.5 psi is below 120 psi" in kept.verdict_text()
    assert other.fields["name"].text() == "Noise at the fence"
    qtbot.keyClick(other.take_out, Qt.Key.Key_Space)
    assert again.tests.blocks == [kept]


def test_a_lowered_limit_counts_only_with_a_source_of_its_own(page: MeasuresPage, qtbot: QtBot) -> None:
    block = a_tubing_test(a_form(page, qtbot, "Radiant floors"))
    block.fields["value"].setText("60 psi")
    block.fields["low"].setText("50 psi")
    assert "60 psi is below 100 psi" in block.verdict_text()
    block.fields["source"].setText("Local sheet")
    assert "below" not in block.verdict_text()


def test_the_written_test_is_read_in_the_units_shown(page: MeasuresPage, qtbot: QtBot) -> None:
    page.desk.set_units(Units.SI)
    block = a_tubing_test(a_form(page, qtbot, "Radiant floors"))
    block.fields["value"].setText("700")
    assert block.fields["low"].text() == "689.5 kPa"
    assert (block.written().value.value, block.written().low_limit) == (700.0, 689.5)


def test_the_serial_in_a_photos_name_goes_into_the_products(page: MeasuresPage, qtbot: QtBot) -> None:
    dialog = a_form(page, qtbot, "Induction range")
    dialog._serial_from_photo("/photos/plate SN QX7714-0032.jpg")
    dialog._serial_from_photo("/photos/plate SN QX7714-0032.jpg")
    assert [one[3] for one in dialog.items.rows()] == ["QX7714-0032"]


def test_the_schedule_opens_at_the_step_that_is_called_for(page: MeasuresPage) -> None:
    view = page.schedule._schedule.view()
    pour = next(one for one in view.steps if one.title == "Pour the den floor")
    page.show_item(Place(PageKey.MEASURES, "task", pour.id))
    assert page.parts.currentWidget() is page.schedule
    names = [one.accessibleName() for one in page.schedule.step.rows]
    assert "no day to spare" in names[0]
    assert any(one.startswith("Waits for: ") and "Tubing inspection, den" in one for one in names)
    assert any("Not yet: don't cover the loops" in name for name in names)
    page.show_item(Place(PageKey.MEASURES, "measure", row(page, "Solar").id))
    assert page.parts.currentWidget() is not page.schedule


def test_a_click_on_a_bar_shows_its_step(page: MeasuresPage) -> None:
    page.turn()
    page.schedule.picture.grab()  # draws, so that the bars can be hit
    hot = next(one for one in page.schedule.picture.hot if one.name.startswith("Fit the batts"))
    page.schedule.picture.chosen.emit(hot.key)
    assert "92 days to spare" in page.schedule.step.rows[0].accessibleName()


def test_on_a_low_window_the_chosen_step_scrolls_instead_of_being_squeezed(page: MeasuresPage) -> None:
    page.turn()
    inside = page.schedule.picture.parentWidget()
    page.resize(520, 330)
    QApplication.processEvents()
    assert inside.isAncestorOf(page.schedule.step)
    page.resize(1100, 640)
    QApplication.processEvents()
    assert not inside.isAncestorOf(page.schedule.step)


def test_a_day_is_agreed_and_a_wait_added_from_their_forms(
    page: MeasuresPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    def agree(dialog: AgreeDayDialog) -> int:
        qtbot.addWidget(dialog)
        qtbot.keyClicks(dialog.day, "Dec 8")
        dialog.accept()
        return dialog.result()

    def wait(dialog: WaitForDialog) -> int:
        qtbot.addWidget(dialog)
        dialog.before.setCurrentText("Pour the den floor")
        dialog.accept()
        return dialog.result()

    monkeypatch.setattr(AgreeDayDialog, "exec", agree)
    monkeypatch.setattr(WaitForDialog, "exec", wait)
    page.turn()
    batts = next(one for one in page.schedule._schedule.view().steps if one.title == "Fit the batts")
    page.schedule.choose(batts.id)
    button(page.schedule.step.rows[0], "Agree a day …").click()
    page.refresh()
    assert "agreed for Dec 8, 2026" in page.schedule.step.rows[0].accessibleName()
    button(page.schedule.step.rows[0], "Let it wait …").click()
    page.refresh()
    waits = next(
        one.accessibleName() for one in page.schedule.step.rows if "Waits for: " in one.accessibleName()
    )
    assert "Pour the den floor" in waits


def test_a_slip_is_told_and_nothing_is_recorded(page: MeasuresPage, qtbot: QtBot) -> None:
    before = page.desk.project.undo_title
    step = next(one for one in page.schedule._schedule.view().steps if one.title == "Den topping dries")
    dialog = SlipDialog(page.desk, page, step)
    qtbot.addWidget(dialog)
    assert "Take the furnace out" in dialog.told.text()
    dialog.more.set_value(0.0)
    dialog.look()
    assert "No other step moves." in dialog.told.text()
    dialog.accept()
    assert page.desk.project.undo_title == before


def test_a_new_step_stands_in_the_plan(
    page: MeasuresPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    def add(dialog: AddStepDialog) -> int:
        qtbot.addWidget(dialog)
        dialog.name.setText("Rent a heater")
        dialog.end.set_value(date(2026, 11, 24))
        dialog.accept()
        return dialog.result()

    monkeypatch.setattr(AddStepDialog, "exec", add)
    page.turn()
    page.schedule.add_step()
    page.refresh()
    assert "must end by Nov 24, 2026" in page.schedule.step.rows[0].accessibleName()


def test_a_shut_step_of_the_schedule_is_done_for_a_written_reason_only(
    page: MeasuresPage, monkeypatch: pytest.MonkeyPatch
) -> None:
    page.show_item(Place(PageKey.MEASURES, "schedule"))
    view = page.schedule.view
    assert view is not None
    pour = next(one for one in view.steps if one.title == "Pour the den floor")
    asked: list[str] = []

    def answer(_desk: object, _parent: object, _title: str, sentence: str, _remark: str) -> str | None:
        asked.append(sentence)
        return None if len(asked) == 1 else "The truck stands in the drive"

    monkeypatch.setattr(measures_schedule, "ask_reason", answer)
    for is_done in (False, True):
        page.schedule.choose(pour.id)
        done = [one for one in page.schedule.findChildren(QPushButton) if one.text() == "Done"]
        assert done
        done[-1].click()
        page.refresh()
        now = page.schedule.view
        assert now is not None
        assert next(one.is_done for one in now.steps if one.id == pour.id) is is_done
    assert "don't cover the loops in the den floor" in asked[0]
