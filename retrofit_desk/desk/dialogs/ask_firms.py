"""Which firms get the request sheet."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QListWidget, QListWidgetItem, QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.quote_values import RequestSheet
from retrofit_desk.services.quotes import QuoteService

REMARK = "Each gets the same sheet. Its words are copied, to be put into a letter or a message."


class AskFirmsDialog(QDialog):
    """A list to tick; firms that were asked before are not in it."""

    def __init__(self, desk: Desk, parent: QWidget | None, sheet: RequestSheet) -> None:
        super().__init__(parent)
        self.setWindowTitle(f"Ask firms: {sheet.row.title}")
        asked = {quote.firm_id for quote in sheet.quotes}
        self.list = QListWidget()
        self.list.setAccessibleName("Firms")
        for firm_id, name in desk.service(QuoteService).choices().firms:
            if firm_id not in asked:
                item = QListWidgetItem(name)
                item.setData(Qt.ItemDataRole.UserRole, firm_id)
                item.setCheckState(Qt.CheckState.Unchecked)
                self.list.addItem(item)
        buttons = QDialogButtonBox()
        buttons.addButton("Ask these", QDialogButtonBox.ButtonRole.AcceptRole)
        buttons.addButton("Leave it", QDialogButtonBox.ButtonRole.RejectRole)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.addWidget(soft_label(REMARK))
        column.addWidget(self.list, 1)
        column.addWidget(buttons)
        wanted = QSize(self.fontMetrics().averageCharWidth() * 60, self.fontMetrics().lineSpacing() * 22)
        self.resize(wanted.boundedTo(self.screen().availableSize()))

    def firm_ids(self) -> tuple[int, ...]:
        """The firms ticked."""
        items = [self.list.item(at) for at in range(self.list.count())]
        ticked = [item for item in items if item.checkState() is Qt.CheckState.Checked]
        return tuple(int(item.data(Qt.ItemDataRole.UserRole)) for item in ticked)
