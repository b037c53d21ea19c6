"""The basis of forms that change what is recorded of the house: each asks how the owner knows."""

from __future__ import annotations

from PySide6.QtWidgets import QComboBox, QLineEdit, QWidget

from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.fields import QuantityField
from retrofit_desk.desk.widgets.stated_field import StatedField
from retrofit_desk.services.house_facts import Because, Certainty
from retrofit_desk.values.dates import MONTHS
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.quantity import Dimension
from retrofit_desk.values.stated import StatedValue


class FieldEmpty(DeskError):
    """A field that cannot be left empty."""


class FactsForm(FormDialog):
    """Adds *How do you know* and *Source* below the facts, and short ways to add quantity fields."""

    def add_quantity(
        self,
        words: str,
        name: str,
        dimension: Dimension,
        value_si: float | None,
        *,
        low_si: float | None = None,
        high_si: float | None = None,
        decimals: int | None = None,
    ) -> QuantityField:
        """A quantity that may be left empty only where the record allows it."""
        field = QuantityField(self.desk, words, dimension, low_si=low_si, high_si=high_si, decimals=decimals)
        field.set_value(value_si)
        self.add(words, name, field)
        return field

    def add_stated(
        self,
        words: str,
        name: str,
        dimension: Dimension,
        value: StatedValue[float],
        *,
        low_si: float = 0.0,
        high_si: float | None = None,
    ) -> StatedField:
        """A quantity beside the word that tells whether it is known."""
        field = StatedField(QuantityField(self.desk, words, dimension, low_si=low_si, high_si=high_si))
        field.set_stated(value)
        self.add(words, name, field)
        return field

    def add_line(self, words: str, name: str, text: str) -> QLineEdit:
        """A line of text."""
        line = QLineEdit(text)
        self.add(words, name, line)
        return line

    def add_month(self, words: str, name: str, month: int | None, none: str) -> QComboBox:
        """A month, 1 to 12, as the box's data; `none` is its first entry, for no month."""
        box = QComboBox()
        box.addItem(none, None)
        for number, called in enumerate(MONTHS, start=1):
            box.addItem(called, number)
        box.setCurrentIndex(month or 0)
        self.add(words, name, box)
        return box

    def add_because(self) -> None:
        """How the owner knows; call last."""
        self._certainty = QComboBox()
        self._certainty.addItems([str(one) for one in Certainty])
        self._certainty.setCurrentText(str(Certainty.MEASURED))
        self.add("How do you know", "certainty", self._certainty)
        self._source = self.add_line("Source", "source", "")
        self._source.setPlaceholderText("tape, drawing of 1964, label, invoice …")

    def because(self) -> Because:
        return Because(Certainty(self._certainty.currentText()), self._source.text().strip())


def needed(field: QuantityField) -> float:
    """The value of a field that cannot be left empty. Raises `FieldEmpty`."""
    value = field.value()
    if value is None:
        raise FieldEmpty("this cannot be left empty", where=field.name, do="type a value")
    return value


def needed_text(field: QWidget, words: str) -> str:
    """The text of a line that cannot be left empty. Raises `FieldEmpty`."""
    assert isinstance(field, QLineEdit)
    text = field.text().strip()
    if not text:
        raise FieldEmpty("this cannot be left empty", where=words, do="type a name")
    return text


def counted(field: QuantityField) -> int:
    """A whole number from a field. Raises `FieldEmpty`."""
    value = needed(field)
    if value != int(value):
        raise FieldEmpty("this must be a whole number", where=field.name, do="type it again")
    return int(value)
