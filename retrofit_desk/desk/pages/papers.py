"""Papers & photos: where is that photo?"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QFileDialog,
    QFormLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from retrofit_desk.desk.commands import Command
from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.file_paper import FilePaperDialog
from retrofit_desk.desk.dialogs.paper_facts import PaperFactsDialog
from retrofit_desk.desk.dialogs.paper_uses import UsePaperDialog
from retrofit_desk.desk.dialogs.read_in import read_in_file
from retrofit_desk.desk.page import Page
from retrofit_desk.desk.widgets.button_row import WrappingLayout
from retrofit_desk.desk.widgets.lines import StackedLine, StackedList
from retrofit_desk.desk.widgets.paper_view import PaperView
from retrofit_desk.desk.widgets.record_table import Column, RecordTable
from retrofit_desk.desk.widgets.scroll_pane import AsHighAsItsWords
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.rules.matching import Fact, FactKind
from retrofit_desk.services.papers import Filed, PaperRow, PaperService, PaperSheet
from retrofit_desk.services.read_in import recognized
from retrofit_desk.values.cents import cents_text
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.place import PageKey, Place


def _file_words(row: PaperRow) -> str:
    if row.is_missing:
        return "file is gone"
    return "photo" if row.is_photo else "kept"


COLUMNS = (
    Column[PaperRow]("Date", lambda row: day_text(row.on_paper), lambda row: row.on_paper),
    Column[PaperRow]("Title", lambda row: row.title, is_strong=True),
    Column[PaperRow]("Room", lambda row: ", ".join(row.rooms)),
    Column[PaperRow]("Kind", lambda row: str(row.kind)),
    Column[PaperRow]("Measure", lambda row: ", ".join(row.measures)),
    Column[PaperRow]("Used for", lambda row: str(row.used), lambda row: row.used, is_number=True),
    Column[PaperRow]("File", _file_words),
)


def _filed_line(name: str, filed: Filed) -> str:
    line = f"Filed {name}."
    if filed.already_filed_as:
        line += f" The same content was already there as “{filed.already_filed_as}”."
    if filed.damage:
        line += f" But {filed.damage}."
    return " ".join([line, *filed.effect.frees, *filed.effect.still_blocks])


class PapersPage(Page):
    """The list of papers, and the one that is chosen."""

    key = PageKey.PAPERS
    title = "Papers & photos"
    question = "Where is that photo?"
    scrolls = False

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._papers = desk.service(PaperService)
        self.table = RecordTable(desk, "Papers", COLUMNS)
        self.sheet = _SheetPane(desk, self)
        halves = QSplitter(Qt.Orientation.Horizontal)
        halves.setChildrenCollapsible(False)
        halves.addWidget(self.table)
        halves.addWidget(self.sheet)
        halves.setStretchFactor(0, 2)
        halves.setStretchFactor(1, 1)
        halves.setSizes([740, 360])
        self.body.addWidget(halves, 1)
        file_button = QPushButton("File a paper …")
        file_button.clicked.connect(self.choose_and_file)
        self.head_row.addWidget(file_button)
        self.table.chosen.connect(self._show_chosen)
        desk.papers_dropped.connect(self.take_dropped)

    def refresh(self) -> None:
        chosen = self.table.selected()
        rows = self._papers.rows()
        self.table.set_rows(rows)
        self._select(chosen.id if chosen is not None else None)
        if self.table.selected() is None:  # else the table said which one, as it was chosen
            self._show_chosen(None)

    def show_item(self, place: Place) -> None:
        self._select(place.item)

    def commands(self) -> tuple[Command, ...]:
        return (Command("file-paper", "File a paper …", self.choose_and_file, ("Ctrl+Shift+P",)),)

    def choose_and_file(self) -> None:
        """Ask for files and file them one after the other."""
        paths, _ = QFileDialog.getOpenFileNames(self, "File papers and photos")
        self._file(paths)

    def take_dropped(self, paths: Sequence[str]) -> None:
        """Bills, readings, temperatures and logs are read in; everything else is filed as it is."""
        papers = []
        for path in paths:
            with self.desk.notices.caught():
                if recognized(Path(path)) is None:
                    papers.append(path)
                else:
                    read_in_file(self.desk, self, Path(path))
        self._file(papers)

    def _file(self, paths: Sequence[str]) -> None:
        """One filing form for each file; putting one aside stops the rest."""
        for path in paths:
            dialog = FilePaperDialog(self.desk, self, Path(path))
            if not dialog.exec() or dialog.filed is None:
                return
            filed = dialog.filed
            wrong = self._papers.sheet(filed.paper_id).disagrees
            told = " ".join(
                (_filed_line(Path(path).name, filed), *(f"Does not match: {one}." for one in wrong))
            )
            if wrong or filed.damage:
                self.desk.notices.warn(told)
            else:
                self.desk.notices.tell(told)
            self.refresh()
            self.show_item(Place(self.key, "paper", filed.paper_id))

    def _select(self, paper_id: int | None) -> None:
        """The paper called for, else the first one."""
        rows = self.table.model.rows
        wanted = [row for row in rows if row.id == paper_id] or self.table.shown_rows()
        if wanted:
            self.table.select(wanted[0])

    def _show_chosen(self, row: PaperRow | None) -> None:
        with self.desk.notices.caught():
            self.sheet.show_sheet(self._papers.sheet(row.id) if row is not None else None)


class _SheetPane(QScrollArea):
    """One paper: what it looks like, what stands on it, what it serves."""

    def __init__(self, desk: Desk, page: PapersPage) -> None:
        super().__init__()
        self._desk, self._page = desk, page
        self._sheet: PaperSheet | None = None
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        inside = AsHighAsItsWords()
        inside.setProperty("role", "body")
        self.setWidget(inside)
        column = QVBoxLayout(inside)
        self._title = QLabel()
        self._title.setProperty("role", "section")
        self._title.setTextFormat(Qt.TextFormat.PlainText)
        self._title.setWordWrap(True)
        self._view = PaperView(desk)
        self._facts = QFormLayout()
        self._facts.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        self._wrong_head = SectionHeading("Does not match")
        self._wrong = StackedList(desk, "Does not match", "")
        self._uses = StackedList(desk, "Used for", "This paper serves nothing yet.")
        self._note = QPushButton("What stands on it …")
        self._note.setToolTip("Serial, model, name, address and sum, to be held against the record")
        self._note.clicked.connect(self._note_facts)
        self._more = QPushButton("Also use it for …")
        self._more.setToolTip("One more measure, room, wall or hold; the paper stays filed once")
        self._more.clicked.connect(self._use_more)
        self._out = QPushButton("Take out")
        self._out.setToolTip("Takes the paper out of the record; undo brings it back")
        self._out.clicked.connect(self._take_out)
        column.addWidget(self._title)
        column.addWidget(self._wrong_head)
        column.addWidget(self._wrong)
        column.addWidget(self._view)
        column.addLayout(self._facts)
        column.addWidget(SectionHeading("Used for"))
        column.addWidget(self._uses)
        buttons = QWidget()
        lines = WrappingLayout(buttons)
        for button in (self._more, self._note, self._out):
            lines.addWidget(button)
        column.addWidget(buttons)
        column.addStretch(1)

    def show_sheet(self, sheet: PaperSheet | None) -> None:
        self._sheet = sheet
        for button in (self._more, self._note, self._out):
            button.setVisible(sheet is not None)
        while self._facts.rowCount():
            self._facts.removeRow(0)
        if sheet is None:
            self._title.setText("Nothing filed yet")
            self._view.clear("Drop a file anywhere in the window to file it.")
            self._uses.set_lines(())
            self._show_wrong(())
            return
        self._title.setText(sheet.row.title)
        if sheet.path is None:
            self._view.clear("Its file is gone from the papers folder; the record was kept. File it again.")
        else:
            self._view.show_file(sheet.path, sheet.media_type)
        for name, words in _fact_rows(sheet):
            value = soft_label(words)
            value.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
            self._facts.addRow(name, value)
        self._uses.set_lines([StackedLine(use.title, use.detail, place=use.place) for use in sheet.used_for])
        self._show_wrong(sheet.disagrees)

    def _show_wrong(self, lines: Sequence[str]) -> None:
        self._wrong.set_lines([StackedLine(line, "", needs_owner=True) for line in lines])
        for part in (self._wrong_head, self._wrong):
            part.setVisible(bool(lines))

    def _note_facts(self) -> None:
        if self._sheet is not None:
            PaperFactsDialog(self._desk, self, self._sheet).exec()

    def _use_more(self) -> None:
        if self._sheet is None:
            return
        dialog = UsePaperDialog(self._desk, self, self._sheet)
        if dialog.exec() and dialog.effect is not None:
            effect = dialog.effect
            self._desk.notices.tell(" ".join(["Used once more.", *effect.frees, *effect.still_blocks]))

    def _take_out(self) -> None:
        if self._sheet is None:
            return
        title = self._sheet.row.title
        with self._desk.notices.caught():
            self._desk.service(PaperService).take_out(self._sheet.row.id)
            self._desk.notices.tell(f"“{title}” was taken out. Undo brings it back.")


def _fact_rows(sheet: PaperSheet) -> list[tuple[str, str]]:
    row = sheet.row
    rows = [
        ("Kind", f"{row.kind}, private" if row.is_private else str(row.kind)),
        ("Date on it", day_text(row.on_paper)),
        ("Filed", day_text(row.filed_on)),
        ("Original name", row.original_name),
    ]
    if row.ends_on is not None:
        rows.append(("Runs out", day_text(row.ends_on)))
    if sheet.direction is not None:
        tape = ", with a tape in view" if sheet.tape_in_view else ""
        rows.append(("Camera looked", f"{sheet.direction}{tape}"))
    if sheet.asked_by:
        rows.append(("Asked for by", sheet.asked_by))
    rows += [(fact.label or str(fact.kind), _fact_text(fact)) for fact in sheet.facts]
    if sheet.same_content:
        rows.append(("Same content as", ", ".join(sheet.same_content)))
    if sheet.notes:
        rows.append(("Notes", sheet.notes))
    return [(name[:1].upper() + name[1:], words) for name, words in rows]


def _fact_text(fact: Fact) -> str:
    if fact.kind is FactKind.AMOUNT and fact.value.lstrip("-").isdigit():
        return cents_text(int(fact.value))
    return fact.value
