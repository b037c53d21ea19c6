"""Choosing which of the usual holds a measure gets."""

from __future__ import annotations

from PySide6.QtWidgets import QCheckBox, QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.usual_holds import UsualHold, UsualHoldService

HOW = (
    "What this kind of work usually waits for. The local office decides; a file hold_templates.toml in the "
    "project's tables takes the place of the list that comes with the program."
)


class HoldChoice(QWidget):
    """One box for each hold; those of another measure or kind of work can take their place."""

    def __init__(self, holds: tuple[UsualHold, ...], *, ticked: bool = True) -> None:
        super().__init__()
        self._ticked = ticked
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self.boxes: list[tuple[str, QCheckBox]] = []
        self.set_holds(holds)

    def set_holds(self, holds: tuple[UsualHold, ...]) -> None:
        while (item := self._column.takeAt(0)) is not None:
            if (old := item.widget()) is not None:
                old.deleteLater()
        self.boxes = []
        for hold in holds:
            box = QCheckBox(hold.name)
            box.setAccessibleName(hold.sentence)
            box.setChecked(self._ticked)
            told = soft_label(f"{hold.sentence}\n{hold.because}\nSource: {hold.source}.")
            told.setContentsMargins(self.fontMetrics().averageCharWidth() * 3, 0, 0, 6)
            self._column.addWidget(box)
            self._column.addWidget(told)
            self.boxes.append((hold.key, box))

    def keys(self) -> tuple[str, ...]:
        return tuple(key for key, box in self.boxes if box.isChecked())

    def draft_text(self) -> str:
        """Those decided otherwise than they were offered, for keeping a half-finished entry."""
        return "\n".join(key for key, box in self.boxes if box.isChecked() is not self._ticked)

    def restore_draft(self, text: str) -> None:
        changed = set(text.split("\n"))
        for key, box in self.boxes:
            box.setChecked((key in changed) is not self._ticked)


class UsualHoldsDialog(FormDialog):
    """`made` tells after *Record* how many were made."""

    def __init__(self, desk: Desk, parent: QWidget | None, measure_id: int, title: str) -> None:
        super().__init__(desk, parent, f"usual-holds:{measure_id}", f"Usual holds: {title}")
        self._measure_id, self.made = measure_id, 0
        self._service = desk.service(UsualHoldService)
        holds = self._service.offer(measure_id)
        self.body.insertWidget(0, soft_label(HOW if holds else "Everything usual is on record already."))
        self.choice = HoldChoice(holds)
        self.body.addWidget(self.choice)
        self.watch("holds", self.choice)
        self.body.addStretch(1)
        self.begin()

    def record(self) -> None:
        self.made = self._service.take(self._measure_id, self.choice.keys())
