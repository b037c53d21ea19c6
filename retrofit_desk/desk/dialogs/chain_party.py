"""A sub or supplier in the chain of a contract."""

from __future__ import annotations

from PySide6.QtWidgets import QLineEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.fields import DateField
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.money import MoneyService
from retrofit_desk.services.money_values import ContractSheet, PartyRow

REMARK = (
    "Whoever works or delivers under this contract and gives notice may claim against the house when the "
    "firm does not pay them. Local lien law decides who, and until when."
)


class ChainPartyDialog(FormDialog):
    """Name, what they do, the day of their notice and of their last work; `row`: of one on record."""

    def __init__(
        self, desk: Desk, parent: QWidget | None, sheet: ContractSheet, row: PartyRow | None = None
    ) -> None:
        form = f"party:{sheet.row.id}" if row is None else f"party-known:{row.id}"
        super().__init__(desk, parent, form, f"Sub or supplier: {sheet.row.title}")
        self._money = desk.service(MoneyService)
        self._contract_id, self._party_id = sheet.row.id, row.id if row is not None else None
        today = self._money.choices().today
        self.body.insertWidget(0, soft_label(REMARK))
        self.name, self.role = QLineEdit(), QLineEdit()
        self.notice_on = DateField(desk, "Gave notice on", today)
        self.last_work_on = DateField(desk, "Last work on", today)
        rows: tuple[tuple[str, str, QWidget], ...] = (
            ("Name", "name", self.name),
            ("What they do", "role", self.role),
            ("Gave notice on", "notice_on", self.notice_on),
            ("Last work on", "last_work_on", self.last_work_on),
        )
        for words, name, widget in rows:
            self.add(words, name, widget)
        if row is not None:
            self.name.setText(row.name)
            self.role.setText(row.role)
            self.notice_on.set_value(row.notice_on)
            self.last_work_on.set_value(row.last_work_on)
        self.resize(self.fontMetrics().averageCharWidth() * 70, self.fontMetrics().lineSpacing() * 18)
        self.body.addStretch(1)
        self.begin()

    def record(self) -> None:
        told = (self.name.text(), self.role.text(), self.notice_on.value(), self.last_work_on.value())
        if self._party_id is None:
            self._money.record_party(self._contract_id, *told)
        else:
            self._money.correct_party(self._party_id, *told)
