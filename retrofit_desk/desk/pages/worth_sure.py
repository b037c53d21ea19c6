"""How sure is it?: what moves the answer most, whether the model meets the bills, and all it rests on."""

from __future__ import annotations

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pages.worth_answer_words import how_sure
from retrofit_desk.desk.pages.worth_fit import FitSection
from retrofit_desk.desk.pages.worth_pane import WorthLook, WorthPane, column_of
from retrofit_desk.desk.widgets.choices import Views
from retrofit_desk.desk.widgets.lines import StackedLine, StackedList
from retrofit_desk.desk.widgets.record_table import Column, RecordTable
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.services.worth import SourceLine
from retrofit_desk.services.worth_parts import WorthView
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.quantity import percent_text

SOURCE_COLUMNS: tuple[Column[SourceLine], ...] = (
    Column("Subject", lambda line: line.subject, is_strong=True),
    Column("As of", lambda line: day_text(line.as_of) if line.as_of else "not stated"),
    Column("Source", lambda line: line.source),
)


class SurePane(WorthPane):
    """One view at a time; without a sum only the fit to the bills."""

    needs_sum = False

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.how_sure = soft_label()
        self.moves = StackedList(desk, "What moves the answer most", "Nothing was varied.")
        self.fit = FitSection(desk)
        self.sources: RecordTable[SourceLine] = RecordTable(desk, "Sources", SOURCE_COLUMNS)
        moves = SectionHeading("What moves the answer most", "share of the spread in money saved")
        self.views = Views(
            (
                (WorthView.MOVES, column_of(moves, self.how_sure, self.moves)),
                (WorthView.FIT, self.fit),
                (WorthView.SOURCES, column_of(SectionHeading("What it rests on"), self.sources)),
            )
        )
        self.add(self.views)

    def fill(self, look: WorthLook) -> None:
        self.fit.refresh()
        self.views.keep_to(WorthView.FIT if look.found is None else None)
        if look.found is None:
            return
        self.how_sure.setText(how_sure(look.found))
        self.moves.set_lines(
            [
                StackedLine(name, aside=percent_text(share))
                for name, share in look.found.moves
                if share >= 0.005
            ]
        )
        self.sources.set_rows((*look.found.sources, *look.years.sources))
        self.sources.show_all_rows()

    def turn_to(self, view: WorthView) -> None:
        self.views.turn_to(view)
