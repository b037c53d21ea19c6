"""Noting what stands on a filed paper, so that it can be held against the record."""

from __future__ import annotations

from datetime import date

from PySide6.QtWidgets import QLineEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.fields import DateField, MoneyField
from retrofit_desk.desk.widgets.paper_view import PaperView
from retrofit_desk.rules.matching import Fact, FactKind
from retrofit_desk.services.papers import Asked, PaperService, PaperSheet

READ_OFF = (
    FactKind.NUMBER,
    FactKind.SERIAL,
    FactKind.MODEL,
    FactKind.FIRM,
    FactKind.NAME,
    FactKind.ADDRESS,
)

_WORDS = {FactKind.FIRM: "Firm's legal name", FactKind.NAME: "Owner's name"}


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
        self.on = DateField(desk, "Date on it", self._papers.today())
        self.on.set_value(_day(noted.get(FactKind.DATE, "")))
        self.add("Date on it", "date", self.on)
        for kind, line in self.lines.items():
            self.add(_WORDS.get(kind, str(kind).capitalize()), str(kind), line)
        self.add("Sum", "amount", self.amount)
        self.ends_on = DateField(desk, "Runs out", self._papers.today())
        self.ends_on.set_value(sheet.row.ends_on)
        self.asked_by = QLineEdit(sheet.asked_by)
        self.add("Runs out", "ends_on", self.ends_on)
        self.add("Asked for by", "asked_by", self.asked_by)
        self.body.addStretch(1)
        if sheet.path is not None:
            view = PaperView(desk)
            view.show_file(sheet.path, sheet.media_type)
            self.put_beside(view)
        self.begin()

    def record(self) -> None:
        amount, day = self.amount.value(), self.on.value()
        kept = [
            fact
            for fact in self._sheet.facts
            if fact.label or fact.kind not in self._asked() or (day is None and _is_worded_day(fact))
        ]
        typed = [(kind, line.text().strip()) for kind, line in self.lines.items()]
        typed.append((FactKind.AMOUNT, "" if amount is None else str(amount)))
        typed.append((FactKind.DATE, "" if day is None else day.isoformat()))
        told = [Fact(kind, text) for kind, text in typed if text]
        asked = Asked(self.asked_by.text(), self.ends_on.value())
        self._papers.note_facts(self._sheet.row.id, [*kept, *told], asked)

    def _asked(self) -> set[FactKind]:
        return {*READ_OFF, FactKind.AMOUNT, FactKind.DATE}


def _day(noted: str) -> date | None:
    """The day that was noted; None where it is no date, such as one copied from a paper as it stands."""
    try:
        return date.fromisoformat(noted)
    except ValueError:
        return None


def _is_worded_day(fact: Fact) -> bool:
    """A day that the field cannot show stays as it was noted."""
    return fact.kind is FactKind.DATE and _day(fact.value) is None
