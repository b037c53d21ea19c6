"""Closing the account of a fuel that the house no longer burns."""

from __future__ import annotations

from PySide6.QtWidgets import QPlainTextEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.fields import DateField
from retrofit_desk.desk.widgets.file_field import FileField
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.account_closing import AccountClosingService, AccountEnd, AccountUnclear

CAUTION = (
    "Gas can explode and oil can foul the ground: a licensed person caps, tests or empties, the inspector "
    "passes it, the utility pulls the meter. Then the account is closed in writing."
)


class CloseAccountDialog(FormDialog):
    """The day of the end, with the final bill; while something burns on, only for a written reason."""

    def __init__(self, desk: Desk, parent: QWidget | None, end: AccountEnd) -> None:
        super().__init__(desk, parent, f"close-account:{end.account_id}", f"Close the account: {end.utility}")
        self._account_id = end.account_id
        left = (f"Still burning {end.fuel}: {', '.join(end.burns)}.",) if end.burns else ()
        self.body.insertWidget(0, soft_label("\n".join((*left, *end.waits, CAUTION))))
        self.on = DateField(desk, "Closed on", end.today)
        self.on.set_value(end.today)
        self.add("Closed on", "on", self.on)
        self.paper = FileField("Final bill or letter")
        self.add("Final bill or letter", "paper", self.paper)
        self.reason = QPlainTextEdit(self)
        self.reason.setTabChangesFocus(True)
        self.reason.setFixedHeight(self.fontMetrics().lineSpacing() * 3)
        self.reason.setVisible(bool(end.waits or end.burns))
        if end.waits or end.burns:
            self.add("Why all the same", "reason", self.reason)
        self.body.addStretch(1)
        self.resize(self.fontMetrics().averageCharWidth() * 84, self.fontMetrics().lineSpacing() * 20)
        self.begin()

    def record(self) -> None:
        on = self.on.value()
        if on is None:
            raise AccountUnclear("no date", where="Closed on", do="type the day")
        reason = self.reason.toPlainText().strip()
        service = self.desk.service(AccountClosingService)
        service.close(self._account_id, on, reason=reason, paper=self.paper.path())
