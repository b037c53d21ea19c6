"""What a utility calls the account, and the cases that are open with it."""

from __future__ import annotations

from PySide6.QtWidgets import QLineEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.account_entry import AccountEntryService, AccountSheet, WrittenAccount

REMARK = (
    "As the utility writes it: papers are compared with this name and address. The case numbers stand in "
    "every message to the utility."
)


class AccountDialog(FormDialog):
    """Corrects one account."""

    def __init__(self, desk: Desk, parent: QWidget | None, sheet: AccountSheet) -> None:
        super().__init__(desk, parent, f"account:{sheet.account_id}", f"Account for {sheet.fuel}")
        self._account_id = sheet.account_id
        self.body.insertWidget(0, soft_label(REMARK))
        known = sheet.written
        self.utility, self.number = QLineEdit(known.utility), QLineEdit(known.account_number)
        self.holder, self.address = QLineEdit(known.name_on_account), QLineEdit(known.service_address)
        self.cases = QLineEdit(known.case_numbers)
        self.cases.setPlaceholderText("none; such as UC-4471 for added load")
        rows = (
            ("Utility", "utility", self.utility),
            ("Account number", "number", self.number),
            ("Name on the account", "holder", self.holder),
            ("Service address", "address", self.address),
            ("Case numbers", "cases", self.cases),
        )
        for words, name, widget in rows:
            self.add(words, name, widget)
        self.body.addStretch(1)
        self.resize(self.fontMetrics().averageCharWidth() * 76, self.fontMetrics().lineSpacing() * 17)
        self.begin()

    def record(self) -> None:
        written = WrittenAccount(
            self.utility.text(),
            self.number.text(),
            self.holder.text(),
            self.address.text(),
            self.cases.text(),
        )
        self.desk.service(AccountEntryService).correct(self._account_id, written)
