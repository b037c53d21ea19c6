"""Fields for quantities, dates and sums of money: typed text in, exact values out."""

from __future__ import annotations

from datetime import date

from PySide6.QtCore import Signal
from PySide6.QtGui import QFocusEvent
from PySide6.QtWidgets import QLineEdit

from retrofit_desk.desk.context import Bench
from retrofit_desk.values.cents import cents_text, parse_cents
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.quantity import Dimension, OutOfReach, parse, show, units_understood
from retrofit_desk.values.typed_date import parse_date


class TypedField(QLineEdit):
    """A line that is read when it is left; what cannot be read is told in a line and the old value stays."""

    changed = Signal()

    def __init__(self, desk: Bench, name: str) -> None:
        super().__init__()
        self.desk, self.name = desk, name
        self.trouble = ""
        self._is_untold = False
        self._settled_text = ""
        self.setAccessibleName(name)
        self.editingFinished.connect(self._leave)
        self.textEdited.connect(lambda _text: self._mark(""))

    def settle(self) -> bool:
        """Read what is typed. False once when it could not be: the old value is back, `trouble` says why."""
        if self.text() == self._settled_text:
            was_told, self._is_untold = not self._is_untold, False
            return was_told
        try:
            self._read(self.text().strip())
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

    def _read(self, typed: str) -> None:
        raise NotImplementedError

    def _value_text(self) -> str:
        raise NotImplementedError

    def _show_value(self) -> None:
        self._settled_text = self._value_text()
        self.setText(self._settled_text)

    def _mark(self, trouble: str) -> None:
        self.trouble = trouble
        self.setProperty("trouble", "true" if trouble else "false")
        self.setAccessibleDescription(trouble)
        self.style().unpolish(self)
        self.style().polish(self)


class QuantityField(TypedField):
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
        self._value: float | None = None
        self.setToolTip("Understood: " + ", ".join(unit for unit in units_understood(dimension) if unit))
        desk.units_changed.connect(self._show_value)

    def value(self) -> float | None:
        """In SI; None when the field is empty."""
        return self._value

    def set_value(self, value_si: float | None) -> None:
        self._value = value_si
        self._mark("")
        self._show_value()

    def _read(self, typed: str) -> None:
        if not typed:
            self._value = None
            return
        kept = self._value_text()
        found = parse(typed, self._dimension, self.desk.units, where=self.name, kept=kept).value_si
        for limit, word, wrong in (
            (self._low, "below", self._low is not None and found < self._low),
            (self._high, "above", self._high is not None and found > self._high),
        ):
            if wrong and limit is not None:
                edge = show(limit, self._dimension, self.desk.units)
                held = f"the field kept '{kept}'" if kept else ""
                raise OutOfReach(f"'{typed}' is {word} {edge}", where=self.name, kept=held, do="check it")
        self._value = found

    def _value_text(self) -> str:
        if self._value is None:
            return ""
        return show(self._value, self._dimension, self.desk.units, decimals=self._decimals)


class DateField(TypedField):
    """A typed date; words such as "today" and "friday" are understood."""

    def __init__(self, desk: Bench, name: str, today: date) -> None:
        super().__init__(desk, name)
        self._today = today
        self._value: date | None = None
        self.setPlaceholderText("Mar 14, 2026")
        self.setToolTip("Understood: Mar 14, 3/14/2026, 2026-03-14, today, friday, +10, in 2 weeks")

    def value(self) -> date | None:
        return self._value

    def set_value(self, value: date | None) -> None:
        self._value = value
        self._mark("")
        self._show_value()

    def _read(self, typed: str) -> None:
        if not typed:
            self._value = None
            return
        self._value = parse_date(typed, self._today, where=self.name, kept=self._value_text())

    def _value_text(self) -> str:
        return day_text(self._value) if self._value else ""


class MoneyField(TypedField):
    """A sum of money; `value()` is whole cents."""

    def __init__(self, desk: Bench, name: str) -> None:
        super().__init__(desk, name)
        self._value: int | None = None
        self.setPlaceholderText("$0.00")

    def value(self) -> int | None:
        return self._value

    def set_value(self, amount_cents: int | None) -> None:
        self._value = amount_cents
        self._mark("")
        self._show_value()

    def _read(self, typed: str) -> None:
        self._value = parse_cents(typed, where=self.name, kept=self._value_text()) if typed else None

    def _value_text(self) -> str:
        return "" if self._value is None else cents_text(self._value)
