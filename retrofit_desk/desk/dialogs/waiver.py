"""Filing a lien waiver."""

from __future__ import annotations

from PySide6.QtWidgets import QComboBox, QLineEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.choice_box import choice_box
from retrofit_desk.desk.widgets.fields import DateField, MoneyField
from retrofit_desk.desk.widgets.file_field import FileField
from retrofit_desk.desk.widgets.stated_field import StatedField
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.rules.waivers import WaiverKind
from retrofit_desk.services.money import MoneyService
from retrofit_desk.services.money_values import ContractSheet, WaiverRow, WrittenWaiver
from retrofit_desk.services.quote_values import NOT_STATED_CENTS

REMARK = (
    "Conditional: it counts once the named payment has reached the firm. Unconditional: it counts at once, "
    "so it is asked for when the bank shows the payment as gone. Some states fix the form; local law "
    "decides. One that was sent out and is not back has neither of the last two days."
)


class WaiverDialog(FormDialog):
    """From the firm under contract or from somebody in its chain; `row`: one that is on record comes back."""

    def __init__(
        self, desk: Desk, parent: QWidget | None, sheet: ContractSheet, row: WaiverRow | None = None
    ) -> None:
        form = f"waiver:{sheet.row.id}" if row is None else f"waiver-back:{row.id}"
        title = "File a lien waiver" if row is None else f"Waiver of {row.who}"
        super().__init__(desk, parent, form, f"{title}: {sheet.row.title}")
        self._money = desk.service(MoneyService)
        self._contract_id, self._waiver_id = sheet.row.id, row.id if row is not None else None
        today = self._money.choices().today
        self.body.insertWidget(0, soft_label(REMARK))
        self.who = choice_box([(one.id, one.name) for one in sheet.parties], sheet.row.firm)
        self.kind = QComboBox()
        self.kind.addItems([str(kind) for kind in WaiverKind])
        self.stage = choice_box([(one.id, one.title) for one in sheet.stages], "no stage")
        waiting = next((at for at, one in enumerate(sheet.stages, start=1) if one.waivers), 0)
        self.stage.setCurrentIndex(waiting)
        self.through_on = DateField(desk, "Through", today)
        self.amount = StatedField(MoneyField(desk, "Amount"))
        self.amount.set_stated(NOT_STATED_CENTS)
        self.exceptions = QLineEdit()
        self.exceptions.setPlaceholderText("none")
        self.signed_on = DateField(desk, "Signed on", today)
        self.received_on = DateField(desk, "Received on", today)
        self.received_on.set_value(today)
        self.paper = FileField("The waiver itself")
        rows: tuple[tuple[str, str, QWidget], ...] = (
            ("From", "who", self.who),
            ("Kind", "kind", self.kind),
            ("Stage", "stage", self.stage),
            ("Through", "through_on", self.through_on),
            ("Amount", "amount", self.amount),
            ("Exceptions", "exceptions", self.exceptions),
            ("Signed on", "signed_on", self.signed_on),
            ("Received on", "received_on", self.received_on),
            ("The waiver itself", "paper", self.paper),
        )
        for words, name, widget in rows:
            self.add(words, name, widget)
        if row is not None:
            self._show(row)
        self.body.addStretch(1)
        self.begin()

    def _show(self, row: WaiverRow) -> None:
        self.who.setCurrentIndex(self.who.findData(row.party_id))
        self.kind.setCurrentText(str(row.kind))
        self.stage.setCurrentIndex(self.stage.findData(row.stage_id))
        self.through_on.set_value(row.through_on)
        self.amount.set_stated(row.amount_cents)
        self.exceptions.setText(row.exceptions)
        self.signed_on.set_value(row.signed_on)
        if row.received_on is not None:
            self.received_on.set_value(row.received_on)

    def record(self) -> None:
        written = WrittenWaiver(
            kind=WaiverKind(self.kind.currentText()),
            party_id=self.who.currentData(),
            stage_id=self.stage.currentData(),
            through_on=self.through_on.value(),
            amount_cents=self.amount.stated(),
            signed_on=self.signed_on.value(),
            received_on=self.received_on.value(),
            exceptions=self.exceptions.text(),
            paper=self.paper.path(),
        )
        if self._waiver_id is None:
            self._money.record_waiver(self._contract_id, written)
        else:
            self._money.correct_waiver(self._waiver_id, written)
