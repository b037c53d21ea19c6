"""One test in a form: its readings, how it was done, and what the rule says about it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import time
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QGridLayout, QHBoxLayout, QLabel, QLineEdit, QPushButton, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.widgets.notch import Notch
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.site_tests import (
    OWN,
    TestTemplate,
    WrittenTest,
    own_kind,
    reading_of,
    reading_text,
    reading_unit,
    verdict_on,
)
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.quantity import Dimension, number_in, parse, unit_word
from retrofit_desk.values.stated import Stated, StatedValue
from retrofit_desk.values.typed_time import parse_time

COLUMNS = 4
NO_PHOTO = "none yet"
Heading = tuple[str, str]


class TestBlock(QWidget):
    """Shows only the fields that its kind of test asks for; a blank field is "not said"."""

    __test__ = False
    changed = Signal()
    taken_out = Signal()

    def __init__(self, desk: Desk, template: TestTemplate, number: int, kept: str) -> None:
        super().__init__()
        self._desk, self.template, self._kept = desk, template, kept
        self.is_own = template.kind.startswith(OWN)
        self._name = f"Test {number}" if self.is_own else template.quantity
        self.fields: dict[str, QLineEdit] = {}
        self._headings = dict(self._asked())
        self.photo: QComboBox | None = None
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 8)
        self._grid.setHorizontalSpacing(4)
        self._grid.setVerticalSpacing(2)
        self._lay_head()
        self._lay_fields()
        self._lay_verdict()
        self._fill_limits()
        self._say()
        for field in self.fields.values():
            field.textChanged.connect(lambda _text: self._typed())
        if self.photo is not None:
            self.photo.currentIndexChanged.connect(lambda _index: self._typed())

    def begin(self) -> None:
        """Go to the first field."""
        next(iter(self.fields.values())).setFocus()

    def texts(self) -> dict[str, str]:
        """What is typed, by field."""
        photo: Path | None = self.photo.currentData() if self.photo is not None else None
        return {name: field.text() for name, field in self.fields.items()} | {"photo": str(photo or "")}

    def set_texts(self, texts: Mapping[str, str]) -> None:
        for name, field in self.fields.items():
            field.setText(texts.get(name, ""))
        if self.photo is not None and texts.get("photo"):
            path = Path(texts["photo"])
            if self.photo.findData(path) < 0:
                self.photo.addItem(path.name, path)
            self.photo.setCurrentIndex(self.photo.findData(path))

    def set_photos(self, paths: Sequence[Path]) -> None:
        """Offer these; the one chosen before stays chosen while it is among them."""
        if self.photo is None:
            return
        chosen: Path | None = self.photo.currentData()
        self.photo.blockSignals(True)
        self.photo.clear()
        self.photo.addItem(NO_PHOTO, None)
        for path in paths:
            self.photo.addItem(path.name, path)
        self.photo.setCurrentIndex(max(0, self.photo.findData(chosen)) if chosen is not None else 0)
        self.photo.blockSignals(False)
        self._say()

    def written(self) -> WrittenTest:
        """The test as typed. Raises `DeskError` for a number or a time that cannot be read."""
        quantity = self._text("name") if self.is_own else self.template.quantity
        value = self._reading("value")
        needed, ambient = self._text("needed"), self._text("ambient")
        return WrittenTest(
            kind=own_kind(quantity) if self.is_own else self.template.kind,
            quantity=quantity,
            value=StatedValue.of(value, Stated.KNOWN if value is not None else Stated.NOT_STATED),
            unit=self._unit(),
            end_value=self._reading("end_value"),
            low_limit=self._reading("low"),
            high_limit=self._reading("high"),
            minutes_needed=number_in(needed, "min", **self._where("needed")) if needed else None,
            limit_source=self._source(),
            started=self._clock("started"),
            ended=self._clock("ended"),
            gauge=self._text("gauge"),
            medium=self._text("medium"),
            ambient_change_c=self._step(ambient) if ambient else None,
            witness=self._text("witness"),
            photo=self.photo.currentData() if self.photo is not None else None,
        )

    def verdict_text(self) -> str:
        return self._verdict.text()

    def _asked(self) -> Iterator[Heading]:
        asks, unit = self.template.asks_for, reading_unit(self.template.unit, self._desk.units)
        step = unit_word(Dimension.TEMPERATURE_STEP, self._desk.units)
        if self.is_own:
            yield from (("name", "Test"), ("unit", "Unit"))
        yield "value", f"Value, {unit}" if unit else "Value"
        if "end_value" in asks or self.is_own:
            yield "end_value", f"At the end, {unit}" if unit else "At the end"
        yield from (("low", "At least"), ("high", "At most"))
        if "times" in asks or self.is_own:
            yield from (("needed", "Minutes asked"), ("started", "From"), ("ended", "To"))
        if "ambient" in asks:
            yield "ambient", f"Outdoors changed by, {step}"
        if self.template.medium or self.is_own:
            yield "medium", "Tested with"
        yield from (("gauge", "Gauge"), ("witness", "Witness"), ("source", "Limits from"))

    def _lay_head(self) -> None:
        title = QLabel(f"Another test, {self._name}" if self.is_own else self.template.quantity)
        take_out = QPushButton("Take out")
        take_out.setAccessibleName(f"Take out {self._name}")
        take_out.setAutoDefault(False)
        take_out.clicked.connect(self.taken_out)
        self.take_out = take_out
        self._grid.addWidget(title, 0, 0, 1, COLUMNS - 1)
        self._grid.addWidget(take_out, 0, COLUMNS - 1)
        if self.template.caution:
            self._grid.addWidget(soft_label(self.template.caution), 1, 0, 1, COLUMNS)

    def _lay_fields(self) -> None:
        for place, (name, words) in enumerate(self._headings.items()):
            field = QLineEdit()
            self.fields[name] = field
            self._lay(place, words, field)
        if self.template.medium:
            self.fields["medium"].setPlaceholderText(self.template.medium)
        if "photo" in self.template.asks_for:
            self.photo = QComboBox()
            self.photo.addItem(NO_PHOTO, None)
            self.photo.setMinimumContentsLength(12)
            self.photo.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
            self._lay(len(self.fields), "Photo of the gauge", self.photo)
        for column in range(COLUMNS):
            self._grid.setColumnStretch(column, 1)

    def _lay(self, place: int, words: str, widget: QWidget) -> None:
        widget.setAccessibleName(f"{self._name}, {words}")
        label = soft_label(words)
        label.setBuddy(widget)
        row, column = divmod(place, COLUMNS)
        self._grid.addWidget(label, 2 + 2 * row, column)
        self._grid.addWidget(widget, 3 + 2 * row, column)

    def _lay_verdict(self) -> None:
        self._notch, self._verdict = Notch(self._desk), soft_label()
        line = QHBoxLayout()
        line.addWidget(self._notch)
        line.addWidget(self._verdict, 1)
        self._grid.addLayout(line, self._grid.rowCount(), 0, 1, COLUMNS)

    def _fill_limits(self) -> None:
        template = self.template
        for name, limit in (("low", template.low_limit), ("high", template.high_limit)):
            if limit is not None:
                self.fields[name].setText(reading_text(limit, template.unit, self._desk.units))
        if template.minutes_needed is not None and "needed" in self.fields:
            self.fields["needed"].setText(f"{template.minutes_needed:g}")
        self.fields["source"].setText(template.limit_source)
        self._filled = self.texts()
        for field in self.fields.values():
            field.setCursorPosition(0)
        self.fields["source"].setToolTip(template.limit_source)

    def _typed(self) -> None:
        self._say()
        self.changed.emit()

    def _say(self) -> None:
        """The rule's sentence, or what cannot be read, as soon as it is typed."""
        try:
            verdict = verdict_on(self.written(), self._desk.units)
        except DeskError as trouble:
            self._tell(trouble.line(), needs_owner=True)
        else:
            self._tell(verdict.sentence, needs_owner=verdict.passed is not True)

    def _tell(self, words: str, *, needs_owner: bool) -> None:
        self._verdict.setText(words)
        self._verdict.setProperty("role", "owner" if needs_owner else "soft")
        self._verdict.style().polish(self._verdict)
        self._notch.setVisible(needs_owner)

    def _text(self, name: str) -> str:
        return self.fields[name].text().strip() if name in self.fields else ""

    def _unit(self) -> str:
        return self._text("unit") if self.is_own else self.template.unit

    def _where(self, name: str) -> dict[str, str]:
        return {"where": f"{self._name}, {self._headings[name]}", "kept": self._kept}

    def _reading(self, name: str) -> float | None:
        text = self._text(name)
        if not text:
            return None
        # a limit left as it was filled in is the exact one, not its rounded words
        if not self.is_own and name in ("low", "high") and text == self._filled[name]:
            return self.template.low_limit if name == "low" else self.template.high_limit
        return reading_of(text, self._unit(), self._desk.units, **self._where(name))

    def _source(self) -> str:
        """Where the limits come from; the source filled in speaks only for the limits filled in with it."""
        source = self._text("source")
        is_changed = any(self._text(name) != self._filled.get(name, "") for name in ("low", "high", "needed"))
        return "" if is_changed and source == self._filled["source"] else source

    def _clock(self, name: str) -> time | None:
        text = self._text(name)
        return parse_time(text, **self._where(name)) if text else None

    def _step(self, text: str) -> float:
        return parse(text, Dimension.TEMPERATURE_STEP, self._desk.units, **self._where("ambient")).value_si
