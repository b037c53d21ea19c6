"""The form of a construction's layers, from outside to inside."""

from __future__ import annotations

import json

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QGridLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.facts_form import FactsForm
from retrofit_desk.desk.widgets.fields import QuantityField
from retrofit_desk.desk.widgets.stated_field import StatedField
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.house_edits import HouseEditService, with_material
from retrofit_desk.services.house_faces import LayerRow, SurfaceSheet
from retrofit_desk.services.house_facts import LayerFacts
from retrofit_desk.services.materials import materials
from retrofit_desk.values.quantity import Dimension

NO_MATERIAL = "none of the table"
HEADINGS = ("Thickness", "Conductivity", "or R-value", "Framing, share", "Framing of")
SHARES = (4, 3, 2, 3, 3)  # of the width, by heading


class LayersDialog(FactsForm):
    """Changes what a face is made of; all faces of that construction follow, or this one alone."""

    def __init__(self, desk: Desk, parent: QWidget | None, sheet: SurfaceSheet) -> None:
        super().__init__(desk, parent, f"layers:{sheet.row.id}", f"Layers of {sheet.row.name}, {sheet.room}")
        self._sheet = sheet
        self.layers = LayersField(desk, sheet.layers)
        self.watch("layers", self.layers)
        self.layers.setMinimumHeight(self.fontMetrics().lineSpacing() * 16)
        self.body.insertWidget(0, self.layers, 1)
        self.body.insertWidget(
            0,
            soft_label(
                "From outside to inside. A material of the table fills in its conductivity; a value typed "
                "here counts before it. An air space is known by its thickness, or like "
                "a membrane by its R-value alone."
            ),
        )
        others = sheet.shared_by - 1
        self._only_here = QCheckBox(f"Only this face; {others} others keep the layers they have")
        self._only_here.setVisible(others > 0)
        self._only_here.setAccessibleName("Only this face")
        self.add("", "only_here", self._only_here)
        self.add_because()
        self.begin()
        metrics = self.fontMetrics()
        self.resize(metrics.averageCharWidth() * 130, metrics.lineSpacing() * 34)

    def record(self) -> None:
        self.desk.service(HouseEditService).change_layers(
            self._sheet.row.id,
            self.layers.facts(),
            self.because(),
            only_here=self._only_here.isChecked(),
        )


class LayersField(QScrollArea):
    """A line for each layer, with an open one below the last."""

    def __init__(self, desk: Desk, layers: tuple[LayerRow, ...]) -> None:
        super().__init__()
        self._desk = desk
        self.lines: list[_LayerLine] = []
        self.setWidgetResizable(True)
        self.setAccessibleName("Layers, from outside to inside")
        inside = QWidget()
        inside.setProperty("role", "body")
        self.setWidget(inside)
        column = QVBoxLayout(inside)
        self._lines = QVBoxLayout()
        add = QPushButton("Add a layer inside")
        add.setAutoDefault(False)
        add.clicked.connect(lambda _checked=False: self.add_line())
        column.addLayout(self._lines)
        column.addWidget(add)
        column.addStretch(1)
        for layer in layers:
            self.add_line().fill(_facts_of(layer))

    def add_line(self) -> _LayerLine:
        """One more layer, innermost."""
        line = _LayerLine(self._desk, len(self.lines) + 1)
        self._lines.addWidget(line)
        line.out.clicked.connect(lambda _checked=False: self._take_out(line))
        self.lines.append(line)
        return line

    def facts(self) -> tuple[LayerFacts, ...]:
        """The layers as typed; every field is read first, so that a wrong unit is told."""
        for line in self.lines:
            line.settle()
        return tuple(with_material(line.facts()) for line in self.lines if not line.is_empty())

    def draft_text(self) -> str:
        return json.dumps([line.texts() for line in self.lines], ensure_ascii=False)

    def restore_draft(self, text: str) -> None:
        for line in list(self.lines):
            self._take_out(line)
        for texts in json.loads(text) if text else ():
            self.add_line().restore(texts)

    def _take_out(self, line: _LayerLine) -> None:
        self.lines.remove(line)
        self._lines.removeWidget(line)
        line.hide()
        line.deleteLater()


class _LayerLine(QWidget):
    """The fields of one layer: what it is above, its numbers below."""

    def __init__(self, desk: Desk, number: int) -> None:
        super().__init__()
        self.name = QLineEdit()
        self.material = _material_box()
        self.thickness = StatedField(QuantityField(desk, f"Thickness of layer {number}", Dimension.THICKNESS))
        self.conductivity = QuantityField(desk, f"Conductivity of layer {number}", Dimension.CONDUCTIVITY)
        self.resistance = QuantityField(desk, f"R-value of layer {number}", Dimension.R_VALUE)
        self.framing = QuantityField(desk, f"Framing share of layer {number}", Dimension.SHARE)
        self.framing_of = _material_box()
        self.out = QPushButton("Take out")
        self.out.setAutoDefault(False)
        self.name.setAccessibleName(f"Name of layer {number}")
        self.material.setAccessibleName(f"Material of layer {number}")
        self.framing_of.setAccessibleName(f"Framing of layer {number}")
        self.out.setAccessibleName(f"Take out layer {number}")
        self.material.activated.connect(lambda _index: self._material_chosen())
        self._lay_out(number)

    def _lay_out(self, number: int) -> None:
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 6)
        grid.setHorizontalSpacing(4)
        grid.setVerticalSpacing(2)
        position = QLabel(str(number))
        position.setProperty("role", "section")
        position.setTextFormat(Qt.TextFormat.PlainText)
        grid.addWidget(position, 0, 0)
        grid.addWidget(self.name, 0, 1, 1, 3)
        grid.addWidget(self.material, 0, 4)
        grid.addWidget(self.out, 0, 5)
        fields = (self.thickness, self.conductivity, self.resistance, self.framing, self.framing_of)
        for column, (words, share, field) in enumerate(zip(HEADINGS, SHARES, fields, strict=True), start=1):
            label = QLabel(words)
            label.setProperty("role", "soft")
            grid.addWidget(label, 1, column)
            grid.addWidget(field, 2, column)
            grid.setColumnStretch(column, share)

    def fill(self, facts: LayerFacts) -> None:
        self.name.setText(facts.name)
        self.name.setCursorPosition(0)
        self.material.setCurrentIndex(max(self.material.findData(facts.material_key), 0))
        self.thickness.set_stated(facts.thickness_m)
        self.conductivity.set_value(facts.conductivity_w_mk)
        self.resistance.set_value(facts.resistance_m2k_w)
        self.framing.set_value(facts.framing_fraction or None)
        self.framing_of.setCurrentIndex(max(self.framing_of.findData(facts.framing_material_key), 0))

    def facts(self) -> LayerFacts:
        return LayerFacts(
            name=self.name.text().strip() or self._material_name(),
            material_key=self.material.currentData() or "",
            thickness_m=self.thickness.stated(),
            conductivity_w_mk=self.conductivity.value(),
            resistance_m2k_w=self.resistance.value(),
            framing_fraction=self.framing.value() or 0.0,
            framing_material_key=self.framing_of.currentData() or "",
        )

    def is_empty(self) -> bool:
        nothing = (self.conductivity.value(), self.resistance.value(), self.thickness.stated().value)
        return not self.name.text().strip() and not self.material.currentData() and not any(nothing)

    def settle(self) -> None:
        for field in (self.thickness, self.conductivity, self.resistance, self.framing):
            field.settle()

    def texts(self) -> list[str]:
        return [
            self.name.text(),
            self.material.currentData() or "",
            self.thickness.draft_text(),
            self.conductivity.draft_text(),
            self.resistance.draft_text(),
            self.framing.draft_text(),
            self.framing_of.currentData() or "",
        ]

    def restore(self, texts: list[str]) -> None:
        self.name.setText(texts[0])
        self.material.setCurrentIndex(max(self.material.findData(texts[1]), 0))
        self.thickness.restore_draft(texts[2])
        for field, text in zip((self.conductivity, self.resistance, self.framing), texts[3:6], strict=True):
            field.restore_draft(text)
        self.framing_of.setCurrentIndex(max(self.framing_of.findData(texts[6]), 0))

    def _material_name(self) -> str:
        return self.material.currentText() if self.material.currentData() else ""

    def _material_chosen(self) -> None:
        """The conductivity of the table takes the place of the one that stood there."""
        material = materials().get(self.material.currentData() or "")
        self.conductivity.set_value(material.conductivity_w_mk if material else None)
        if material is not None:
            self.resistance.set_value(material.resistance_m2k_w)
            if not self.name.text().strip():
                self.name.setText(material.name)


def _material_box() -> QComboBox:
    box = QComboBox()
    box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
    box.setMinimumContentsLength(12)
    box.addItem(NO_MATERIAL, "")
    for material in materials().values():
        box.addItem(material.name, material.key)
    return box


def _facts_of(layer: LayerRow) -> LayerFacts:
    return LayerFacts(
        name=layer.name,
        material_key=layer.material_key,
        thickness_m=layer.thickness_m,
        conductivity_w_mk=layer.conductivity_w_mk,
        resistance_m2k_w=layer.stated_resistance_m2k_w,
        framing_fraction=layer.framing_fraction,
        framing_material_key=layer.framing_material_key,
    )
