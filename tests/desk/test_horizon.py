"""The horizon is recorded in its form."""

from __future__ import annotations

from pytestqt.qtbot import QtBot

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.horizon import HorizonDialog
from retrofit_desk.services.horizon import HorizonService


def test_eight_directions_are_typed(sample_desk: Desk, qtbot: QtBot) -> None:
    dialog = HorizonDialog(sample_desk, None)
    qtbot.addWidget(dialog)
    dialog._altitudes[0].setText("12")
    dialog.accept()
    assert "0 where the view is open" in dialog._trouble.text()
    for field in dialog._altitudes[1:]:
        field.setText("0")
    dialog.accept()
    assert sample_desk.service(HorizonService).altitudes_deg() == (12.0, *([0.0] * 7))
