"""At hand: what can I do, and what may I not do yet?"""

from __future__ import annotations

from pathlib import Path

from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QFileDialog, QPushButton, QVBoxLayout, QWidget

from retrofit_desk.desk.commands import Command
from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.answer_noted import AnswerNotedDialog
from retrofit_desk.desk.jobs import Job
from retrofit_desk.desk.page import Page
from retrofit_desk.desk.pages.at_hand_words import end_bar, gap_line, not_yet_line, ready_line, wait_line
from retrofit_desk.desk.widgets.lines import LineButton, RunsOutBar, StackedList
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.services.at_hand import AtHand, AtHandService, ReadyLine
from retrofit_desk.services.at_hand_year import AtHandYearService
from retrofit_desk.services.endings import EndingLine
from retrofit_desk.services.heat_watch import HeatWatch, HeatWatchService
from retrofit_desk.services.steps import StepService
from retrofit_desk.services.waits import Waiting
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.place import PageKey


class AtHandPage(Page):
    """Four stacked lists under the warnings of heat and hot water."""

    key = PageKey.AT_HAND
    title = "At hand"
    question = "What can I do, and what may I not do yet?"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._watch_job: Job | None = None
        self._watch_again = False
        self.watch = StackedList(desk, "Heat and hot water", "")
        self.watch.hide()
        self.watch_words = soft_label("Looking through the plan for days without heat or hot water …")
        self.ready = StackedList(desk, "Ready to do", "Nothing can be done just now.")
        self.not_yet = StackedList(desk, "Not yet", "Nothing has to wait.")
        self.with_others = StackedList(desk, "With others", "Nobody is being waited for.")
        self.runs_out = _Endings(desk)
        self._heads = {
            name: SectionHeading(name) for name in ("Ready to do", "Not yet", "With others", "Runs out")
        }
        year = QPushButton("A year on one page …")
        year.clicked.connect(self.save_year)
        self.head_row.addWidget(year)
        self.body.addWidget(self.watch)
        self.body.addWidget(self.watch_words)
        parts = (self.ready, self.not_yet, self.with_others, self.runs_out)
        for head, part in zip(self._heads.values(), parts, strict=True):
            self.body.addWidget(head)
            self.body.addWidget(part)
        self.body.addStretch(1)

    def commands(self) -> tuple[Command, ...]:
        return (Command("year-page", "A year on one page …", self.save_year, ("Ctrl+P",)),)

    def save_year(self) -> None:
        """The year ahead as one printable page."""
        picked, _ = QFileDialog.getSaveFileName(self, "A year on one page", "A year.pdf", "PDF (*.pdf)")
        if picked:
            with self.desk.notices.caught():
                path = self.desk.service(AtHandYearService).write(Path(picked).with_suffix(".pdf"))
                self.desk.notices.tell(f"Written: {path.name}.")

    def refresh(self) -> None:
        with self.desk.notices.caught():
            self._show(self.desk.service(AtHandService).look())
        self._look_at_heat()

    def _show(self, found: AtHand) -> None:
        self._heads["Ready to do"].set_remark(f"on {day_text(found.today)}, what presses most first")
        due = sum(one.is_due(found.today) for one in found.with_others)
        self._heads["With others"].set_remark(f"{due} to ask again" if due else "nobody to ask today")
        self._heads["Not yet"].set_remark(f"{len(found.not_yet)} to wait for" if found.not_yet else "")
        self._heads["Runs out"].set_remark("within four months")
        self.ready.set_lines([ready_line(one, self._ready_buttons(one)) for one in found.ready])
        self.not_yet.set_lines([not_yet_line(one) for one in found.not_yet])
        self.with_others.set_lines(
            [wait_line(one, found.today, self._wait_buttons(one)) for one in found.with_others]
        )
        self.runs_out.set_endings(found.runs_out)

    def _ready_buttons(self, line: ReadyLine) -> tuple[LineButton, ...]:
        task_id, asks = line.task_id, line.asks_task_id
        if asks is not None:
            return (LineButton("Asked today", lambda: self._begin(asks)),)
        return () if task_id is None else (LineButton("Done", lambda: self._finish(task_id)),)

    def _wait_buttons(self, wait: Waiting) -> tuple[LineButton, ...]:
        copy = LineButton("Copy message", lambda: self._copy(wait))
        task_id = wait.task_id
        if task_id is None:
            return (copy,)
        noted = LineButton(
            "Note an answer …", lambda: AnswerNotedDialog(self.desk, self, wait, task_id).exec()
        )
        return (copy, noted, LineButton("It came", lambda: self._finish(task_id)))

    def _begin(self, task_id: int) -> None:
        with self.desk.notices.caught():
            self.desk.service(StepService).begin(task_id)

    def _finish(self, task_id: int) -> None:
        with self.desk.notices.caught():
            self.desk.service(StepService).finish(task_id)

    def _copy(self, wait: Waiting) -> None:
        QGuiApplication.clipboard().setText(wait.message)
        self.desk.notices.tell(
            f"The message to {wait.with_whom} is copied; paste it into a letter or a text."
        )

    def _look_at_heat(self) -> None:
        # the first look loads a year of weather, so it never stands in the way of the lists
        if self._watch_job is not None:
            self._watch_again = True
            return
        look = self.desk.service(HeatWatchService).look

        def work(_report: object) -> HeatWatch | DeskError:
            try:
                return look()
            except DeskError as error:
                return error

        self._watch_job = self.desk.jobs.start("Heat and hot water through the plan", work, self._show_heat)
        self._watch_job.ended.connect(self._heat_looked_at)

    def _heat_looked_at(self) -> None:
        self._watch_job = None
        if self._watch_again:
            self._watch_again = False
            self._look_at_heat()

    def _show_heat(self, answer: HeatWatch | DeskError) -> None:
        if isinstance(answer, DeskError):
            self.watch.hide()
            self.watch_words.setText(f"Whether there is a heat gap: {answer.line()}")
            return
        self.watch.set_lines([gap_line(one, self.desk.units) for one in answer.gaps])
        self.watch.setVisible(bool(answer.gaps))
        lead = "" if answer.gaps else "No heat gap and no hot-water gap within a year, as the plan stands. "
        self.watch_words.setText(f"{lead}{answer.heat} {answer.hot_water}")


class _Endings(QWidget):
    """Bars that shorten, the soonest end first."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self.setAccessibleName("Runs out")
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(2)
        self.bars: list[RunsOutBar] = []

    def set_endings(self, endings: tuple[EndingLine, ...]) -> None:
        while (item := self._column.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        self.bars = [RunsOutBar(self._desk, end_bar(one)) for one in endings]
        for bar in self.bars:
            self._column.addWidget(bar)
        if not endings:
            self._column.addWidget(soft_label("Nothing runs out within four months."))
