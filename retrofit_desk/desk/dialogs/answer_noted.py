"""What somebody answered, and when to ask again."""

from __future__ import annotations

from PySide6.QtWidgets import QLineEdit, QPlainTextEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.fields import DateField
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.steps import StepService
from retrofit_desk.services.waits import Waiting


class AnswerNotedDialog(FormDialog):
    """One call or letter about something that is with others."""

    def __init__(self, desk: Desk, parent: QWidget | None, wait: Waiting, task_id: int) -> None:
        super().__init__(desk, parent, f"answer:{task_id}", f"Note an answer: {wait.what}")
        self._task_id = task_id
        if wait.last_said:
            self.body.insertWidget(0, soft_label(f"Last time, {wait.last_said}"))
        whom = QLineEdit(wait.with_whom)
        whom.setReadOnly(True)
        self.form.addRow("With whom", whom)
        self.said = QPlainTextEdit()
        self.said.setTabChangesFocus(True)
        self.said.setFixedHeight(self.fontMetrics().lineSpacing() * 4)
        self.add("What they said", "said", self.said)
        self.ask_again = DateField(desk, "Ask again on", desk.service(StepService).today())
        self.add("Ask again on", "again", self.ask_again)
        self.body.addStretch(1)
        self.resize(self.width(), self.fontMetrics().lineSpacing() * 16)
        self.begin()

    def record(self) -> None:
        self.desk.service(StepService).note_contact(
            self._task_id, self.said.toPlainText(), self.ask_again.value()
        )
