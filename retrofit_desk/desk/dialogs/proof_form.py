"""A license, an insurance or a programme listing of a firm."""

from __future__ import annotations

from PySide6.QtWidgets import QComboBox, QLineEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.fields import DateField, MoneyField
from retrofit_desk.desk.widgets.file_field import FileField
from retrofit_desk.desk.widgets.stated_field import StatedField
from retrofit_desk.services.people import (
    FirmSheet,
    FirmUnclear,
    PeopleService,
    ProofKind,
    WrittenProof,
)
from retrofit_desk.services.quote_values import NOT_STATED_CENTS

WHAT = {
    ProofKind.LICENSE: "Trade of the license",
    ProofKind.LIABILITY: "Carrier",
    ProofKind.WORKERS: "Carrier",
    ProofKind.BOND: "Carrier",
    ProofKind.LISTING: "Programme",
}


class ProofDialog(FormDialog):
    """One proof more for the firm."""

    def __init__(self, desk: Desk, parent: QWidget | None, sheet: FirmSheet) -> None:
        super().__init__(desk, parent, f"proof:{sheet.row.id}", f"Proof of {sheet.row.name}")
        self._people = desk.service(PeopleService)
        self._firm_id = sheet.row.id
        self.kind = QComboBox()
        self.kind.addItems([str(kind) for kind in ProofKind])
        self.what, self.number, self.state = QLineEdit(), QLineEdit(), QLineEdit()
        self.programme = QComboBox()
        for key, name in self._people.programmes():
            self.programme.addItem(name, key)
        self.limit = StatedField(MoneyField(desk, "Limit"))
        self.limit.set_stated(NOT_STATED_CENTS)
        self.starts_on = DateField(desk, "From", sheet.today)
        self.ends_on = DateField(desk, "Until", sheet.today)
        self.checked_on = DateField(desk, "Looked up on", sheet.today)
        self.paper = FileField("Its paper")
        rows: tuple[tuple[str, str, QWidget], ...] = (
            ("Kind", "kind", self.kind),
            ("Trade or carrier", "what", self.what),
            ("Number", "number", self.number),
            ("State", "state", self.state),
            ("Programme", "programme", self.programme),
            ("Limit", "limit", self.limit),
            ("From", "starts_on", self.starts_on),
            ("Until", "ends_on", self.ends_on),
            ("Looked up on", "checked_on", self.checked_on),
            ("Its paper", "paper", self.paper),
        )
        for words, name, widget in rows:
            self.add(words, name, widget)
        self.kind.currentIndexChanged.connect(lambda _index: self._show_fields())
        self._show_fields()
        self.body.addStretch(1)
        self.begin()

    def record(self) -> None:
        kind = ProofKind(self.kind.currentText())
        is_listing = kind is ProofKind.LISTING
        what = self.programme.currentData() if is_listing else self.what.text().strip()
        if not what:
            raise FirmUnclear("it is not said", where=WHAT[kind], do="type it as it stands on the paper")
        written = WrittenProof(
            kind=kind,
            what=what,
            number=self.number.text().strip(),
            state=self.state.text().strip(),
            limit_cents=self.limit.stated(),
            starts_on=self.starts_on.value(),
            ends_on=self.ends_on.value(),
            checked_on=self.checked_on.value(),
            paper=self.paper.path(),
        )
        self._people.record_proof(self._firm_id, written)

    def _show_fields(self) -> None:
        """Only what this kind of proof has."""
        kind = ProofKind(self.kind.currentText())
        is_listing, is_license = kind is ProofKind.LISTING, kind is ProofKind.LICENSE
        for field, is_shown in (
            (self.what, not is_listing),
            (self.number, not is_listing),
            (self.state, is_license),
            (self.programme, is_listing),
            (self.limit, not is_listing and not is_license),
            (self.checked_on, is_listing or is_license),
        ):
            self.form.setRowVisible(field, is_shown)
