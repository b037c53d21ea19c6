"""A field beside the word that tells whether its value is there: known, unknown, not stated, excluded."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QWidget

from retrofit_desk.desk.widgets.fields import DateField, MoneyField, QuantityField
from retrofit_desk.values.stated import Stated, StatedValue

WORDS = {
    Stated.KNOWN: "known",
    Stated.UNKNOWN: "unknown",
    Stated.NOT_STATED: "not stated",
    Stated.EXCLUDED: "excluded",
}


class StatedField(QWidget):
    """Typing a value makes it known; choosing another word empties the field. Zero is typed as 0."""

    changed = Signal()

    def __init__(
        self, field: QuantityField | MoneyField | DateField, words: tuple[Stated, ...] = tuple(Stated)
    ) -> None:
        super().__init__()
        self.field = field
        self._words = words
        self._word = QComboBox()
        self._word.addItems([WORDS[word] for word in words])
        self._word.setAccessibleName(f"{field.name}: known or not")
        self.setFocusProxy(field)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(4)
        row.addWidget(field, 1)
        row.addWidget(self._word)
        self.set_stated(StatedValue(None, Stated.UNKNOWN))
        self._word.activated.connect(self._word_chosen)
        field.changed.connect(self._value_typed)

    def stated(self) -> StatedValue[Any]:
        """The value with its word; a known field left empty is unknown."""
        return StatedValue.of(self.field.value(), self._chosen())

    def set_stated(self, stated: StatedValue[Any]) -> None:
        self.field.set_value(stated.value)
        self._word.setCurrentIndex(self._words.index(stated.stated))
        self._hint()

    def settle(self) -> bool:
        return self.field.settle()

    def draft_text(self) -> str:
        return f"{self._chosen()}|{self.field.draft_text()}"

    def restore_draft(self, text: str) -> None:
        word, _, typed = text.partition("|")
        if word in set(self._words):
            self._word.setCurrentIndex(self._words.index(Stated(word)))
        self.field.restore_draft(typed)
        self._hint()

    def _chosen(self) -> Stated:
        return self._words[self._word.currentIndex()]

    def _word_chosen(self) -> None:
        if self._chosen() is not Stated.KNOWN:
            self.field.set_value(None)
        self._hint()
        if self._chosen() is Stated.KNOWN:
            self.field.setFocus()
        self.changed.emit()

    def _value_typed(self) -> None:
        known = self.field.value() is not None
        if known or self._chosen() is Stated.KNOWN:
            self._word.setCurrentIndex(self._words.index(Stated.KNOWN if known else Stated.UNKNOWN))
        self._hint()
        self.changed.emit()

    def _hint(self) -> None:
        known = self._chosen() is Stated.KNOWN
        self.field.setPlaceholderText("" if known else WORDS[self._chosen()])
