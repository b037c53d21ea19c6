"""The log of a machine's controller: what it holds and how it stands against the limits."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QDialog, QDialogButtonBox, QFileDialog, QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pictures.canvas import Picture
from retrofit_desk.desk.pictures.trend_lines import draw_trend
from retrofit_desk.desk.widgets.lines import StackedLine, StackedList
from retrofit_desk.desk.widgets.scroll_pane import ScrollPane
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.machine_trend import MachineTrendService, TrendSheet
from retrofit_desk.values.dates import day_text

REMARK = "A log shows what a sensor saw. The maker's sheet and a licensed person decide."
FILES = "Tables (*.csv *.txt)"


class TrendDialog(QDialog):
    """The picture of the temperatures, then each thing the log says; `asks`: whether to keep it."""

    def __init__(self, desk: Desk, parent: QWidget | None, sheet: TrendSheet, *, asks: bool) -> None:
        super().__init__(parent)
        self.setWindowTitle(f"Log of {sheet.machine}: {sheet.name}")
        column = QVBoxLayout(self)
        column.addWidget(soft_label(f"{sheet.line}. {REMARK}"))
        pane = ScrollPane()
        picture = Picture(lambda: desk.theme, "Temperatures of the log")
        told = "; ".join(point.words for point in sheet.points)
        begins, ends = day_text(sheet.first), day_text(sheet.last)
        picture.set_drawing(
            lambda canvas: draw_trend(canvas, sheet.drawn, sheet.unit, begins, ends),
            lines=14.0,
            columns=60.0,
            told=told,
        )
        picture.setVisible(bool(sheet.drawn))
        self.points = StackedList(desk, "What the log says", "Nothing that is compared was logged.")
        self.points.set_lines(
            [
                *(StackedLine(one.title, one.words, needs_owner=bool(one.is_fault)) for one in sheet.points),
                *(StackedLine("About the file", f"{note[:1].upper()}{note[1:]}.") for note in sheet.notes),
            ]
        )
        pane.column.addWidget(picture)
        pane.column.addWidget(self.points)
        pane.column.addStretch(1)
        column.addWidget(pane, 1)
        buttons = QDialogButtonBox()
        if asks:
            self.keep = buttons.addButton("Keep it", QDialogButtonBox.ButtonRole.AcceptRole)
        words = "Leave it" if asks else "Close"
        buttons.addButton(words, QDialogButtonBox.ButtonRole.RejectRole)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        column.addWidget(buttons)
        self.resize(820, 620)


def read_in_trend(desk: Desk, parent: QWidget, machine_id: int) -> None:
    """Ask for a log, show what it says, and file it with the machine when the owner says so."""
    picked, _ = QFileDialog.getOpenFileName(parent, "Read in a machine's log", filter=FILES)
    if not picked:
        return
    with desk.notices.caught():
        keep_trend(desk, parent, Path(picked), machine_id)


def keep_trend(desk: Desk, parent: QWidget, path: Path, machine_id: int) -> None:
    """Show what a log says, and file it with the machine when the owner says so. Raises as the service."""
    trends = desk.service(MachineTrendService)
    sheet = trends.look(path, machine_id, desk.units)
    if TrendDialog(desk, parent, sheet, asks=True).exec():
        trends.keep(path, machine_id)
        desk.notices.tell(f"The log is filed with {sheet.machine}. Undo takes it back.")
