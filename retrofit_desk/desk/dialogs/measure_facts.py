"""The form for what a measure is made of: a field for each fact, with its unit and plain words."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QFormLayout,
    QGroupBox,
    QLabel,
    QLineEdit,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.facts_form import counted
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.fields import MoneyField, QuantityField
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.desk.widgets.ticks_field import TicksField
from retrofit_desk.services.measure_inputs import (
    Fact,
    FactSort,
    FactsSheet,
    FactValue,
    FactWrong,
    MeasureInputsService,
    NoFacts,
    Option,
)
from retrofit_desk.values.quantity import Dimension

NOT_STATED = "not stated"


class MeasureFactsDialog(FormDialog):
    """Everything the sum wants to know of one measure. What is left empty is not stated."""

    def __init__(self, desk: Desk, parent: QWidget | None, measure_id: int) -> None:
        service = desk.service(MeasureInputsService)
        sheet = service.sheet(measure_id)
        if sheet is None:
            raise NoFacts("the program knows no facts of this measure", do="choose another measure")
        self._sheet = sheet
        super().__init__(desk, parent, f"facts:{measure_id}", f"What it is: {self._sheet.title}")
        self.recorded: FactsSheet | None = None
        said = self._sheet.cannot_say or "Everything that the sum needs is stated."
        self.body.insertWidget(0, soft_label(f"{self._sheet.kind}. {said}"))
        self.facts = FactGroup(desk, self._sheet.facts, self.form, self.watch)
        self.body.addStretch(1)
        self.begin()

    def record(self) -> None:
        self.recorded = self.desk.service(MeasureInputsService).record(
            self._sheet.measure_id, self.facts.values()
        )


class FactGroup:
    """The fields of some facts in a form layout; `watch` is told of each whose half-finished text is kept."""

    def __init__(
        self,
        desk: Desk,
        facts: tuple[Fact, ...],
        form: QFormLayout,
        watch: Callable[[str, QWidget], None],
        path: str = "",
    ) -> None:
        self._fields: dict[str, Any] = {}
        for fact in facts:
            field = _field(desk, fact, watch, f"{path}{fact.name}.")
            self._fields[fact.name] = field
            words = fact.words if fact.is_needed else f"{fact.words} (may stay empty)"
            if fact.sort in (FactSort.ROWS, FactSort.GROUP):
                form.addRow(field)
                continue
            label = QLabel(fact.words)
            label.setBuddy(field)
            label.setToolTip(words)
            _explain(field, fact)
            form.addRow(label, field)
            watch(f"{path}{fact.name}", field)
        for field in self._fields.values():
            if isinstance(field, ChoiceFact):
                field.chosen_fills(self._fill)

    def values(self) -> dict[str, FactValue]:
        """The facts by name. Raises `FieldEmpty`, `FactWrong`."""
        return {name: field.fact() for name, field in self._fields.items()}

    def field(self, name: str) -> QWidget:
        found: QWidget = self._fields[name]
        return found

    def _fill(self, option: Option) -> None:
        for name, value in option.fills:
            field = self._fields.get(name)
            if isinstance(field, QuantityFact):
                field.set_value(value / field.factor)


class QuantityFact(QuantityField):
    def __init__(self, desk: Desk, fact: Fact) -> None:
        super().__init__(desk, fact.words, fact.dimension)
        self.factor = fact.factor
        if isinstance(fact.value, int | float):
            self.set_value(float(fact.value) * fact.factor)

    def fact(self) -> FactValue:
        value = self.value()
        return None if value is None else value / self.factor


class MoneyFact(MoneyField):
    def __init__(self, desk: Desk, fact: Fact) -> None:
        super().__init__(desk, fact.words)
        if isinstance(fact.value, int | float):
            self.set_value(round(fact.value))

    def fact(self) -> FactValue:
        return self.value()


class CountFact(QuantityField):
    def __init__(self, desk: Desk, fact: Fact) -> None:
        super().__init__(desk, fact.words, Dimension.PLAIN, decimals=0)
        if isinstance(fact.value, int | float):
            self.set_value(float(fact.value))

    def fact(self) -> FactValue:
        return None if self.value() is None else counted(self)


class WordsFact(QLineEdit):
    def __init__(self, fact: Fact) -> None:
        super().__init__(str(fact.value or ""))

    def fact(self) -> FactValue:
        return self.text().strip() or None


class NumbersFact(QLineEdit):
    """Numbers with commas between them; whole ones also as spans: 22-23, 0-5."""

    def __init__(self, fact: Fact) -> None:
        values = fact.value if isinstance(fact.value, tuple | list) else ()
        super().__init__(", ".join(f"{one:g}" for one in values))
        self._words = fact.words

    def fact(self) -> FactValue:
        found: list[float] = []
        for piece in (one.strip() for one in self.text().split(",")):
            if piece:
                found += self._numbers(piece)
        return tuple(int(one) if one == int(one) else one for one in found) or None

    def _numbers(self, piece: str) -> list[float]:
        first, dash, last = piece.partition("-") if not piece.startswith("-") else (piece, "", "")
        try:
            if dash:
                return [float(one) for one in range(int(first), int(last) + 1)]
            return [float(piece)]
        except ValueError:
            raise FactWrong(
                f"'{piece}' is no number", where=self._words, do="type numbers with commas, or 22-23"
            ) from None


class YesNoFact(QCheckBox):
    def __init__(self, fact: Fact) -> None:
        super().__init__("yes")
        self.setChecked(bool(fact.value))

    def fact(self) -> FactValue:
        return self.isChecked()


class ChoiceFact(QComboBox):
    def __init__(self, fact: Fact) -> None:
        super().__init__()
        self._options = fact.options
        self.addItem(NOT_STATED, None)
        for option in fact.options:
            self.addItem(option.words, option.key)
        if fact.value is not None and self.findData(fact.value) < 0:
            self.addItem(str(fact.value), fact.value)
        self.setCurrentIndex(max(self.findData(fact.value), 0))
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(20)

    def chosen_fills(self, fill: Callable[[Option], None]) -> None:
        """What an option brings along goes into the fields beside it when the owner picks it."""
        self.activated.connect(
            lambda at: fill(self._options[at - 1]) if 0 < at <= len(self._options) else None
        )

    def fact(self) -> FactValue:
        chosen: FactValue = self.currentData()
        return chosen


class TicksFact(TicksField):
    def __init__(self, fact: Fact) -> None:
        ticked = fact.value if isinstance(fact.value, tuple | list) else ()
        known = {option.key: option.words for option in fact.options}
        strange = {str(key): str(key) for key in sorted(set(ticked) - known.keys())}
        super().__init__((known | strange).items(), map(str, ticked))

    def fact(self) -> FactValue:
        return self.ticked() or None


class GroupFact(QGroupBox):
    """Facts that stand or fall together; none of them stated: the group is not stated."""

    def __init__(self, desk: Desk, fact: Fact, watch: Callable[[str, QWidget], None], path: str) -> None:
        super().__init__(fact.words)
        self.setToolTip(fact.explained)
        self._group = FactGroup(desk, fact.facts, QFormLayout(self), watch, path)

    def fact(self) -> FactValue:
        values = self._group.values()
        return values if any(value is not None for value in values.values()) else None


class RowsFact(QGroupBox):
    """Several of one sort, such as rating points or roof planes."""

    def __init__(self, desk: Desk, fact: Fact, watch: Callable[[str, QWidget], None], path: str) -> None:
        super().__init__(fact.words)
        self._desk, self._fact, self._watch, self._path = desk, fact, watch, path
        self._rows: list[tuple[QWidget, FactGroup]] = []
        self._column = QVBoxLayout(self)
        if fact.explained:
            self._column.addWidget(soft_label(fact.explained))
        self._more = QPushButton("Add one more")
        self._more.setAutoDefault(False)
        self._more.setAccessibleName(f"Add one more: {fact.words}")
        self._more.clicked.connect(lambda: self._add(self._fact.facts))
        self._column.addWidget(self._more, 0, Qt.AlignmentFlag.AlignLeft)
        rows = fact.value if isinstance(fact.value, tuple) else ()
        for row in rows:
            self._add(row)
        if not rows and fact.is_needed:
            self._add(fact.facts)

    def _add(self, facts: tuple[Fact, ...]) -> None:
        frame = QWidget()
        form = QFormLayout(frame)
        group = FactGroup(self._desk, facts, form, self._watch, f"{self._path}{len(self._rows)}.")
        away = QPushButton("Take this one away")
        away.setAutoDefault(False)
        away.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        form.addRow("", away)
        row = frame, group
        away.clicked.connect(lambda: self._take(row))
        self._rows.append(row)
        self._column.insertWidget(self._column.count() - 1, frame)

    def _take(self, row: tuple[QWidget, FactGroup]) -> None:
        self._rows.remove(row)
        row[0].hide()

    def fact(self) -> FactValue:
        stated = (group.values() for _, group in self._rows)
        return tuple(row for row in stated if any(value is not None for value in row.values())) or None


def _field(desk: Desk, fact: Fact, watch: Callable[[str, QWidget], None], path: str) -> QWidget:
    if fact.sort is FactSort.GROUP:
        return GroupFact(desk, fact, watch, path)
    if fact.sort is FactSort.ROWS:
        return RowsFact(desk, fact, watch, path)
    if fact.sort in NUMBERS:
        return NUMBERS[fact.sort](desk, fact)
    return OTHERS[fact.sort](fact)


NUMBERS: dict[FactSort, Callable[[Desk, Fact], QWidget]] = {
    FactSort.QUANTITY: QuantityFact,
    FactSort.MONEY: MoneyFact,
    FactSort.COUNT: CountFact,
}
OTHERS: dict[FactSort, Callable[[Fact], QWidget]] = {
    FactSort.WORDS: WordsFact,
    FactSort.NUMBERS: NumbersFact,
    FactSort.YES_NO: YesNoFact,
    FactSort.CHOICE: ChoiceFact,
    FactSort.TICKS: TicksFact,
}


def _explain(field: QWidget, fact: Fact) -> None:
    """Its explanation as a hint in the empty field and as a tooltip; needed ones say so."""
    about = fact.explained or ("needed" if fact.is_needed else "")
    field.setAccessibleName(fact.words)
    if isinstance(field, QLineEdit):
        field.setPlaceholderText(about)
    tips = [
        tip for tip in (fact.explained, "" if fact.is_needed else "may stay empty", field.toolTip()) if tip
    ]
    field.setToolTip("\n".join(tips))
