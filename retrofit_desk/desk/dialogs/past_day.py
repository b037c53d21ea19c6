"""Asks which day of the past to look at."""

from __future__ import annotations

from datetime import date

from PySide6.QtWidgets import QDialog, QDialogButtonBox, QFormLayout, QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.widgets.fields import DateField
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.past import PastService

REMARK = "Every page then shows what was known at the end of that day. Nothing changes there; Esc comes back."


class PastDayDialog(QDialog):
    """One typed date."""

    def __init__(self, desk: Desk, parent: QWidget | None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Look at a day of the past")
        self.day = DateField(desk, "Day", desk.service(PastService).today())
        form = QFormLayout()
        form.addRow("Day", self.day)
        buttons = QDialogButtonBox()
        self.look = buttons.addButton("Look", QDialogButtonBox.ButtonRole.AcceptRole)
        buttons.addButton("Leave it", QDialogButtonBox.ButtonRole.RejectRole)
        buttons.accepted.connect(self._look)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.addLayout(form)
        column.addWidget(soft_label(REMARK))
        column.addWidget(buttons)
        self.resize(self.fontMetrics().averageCharWidth() * 56, self.sizeHint().height())

    def _look(self) -> None:
        if self.day.settle() and self.day.value() is not None:
            self.accept()


def ask_past_day(desk: Desk, parent: QWidget | None) -> date | None:
    """The day, or None when the owner leaves it."""
    dialog = PastDayDialog(desk, parent)
    return dialog.day.value() if dialog.exec() else None
