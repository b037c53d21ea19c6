"""A thermal bridge is recorded from the House page."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLabel, QPushButton
from pytestqt.qtbot import QtBot

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.thermal_bridge import ThermalBridgeDialog
from retrofit_desk.desk.pages.house_face import FacePart
from retrofit_desk.services.house_faces import FaceService
from retrofit_desk.services.thermal_bridges import ThermalBridgeService


def test_a_bridge_is_typed_shown_and_taken_out(sample_desk: Desk, qtbot: QtBot) -> None:
    sheet = FaceService(sample_desk.project).sheet(1)
    bridges = sample_desk.service(ThermalBridgeService)
    dialog = ThermalBridgeDialog(sample_desk, None, sheet, None)
    qtbot.addWidget(dialog)
    dialog._name.setText("Slab edge")
    dialog._length.setText("10 m")
    dialog.accept()
    assert bridges.of_face(1) == ()  # nothing is filled in for what was left empty
    dialog._psi.setText("0.5 W/mK")
    dialog._psi_source.setText("ISO 14683")
    dialog.accept()
    assert [one.loss_w_k for one in bridges.of_face(1)] == [5.0]

    part = FacePart(sample_desk)
    qtbot.addWidget(part)
    part.show_face(sheet)
    part.show()
    words = [label.text() for label in part.findChildren(QLabel)]
    assert any("Source: ISO 14683." in one for one in words)
    out = next(one for one in part.findChildren(QPushButton) if one.accessibleName() == "Take out Slab edge")
    out.setFocus()
    QTest.keyClick(out, Qt.Key.Key_Space)
    assert bridges.of_face(1) == ()
