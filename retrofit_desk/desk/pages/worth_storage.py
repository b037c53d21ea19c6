"""Heat kept against power kept: a store of heat or cold beside a battery of equal use, on the Worth page."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtWidgets import QLabel, QPushButton, QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pages import worth_words as words
from retrofit_desk.desk.widgets.out_of_date import OutOfDate
from retrofit_desk.desk.widgets.record_table import Column, RecordTable
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.services.storage import Choice, Shift, StorageService, StoreCompared, StoresCompared
from retrofit_desk.values.cents import cents_text, whole_dollars_text
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.quantity import Units, count_text, percent_text

TITLE = "Heat kept or power kept"
NOT_YET = "The store was not compared with a battery yet. It takes some seconds."
HOW = (
    "Both are added to the whole line-up as the last measure. The battery is as large as it must be to move "
    "as much use as the store does, and is charged in the same hours. The store is taken to know the coming "
    "day. What is fed in takes nothing off the carbon."
)
CAUTION = (
    "Water is heavy, about 8.3 lb a gallon: an engineer looks at the floor first. Hot tanks scald. A battery "
    "belongs where the local code allows it, and a licensed electrician connects it."
)
NOTHING = "nothing"


@dataclass(frozen=True)
class Line:
    """One line of the comparison."""

    what: str
    store: str
    battery: str


class StorageSection(QWidget):
    """The newest comparison, and a button for a new one; hidden where no measure stores heat or cold."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk, self._service = desk, desk.service(StorageService)
        heading = SectionHeading(TITLE, "against a battery of equal use")
        self.button = QPushButton("Compare")
        self.button.setAccessibleName("Compare the store with a battery")
        self.button.clicked.connect(self.start)
        heading.row.addWidget(self.button)
        self.headline = QLabel()
        self.headline.setWordWrap(True)
        self.made = soft_label("")
        self.stale = OutOfDate(desk, "comparison", "Compare again", self.start)
        self._found = QWidget()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        for part in (heading, self.headline, self.made, self.stale, self._found):
            column.addWidget(part)
        self._column = QVBoxLayout(self._found)
        self._column.setContentsMargins(0, 0, 0, 0)
        self.tables: list[RecordTable[Line]] = []

    def refresh(self) -> None:
        """Show the kept comparison, and what was changed since."""
        self.setVisible(self._service.has_stores())
        found = self._service.latest()
        for part in (self.made, self._found):
            part.setVisible(found is not None)
        self.button.setVisible(not self._desk.project.is_read_only)
        if found is None:
            self.headline.setText(NOT_YET)
            return
        self.headline.setText(" ".join(sentence(one) for one in found.stores))
        self.made.setText(f"Worked out on {day_text(found.made_at.date())}. {HOW}")
        self.stale.tell(self._service.changed_since(self._desk.units))
        self._show(found)

    def start(self) -> None:
        """Compare in the background; cancel keeps what was there."""

        def done(_found: StoresCompared) -> None:
            self._desk.notices.tell("The store is compared with a battery.")
            self.refresh()

        self.button.setEnabled(False)
        job = self._desk.jobs.start("Comparing the store with a battery", self._service.compare, done)
        job.ended.connect(lambda: self.button.setEnabled(True))

    def _show(self, found: StoresCompared) -> None:
        while (item := self._column.takeAt(0)) is not None:
            if (old := item.widget()) is not None:
                old.deleteLater()
        self.tables = []
        for one in found.stores:
            table: RecordTable[Line] = RecordTable(
                self._desk,
                f"{one.title} against a battery",
                (
                    Column("In a year", lambda line: line.what, is_strong=True),
                    Column("The store", lambda line: line.store),
                    Column("A battery of equal use", lambda line: line.battery),
                ),
            )
            table.set_rows(lines(one, self._desk.units))
            table.show_all_rows()
            self.tables.append(table)
            self._column.addWidget(table)
            self._column.addWidget(soft_label(basis(one)))
        self._column.addWidget(soft_label(CAUTION))


def sentence(one: StoreCompared) -> str:
    """What the comparison says, in words."""
    store, battery = one.found.store, one.found.battery
    if battery is None:
        return f"{one.title} moves too little use to be set beside a battery. {_why_nothing(one)}".strip()
    better = "more" if store.money_saved_cents > battery.money_saved_cents else "less"
    said = (
        f"{one.title}, after all other measures, saves {whole_dollars_text(round(store.money_saved_cents))} "
        f"a year: {better} than a battery of {one.found.battery_kwh:.1f} kWh that moves as much use "
        f"({whole_dollars_text(round(battery.money_saved_cents))})."
    )
    return f"{said} {_why_nothing(one)}".strip()


def _why_nothing(one: StoreCompared) -> str:
    """Why a store charged by the sun earns nothing before the modules are there."""
    if one.found.charges_by_sun and one.sun_comes_later:
        return (
            "In its own place in the line-up it earns nothing: it is charged with sun to spare, and there is "
            f"none before {_listed(one.sun_comes_later)}."
        )
    if one.found.charges_by_sun and not one.found.has_sun:
        return "It is charged with sun to spare, and the house has no modules: it is never charged."
    return ""


def lines(one: StoreCompared, units: Units) -> tuple[Line, ...]:
    """The comparison line by line."""
    store, battery = one.found.store, one.found.battery
    rows = [
        _pair("Use moved", store, battery, lambda it: words.energy(it.shifted_kwh)),
        _pair("Power spent on charging", store, battery, lambda it: words.energy(it.charged_kwh)),
        _pair("Of that comes back", store, battery, lambda it: percent_text(it.returned_share)),
        Line(
            "Lost on the way",
            f"{words.energy(store.lost_kwh)} of heat and cold",
            words.energy(battery.lost_kwh) if battery else NOTHING,
        ),
        Line("COP of the heat pump", _cop(one), "as before"),
        _pair("Less drawn", store, battery, lambda it: words.energy(it.drawn_less_kwh)),
        _pair("Less fed in", store, battery, lambda it: words.energy(it.fed_in_less_kwh)),
        _pair("Money saved", store, battery, lambda it: whole_dollars_text(round(it.money_saved_cents))),
        _pair("Carbon saved", store, battery, lambda it: words.mass(it.carbon_saved_kg, units)),
        Line("Costs", _cost(one.store), _cost(one.battery)),
        Line("Lasts", _life(one.store), _life(one.battery)),
        Line("Cost of each kWh moved", _per_kwh(one.store), _per_kwh(one.battery)),
        Line("Carbon in it", _made(one.store_made_kg, units), _made(one.battery_made_kg, units)),
    ]
    return tuple(rows)


def basis(one: StoreCompared) -> str:
    """Where losses go, and what prices and lives rest on."""
    return (
        "What the store loses warms or cools the place where it stands. "
        f"Price of the battery: {one.battery.cost_source}; by the kWh, though none so small may be sold. "
        f"Years it lasts: {one.store.years_source}."
    )


def _pair(what: str, store: Shift, battery: Shift | None, text: Callable[[Shift], str]) -> Line:
    return Line(what, text(store), NOTHING if battery is None else text(battery))


def _cop(one: StoreCompared) -> str:
    before, after = one.found.cop_before, one.found.cop_with
    return NOTHING if before is None or after is None else f"{after:.2f} instead of {before:.2f}"


def _cost(choice: Choice) -> str:
    cents = choice.cost_cents.value
    return str(choice.cost_cents.stated) if cents is None else whole_dollars_text(cents)


def _life(choice: Choice) -> str:
    return f"{count_text(round(choice.years), 'year')} ({choice.years_low:.0f} to {choice.years_high:.0f})"


def _per_kwh(choice: Choice) -> str:
    if choice.cents_per_kwh is None:
        return "cannot say, needs its cost"
    return cents_text(round(choice.cents_per_kwh))


def _made(kg: float | None, units: Units) -> str:
    return "unknown" if kg is None else words.mass(kg, units)


def _listed(titles: tuple[str, ...]) -> str:
    return " and ".join(f"“{title}”" for title in titles)
