"""The electrical panel as a list of circuits, with its load calculation and its cautions."""

from __future__ import annotations

from PySide6.QtWidgets import QComboBox, QDialog, QHBoxLayout, QLabel, QPushButton, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.circuit_forms import CircuitDialog, PeakDialog
from retrofit_desk.desk.widgets.button_row import ButtonRow
from retrofit_desk.desk.widgets.lines import StackedLine, StackedList
from retrofit_desk.desk.widgets.record_table import Column, RecordTable
from retrofit_desk.desk.widgets.scroll_pane import ScrollPane
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.services.circuit_entry import CircuitEntryService
from retrofit_desk.services.panel import CircuitRow, LoadRow, PanelService, PanelSheet, Stage, code_editions
from retrofit_desk.services.panel_ledger import LedgerStep

SUGGESTED_EDITION = 2020


class PanelPane(ScrollPane):
    """One panel: circuits, then the calculation by the edition and the stage that the owner picks."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._heading = SectionHeading("")
        self.record = QPushButton("Record the panel …")
        self.record.clicked.connect(self.record_panel)
        self._heading.row.addWidget(self.record)
        self._about = soft_label()
        self.circuits = RecordTable[CircuitRow](desk, "Circuits", CIRCUIT_COLUMNS)
        self.loads = RecordTable[LoadRow](desk, "Loads", LOAD_COLUMNS)
        for table in (self.circuits, self.loads):
            table.setMinimumHeight(self.fontMetrics().lineSpacing() * 13)
        self._answer = StackedList(desk, "Load calculation", "")
        self._remarks = soft_label()
        calculation = SectionHeading("Load calculation")
        self._buttons = ButtonRow()
        self.ledger = RecordTable[LedgerStep](desk, "Measure by measure", LEDGER_COLUMNS)
        self.ledger.setMinimumHeight(self.fontMetrics().lineSpacing() * 10)
        measures = SectionHeading("Measure by measure")
        ledger = (measures, self.ledger)
        self._parts = (
            self.circuits,
            self._buttons,
            calculation,
            self._choices(),
            self._answer,
            *ledger,
            self._remarks,
            self.loads,
        )
        for widget in (self._heading, self._about, *self._parts):
            self.column.addWidget(widget)
        self.column.addStretch(1)

    def refresh(self) -> None:
        year = int(self.edition.currentText())
        sheets = self._desk.service(PanelService).sheets(Stage(self.stage.currentText()), year)
        for part in self._parts:
            part.setVisible(bool(sheets))
        self.record.setVisible(not sheets)
        if sheets:
            self._show(sheets[0])
        else:
            self._heading.set_title("No panel is recorded yet")
            self._about.setText("Without it nobody can say whether it carries what is to be added.")

    def record_panel(self) -> None:
        """Open the form of a panel that is not recorded yet."""
        from retrofit_desk.desk.dialogs.panel import PanelDialog

        PanelDialog(self._desk, self).exec()

    def _change(self, panel_id: int) -> None:
        row = self.circuits.selected()
        if row is not None:
            self._open(CircuitDialog(self._desk, self, panel_id, row.id))

    def _free(self) -> None:
        row = self.circuits.selected()
        if row is not None:
            with self._desk.notices.caught():
                self._desk.service(CircuitEntryService).free(row.id)
                self._desk.notices.tell(f"{row.name} is free. Undo takes it back.")

    def _open(self, dialog: QDialog) -> None:
        if dialog.exec():
            self._desk.notices.tell("Recorded. Undo takes it back.")

    def _choices(self) -> QWidget:
        self.stage, self.edition = QComboBox(), QComboBox()
        self.stage.addItems([str(stage) for stage in Stage])
        self.edition.addItems([str(year) for year in code_editions()])
        self.edition.setCurrentText(str(SUGGESTED_EDITION))
        whole = QWidget()
        row = QHBoxLayout(whole)
        row.setContentsMargins(0, 0, 0, 0)
        for words, box in (("Panel", self.stage), ("Edition of the code", self.edition)):
            label = QLabel(words)
            label.setBuddy(box)
            box.setAccessibleName(words)
            box.activated.connect(lambda _index: self.refresh())
            row.addWidget(label)
            row.addWidget(box)
        row.addStretch(1)
        return whole

    def _show(self, sheet: PanelSheet) -> None:
        self._heading.set_title(sheet.name)
        self._heading.set_remark(" ".join(part for part in (sheet.make, sheet.model) if part))
        self._about.setText(_about(sheet))
        self.circuits.set_rows(sheet.circuits)
        self.circuits.setVisible(bool(sheet.circuits))
        self._buttons.set_buttons(
            (
                ("Change the circuit …", lambda: self._change(sheet.id)),
                ("Free the circuit", self._free),
                ("Add a circuit …", lambda: self._open(CircuitDialog(self._desk, self, sheet.id, None))),
                ("Metered peak …", lambda: self._open(PeakDialog(self._desk, self, sheet.id))),
            )
        )
        self.ledger.set_rows(sheet.ledger)
        self.loads.set_rows(sheet.loads)
        self._answer.set_lines(_answer_lines(sheet))
        self._remarks.setText("\n".join(sheet.remarks))


CIRCUIT_COLUMNS = (
    Column[CircuitRow]("Spaces", lambda row: row.spaces, lambda row: row.position),
    Column[CircuitRow]("Circuit", lambda row: row.name, is_strong=True),
    Column[CircuitRow](
        "Breaker", lambda row: f"{row.breaker_a:.0f} A", lambda row: row.breaker_a, is_number=True
    ),
    Column[CircuitRow]("Poles", lambda row: str(row.poles), lambda row: row.poles, is_number=True),
    Column[CircuitRow]("Wire", lambda row: row.wire or "not stated"),
    Column[CircuitRow]("Room", lambda row: row.room),
    Column[CircuitRow]("Comes with", lambda row: row.comes_with),
    Column[CircuitRow]("Goes with", lambda row: row.goes_with),
)


def _amperes(value: float | None) -> str:
    return "not known" if value is None else f"{value:.0f} A"


LEDGER_COLUMNS = (
    Column[LedgerStep]("After", lambda row: row.measure, is_strong=True),
    Column[LedgerStep](
        "Adds, VA", lambda row: f"{row.added_va:,.0f}", lambda row: row.added_va, is_number=True
    ),
    Column[LedgerStep](
        "Takes, VA", lambda row: f"{row.taken_va:,.0f}", lambda row: row.taken_va, is_number=True
    ),
    Column[LedgerStep](
        "By plates", lambda row: _amperes(row.counted_a), lambda row: row.counted_a, is_number=True
    ),
    Column[LedgerStep](
        "By the meter", lambda row: _amperes(row.metered_a), lambda row: row.metered_a, is_number=True
    ),
    Column[LedgerStep]("Not stated", lambda row: ", ".join(row.missing)),
)


def _va(row: LoadRow) -> str:
    return (
        str(row.volt_amperes.stated) if row.volt_amperes.value is None else f"{row.volt_amperes.value:,.0f}"
    )


LOAD_COLUMNS = (
    Column[LoadRow]("Load", lambda row: row.name, is_strong=True),
    Column[LoadRow]("Counted as", lambda row: row.kind),
    Column[LoadRow]("Load, VA", _va, lambda row: row.volt_amperes.value, is_number=True),
    Column[LoadRow]("Counts", lambda row: "yes" if row.counts else "no"),
    Column[LoadRow]("Because", lambda row: row.why),
    Column[LoadRow]("Source", lambda row: row.source),
)


def _about(sheet: PanelSheet) -> str:
    bus = "bus rating not stated" if sheet.bus_a is None else f"bus {sheet.bus_a:.0f} A"
    free = (
        "" if sheet.free_spaces is None else f" {sheet.free_spaces} of {sheet.spaces} spaces free or spare."
    )
    where = f"In the {sheet.room[:1].lower()}{sheet.room[1:]}. " if sheet.room else ""
    return f"{where}Main breaker {sheet.main_a:.0f} A, {bus}, {sheet.volts:.0f} V.{free} {sheet.notes}"


def _ways_around(sheet: PanelSheet) -> str:
    """Before a larger service is ordered."""
    if not sheet.fits_without:
        return "Ask the utility early what a larger service takes; its fees and months come on top."
    names = " or ".join(sheet.fits_without)
    return (
        f"It would fit with {names} held back by a load manager, or smaller. Ask the utility early what a "
        "larger service takes; its fees and months come on top."
    )


def _answer_lines(sheet: PanelSheet) -> list[StackedLine]:
    answer = sheet.answer
    if answer is None:
        return [StackedLine(sheet.cannot_say, needs_owner=True)]
    first = sheet.edition.existing_first_va
    least = "At least " if sheet.missing else ""
    lines = [
        StackedLine(
            f"{least}{answer.amperes:.0f} A of {sheet.main_a:.0f} A",
            f"{answer.total_va:,.0f} VA at 240 V, {sheet.clause}"
            + ("" if sheet.fits else f"; more than the main breaker carries. {_ways_around(sheet)}"),
            needs_owner=not sheet.fits,
        ),
        StackedLine(
            f"Lights, outlets and appliances: {answer.general_va:,.0f} VA",
            f"the first {first:,.0f} VA in full, the rest at {sheet.edition.rest_share:.0%}: "
            f"{answer.after_demand_va:,.0f} VA",
        ),
    ]
    if answer.climate_va:
        lines.append(
            StackedLine(
                f"Heating or cooling, the larger: {answer.climate_va:,.0f} VA",
                "new or replaced: counted in full",
            )
        )
    if sheet.missing:
        lines.append(
            StackedLine(
                f"Counted as nothing, so the sum is too low: {', '.join(sheet.missing)}",
                "Ask for the nameplate.",
                needs_owner=True,
            )
        )
    return lines
