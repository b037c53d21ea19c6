"""Noting what stands on a filed paper, so that it can be held against the record."""

from __future__ import annotations

from PySide6.QtWidgets import QLineEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.fields import MoneyField
from retrofit_desk.desk.widgets.paper_view import PaperView
from retrofit_desk.services.papers import Fact, FactKind, PaperService, PaperSheet

READ_OFF = (FactKind.SERIAL, FactKind.MODEL, FactKind.FIRM, FactKind.NAME, FactKind.ADDRESS)


class PaperFactsDialog(FormDialog):
    """One line for each kind of fact; facts that carry a label of their own stay as they are."""

    def __init__(self, desk: Desk, parent: QWidget | None, sheet: PaperSheet) -> None:
        super().__init__(desk, parent, f"paper-facts:{sheet.row.id}", f"What stands on {sheet.row.title}")
        self._papers, self._sheet = desk.service(PaperService), sheet
        noted = {fact.kind: fact.value for fact in reversed(sheet.facts) if not fact.label}
        self.lines = {kind: QLineEdit(noted.get(kind, "")) for kind in READ_OFF}
        self.amount = MoneyField(desk, "Sum")
        sum_cents = noted.get(FactKind.AMOUNT, "")
        self.amount.set_value(int(sum_cents) if sum_cents.lstrip("-").isdigit() else None)
        for kind, line in self.lines.items():
            self.add(str(kind).capitalize(), str(kind), line)
        self.add("Sum", "amount", self.amount)
        self.body.addStretch(1)
        if sheet.path is not None:
            view = PaperView(desk)
            view.show_file(sheet.path, sheet.media_type)
            self.put_beside(view)
        self.begin()

    def record(self) -> None:
        kept = [fact for fact in self._sheet.facts if fact.label or fact.kind not in self._asked()]
        typed = [(kind, line.text().strip()) for kind, line in self.lines.items()]
        amount = self.amount.value()
        typed.append((FactKind.AMOUNT, "" if amount is None else str(amount)))
        told = [Fact(kind, text) for kind, text in typed if text]
        self._papers.note_facts(self._sheet.row.id, [*kept, *told])

    def _asked(self) -> set[FactKind]:
        return {*READ_OFF, FactKind.AMOUNT}
