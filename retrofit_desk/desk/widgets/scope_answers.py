"""What a firm answers to each line of the scope."""

from __future__ import annotations

import json
from collections.abc import Sequence

from PySide6.QtWidgets import QComboBox, QGridLayout, QLabel, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.widgets.fields import MoneyField
from retrofit_desk.rules.quotes import ScopeAnswer
from retrofit_desk.services.quote_values import (
    NOT_STATED_CENTS,
    UNKNOWN_CENTS,
    LineRow,
    ScopeRow,
    WrittenLine,
)
from retrofit_desk.values.stated import Stated, StatedValue

ANSWERS = tuple(ScopeAnswer)


class ScopeAnswersField(QWidget):
    """One line for each thing asked for: the answer, its amount, the owner's guess for this firm."""

    def __init__(self, desk: Desk, scope: Sequence[ScopeRow]) -> None:
        super().__init__()
        self._scope = tuple(scope)
        self._lines: list[tuple[QComboBox, MoneyField, MoneyField]] = []
        self.setAccessibleName("Scope")
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(6)
        grid.setVerticalSpacing(3)
        grid.setColumnStretch(0, 1)
        for column, heading in enumerate(("Asked for", "Answer", "Amount", "Your guess for this firm")):
            label = QLabel(heading)
            label.setProperty("role", "soft")
            grid.addWidget(label, 0, column)
        for number, item in enumerate(self._scope, start=1):
            words = QLabel(item.text)
            words.setWordWrap(True)
            answer = QComboBox()
            answer.addItems([str(one) for one in ANSWERS])
            answer.setCurrentText(str(ScopeAnswer.NOT_STATED))
            answer.setAccessibleName(f"Answer: {item.text}")
            amount = MoneyField(desk, f"Amount: {item.text}")
            amount.setPlaceholderText("not stated")
            guess = MoneyField(desk, f"Your guess: {item.text}")
            known = item.guess_cents.value is not None
            guess.setPlaceholderText("as for all firms" if known else "no guess yet")
            for column, widget in enumerate((words, answer, amount, guess)):
                grid.addWidget(widget, number, column)
            self._lines.append((answer, amount, guess))

    def put(self, lines: Sequence[LineRow]) -> None:
        """Show what is recorded."""
        said = {line.scope_id: line for line in lines}
        for item, (answer, amount, guess) in zip(self._scope, self._lines, strict=True):
            line = said.get(item.id)
            if line is not None:
                answer.setCurrentText(str(line.answer))
                amount.set_value(line.amount_cents.value)
                guess.set_value(line.own_guess_cents.value)

    def settle(self) -> bool:
        """Read every field; False when one could not be read."""
        return all([field.settle() for line in self._lines for field in line[1:]])

    def lines(self) -> tuple[WrittenLine, ...]:
        """What is typed, one line for each thing asked for."""
        found: list[WrittenLine] = []
        for item, (box, amount_field, guess_field) in zip(self._scope, self._lines, strict=True):
            answer = ScopeAnswer(box.currentText())
            amount, guess = amount_field.value(), guess_field.value()
            empty: StatedValue[int] = NOT_STATED_CENTS
            if answer is ScopeAnswer.EXCLUDED:
                empty = StatedValue(None, Stated.EXCLUDED)
            found.append(
                WrittenLine(
                    scope_id=item.id,
                    text=item.text,
                    answer=answer,
                    amount_cents=empty if amount is None else StatedValue(amount),
                    guess_cents=UNKNOWN_CENTS if guess is None else StatedValue(guess),
                )
            )
        return tuple(found)

    def draft_text(self) -> str:
        texts = [
            [box.currentText(), amount.draft_text(), guess.draft_text()] for box, amount, guess in self._lines
        ]
        silent = [str(ScopeAnswer.NOT_STATED), "", ""]
        return json.dumps(texts, ensure_ascii=False) if any(one != silent for one in texts) else ""

    def restore_draft(self, text: str) -> None:
        texts = json.loads(text) if text else []
        for (box, amount, guess), kept in zip(self._lines, texts, strict=False):
            box.setCurrentText(kept[0])
            amount.restore_draft(kept[1])
            guess.restore_draft(kept[2])
