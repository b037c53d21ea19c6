"""A firm as the owner writes it down."""

from __future__ import annotations

from PySide6.QtWidgets import QCheckBox, QComboBox, QLineEdit, QPlainTextEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.services.people import FirmKind, FirmSheet, PeopleService, WrittenFirm


class FirmDialog(FormDialog):
    """New (`sheet` none) or changed; `firm_id` tells which one after *Record*."""

    def __init__(self, desk: Desk, parent: QWidget | None, sheet: FirmSheet | None = None) -> None:
        form = f"firm:{sheet.row.id}" if sheet else "firm:new"
        super().__init__(desk, parent, form, f"Change {sheet.row.name}" if sheet else "Add a firm")
        self.firm_id = sheet.row.id if sheet else None
        self.kind = QComboBox()
        self.kind.addItems([str(kind) for kind in FirmKind])
        self.name, self.legal_name, self.trade = QLineEdit(), QLineEdit(), QLineEdit()
        self.address, self.phone, self.email = QLineEdit(), QLineEdit(), QLineEdit()
        self.person, self.role = QLineEdit(), QLineEdit()
        self.backup = QCheckBox("A second choice, if another firm does not come")
        self.notes = QPlainTextEdit()
        self.notes.setTabChangesFocus(True)
        self.notes.setFixedHeight(self.fontMetrics().lineSpacing() * 3)
        if sheet is not None:
            self._put(sheet)
        rows: tuple[tuple[str, str, QWidget], ...] = (
            ("Name", "name", self.name),
            ("Legal name", "legal_name", self.legal_name),
            ("Kind", "kind", self.kind),
            ("Trade", "trade", self.trade),
            ("Address", "address", self.address),
            ("Phone", "phone", self.phone),
            ("Email", "email", self.email),
            ("Whom to ask for", "person", self.person),
            ("Who that is", "role", self.role),
            ("", "backup", self.backup),
            ("Notes", "notes", self.notes),
        )
        for words, name, widget in rows:
            self.add(words, name, widget)
        self.body.addStretch(1)
        self.begin()

    def record(self) -> None:
        written = WrittenFirm(
            name=self.name.text(),
            kind=FirmKind(self.kind.currentText()),
            legal_name=self.legal_name.text(),
            trade=self.trade.text(),
            address=self.address.text(),
            phone=self.phone.text(),
            email=self.email.text(),
            is_backup=self.backup.isChecked(),
            notes=self.notes.toPlainText(),
            person=self.person.text(),
            role=self.role.text(),
        )
        self.firm_id = self.desk.service(PeopleService).record(written, self.firm_id)

    def _put(self, sheet: FirmSheet) -> None:
        row = sheet.row
        self.kind.setCurrentText(str(row.kind))
        for field, text in (
            (self.name, row.name),
            (self.legal_name, row.legal_name),
            (self.trade, row.trade),
            (self.address, row.address),
            (self.phone, row.phone),
            (self.email, sheet.email),
        ):
            field.setText(text)
        self.backup.setChecked(row.is_backup)
        self.notes.setPlainText(sheet.notes)
