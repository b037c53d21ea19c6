"""What comes after the measures are bought, on the Worth page: bought again when, upkeep, what is left."""

from __future__ import annotations

from enum import StrEnum

from PySide6.QtWidgets import QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pages.worth_pane import column_of
from retrofit_desk.desk.widgets.choices import Views
from retrofit_desk.desk.widgets.lines import StackedLine, StackedList
from retrofit_desk.desk.widgets.record_table import Column, RecordTable
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.services.later_money_words import (
    LaterRow,
    UpkeepRow,
    later_in_short,
    later_rows,
    upkeep_rows,
)
from retrofit_desk.services.worth_years import WorthYears

HOW = (
    "Years are counted from the day of the sum. What wears out is bought again when its life is over. The "
    "usual lives are second-hand or common practice, of low confidence: your own figures for a measure are "
    "entered on its page, under “Over the years”."
)


class LaterView(StrEnum):
    """What is seen of it at a time."""

    SHORT = "in short"
    THINGS = "each thing"
    UPKEEP = "upkeep of each"


class LaterSection(QWidget):
    """In short first; each thing that is bought, and the upkeep of each measure, as tables behind it."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.short = StackedList(desk, "Bought again and upkeep, in short", "")
        self.things: RecordTable[LaterRow] = RecordTable(desk, "Bought again and left", ())
        self.upkeep: RecordTable[UpkeepRow] = RecordTable(desk, "Upkeep", ())
        self.views = Views(
            (
                (LaterView.SHORT, self.short),
                (LaterView.THINGS, self.things),
                (LaterView.UPKEEP, column_of(soft_label("A year. Unknown is not zero."), self.upkeep)),
            )
        )
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(10)
        for part in (
            SectionHeading("Bought again and left", "with the measures, and without them"),
            soft_label(HOW),
            self.views,
        ):
            column.addWidget(part)

    def show_years(self, found: WorthYears) -> None:
        self.short.set_lines([StackedLine(*line) for line in later_in_short(found)])
        self.things.set_rows(later_rows(found), _thing_columns(found.outlook.years))
        self.things.show_all_rows()
        self.upkeep.set_rows(upkeep_rows(found), UPKEEP_COLUMNS)
        self.upkeep.show_all_rows()


UPKEEP_COLUMNS: tuple[Column[UpkeepRow], ...] = (
    Column("Measure", lambda row: row.measure, is_strong=True),
    Column("Upkeep", lambda row: row.comes, is_number=True),
    Column("Upkeep that ends", lambda row: row.ends, is_number=True),
    Column("Said by", lambda row: row.source),
)


def _thing_columns(years: int) -> tuple[Column[LaterRow], ...]:
    return (
        Column("Thing", lambda row: row.thing, is_strong=True, hint=lambda row: row.source),
        Column("Price", lambda row: row.price, is_number=True),
        Column("Lasts, years", lambda row: row.lasts, is_number=True),
        Column("Bought in year", lambda row: row.bought, is_number=True),
        Column(f"Left after {years}", lambda row: row.left, is_number=True),
        Column("Bought", lambda row: "without" if row.is_instead else "with"),
        Column("Measure", lambda row: row.measure, hint=lambda row: row.measure),
        Column("Source", lambda row: row.source, hint=lambda row: row.source),
    )
