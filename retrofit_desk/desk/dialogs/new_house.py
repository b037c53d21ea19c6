"""A short guided description of a new house: a few answers, the rest is assumed until stated."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from platformdirs import user_documents_path
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QDialog,
    QFileDialog,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from retrofit_desk.desk.context import Bench
from retrofit_desk.desk.dialogs.facts_form import FieldEmpty, counted, needed, needed_text
from retrofit_desk.desk.settings import Choices
from retrofit_desk.desk.widgets.fields import MoneyField, QuantityField
from retrofit_desk.desk.widgets.stated_field import StatedField
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.desk.widgets.trouble_line import TroubleLine
from retrofit_desk.services.new_house import (
    Foundation,
    Heating,
    HotWater,
    NewHouse,
    YearOfBills,
    describe_new_house,
)
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.quantity import Dimension

STOREYS = {"one": 1, "two": 2}
SHIPPED_WEATHER = "Greensboro, North Carolina, typical year: ships with the program"
ABOUT = (
    "A few answers are enough for a first savings sum. Walls, windows, leakage and machines are taken as "
    "usual for a house of that age and marked as assumed; change them on the House page as you find out."
)
BURNED = {
    Heating.GAS: "Gas in a year, therms",
    Heating.OIL: "Oil in a year, gallons",
    Heating.PROPANE: "Propane in a year, gallons",
    Heating.ELECTRIC: "Gas in a year, therms",
}


def ask_new_house(parent: QWidget | None, choices: Choices) -> Path | None:
    """Ask the questions and make the project; its folder, or None when the owner went back."""
    dialog = NewHouseDialog(Bench(units=choices.units, tone=choices.tone), parent)
    return dialog.made if dialog.exec() else None


class NewHouseDialog(QDialog):
    """The questions on one sheet; `made` is the project's folder after *Describe the house*."""

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._bench = bench
        self._weather: Path | None = None
        self.made: Path | None = None
        self.setWindowTitle("Describe a new house")
        inside = QWidget()
        inside.setProperty("role", "body")
        self._column = QVBoxLayout(inside)
        self._column.addWidget(soft_label(ABOUT))
        self._ask_house()
        self._ask_machines()
        self._ask_bills()
        self._ask_places()
        self._column.addStretch(1)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setWidget(inside)
        whole = QVBoxLayout(self)
        whole.addWidget(scroll, 1)
        self._trouble = TroubleLine(bench)
        whole.addWidget(self._trouble)
        whole.addLayout(self._buttons())
        metrics = self.fontMetrics()
        self.resize(metrics.averageCharWidth() * 88, metrics.lineSpacing() * 36)

    def accept(self) -> None:
        """Read the answers and make the project; on trouble stay, with the reason."""
        self._trouble.tell("")
        fields = (
            self.area,
            self.breaker,
            self.people,
            self.fuel,
            self.fuel_cost,
            self.power,
            self.power_cost,
        )
        if not all([field.settle() for field in fields]):
            return
        QGuiApplication.setOverrideCursor(Qt.CursorShape.WaitCursor)
        try:
            answers = self.answers()
            with describe_new_house(self._folder(answers.name), answers, date.today()) as project:
                self.made = project.path
        except DeskError as error:
            self._bench.notices.error(error)
            return
        finally:
            QGuiApplication.restoreOverrideCursor()
        super().accept()

    def answers(self) -> NewHouse:
        """What was answered. Raises `FieldEmpty` for a question that needs an answer."""
        heating = Heating(self.heating.currentText())
        hot_water = HotWater(self.hot_water.currentText())
        burns = heating is not Heating.ELECTRIC or hot_water is HotWater.FUEL or self.gas_range.isChecked()
        fuel = YearOfBills(self.fuel.stated(), self.fuel_cost.stated()) if burns else None
        return NewHouse(
            name=needed_text(self.name, "Name of the house"),
            city=self.city.text().strip(),
            state=self.state.text().strip(),
            floor_area_m2=needed(self.area),
            year_built=_year(needed_text(self.year, "Year built")),
            storeys=STOREYS[self.storeys.currentText()],
            foundation=Foundation(self.foundation.currentText()),
            people=counted(self.people),
            heating=heating,
            hot_water=hot_water,
            cooks_with_gas=self.gas_range.isChecked(),
            has_cooling=self.cooling.isChecked(),
            fuel_bills=fuel,
            electricity_bills=YearOfBills(self.power.stated(), self.power_cost.stated()),
            main_breaker_a=self.breaker.value(),
            weather_file=self._weather,
        )

    def choose_weather(self) -> None:
        """Ask for a weather file of the place."""
        picked, _ = QFileDialog.getOpenFileName(self, "Weather file", filter="Weather (*.epw *.csv *.tm3)")
        if picked:
            self._weather = Path(picked)
            self._weather_line.setText(self._weather.name)

    def choose_folder(self) -> None:
        """Ask where the project is to be kept."""
        picked = QFileDialog.getExistingDirectory(self, "Keep the project in", self._kept_in.text())
        if picked:
            self._kept_in.setText(picked)

    def _folder(self, name: str) -> Path:
        kept_in = Path(self._kept_in.text().strip() or ".").expanduser()
        try:
            kept_in.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            reason = error.strerror or "it cannot be made"
            raise FieldEmpty(reason, where=str(kept_in), do="choose another folder") from error
        return kept_in / "".join(" " if letter in '/\\:*?"<>|' else letter for letter in name).strip()

    # questions

    def _ask_house(self) -> None:
        form = self._section("The house")
        self.name, self.city, self.state = QLineEdit(), QLineEdit(), QLineEdit()
        self.area = QuantityField(self._bench, "Floor area", Dimension.AREA, low_si=5.0, high_si=5000.0)
        self.year = QLineEdit()
        self.year.setPlaceholderText("1964")
        self.storeys = _box(tuple(STOREYS))
        self.foundation = _box(tuple(Foundation))
        self._add(form, "Name of the house", self.name)
        self._add(form, "City", self.city)
        self._add(form, "State", self.state)
        self._add(form, "Floor area", self.area)
        self._add(form, "Year built", self.year)
        self._add(form, "Stories above the ground", self.storeys)
        self._add(form, "Below the lowest floor", self.foundation)

    def _ask_machines(self) -> None:
        form = self._section("Heat, hot water, cooking")
        self.heating, self.hot_water = _box(tuple(Heating)), _box(tuple(HotWater))
        self.gas_range, self.cooling = QCheckBox("Cooks with gas"), QCheckBox("Has a central air conditioner")
        self.gas_range.setChecked(True)
        self.cooling.setChecked(True)
        self._add(form, "Heated by", self.heating)
        self._add(form, "Hot water by", self.hot_water)
        self._add(form, "", self.gas_range)
        self._add(form, "", self.cooling)
        self.breaker = QuantityField(self._bench, "Main breaker of the panel", Dimension.CURRENT, low_si=1.0)
        self.breaker.setPlaceholderText("on its handle, such as 100 A; may stay empty")
        self._add(form, "Main breaker of the panel", self.breaker)
        self.heating.currentTextChanged.connect(lambda _text: self._name_fuel())

    def _ask_bills(self) -> None:
        form = self._section("People and a year of bills")
        self.people = QuantityField(self._bench, "People in the house", Dimension.PLAIN, low_si=1.0)
        self.fuel = StatedField(QuantityField(self._bench, "Fuel in a year", Dimension.PLAIN, low_si=0.0))
        self.fuel_cost = StatedField(MoneyField(self._bench, "Cost of the fuel"))
        self.power = StatedField(
            QuantityField(self._bench, "Electricity in a year, kWh", Dimension.PLAIN, low_si=0.0)
        )
        self.power_cost = StatedField(MoneyField(self._bench, "Cost of the electricity"))
        self._add(form, "People in the house", self.people)
        self._fuel_label = self._add(form, "Fuel in a year", self.fuel)
        self._add(form, "Cost of the fuel", self.fuel_cost)
        self._add(form, "Electricity in a year, kWh", self.power)
        self._add(form, "Cost of the electricity", self.power_cost)
        form.addRow(soft_label("Single bills can be read in on the House page later; they say more."))
        self._name_fuel()

    def _ask_places(self) -> None:
        form = self._section("Weather and folder")
        self._weather_line = soft_label(SHIPPED_WEATHER)
        choose = QPushButton("Use a weather file of my place …")
        choose.setAutoDefault(False)
        choose.clicked.connect(self.choose_weather)
        form.addRow("Weather", self._weather_line)
        form.addRow("", choose)
        self._kept_in = QLineEdit(str(user_documents_path() / "Retrofit Desk"))
        other = QPushButton("Choose …")
        other.setAccessibleName("Choose the folder")
        other.setAutoDefault(False)
        other.clicked.connect(self.choose_folder)
        row = QHBoxLayout()
        row.addWidget(self._kept_in, 1)
        row.addWidget(other)
        label = QLabel("Kept in")
        label.setBuddy(self._kept_in)
        self._kept_in.setAccessibleName("Kept in")
        form.addRow(label, row)

    def _name_fuel(self) -> None:
        words = BURNED[Heating(self.heating.currentText())]
        self._fuel_label.setText(words)
        self.fuel.field.setAccessibleName(words)

    # layout

    def _section(self, title: str) -> QFormLayout:
        self._column.addWidget(SectionHeading(title))
        form = QFormLayout()
        form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        self._column.addLayout(form)
        return form

    @staticmethod
    def _add(form: QFormLayout, words: str, widget: QWidget) -> QLabel:
        label = QLabel(words)
        label.setBuddy(widget)
        if words:
            widget.setAccessibleName(words)
        form.addRow(label, widget)
        return label

    def _buttons(self) -> QHBoxLayout:
        describe, back = QPushButton("Describe the house"), QPushButton("Go back")
        describe.setDefault(True)
        describe.clicked.connect(self.accept)
        back.setAutoDefault(False)
        back.clicked.connect(self.reject)
        row = QHBoxLayout()
        row.addStretch(1)
        row.addWidget(back)
        row.addWidget(describe)
        return row


def _year(typed: str) -> int:
    if not (typed.isdecimal() and len(typed) == 4):
        raise FieldEmpty(f"'{typed}' is no year", where="Year built", do="type a year such as 1964")
    return int(typed)


def _box(choices: tuple[str, ...]) -> QComboBox:
    box = QComboBox()
    box.addItems([str(one) for one in choices])
    return box
