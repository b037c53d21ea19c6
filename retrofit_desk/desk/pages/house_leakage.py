"""Air leakage: every blower-door test, and the form of a new one."""

from __future__ import annotations

from PySide6.QtWidgets import QPushButton

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.widgets.lines import StackedLine, StackedList
from retrofit_desk.desk.widgets.record_table import Column, RecordTable
from retrofit_desk.desk.widgets.scroll_pane import ScrollPane
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.services.meters import LeakageRow, MeterService
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.quantity import Dimension, Units, heading, number_text, show
from retrofit_desk.values.units import INCH_M

CAUTION = (
    "A tighter house can draw the smoke of a natural-draft furnace, water heater or stove back into the "
    "rooms. Have worst-case draft, spillage and carbon monoxide tested by a qualified person after every "
    "tightening, keep working carbon monoxide alarms, and never close openings that bring a burner its air."
)


class LeakagePane(ScrollPane):
    """Tests, the newest first."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self.table = RecordTable[LeakageRow](desk, "Leakage tests", self._columns())
        self._about = StackedList(desk, "About the test", "No leakage test is recorded yet.")
        record = QPushButton("Record a leakage test …")
        record.clicked.connect(self.record_test)
        self._take_out = QPushButton("Take out")
        self._take_out.setToolTip("Takes the test out of the record; undo brings it back")
        self._take_out.clicked.connect(self.take_out)
        title = SectionHeading("Air leakage", "blower-door tests")
        title.row.addWidget(self._take_out)
        title.row.addWidget(record)
        self.column.addWidget(title)
        self.column.addWidget(self.table, 1)
        self.column.addWidget(self._about)
        self.column.addWidget(soft_label(CAUTION))
        self.table.chosen.connect(self._show)

    def refresh(self) -> None:
        chosen = self.table.selected()
        rows = self._desk.service(MeterService).leakage_tests()
        self.table.set_rows(rows, self._columns())
        shown = [row for row in rows if row == chosen] or list(rows)
        if shown:
            self.table.select(shown[0])
        self._show(shown[0] if shown else None)

    def record_test(self) -> None:
        """Open the form of a new test."""
        from retrofit_desk.desk.dialogs.leakage_test import LeakageTestDialog

        LeakageTestDialog(self._desk, self).exec()

    def take_out(self) -> None:
        """Take the chosen test out of the record."""
        row = self.table.selected()
        if row is None or row.id is None:
            return
        with self._desk.notices.caught():
            self._desk.service(MeterService).take_out_leakage(row.id)
            self._desk.notices.tell(
                f"The test of {day_text(row.tested_on)} was taken out. Undo brings it back."
            )

    def _columns(self) -> tuple[Column[LeakageRow], ...]:
        units = self._desk.units
        return (
            Column("Date", lambda row: day_text(row.tested_on), lambda row: row.tested_on, is_strong=True),
            Column("House", lambda row: row.house_version),
            Column(
                heading("At 50 Pa", Dimension.AIR_FLOW, units),
                lambda row: number_text(row.flow_50pa_m3_s, Dimension.AIR_FLOW, units, decimals=0),
                lambda row: row.flow_50pa_m3_s,
                is_number=True,
            ),
            Column(
                "ACH50",
                lambda row: "volume not stated" if row.ach50 is None else f"{row.ach50:.1f}",
                lambda row: row.ach50,
                is_number=True,
            ),
            Column("After", lambda row: row.after or "before any measure"),
            Column("By", lambda row: row.by or "not stated"),
            Column("Sure", lambda row: "assumed" if row.is_assumed else "measured"),
        )

    def _show(self, row: LeakageRow | None) -> None:
        self._take_out.setEnabled(row is not None and row.id is not None)
        self._about.set_lines(self._lines(row) if row is not None else ())

    def _lines(self, row: LeakageRow) -> list[StackedLine]:
        units = self._desk.units
        flow = show(row.flow_50pa_m3_s, Dimension.AIR_FLOW, units, decimals=0)
        volume = (
            "volume not stated" if row.volume_m3 is None else show(row.volume_m3, Dimension.VOLUME, units)
        )
        area_m2 = row.leakage_area_m2
        area = f"{area_m2 / INCH_M**2:,.0f} in²" if units is Units.US else f"{area_m2 * 1e4:,.0f} cm²"
        lines = [
            StackedLine(
                f"{flow} at 50 Pa, {volume}",
                f"as one hole of {area} at 4 Pa; flow exponent {row.exponent:.2f} (ASTM E779)",
            )
        ]
        if row.notes:
            lines.append(StackedLine(row.notes))
        if row.paper is not None:
            lines.append(StackedLine(row.paper.title, "paper", place=row.paper.place))
        return lines
