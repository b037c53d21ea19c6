"""The machines of the house: the list, and the one that is chosen."""

from __future__ import annotations

from PySide6.QtWidgets import QDialog

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.machine_forms import (
    MachineDialog,
    ServiceDialog,
    TakeOutDialog,
    WarrantyDialog,
)
from retrofit_desk.desk.dialogs.machine_trend import TrendDialog, read_in_trend
from retrofit_desk.desk.pages.house_text import certainty_line, maybe_text
from retrofit_desk.desk.widgets.button_row import ButtonRow, Press
from retrofit_desk.desk.widgets.lines import LineButton, StackedLine, StackedList
from retrofit_desk.desk.widgets.record_table import Column, RecordTable
from retrofit_desk.desk.widgets.scroll_pane import ScrollPane
from retrofit_desk.desk.widgets.text import SectionHeading
from retrofit_desk.services.equipment import (
    EquipmentService,
    MachineRow,
    RatingLine,
    WarrantyLine,
    WorkingLine,
)
from retrofit_desk.services.holds import HoldEffect
from retrofit_desk.services.machine_trend import MachineTrendService, TrendSheet
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.quantity import Dimension, show


class EquipmentPane(ScrollPane):
    """What stands in the house, those in use first."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self.table = RecordTable[MachineRow](desk, "Equipment", self._columns())
        self._heading = SectionHeading("")
        self._about = StackedList(desk, "About the machine", "Nothing more is recorded of it.")
        self._buttons = ButtonRow()
        self.column.addWidget(self.table, 1)
        self.column.addWidget(self._heading)
        self.column.addWidget(self._buttons)
        self.column.addWidget(self._about)
        self.table.chosen.connect(self._show)

    def refresh(self) -> None:
        chosen = self.table.selected()
        self.table.set_rows(self._desk.service(EquipmentService).machines(), self._columns())
        self.choose(chosen.id if chosen is not None else None)

    def choose(self, machine_id: int | None) -> None:
        """The machine called for, else the first one."""
        rows = [row for row in self.table.model.rows if row.id == machine_id] or self.table.shown_rows()
        if rows:
            self.table.select(rows[0])
        self._show(rows[0] if rows else None)

    def _columns(self) -> tuple[Column[MachineRow], ...]:
        return (
            Column("Name", lambda row: row.name, is_strong=True),
            Column("Now", lambda row: row.status),
            Column("Room", lambda row: row.room),
            Column("Maker, model", lambda row: " ".join(part for part in (row.make, row.model) if part)),
            Column("Serial", lambda row: row.serial),
            Column(
                "Heats", lambda row: self._capacity(row, "heating"), lambda row: row.heating_capacity_w.value
            ),
            Column(
                "Cools", lambda row: self._capacity(row, "cooling"), lambda row: row.cooling_capacity_w.value
            ),
            Column(
                "Since",
                lambda row: day_text(row.installed_on) if row.installed_on else "not stated",
                lambda row: row.installed_on,
            ),
        )

    def _capacity(self, row: MachineRow, which: str) -> str:
        value = row.heating_capacity_w if which == "heating" else row.cooling_capacity_w
        return "" if value.value is None else show(value.value, Dimension.POWER, self._desk.units)

    def _show(self, row: MachineRow | None) -> None:
        self._heading.set_title(row.name if row is not None else "No machine is recorded yet")
        self._heading.set_remark(row.kind if row is not None else "")
        self._about.set_lines(self._lines(row) if row is not None else ())
        self._buttons.set_buttons(self._presses(row))

    def _presses(self, row: MachineRow | None) -> list[Press]:
        """What can be done with the chosen machine, and adding one more."""
        add: Press = ("Add a machine …", lambda: self._change(None))
        if row is None:
            return [add]
        presses: list[Press] = [
            ("Change …", lambda: self._change(row.id)),
            ("Warranty …", lambda: self._open(WarrantyDialog(self._desk, self, row.id, row.name, None))),
            ("Service …", lambda: self._open(ServiceDialog(self._desk, self, row.id, row.name))),
            ("Read in its log …", lambda: read_in_trend(self._desk, self, row.id)),
        ]
        if row.removed_on is None:
            presses.append(("Take out …", lambda: self._take_out(row)))
        return [*presses, add]

    def _change(self, machine_id: int | None) -> None:
        dialog = MachineDialog(self._desk, self, machine_id)
        if dialog.exec():
            self._tell("Recorded.", dialog.effect)

    def _take_out(self, row: MachineRow) -> None:
        dialog = TakeOutDialog(self._desk, self, row.id, row.name)
        if dialog.exec():
            self._tell(f"{row.name} is taken out.", dialog.effect)

    def _open(self, dialog: QDialog) -> None:
        if dialog.exec():
            self._tell("Recorded.", None)

    def _tell(self, done: str, effect: HoldEffect | None) -> None:
        said = (*effect.frees, *effect.still_blocks) if effect is not None else ()
        self._desk.notices.tell(" ".join((done, *said)))

    def _lines(self, row: MachineRow) -> list[StackedLine]:
        lines = [StackedLine(self._rating(one), one.source) for one in row.ratings]
        if row.workings:
            told = "; ".join(self._working(one) for one in row.workings)
            lines.append(StackedLine(f"{told}.", "as the house model takes it"))
        if row.worked_back:
            lines.append(StackedLine(row.worked_back, "how the house model takes it"))
        if row.serves:
            lines.append(StackedLine(f"Serves {', '.join(row.serves)}"))
        if row.refrigerant:
            charge = maybe_text(self._desk, row.refrigerant_charge_kg, Dimension.MASS, "charge not stated")
            lines.append(
                StackedLine(
                    f"Refrigerant {row.refrigerant}, {charge}",
                    "Opening the circuit is for a certified technician; refrigerant may not be let out.",
                )
            )
        lines += [
            StackedLine(
                f"Warranty on {one.kind} to {day_text(one.ends_on)}",
                _registered(one),
                buttons=(self._warranty_button(row, one),),
            )
            for one in row.warranties
        ]
        lines += [StackedLine(one.what, one.by, aside=day_text(one.done_on)) for one in row.services]
        lines += [StackedLine(f"{name}: {value}", "set at start-up") for name, value in row.settings]
        with self._desk.notices.caught():
            trends = self._desk.service(MachineTrendService).filed(row.id, self._desk.units)
            lines += [self._log(one.sheet) for one in trends]
        if row.removed_on is not None:
            lines.append(StackedLine(f"Taken out {day_text(row.removed_on)}"))
        if row.measure is not None:
            lines.append(StackedLine(f"Came with: {row.measure.title}", row.firm, place=row.measure.place))
        about = " ".join(part for part in (row.notes, certainty_line(row.sources)) if part)
        if about:
            lines.append(StackedLine(about))
        return lines

    def _log(self, sheet: TrendSheet) -> StackedLine:
        """One filed log, with what lies outside its limits."""
        faults = [point.title for point in sheet.points if point.is_fault]
        why = (
            f"Outside its limits: {'; '.join(faults)}." if faults else "Nothing outside the limits on record."
        )
        look = LineButton("Look …", lambda: TrendDialog(self._desk, self, sheet, asks=False).exec())
        return StackedLine(f"Log, {sheet.line}", why, needs_owner=bool(faults), buttons=(look,))

    def _warranty_button(self, row: MachineRow, one: WarrantyLine) -> LineButton:
        words = "Change …" if one.registered_on else "Register …"
        return LineButton(
            words, lambda: self._open(WarrantyDialog(self._desk, self, row.id, row.name, one.id))
        )

    def _working(self, one: WorkingLine) -> str:
        value = one.word if one.value_si is None else show(one.value_si, one.dimension, self._desk.units)
        return f"{one.name}: {value}"

    def _rating(self, one: RatingLine) -> str:
        units = self._desk.units
        point = ""
        if one.source_temp_c is not None and one.load_temp_c is not None:
            source = show(one.source_temp_c, Dimension.TEMPERATURE, units)
            point = (
                f" at {source} from the source and {show(one.load_temp_c, Dimension.TEMPERATURE, units)} out"
            )
        capacity = "" if one.capacity_w is None else f", {show(one.capacity_w, Dimension.POWER, units)}"
        return f"{one.name} {show(one.value, Dimension.PLAIN, units, decimals=2)}{point}{capacity}"


def _registered(one: WarrantyLine) -> str:
    if one.registered_on is not None:
        number = f", number {one.number}" if one.number else ""
        return f"registered {day_text(one.registered_on)}{number}"
    return f"to be registered by {day_text(one.register_by)}" if one.register_by else "no registration asked"
