"""Trees and the horizon are recorded from the House page and can be read there."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLabel, QPushButton
from pytestqt.qtbot import QtBot
from sqlalchemy import select

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.opening_form import OpeningDialog
from retrofit_desk.desk.dialogs.tree_stand import TreeStandDialog
from retrofit_desk.desk.dialogs.window_by_parts import WindowByPartsDialog
from retrofit_desk.desk.pages.house_around import NOT_LOOKED_AT, AroundPane
from retrofit_desk.desk.pages.house_face import FacePart
from retrofit_desk.records import models as m
from retrofit_desk.services.horizon import HorizonService
from retrofit_desk.services.house_faces import FaceService, OpeningSheet
from retrofit_desk.services.trees import TreeFacts, TreeService

OAKS = TreeFacts("Oaks", 135.0, 225.0, 35.0, 0.2, 0.6, 4, 10, "looked at in July")


def words_of(part: AroundPane | FacePart) -> str:
    return " ".join(label.text() for label in part.findChildren(QLabel))


def type_trees(dialog: TreeStandDialog) -> None:
    dialog._name.setText(OAKS.name)
    for field, text in (
        (dialog._from, "135"),
        (dialog._to, "225 deg"),
        (dialog._tops, "35"),
        (dialog._in_leaf, "20%"),
        (dialog._bare, "60%"),
    ):
        field.setText(text)
    dialog._first.setCurrentText("April")
    dialog._last.setCurrentText("October")


def test_trees_are_typed_and_nothing_is_filled_in(sample_desk: Desk, qtbot: QtBot) -> None:
    trees = sample_desk.service(TreeService)
    dialog = TreeStandDialog(sample_desk, None, None)
    qtbot.addWidget(dialog)
    dialog._name.setText("Oaks")
    dialog.accept()
    assert trees.stands() == ()
    type_trees(dialog)
    dialog.accept()
    assert "needs its source" in dialog._trouble.text()
    dialog._known_by.setText(OAKS.source)
    dialog.accept()
    assert [one.facts for one in trees.stands()] == [OAKS]
    assert sample_desk.project.undo_title == "Record Oaks"


def test_evergreen_trees_have_no_seasons(sample_desk: Desk, qtbot: QtBot) -> None:
    sample_desk.service(TreeService).add(OAKS)
    dialog = TreeStandDialog(sample_desk, None, sample_desk.service(TreeService).stands()[0])
    qtbot.addWidget(dialog)
    assert dialog._bare.isEnabled()
    dialog._first.setCurrentText("evergreen")
    assert not dialog._bare.isEnabled()
    assert not dialog._last.isEnabled()
    dialog.accept()
    (row,) = sample_desk.service(TreeService).stands()
    assert (row.facts.in_leaf, row.facts.share_bare) == ("evergreen", None)


def test_a_half_typed_stand_of_trees_comes_back(sample_desk: Desk, qtbot: QtBot) -> None:
    first = TreeStandDialog(sample_desk, None, None)
    qtbot.addWidget(first)
    type_trees(first)
    first.reject()
    again = TreeStandDialog(sample_desk, None, None)
    qtbot.addWidget(again)
    assert again._bare.isEnabled()
    assert (again._tops.text(), again._last.currentText()) == ("35°", "October")


def test_horizon_and_trees_can_be_read_and_taken_out_without_a_mouse(sample_desk: Desk, qtbot: QtBot) -> None:
    pane = AroundPane(sample_desk)
    qtbot.addWidget(pane)
    pane.refresh()
    assert NOT_LOOKED_AT in words_of(pane)
    sample_desk.service(HorizonService).change((0.0, 0.0, 4.0, 12.0, 8.0, 0.0, 0.0, 0.0))
    sample_desk.service(TreeService).add(OAKS)
    pane.refresh()
    pane.show()
    words = words_of(pane)
    assert "12° to the southeast, 8° to the south" in words
    assert "Oaks: in leaf April to October" in words
    assert "From southeast (135°) clockwise to southwest (225°), tops 35° above level" in words
    assert "20% of the sun in leaf, 60% when bare. Source: looked at in July." in words
    assert "December 21: the sun is up for 9.5 hours; hills and trees leave" in words
    out = next(one for one in pane.findChildren(QPushButton) if one.text() == "Take out")
    out.setFocus()
    QTest.keyClick(out, Qt.Key.Key_Space)
    assert sample_desk.service(TreeService).stands() == ()
    sample_desk.project.undo()
    assert len(sample_desk.service(TreeService).stands()) == 1


def test_without_the_house_s_place_no_sun_is_drawn(empty_desk: Desk, qtbot: QtBot) -> None:
    pane = AroundPane(empty_desk)
    qtbot.addWidget(pane)
    pane.refresh()
    pane.show()
    assert not pane._sky.isVisible()
    assert NOT_LOOKED_AT in words_of(pane)


def window_of(desk: Desk) -> OpeningSheet:
    return desk.service(FaceService).sheet(1).openings[1]


def test_a_window_without_a_label_is_worked_out_and_says_so(sample_desk: Desk, qtbot: QtBot) -> None:
    sheet = window_of(sample_desk)
    parts = WindowByPartsDialog(sample_desk, None, sheet)
    dialog = OpeningDialog(sample_desk, None, sheet)
    for one in (parts, dialog):
        qtbot.addWidget(one)
    parts._frame.setCurrentText("not chosen")
    parts._panes.setText("1")
    parts.accept()
    assert parts.found is None
    assert "its frame" in parts._trouble.text()
    parts._frame.setCurrentText("wood")
    parts.accept()
    assert parts.found is not None
    dialog.take_worked_out(parts.found)
    dialog.accept()
    after = window_of(sample_desk)
    assert after.facts.u_value_w_m2k.value == pytest.approx(parts.found.u_value_w_m2k, rel=0.01)
    with sample_desk.project.session() as session:
        query = select(m.FactNote).where(
            m.FactNote.table == "opening", m.FactNote.row_id == after.id, m.FactNote.column == "u_value_w_m2k"
        )
        note = session.scalars(query).one()
        assert note.certainty is m.Certainty.CALCULATED
        assert "worked out by ISO 10077-1 from 1 pane, wood frame" in note.source


def test_a_window_s_glass_and_the_clock_of_its_shade_are_typed_and_read(
    sample_desk: Desk, qtbot: QtBot
) -> None:
    dialog = OpeningDialog(sample_desk, None, window_of(sample_desk))
    qtbot.addWidget(dialog)
    dialog._coating.setCurrentText("low-e")
    for row in (("0", "0.58"), ("40°", "0.55"), ("60", "nonsense")):
        dialog._course.add_row(row)
    dialog._shade.setCurrentText("shutter")
    dialog._passes.setText("0.15")
    assert not dialog._hours[0].isEnabled()
    dialog._rule.setCurrentText("drawn by the clock")
    dialog._hours[0].setText("9")
    dialog._hours[1].setText("17")
    dialog._months[0].setCurrentText("May")
    dialog.accept()
    assert "nonsense" in dialog._trouble.text()
    dialog._course._rows[2][1].setText("0.45")
    dialog.accept()
    assert "the other month is missing" in dialog._trouble.text()
    dialog._months[1].setCurrentText("September")
    dialog.accept()
    after = window_of(sample_desk)
    assert after.facts.shgc_by_angle == ((0.0, 0.58), (40.0, 0.55), (60.0, 0.45))
    assert (after.facts.shade_from_hour, after.facts.shade_to_hour) == (9, 17)
    part = FacePart(sample_desk)
    qtbot.addWidget(part)
    part.show_face(sample_desk.service(FaceService).sheet(1))
    words = words_of(part)
    assert "Glass: low-e. SHGC by angle, by the maker's sheet: 0.58 at 0°, 0.55 at 40°, 0.45 at 60°." in words
    assert "Shade: shutter, drawn by the clock, hours 9 to 17 of standard time, May to September" in words
    again = OpeningDialog(sample_desk, None, after)
    qtbot.addWidget(again)
    again.accept()
    assert window_of(sample_desk) == after
