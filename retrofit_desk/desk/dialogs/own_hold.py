"""A hold in the owner's own words."""

from __future__ import annotations

from PySide6.QtWidgets import QComboBox, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.facts_form import FactsForm, counted, needed_text
from retrofit_desk.desk.widgets.fields import DateField
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.hold_entry import (
    OWN_NEEDS,
    HoldAction,
    HoldEntryService,
    NeedKind,
    WrittenHold,
)
from retrofit_desk.values.quantity import Dimension


class OwnHoldDialog(FactsForm):
    """Don't … until …: what the owner wants to see before a step of this measure."""

    def __init__(self, desk: Desk, parent: QWidget | None, measure_id: int, title: str) -> None:
        super().__init__(desk, parent, f"own-hold:{measure_id}", f"Write a hold: {title}")
        self._measure_id, self._service = measure_id, desk.service(HoldEntryService)
        self.body.insertWidget(
            0, soft_label("It reads: Not yet: don't … until …. A paper filed for it frees it.")
        )
        self.action = QComboBox()
        self.action.addItems([str(one) for one in HoldAction])
        self.add("Don't", "action", self.action)
        self.what = self.add_line("What", "what", "")
        self.what.setPlaceholderText("the chase behind the tub")
        self.until = self.add_line("Until", "until", "")
        self.until.setPlaceholderText("the plumber has seen the trap")
        self.kind = QComboBox()
        self.kind.addItems([str(one) for one in OWN_NEEDS])
        self.add("It waits for", "kind", self.kind)
        self.count = self.add_quantity("How many", "count", Dimension.PLAIN, 1.0, low_si=1.0, decimals=0)
        self.not_before = DateField(desk, "Not before", self._service.today())
        self.add("Not before", "not_before", self.not_before)
        self.with_whom = self.add_line("With whom", "with_whom", "")
        self.reason = self.add_line("Because", "because", "")
        self.body.addStretch(1)
        self.resize(self.width(), self.fontMetrics().lineSpacing() * 24)
        self.begin()

    def record(self) -> None:
        self._service.write(
            WrittenHold(
                self._measure_id,
                HoldAction(self.action.currentText()),
                needed_text(self.what, "What"),
                needed_text(self.until, "Until"),
                NeedKind(self.kind.currentText()),
                counted(self.count),
                self.not_before.value(),
                self.with_whom.text(),
                self.reason.text(),
            )
        )
