"""The backups: when each was made, and putting the record back to one."""

from __future__ import annotations

from PySide6.QtWidgets import QDialog, QDialogButtonBox, QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.widgets.record_table import Column, RecordTable
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.records.backup import Backup
from retrofit_desk.services.past import PastService
from retrofit_desk.values.dates import day_text

REMARK = (
    "The record is put back to the chosen backup. What it replaces is kept as a backup of its own, and no "
    "paper is deleted."
)
COLUMNS: tuple[Column[Backup], ...] = (
    Column(
        "Made",
        lambda one: f"{day_text(one.made_at.astimezone().date())}, {one.made_at.astimezone():%H:%M}",
        lambda one: one.made_at,
        is_strong=True,
    ),
    Column("Why", lambda one: str(one.reason)),
    Column("Papers", lambda one: str(len(one.papers)), lambda one: len(one.papers), is_number=True),
    Column("Program", lambda one: one.program_version),
)


class BackupsDialog(QDialog):
    """`chosen` is the backup to put back."""

    def __init__(self, desk: Desk, parent: QWidget | None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Put back a backup")
        self.chosen: Backup | None = None
        self.table: RecordTable[Backup] = RecordTable(desk, "Backups", COLUMNS)
        backups = desk.service(PastService).backups()
        self.table.set_rows(backups)
        buttons = QDialogButtonBox()
        self.put_back = buttons.addButton("Put back", QDialogButtonBox.ButtonRole.AcceptRole)
        buttons.addButton("Leave it", QDialogButtonBox.ButtonRole.RejectRole)
        self.put_back.setEnabled(bool(backups))
        buttons.accepted.connect(self._take)
        buttons.rejected.connect(self.reject)
        if backups:
            self.table.select(backups[0])
        column = QVBoxLayout(self)
        column.addWidget(self.table, 1)
        column.addWidget(
            soft_label(REMARK if backups else "No backup was made yet; “Back up now” makes one.")
        )
        column.addWidget(buttons)
        self.resize(640, 420)

    def _take(self) -> None:
        self.chosen = self.table.selected()
        if self.chosen is not None:
            self.accept()
