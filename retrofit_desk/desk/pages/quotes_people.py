"""People and firms: who they are, and what of theirs runs out."""

from __future__ import annotations

from datetime import date

from PySide6.QtWidgets import QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.widgets.button_row import ButtonRow, Press
from retrofit_desk.desk.widgets.halves import Halves
from retrofit_desk.desk.widgets.lines import StackedLine, StackedList
from retrofit_desk.desk.widgets.record_table import Column, RecordTable
from retrofit_desk.desk.widgets.sheet_pane import SheetPane
from retrofit_desk.desk.widgets.text import SectionHeading
from retrofit_desk.services.people import FirmRow, FirmSheet, PeopleService, PersonRow, ProofRow
from retrofit_desk.values.cents import cents_text
from retrofit_desk.values.dates import day_text, days_text

SOON_DAYS = 30  # common practice, no source


def _until(has_one: bool, ends_on: date | None) -> str:
    if not has_one:
        return "none on record"
    return day_text(ends_on) if ends_on else "end not stated"


COLUMNS = (
    Column[FirmRow]("Firm", lambda row: row.name, is_strong=True),
    Column[FirmRow](
        "License until", lambda row: _until(row.has_license, row.license_until), lambda row: row.license_until
    ),
    Column[FirmRow](
        "Insured until",
        lambda row: _until(row.has_insurance, row.insured_until),
        lambda row: row.insured_until,
    ),
    Column[FirmRow]("Kind", lambda row: str(row.kind)),
    Column[FirmRow]("Trade", lambda row: row.trade or "not stated"),
    Column[FirmRow]("Phone", lambda row: row.phone or "not stated"),
)


class PeoplePane(QWidget):
    """The list of firms, and the one that is chosen."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._people = desk.service(PeopleService)
        self.table = RecordTable(desk, "Firms", COLUMNS)
        self.sheet = _FirmPane(desk, self)
        halves = Halves(self.table, self.sheet, (4, 3))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 6, 0, 0)
        column.addWidget(halves, 1)
        self.table.chosen.connect(self._show)

    def refresh(self) -> None:
        chosen = self.table.selected()
        self.table.set_rows(self._people.rows())
        self.show_firm(chosen.id if chosen else None)
        self._show(self.table.selected())

    def show_firm(self, firm_id: int | None) -> None:
        """Select the firm called for, else the first one."""
        rows = [row for row in self.table.model.rows if row.id == firm_id] or self.table.shown_rows()
        if rows:
            self.table.select(rows[0])

    def add_firm(self) -> None:
        from retrofit_desk.desk.dialogs.firm_form import FirmDialog

        dialog = FirmDialog(self._desk, self)
        if dialog.exec():
            self.refresh()
            self.show_firm(dialog.firm_id)

    def _show(self, row: FirmRow | None) -> None:
        with self._desk.notices.caught():
            self.sheet.show_sheet(self._people.sheet(row.id) if row is not None else None)


class _FirmPane(SheetPane):
    """One firm: people, proofs, quotes and contracts."""

    def __init__(self, desk: Desk, pane: PeoplePane) -> None:
        super().__init__()
        self._desk, self._pane = desk, pane
        self._sheet: FirmSheet | None = None
        column = self.column
        self._buttons = ButtonRow()
        column.addWidget(self._buttons)
        self.proofs = StackedList(desk, "Proofs", "No license, insurance or listing is on record.")
        self.people = StackedList(desk, "People", "Nobody is named.")
        self.quotes = StackedList(desk, "Quotes and contracts", "None yet.")
        for heading, stack in (
            ("License, insurance, listings", self.proofs),
            ("Whom to ask for", self.people),
            ("Quotes and contracts", self.quotes),
        ):
            column.addWidget(SectionHeading(heading))
            column.addWidget(stack)
        column.addStretch(1)

    def show_sheet(self, sheet: FirmSheet | None) -> None:
        self._sheet = sheet
        add: Press = ("Add a firm …", self._pane.add_firm)
        own: list[Press] = [("License or insurance …", self._add_proof), ("Change …", self._change_firm)]
        self._buttons.set_buttons([*own, add] if sheet is not None else [add])
        if sheet is None:
            self.call("No firm is recorded yet", "Add those who work, sell, inspect, lend or pay.")
            for stack in (self.proofs, self.people, self.quotes):
                stack.set_lines(())
            return
        self.call(sheet.row.name, _about(sheet))
        self.proofs.set_lines([_proof_line(proof, sheet.today) for proof in sheet.proofs])
        self.people.set_lines([_person_line(person) for person in sheet.people])
        around = (*sheet.quotes, *sheet.contracts)
        self.quotes.set_lines([StackedLine(one.title, one.detail, place=one.place) for one in around])

    def _change_firm(self) -> None:
        from retrofit_desk.desk.dialogs.firm_form import FirmDialog

        if self._sheet is not None:
            FirmDialog(self._desk, self, self._sheet).exec()

    def _add_proof(self) -> None:
        from retrofit_desk.desk.dialogs.proof_form import ProofDialog

        if self._sheet is not None:
            ProofDialog(self._desk, self, self._sheet).exec()


def _about(sheet: FirmSheet) -> str:
    row = sheet.row
    parts = [
        row.legal_name or "legal name not stated",
        row.trade,
        row.address,
        row.phone,
        sheet.email,
        "kept as a second choice" if row.is_backup else "",
        sheet.notes,
    ]
    return "\n".join(part for part in parts if part)


def _proof_line(proof: ProofRow, today: date) -> StackedLine:
    number = f" {proof.number}" if proof.number else ""
    title = f"{str(proof.kind).capitalize()}{number}"
    parts = [proof.what]
    if proof.limit_cents is not None:
        limit = proof.limit_cents
        shown = str(limit.stated) if limit.value is None else cents_text(limit.value)
        parts.append(f"limit {shown}")
    if proof.checked_on is not None:
        parts.append(f"checked {day_text(proof.checked_on)}")
    parts.append("paper filed" if proof.has_paper else "no paper filed")
    if proof.ends_on is None:
        return StackedLine(title, ", ".join(parts), "end not stated")
    left = (proof.ends_on - today).days
    aside = f"{'ran out' if left < 0 else 'until'} {day_text(proof.ends_on)}, {days_text(left)}"
    return StackedLine(title, ", ".join(parts), aside, needs_owner=left <= SOON_DAYS)


def _person_line(person: PersonRow) -> StackedLine:
    how = ", ".join(part for part in (person.role, person.phone, person.email) if part)
    return StackedLine(person.name, how or "no telephone number stated")
