"""Noting to whom a packet went, how, and on which day."""

from __future__ import annotations

from PySide6.QtWidgets import QComboBox, QLineEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.fields import DateField
from retrofit_desk.services.packets import PacketService, SentRow

WAYS = ("upload form", "e-mail", "mail", "handed over", "shown at the visit")


class PacketSentDialog(FormDialog):
    """To whom, how, when."""

    def __init__(self, desk: Desk, parent: QWidget | None, row: SentRow) -> None:
        super().__init__(desk, parent, f"packet-sent:{row.id}", f"Sent: {row.title}")
        self._packets, self._packet_id = desk.service(PacketService), row.id
        today = self._packets.today()
        self.to_whom = QLineEdit(row.to_whom)
        self.how = QComboBox()
        self.how.setEditable(True)
        self.how.addItems(list(WAYS))
        self.how.setCurrentText(row.how or WAYS[0])
        self.on = DateField(desk, "Sent on", today)
        self.on.set_value(row.sent_on or today)
        rows: tuple[tuple[str, str, QWidget], ...] = (
            ("To whom", "to_whom", self.to_whom),
            ("How", "how", self.how),
            ("Sent on", "on", self.on),
        )
        for words, name, widget in rows:
            self.add(words, name, widget)
        self.resize(self.fontMetrics().averageCharWidth() * 70, self.fontMetrics().lineSpacing() * 13)
        self.begin()

    def record(self) -> None:
        self._packets.record_sent(
            self._packet_id, self.to_whom.text(), self.how.currentText(), self.on.value()
        )
