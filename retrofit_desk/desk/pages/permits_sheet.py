"""One permit on the page: when it ends, its visits in order, corrections, holds, papers."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QScrollArea, QVBoxLayout

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pages.permits_words import final_words, permit_facts, visit_aside, visit_why
from retrofit_desk.desk.widgets.button_row import ButtonRow
from retrofit_desk.desk.widgets.lines import (
    LineButton,
    LineRow,
    RunsOut,
    RunsOutBar,
    StackedLine,
    StackedList,
)
from retrofit_desk.desk.widgets.scroll_pane import AsHighAsItsWords
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.rules.deadlines import Urgency
from retrofit_desk.rules.permits import InspectionResult
from retrofit_desk.services.permit_ends import PermitState
from retrofit_desk.services.permit_sheet import CorrectionLine, PermitSheet, VisitSheet
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.place import PageKey, Place

if TYPE_CHECKING:
    from retrofit_desk.desk.pages.permits import PermitsPage


USUAL = (
    "No permit is recorded yet. Ask the local office which ones the work needs. Offices usually ask for "
    "these, with these visits; the local list decides. “Add a permit …” brings the visits of its kind along."
)


class PermitPane(QScrollArea):
    """Everything about the chosen permit, stacked."""

    def __init__(self, desk: Desk, page: PermitsPage) -> None:
        super().__init__()
        self._desk, self._page = desk, page
        self._visit_rows: dict[int, LineRow] = {}
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)

    def show_sheet(self, sheet: PermitSheet | None) -> None:
        """The permit; without one what offices usually ask for."""
        self._inside = AsHighAsItsWords()
        self._inside.setProperty("role", "body")
        self._column = QVBoxLayout(self._inside)
        self._column.setSpacing(6)
        self._visit_rows = {}
        if sheet is not None:
            self._fill(sheet)
        else:
            self._fill_usual()
        self._column.addStretch(1)
        at = self.verticalScrollBar().value()
        self.setWidget(self._inside)
        self.verticalScrollBar().setValue(at)

    def show_visit(self, visit_id: int) -> None:
        """Bring one visit into view."""
        row = self._visit_rows.get(visit_id)
        if row is not None:
            self._inside.adjustSize()
            self.ensureWidgetVisible(row)

    def _fill_usual(self) -> None:
        """Which permits a retrofit usually takes, each with its visits in order."""
        self._column.addWidget(soft_label(USUAL))
        for one in self._page.usual():
            self._column.addWidget(SectionHeading(one.title))
            visits = [
                StackedLine(f"{number}. {visit.title}", f"Have ready: {'; '.join(visit.ready)}.")
                for number, visit in enumerate(one.inspections, 1)
            ]
            stack = StackedList(self._desk, one.title, "")
            stack.set_lines(visits)
            self._column.addWidget(stack)
            self._column.addWidget(soft_label(f"{one.caution} {one.origin.line}."))

    def _fill(self, sheet: PermitSheet) -> None:
        head = QHBoxLayout()
        title = QLabel(sheet.title)
        title.setProperty("role", "section")
        title.setTextFormat(Qt.TextFormat.PlainText)
        title.setWordWrap(True)
        head.addWidget(title, 1)
        change = QPushButton("Number and dates …")
        change.clicked.connect(lambda: self._page.change(sheet))
        head.addWidget(change, 0, Qt.AlignmentFlag.AlignTop)
        self._column.addLayout(head)
        self._column.addWidget(ButtonRow(self._ends(sheet)))
        self._column.addWidget(soft_label(permit_facts(sheet)))
        self._add_ending(sheet)
        self._column.addWidget(soft_label(final_words(sheet)))
        visits = SectionHeading("Visits", "in the usual order")
        if sheet.state not in (PermitState.FINAL, PermitState.WITHDRAWN):
            more = QPushButton("Add a visit …")
            more.clicked.connect(lambda: self._page.add_visit(sheet))
            visits.row.addWidget(more)
        self._column.addWidget(visits)
        self._add_visits(sheet)
        if sheet.measures:
            self._list("Covers", [StackedLine(one.title, place=one.place) for one in sheet.measures])
        papers = [*sheet.papers, *(paper for visit in sheet.visits for paper in visit.papers)]
        if papers:
            once = {paper.place: paper for paper in papers}.values()
            self._list("Papers", [StackedLine(one.title, one.detail, place=one.place) for one in once])
        order = sheet.source and f"Order of visits: {sheet.source}"
        for words in (sheet.notes, sheet.counted, sheet.caution, order):
            if words:
                self._column.addWidget(soft_label(words))

    def _ends(self, sheet: PermitSheet) -> tuple[tuple[str, Callable[[], None]], ...]:
        """What can be done with the permit as a whole, as far as it has come."""
        if sheet.state is PermitState.WITHDRAWN:
            return (("Take up again", lambda: self._page.take_up_again(sheet)),)
        found: list[tuple[str, Callable[[], None]]] = []
        if sheet.has_lapsed:
            found.append(("Extended or issued again …", lambda: self._page.change(sheet)))
        if sheet.state in (PermitState.ISSUED, PermitState.FINAL):
            found.append(("Final and certificate …", lambda: self._page.end(sheet)))
        if sheet.state is not PermitState.FINAL:
            found.append(("Withdraw …", lambda: self._page.withdraw(sheet)))
        return tuple(found)

    def _add_ending(self, sheet: PermitSheet) -> None:
        seen = sheet.runs_out
        if seen is None:
            return
        ending = seen.ending
        whole = (ending.ends_on - ending.starts_on).days if ending.starts_on is not None else seen.days_left
        needs_owner = seen.urgency is not Urgency.LATER
        bar = RunsOut(
            "Runs out",
            day_text(ending.ends_on),
            seen.days_left,
            whole,
            None,
            needs_owner,
        )
        self._column.addWidget(RunsOutBar(self._desk, bar))
        if not sheet.has_lapsed:
            self._column.addWidget(soft_label(ending.means))

    def _add_visits(self, sheet: PermitSheet) -> None:
        if not sheet.visits:
            self._column.addWidget(soft_label("No visit is listed yet."))
        for visit in sheet.visits:
            stack = StackedList(self._desk, visit.title, "")
            stack.set_lines(
                [
                    self._visit_line(visit, is_issued=sheet.issued_on is not None),
                    *(self._correction_line(one) for one in visit.corrections),
                    *(self._hold_lines(visit) if not visit.is_over else ()),
                ]
            )
            self._visit_rows[visit.id] = stack.rows[0]
            self._column.addWidget(stack)

    def _visit_line(self, visit: VisitSheet, *, is_issued: bool) -> StackedLine:
        """A result can be recorded without a booking: an inspector may look at two things in one visit."""
        buttons = []
        if not visit.is_over:
            bundle = Place(PageKey.PACKETS, "inspection", visit.id)
            buttons.append(LineButton("To print …", lambda: self._desk.go_to(bundle)))
            if is_issued:
                buttons.append(LineButton("Result …", lambda: self._page.record_result(visit)))
            if visit.result is InspectionResult.BOOKED:
                buttons.append(LineButton("Other day …", lambda: self._page.book(visit)))
                buttons.append(LineButton("Call off", lambda: self._page.call_off(visit)))
            else:
                if visit.may_book:
                    buttons.append(LineButton("Book …", lambda: self._page.book(visit)))
                buttons.append(LineButton("Not asked for", lambda: self._page.take_out(visit)))
        failed = visit.result is InspectionResult.FAILED and bool(visit.open_corrections)
        how, why = visit_aside(visit), visit_why(visit)
        if buttons:  # the buttons need the room at the right
            return StackedLine(f"{visit.title}: {how}", why, buttons=tuple(buttons))
        return StackedLine(visit.title, why, how, needs_owner=failed)

    def _correction_line(self, one: CorrectionLine) -> StackedLine:
        code = ", ".join(part for part in (one.code_reference, one.room) if part)
        if one.closed_on is not None:
            why = f"{code}. {one.how_closed}" if code else one.how_closed
            return StackedLine(f"Put right: {one.text}", why, day_text(one.closed_on))
        button = LineButton("Put right …", lambda: self._page.close_correction(one))
        return StackedLine(f"To put right: {one.text}", code, needs_owner=True, buttons=(button,))

    @staticmethod
    def _hold_lines(visit: VisitSheet) -> tuple[StackedLine, ...]:
        return tuple(
            StackedLine(
                f"Passing it helps to free: {hold.answer.hold.action} {hold.answer.hold.what}",
                hold.sentence,
                place=hold.place,
            )
            for hold in visit.holds
        )

    def _list(self, title: str, lines: list[StackedLine]) -> None:
        self._column.addWidget(SectionHeading(title))
        stack = StackedList(self._desk, title, "")
        stack.set_lines(lines)
        self._column.addWidget(stack)
