"""Heat kept against power kept: a store of heat or cold beside a battery of equal use, on the Worth page."""

from __future__ import annotations

from PySide6.QtWidgets import QLabel, QPushButton, QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.widgets.out_of_date import OutOfDate
from retrofit_desk.desk.widgets.record_table import Column, RecordTable
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.services.storage import StorageService, StoresCompared
from retrofit_desk.services.storage_words import CAUTION, Line, basis, headline, lines, made

TITLE = "Heat kept or power kept"
NOT_YET = "The store was not compared with a battery yet. It takes some seconds."


class StorageSection(QWidget):
    """The newest comparison, and a button for a new one; hidden where no measure stores heat or cold."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk, self._service = desk, desk.service(StorageService)
        heading = SectionHeading(TITLE, "against a battery of equal use")
        self.button = QPushButton("Compare")
        self.button.setAccessibleName("Compare the store with a battery")
        self.button.clicked.connect(self.start)
        heading.row.addWidget(self.button)
        self.headline = QLabel()
        self.headline.setWordWrap(True)
        self.made = soft_label("")
        self.stale = OutOfDate(desk, "comparison", "Compare again", self.start)
        self._found = QWidget()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        for part in (heading, self.headline, self.made, self.stale, self._found):
            column.addWidget(part)
        self._column = QVBoxLayout(self._found)
        self._column.setContentsMargins(0, 0, 0, 0)
        self.tables: list[RecordTable[Line]] = []

    def refresh(self) -> None:
        """Show the kept comparison, and what was changed since."""
        self.setVisible(self._service.has_stores())
        found = self._service.latest()
        for part in (self.made, self._found):
            part.setVisible(found is not None)
        self.button.setVisible(not self._desk.project.is_read_only)
        if found is None:
            self.headline.setText(NOT_YET)
            return
        self.headline.setText(headline(found))
        self.made.setText(made(found))
        self.stale.tell(self._service.changed_since(self._desk.units))
        self._show(found)

    def start(self) -> None:
        """Compare in the background; cancel keeps what was there."""

        def done(_found: StoresCompared) -> None:
            self._desk.notices.tell("The store is compared with a battery.")
            self.refresh()

        self.button.setEnabled(False)
        job = self._desk.jobs.start("Comparing the store with a battery", self._service.compare, done)
        job.ended.connect(lambda: self.button.setEnabled(True))

    def _show(self, found: StoresCompared) -> None:
        while (item := self._column.takeAt(0)) is not None:
            if (old := item.widget()) is not None:
                old.deleteLater()
        self.tables = []
        for one in found.stores:
            table: RecordTable[Line] = RecordTable(
                self._desk,
                f"{one.title} against a battery",
                (
                    Column("In a year", lambda line: line.what, is_strong=True),
                    Column("The store", lambda line: line.store),
                    Column("A battery of equal use", lambda line: line.battery),
                ),
            )
            table.set_rows(lines(one, self._desk.units))
            table.show_all_rows()
            self.tables.append(table)
            self._column.addWidget(table)
            self._column.addWidget(soft_label(basis(one)))
        self._column.addWidget(soft_label(CAUTION))
