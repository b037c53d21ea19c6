"""Sun and storage: what the modules make and what the meter sees, and heat kept against power kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pages import worth_words as words
from retrofit_desk.desk.pages.worth_pane import WorthLook, WorthPane
from retrofit_desk.desk.pages.worth_storage import StorageSection
from retrofit_desk.desk.widgets.record_table import Column, RecordTable
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.services.worth import YearSummary
from retrofit_desk.values.quantity import Dimension, Units, show

NO_STORE = "No measure of the line-up stores heat or cold; there is nothing to set beside a battery."


@dataclass(frozen=True)
class MeterLine:
    """One figure of the electric year, before and after."""

    what: str
    before: str
    after: str


METER_COLUMNS: tuple[Column[MeterLine], ...] = (
    Column("In a year", lambda line: line.what, is_strong=True),
    Column("Before", lambda line: line.before, is_number=True),
    Column("With all measures", lambda line: line.after, is_number=True),
)


class SunPane(WorthPane):
    """The electric year, then the stores."""

    needs_sum = False

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.table: RecordTable[MeterLine] = RecordTable(desk, "Electricity of a year", METER_COLUMNS)
        self.no_store = soft_label(NO_STORE)
        self.storage = StorageSection(desk)
        self._heading = SectionHeading("Electricity of a year", "made, used and fed in")
        self.add(self._heading, self.table, self.storage, self.no_store)

    def fill(self, look: WorthLook) -> None:
        self.storage.refresh()
        self.no_store.setVisible(self.storage.isHidden())
        for part in (self._heading, self.table):
            part.setVisible(look.found is not None)
        if look.found is not None:
            self.table.set_rows(meter_lines(look.found.before, look.found.after, self.desk.units))
            self.table.show_all_rows()


def meter_lines(before: YearSummary, after: YearSummary, units: Units) -> tuple[MeterLine, ...]:
    """What the house uses, what the modules make, what the meter sees."""

    def line(what: str, text: Callable[[YearSummary], str]) -> MeterLine:
        return MeterLine(what, text(before), text(after))

    return (
        line("Used in the house", lambda year: words.energy(sum(year.months_kwh(burned=False)))),
        line("Made by the modules", lambda year: words.energy(year.solar_kwh)),
        line("Drawn from the network", lambda year: words.energy(year.drawn_kwh)),
        line("Fed into the network", lambda year: words.energy(year.fed_in_kwh)),
        line(
            "Highest draw in an hour", lambda year: show(year.peak_drawn_w, Dimension.ELECTRIC_POWER, units)
        ),
        line("Heat and cold asked for and not delivered", lambda year: words.energy(year.unmet_kwh)),
    )
