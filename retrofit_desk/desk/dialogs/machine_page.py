"""One machine on one page: for a service call, or a warranty claim."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QDialog, QFileDialog, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.widgets.choice_box import choice_box
from retrofit_desk.desk.widgets.lines import StackedLine, StackedList
from retrofit_desk.desk.widgets.scroll_pane import ScrollPane
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.services.machine_page import MachinePageService


class MachinePageDialog(QDialog):
    """Choose a machine; what is known of it stands below, ready for the printer."""

    def __init__(self, desk: Desk, parent: QWidget | None) -> None:
        super().__init__(parent)
        self.setWindowTitle("One machine on one page")
        self._desk, self._pages = desk, desk.service(MachinePageService)
        self.machine = choice_box(self._pages.machines())
        self.machine.setAccessibleName("Machine")
        self._pane = QVBoxLayout()
        pane = ScrollPane()
        pane.column.addLayout(self._pane)
        pane.column.addStretch(1)
        save, close = QPushButton("Page for the printer …"), QPushButton("Close")
        save.clicked.connect(self.save)
        close.clicked.connect(self.reject)
        buttons = QHBoxLayout()
        buttons.addStretch(1)
        for button in (save, close):
            button.setAutoDefault(False)
            buttons.addWidget(button)
        column = QVBoxLayout(self)
        column.addWidget(self.machine)
        column.addWidget(pane, 1)
        column.addLayout(buttons)
        self.resize(760, 600)
        self.machine.currentIndexChanged.connect(lambda _at: self.refresh())
        self.refresh()

    def refresh(self) -> None:
        while (item := self._pane.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        chosen: int | None = self.machine.currentData()
        if chosen is None:
            self._pane.addWidget(soft_label("No machine is recorded yet; add one on the House page."))
            return
        with self._desk.notices.caught():
            for heading, lines in self._pages.page(chosen, self._desk.units).parts:
                self._pane.addWidget(SectionHeading(heading))
                stack = StackedList(self._desk, heading, "")
                stack.set_lines([StackedLine(line) for line in lines])
                self._pane.addWidget(stack)

    def save(self) -> None:
        """The page as PDF."""
        chosen: int | None = self.machine.currentData()
        if chosen is None:
            return
        name = f"{self.machine.currentText().replace('/', ' ')}.pdf"
        picked, _ = QFileDialog.getSaveFileName(self, "One machine on one page", name, "PDF (*.pdf)")
        if picked:
            with self._desk.notices.caught():
                path = self._pages.write(chosen, Path(picked).with_suffix(".pdf"), self._desk.units)
                self._desk.notices.tell(f"Written: {path.name}.")
