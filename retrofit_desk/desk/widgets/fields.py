"""Fields for quantities, dates and sums of money: typed text in, exact values out."""

from __future__ import annotations

from datetime import date
from typing import Generic, TypeVar

from PySide6.QtCore import Signal
from PySide6.QtGui import QFocusEvent
from PySide6.QtWidgets import QLineEdit

from retrofit_desk.desk.context import Bench
from retrofit_desk.values.cents import cents_text, parse_cents
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.quantity import Dimension, OutOfReach, parse, show, units_understood
from retrofit_desk.values.typed_date import parse_date

Value = TypeVar("Value")


class TypedField(QLineEdit, Generic[Value]):
    """A line that is read when it is left; what cannot be read is told in a line and the old value stays.

    A kind of field says how typed text is read (`_parse`) and how a value is written (`_words`).
    """

    changed = Signal()

    def __init__(self, desk: Bench, name: str) -> None:
        super().__init__()
        self.desk, self.name = desk, name
        self._value: Value | None = None
        self.trouble = ""
        self._is_untold = False
        self._settled_text = ""
        self.setAccessibleName(name)
        self.editingFinished.connect(self._leave)
        self.textEdited.connect(lambda _text: self._mark(""))

    def value(self) -> Value | None:
        """None when the field is empty."""
        return self._value

    def set_value(self, value: Value | None) -> None:
        self._value = value
        self._mark("")
        self._show_value()

    def settle(self) -> bool:
        """Read what is typed. False once when it could not be: the old value is back, `trouble` says why."""
        if self.text() == self._settled_text:
            was_told, self._is_untold = not self._is_untold, False
            return was_told
        try:
            typed = self.text().strip()
            self._value = self._parse(typed) if typed else None
        except DeskError as error:
            self._mark(error.line())
            self.desk.notices.error(error)
            self._show_value()
            return False
        self._mark("")
        self._show_value()
        self.changed.emit()
        return True

    def draft_text(self) -> str:
        """What is typed, for keeping a half-finished entry."""
        return self.text()

    def restore_draft(self, text: str) -> None:
        self.setText(text)
        self.settle()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.selectAll()

    def _leave(self) -> None:
        # A click on "Record" leaves the field first: the form must not record the old value in silence.
        self._is_untold = not self.settle()

    def _parse(self, typed: str) -> Value:
        """The value of a text that is not empty. Raises a `DeskError`."""
        raise NotImplementedError

    def _words(self, value: Value) -> str:
        raise NotImplementedError

    def _value_text(self) -> str:
        return "" if self._value is None else self._words(self._value)

    def _show_value(self) -> None:
        self._settled_text = self._value_text()
        self.setText(self._settled_text)
        self.setCursorPosition(0)  # a narrow field shows the first digits, not the unit

    def _mark(self, trouble: str) -> None:
        self.trouble = trouble
        self.setProperty("trouble", "true" if trouble else "false")
        self.setAccessibleDescription(trouble)
        self.style().unpolish(self)
        self.style().polish(self)


class QuantityField(TypedField[float]):
    """A quantity with its unit; `value()` is SI. Units change live without touching the value."""

    def __init__(
        self,
        desk: Bench,
        name: str,
        dimension: Dimension,
        *,
        low_si: float | None = None,
        high_si: float | None = None,
        decimals: int | None = None,
    ) -> None:
        super().__init__(desk, name)
        self._dimension, self._low, self._high, self._decimals = dimension, low_si, high_si, decimals
        self.setToolTip("Understood: " + ", ".join(unit for unit in units_understood(dimension) if unit))
        desk.units_changed.connect(self._show_value)

    def _parse(self, typed: str) -> float:
        kept = self._value_text()
        found = parse(typed, self._dimension, self.desk.units, where=self.name, kept=kept).value_si
        for limit, word, wrong in (
            (self._low, "below", self._low is not None and found < self._low),
            (self._high, "above", self._high is not None and found > self._high),
        ):
            if wrong and limit is not None:
                edge = show(limit, self._dimension, self.desk.units)
                held = f"the field kept '{kept}'" if kept else ""
                raise OutOfReach(
                    f"'{typed}' is {word} {edge}", where=self.name, kept=held, do=self._range() or "check it"
                )
        return found

    def _range(self) -> str:
        """Between what the value must lie; empty where only one side is bounded."""
        if self._low is None or self._high is None:
            return ""
        low, high = (show(one, self._dimension, self.desk.units) for one in (self._low, self._high))
        return f"type {low} to {high}"

    def _words(self, value: float) -> str:
        shown = show(value, self._dimension, self.desk.units, decimals=self._decimals)
        if self._dimension is Dimension.PLAIN and "." in shown:
            shown = shown.rstrip("0").rstrip(".")  # 3 people, 1.5 days: as it is typed
        return shown


class DateField(TypedField[date]):
    """A typed date; words such as "today" and "friday" are understood."""

    def __init__(self, desk: Bench, name: str, today: date) -> None:
        super().__init__(desk, name)
        self._today = today
        self.setPlaceholderText("Mar 14, 2026")
        self.setToolTip("Understood: Mar 14, 3/14/2026, 2026-03-14, today, friday, +10, in 2 weeks")

    def _parse(self, typed: str) -> date:
        return parse_date(typed, self._today, where=self.name, kept=self._value_text())

    def _words(self, value: date) -> str:
        return day_text(value)


class MoneyField(TypedField[int]):
    """A sum of money; `value()` is whole cents."""

    def __init__(self, desk: Bench, name: str) -> None:
        super().__init__(desk, name)
        self.setPlaceholderText("$0.00")

    def _parse(self, typed: str) -> int:
        return parse_cents(typed, where=self.name, kept=self._value_text())

    def _words(self, value: int) -> str:
        return cents_text(value)
