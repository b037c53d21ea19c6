"""What is inside a wall and what is known of a machine, in the window: set by keys, found, printed."""

from __future__ import annotations

from pathlib import Path

import pytest
from pypdf import PdfReader
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog, QWidget
from pytestqt.qtbot import QtBot

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs import write_up
from retrofit_desk.desk.dialogs.inside import CorrectMarkDialog, InsideDialog, MarkDialog
from retrofit_desk.desk.dialogs.machine_page import MachinePageDialog
from retrofit_desk.desk.dialogs.write_up import WriteUpDialog
from retrofit_desk.desk.widgets.lines import StackedList
from retrofit_desk.desk.widgets.marks_field import MarksField
from retrofit_desk.services.holds import HoldService
from retrofit_desk.services.inside import HiddenKind, InsideService, WrittenHidden
from retrofit_desk.services.measures import MeasureService

WALL = "Den, North wall"


def measure_id(desk: Desk, key: str) -> int:
    return next(row.id for row in desk.service(MeasureService).rows() if row.key == key)


def face_id(desk: Desk) -> int:
    return next(face for face, words in desk.service(InsideService).faces() if words == WALL)


def named(owner: QWidget, name: str) -> QWidget:
    return next(one for one in owner.findChildren(QWidget) if one.accessibleName() == name)


def lines(owner: QWidget) -> str:
    """What stands in a list, or in every list of a dialog."""
    stacks = [owner] if isinstance(owner, StackedList) else owner.findChildren(StackedList)
    return " ".join(
        row.accessibleName()
        for stack in stacks
        if owner is stack or stack.isVisibleTo(owner)
        for row in stack.rows
    )


def a_write_up(desk: Desk, qtbot: QtBot) -> WriteUpDialog:
    dialog = WriteUpDialog(desk, None, measure_id(desk, "den-batts"))
    qtbot.addWidget(dialog)
    dialog.show()
    return dialog


def choose_wall(dialog: WriteUpDialog, qtbot: QtBot) -> None:
    """By keys alone: letters choose in a box."""
    qtbot.keyClicks(named(dialog, "Place 1, room"), "Den")
    qtbot.keyClicks(named(dialog, "Place 1, wall, floor or ceiling"), "North wall")


@pytest.fixture(autouse=True)
def _bare_wall(sample_desk: Desk) -> None:
    """What the sample's story marks in it is taken out, so that each test marks its own."""
    service = InsideService(sample_desk.project)
    for one in service.look(face_id(sample_desk)).marks:
        service.take_out(one.id)


def mark(field: MarksField, qtbot: QtBot, kind: str, name: str, *lengths: str) -> None:
    """Type one line from left to right, going on with Tab."""
    line = field.lines[-1]
    qtbot.keyClicks(line.kind, kind)
    line.name.setFocus()
    qtbot.keyClicks(line.name, name)
    for box, text in zip(line.lengths, lengths, strict=False):
        box.setFocus()
        qtbot.keyClicks(box, text)
        qtbot.keyClick(box, Qt.Key.Key_Tab)


def test_marks_are_set_in_the_write_up_without_a_mouse_and_found_in_the_wall(
    sample_desk: Desk, qtbot: QtBot, tmp_path: Path
) -> None:
    # NEED-16, MOM-3
    dialog = a_write_up(sample_desk, qtbot)
    dialog.who.setText("Idris")
    choose_wall(dialog, qtbot)
    mark(dialog.marks, qtbot, "cable", "14 AWG to the lamp", "1 ft", "18 in", "10 ft", "18 in", "1.5 in")
    mark(dialog.marks, qtbot, "stud", "Double stud", "4 ft", "0 ft", "4 ft", "7 ft")
    photo = tmp_path / "north wall.jpg"
    photo.write_bytes(b"\xff\xd8\xff wall")
    dialog.photos.add_photo(photo).tape.setChecked(True)
    dialog.accept()
    assert dialog.written is not None
    found = InsideDialog(sample_desk, None, face_id(sample_desk))
    qtbot.addWidget(found)
    told = found.picture.accessibleDescription()
    assert "cable 14 AWG to the lamp, 1.5 in deep" in told
    assert "stud Double stud" in told
    assert "north wall" in lines(found.photos)
    (cable, stud) = InsideService(sample_desk.project).look(face_id(sample_desk)).things
    assert cable.path == (pytest.approx((0.3048, 0.4572)), pytest.approx((3.048, 0.4572)))
    assert len(stud.path) == 2


def test_a_half_finished_write_up_keeps_its_marks_photos_and_what_was_closed(
    sample_desk: Desk, qtbot: QtBot, tmp_path: Path
) -> None:
    dialog = a_write_up(sample_desk, qtbot)
    choose_wall(dialog, qtbot)
    named(dialog, "Place 1, it was closed with this work").setChecked(True)  # type: ignore[attr-defined]
    mark(dialog.marks, qtbot, "duct", "To the register", "2 ft", "1 ft")
    photo = tmp_path / "wall.jpg"
    photo.write_bytes(b"\xff\xd8\xff wall")
    line = dialog.photos.add_photo(photo)
    line.title.setText("Duct before the board")
    line.tape.setChecked(True)
    kept = (dialog.places.places(), dialog.marks.written(), dialog.photos.draft_text())
    dialog.reject()
    again = a_write_up(sample_desk, qtbot)
    assert (again.places.places(), again.marks.written(), again.photos.draft_text()) == kept
    assert again.places.places()[0].is_covered


def test_a_wall_that_has_not_passed_is_closed_for_a_written_reason_only(
    sample_desk: Desk, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []

    def leave(_desk: object, _parent: object, _title: str, sentence: str, _remark: str) -> str | None:
        asked.append(sentence)
        return None if len(asked) == 1 else "The inspector saw it on the phone"

    monkeypatch.setattr(write_up, "ask_reason", leave)
    dialog = a_write_up(sample_desk, qtbot)
    dialog.who.setText("Idris")
    choose_wall(dialog, qtbot)
    named(dialog, "Place 1, it was closed with this work").setChecked(True)  # type: ignore[attr-defined]
    dialog.accept()
    assert dialog.isVisible()  # left: nothing is recorded, the form stays
    assert dialog.written is None
    assert "don't cover the den north wall until rough electrical has passed" in asked[0]
    dialog.accept()
    assert dialog.written is not None
    overridden = [one.sentence for one in HoldService(sample_desk.project).overridden()]
    assert any("The inspector saw it on the phone" in one for one in overridden)


def test_a_mark_with_half_a_point_stays_in_the_form(sample_desk: Desk, qtbot: QtBot) -> None:
    dialog = MarkDialog(sample_desk, None, face_id(sample_desk), WALL)
    qtbot.addWidget(dialog)
    dialog.accept()
    mark(dialog.marks, qtbot, "shut", "Hose valve", "2 ft")
    dialog.accept()
    assert dialog.result() == 0
    dialog.marks.lines[0].lengths[1].setText("1 ft")
    dialog.accept()
    assert dialog.result() == 1
    (valve,) = InsideService(sample_desk.project).look(face_id(sample_desk)).things
    assert (valve.kind, valve.words) == ("shut-off", "Hose valve")
    assert sample_desk.project.undo() == "Mark Hose valve inside a face"


def test_a_mark_that_was_wrong_is_corrected_and_taken_out_by_keys(sample_desk: Desk, qtbot: QtBot) -> None:
    # NEED-16: what was written up wrongly is set right where it is found
    service, face = InsideService(sample_desk.project), face_id(sample_desk)
    service.mark(WrittenHidden(HiddenKind.GAS_PIPE, "Old pipe", face, ((0.1, 2.0), (1.6, 2.0), (1.6, 2.3))))
    dialog = InsideDialog(sample_desk, None, face)
    qtbot.addWidget(dialog)
    (before,) = service.look(face).marks
    right = CorrectMarkDialog(sample_desk, dialog, before)
    qtbot.addWidget(right)
    assert right.marks.written() == (before.written,)  # a bend between its ends stays
    line = right.marks.lines[0]
    line.name.setFocus()
    qtbot.keyClicks(line.name, ", dead")
    line.lengths[4].setFocus()
    qtbot.keyClicks(line.lengths[4], "2 in")
    assert len(right.marks.lines) == 1  # one mark is corrected, none is added
    right.accept()
    dialog.refresh()
    assert "gas pipe: Old pipe, dead, 2 in deep" in lines(dialog.marks)
    assert service.look(face).marks[0].written.path == before.written.path
    out = named(dialog, f"Take out: 1. gas pipe: {service.look(face).marks[0].words}")
    qtbot.keyClick(out, Qt.Key.Key_Space)
    assert lines(dialog.marks) == ""
    assert sample_desk.project.undo() == "Take a mark out"


def test_a_correction_left_half_finished_comes_back(sample_desk: Desk, qtbot: QtBot) -> None:
    service, face = InsideService(sample_desk.project), face_id(sample_desk)
    service.mark(WrittenHidden(HiddenKind.BOX, "Outlet", face, ((0.5, 0.4),)))
    (mark_kept,) = service.look(face).marks
    first = CorrectMarkDialog(sample_desk, None, mark_kept)
    qtbot.addWidget(first)
    first.marks.lines[0].lengths[1].setText("3 ft")
    first.reject()
    again = CorrectMarkDialog(sample_desk, None, mark_kept)
    qtbot.addWidget(again)
    (told,) = again.marks.written()
    assert told.path == (pytest.approx((0.5, 0.9144), abs=0.02),)  # a kept text is read as typed
    again.begin_afresh()
    again.marks.lines[0].name.clear()
    for box in again.marks.lines[0].lengths:
        box.clear()
    again.accept()
    assert again.result() == 0
    assert service.look(face).marks == (mark_kept,)


def test_the_wall_is_printed_on_one_page_and_as_a_picture(
    sample_desk: Desk, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    dialog = InsideDialog(sample_desk, None, face_id(sample_desk))
    qtbot.addWidget(dialog)
    assert "New 14 AWG cable" in lines(dialog.written)
    page, picture = tmp_path / "wall.pdf", tmp_path / "wall.png"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_words: (str(page), ""))
    dialog.save_page()
    assert len(PdfReader(page).pages) == 1
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_words: (str(picture), ""))
    dialog.save_phone()
    assert picture.read_bytes().startswith(b"\x89PNG")
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_words: ("", ""))
    dialog.save_page()  # nothing chosen, nothing written
    assert len(list(tmp_path.glob("*.pdf"))) == 1


def test_another_face_is_shown_when_it_is_chosen(sample_desk: Desk, qtbot: QtBot) -> None:
    dialog = InsideDialog(sample_desk, None, face_id(sample_desk))
    qtbot.addWidget(dialog)
    assert lines(dialog.photos)
    other = next(at for at in range(dialog.face.count()) if "Den" not in dialog.face.itemText(at))
    dialog.face.setCurrentIndex(other)
    assert "New 14 AWG cable" not in lines(dialog.written)


def test_a_machine_stands_on_one_page_with_its_serial_and_is_printed(
    sample_desk: Desk, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # MOM-2, MOM-7
    dialog = MachinePageDialog(sample_desk, None)
    qtbot.addWidget(dialog)
    for at in range(dialog.machine.count()):
        dialog.machine.setCurrentIndex(at)
        assert len(lines(dialog)) > 20, dialog.machine.currentText()
    page = tmp_path / "machine.pdf"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_words: (str(page), ""))
    dialog.save()
    words = "".join(one.extract_text() for one in PdfReader(page).pages)
    assert len(PdfReader(page).pages) == 1
    assert dialog.machine.currentText() in words


def test_a_house_without_machines_says_so(empty_desk: Desk, qtbot: QtBot) -> None:
    dialog = MachinePageDialog(empty_desk, None)
    qtbot.addWidget(dialog)
    dialog.save()
    assert dialog.machine.count() == 0
