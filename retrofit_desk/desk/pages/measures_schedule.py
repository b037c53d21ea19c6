"""The schedule of the measures: bars, the critical path, two weeks ahead, one step in detail."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QScrollArea, QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.days_off import DaysOffDialog
from retrofit_desk.desk.dialogs.reason import STAYS, ask_reason
from retrofit_desk.desk.dialogs.save_calendar import save_calendar
from retrofit_desk.desk.dialogs.step_forms import (
    AddStepDialog,
    AgreeDayDialog,
    ExpectDialog,
    SlipDialog,
    WaitForDialog,
)
from retrofit_desk.desk.pages.at_hand_words import spare_words
from retrofit_desk.desk.pictures.canvas import ChoosablePicture
from retrofit_desk.desk.pictures.schedule_bars import ScheduleBar, draw_schedule, height_in_lines
from retrofit_desk.desk.widgets.lines import LineButton, StackedLine, StackedList
from retrofit_desk.desk.widgets.scroll_pane import AsHighAsItsWords
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.rules.holds import NotYet
from retrofit_desk.services.dated_steps import ScheduleView, StepRow
from retrofit_desk.services.schedule import ScheduleService
from retrofit_desk.services.steps import StepService
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.place import PageKey, Place
from retrofit_desk.values.quantity import count_text

LEGEND = "Heavy: may not slip. The thin line behind a bar: its days to spare. Dotted: waits for others."

LOW_LINES = 22
"""Lines of text under which a page is too low to keep the chosen step in view."""


class SchedulePane(QWidget):
    """The chosen step on top; below it everything that is still open, in dates."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._schedule = desk.service(ScheduleService)
        self.view: ScheduleView | None = None
        self._chosen_id: int | None = None
        self.words = soft_label("")
        self.twice = StackedList(desk, "Wanted twice", "")
        self.picture = ChoosablePicture(lambda: desk.theme, "Schedule")
        self.picture.chosen.connect(self.choose)
        self.step_head = SectionHeading("")
        self.step = StackedList(desk, "The chosen step", "No step is open.")
        self.ahead = StackedList(desk, "Next two weeks", "Nothing is planned within two weeks.")
        self.critical = StackedList(desk, "Critical path", "Every step has days to spare.")
        self._top = QWidget()
        top = QVBoxLayout(self._top)
        top.setContentsMargins(0, 0, 0, 0)
        top.setSpacing(4)
        top.addLayout(self._buttons())
        top.addWidget(self.twice)
        top.addWidget(self.step_head)
        top.addWidget(self.step)
        self._whole = QVBoxLayout(self)
        self._whole.setContentsMargins(0, 0, 0, 0)
        self._whole.setSpacing(4)
        self._whole.addWidget(self._top)
        self._whole.addWidget(self._lists(), 1)

    def resizeEvent(self, event: QResizeEvent) -> None:
        # where there is no height for both, the chosen step scrolls with the rest instead of being squeezed
        is_low = event.size().height() < self.fontMetrics().lineSpacing() * LOW_LINES
        wanted = self._column if is_low else self._whole
        if wanted.indexOf(self._top) < 0:
            wanted.insertWidget(0, self._top)
        super().resizeEvent(event)

    def _lists(self) -> QScrollArea:
        inside = AsHighAsItsWords()
        inside.setProperty("role", "body")
        self._column = column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 8, 0)
        column.setSpacing(6)
        column.addWidget(self.picture)
        column.addWidget(soft_label(LEGEND))
        column.addWidget(SectionHeading("Next two weeks"))
        column.addWidget(self.ahead)
        column.addWidget(SectionHeading("Critical path", "these may not slip a day"))
        column.addWidget(self.critical)
        column.addStretch(1)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setWidget(inside)
        return scroll

    def refresh(self) -> None:
        with self._desk.notices.caught():
            self.view = self._schedule.view()
            self._show(self.view)

    def choose(self, task_id: int) -> None:
        """Show one step in detail."""
        self._chosen_id = task_id
        if self.view is not None:
            self._show_step(self.view)

    def add_step(self) -> None:
        """One more step, and show it."""
        if self.view is None:
            return
        dialog = AddStepDialog(self._desk, self, self.view)
        if dialog.exec() and dialog.task_id is not None:
            self._chosen_id = dialog.task_id

    def days_off(self) -> None:
        """Days on which nobody works here."""
        DaysOffDialog(self._desk, self).exec()

    def _buttons(self) -> QHBoxLayout:
        row = QHBoxLayout()
        row.addWidget(self.words, 1)
        for words, run in (
            ("Add a step …", self.add_step),
            ("Days off …", self.days_off),
            ("Write a calendar …", lambda: save_calendar(self._desk, self)),
        ):
            button = QPushButton(words)
            button.clicked.connect(lambda _checked=False, run=run: run())
            row.addWidget(button, 0, Qt.AlignmentFlag.AlignTop)
        return row

    def _show(self, view: ScheduleView) -> None:
        self.words.setText(_end_words(view))
        self.twice.set_lines([StackedLine(one, needs_owner=True) for one in view.double_booked])
        self.twice.setVisible(bool(view.double_booked))
        bars = [_bar(one, view) for one in sorted(view.open_steps, key=lambda one: (one.start, one.last_day))]
        self.picture.set_drawing(
            lambda canvas: draw_schedule(canvas, bars, view.today),
            lines=height_in_lines(bars),
            columns=48,
            told=". ".join(bar.told for bar in bars if bar.is_critical),
        )
        self.picture.setVisible(bool(bars))
        self.ahead.set_lines([self._day_line(one) for one in view.look_ahead])
        self.critical.set_lines([self._day_line(one) for one in view.critical])
        self._show_step(view)

    def _show_step(self, view: ScheduleView) -> None:
        by_id = {one.id: one for one in view.steps}
        step = by_id.get(self._chosen_id or 0) or next(iter(view.critical or view.open_steps), None)
        if step is None:
            self.step_head.set_title("The chosen step")
            self.step.set_lines([])
            return
        self._chosen_id = step.id
        self.step_head.set_title(step.title)
        self.step_head.set_remark(step.measure)
        self.step.set_lines(self._step_lines(step))

    def _step_lines(self, step: StepRow) -> list[StackedLine]:
        first = StackedLine(
            _dates(step),
            _details(step),
            _spare(step),
            needs_owner=_presses(step),
            buttons=self._step_buttons(step),
        )
        lines = [first]
        if step.waits_for:
            lines.append(StackedLine(f"Waits for: {'; '.join(step.waits_for)}"))
        if step.hold is not None:
            blocks = not step.hold.answer.may_go_on
            lines.append(StackedLine(step.hold.sentence, place=step.hold.place, needs_owner=blocks))
        if step.measure_id is not None:
            place = Place(PageKey.MEASURES, "measure", step.measure_id)
            lines.append(StackedLine(f"Part of: {step.measure}", place=place))
        return lines

    def _step_buttons(self, step: StepRow) -> tuple[LineButton, ...]:
        if step.is_done:
            return ()
        steps = self._desk.service(StepService)
        longer = LineButton("If it takes longer …", lambda: SlipDialog(self._desk, self, step).exec())
        if step.inspection_id is not None:
            place = Place(PageKey.PERMITS, "inspection", step.inspection_id)
            return (LineButton("To its permit", lambda: self._desk.go_to(place)), longer)
        buttons = [longer, LineButton("Let it wait …", lambda: self._let_wait(step))]
        if step.is_wait and step.is_started:
            buttons.append(LineButton("A new day …", lambda: ExpectDialog(self._desk, self, step).exec()))
        if not step.is_wait:
            buttons.append(LineButton("Agree a day …", lambda: AgreeDayDialog(self._desk, self, step).exec()))
        if not step.is_started and not step.waits_for:
            buttons.append(LineButton("Begin", lambda: self._do(steps.begin, step.id)))
        buttons.append(
            LineButton("It came" if step.is_wait else "Done", lambda: self._do(steps.finish, step.id))
        )
        return tuple(buttons)

    def _let_wait(self, step: StepRow) -> None:
        if self.view is not None:
            WaitForDialog(self._desk, self, step, self.view).exec()

    def _do(self, run: Callable[..., None], task_id: int) -> None:
        """Past a hold that is shut only for a written reason."""
        with self._desk.notices.caught():
            try:
                run(task_id)
            except NotYet as shut:
                reason = ask_reason(self._desk, self, "Go on for a reason", shut.what, STAYS)
                if reason is not None:
                    run(task_id, reason=reason)

    @staticmethod
    def _day_line(step: StepRow) -> StackedLine:
        why = ", ".join(part for part in (step.measure, step.firm or step.with_whom) if part)
        return StackedLine(f"{_dates(step)}: {step.title}", why, _spare(step), step.place)


def _bar(step: StepRow, view: ScheduleView) -> ScheduleBar:
    return ScheduleBar(
        key=step.id,
        name=step.title,
        start=max(step.start, view.today) if step.is_started and step.start < view.today else step.start,
        end=step.last_day,
        spare_days=(step.start_by - step.start).days,
        is_critical=step.is_critical,
        is_outside_wait=step.is_wait,
        needs_owner=_presses(step),
    )


def _presses(step: StepRow) -> bool:
    """It lies behind its agreed day, or it cannot meet its date any more."""
    return not step.is_done and (step.slipped_days > 0 or step.days_to_spare < 0)


def _end_words(view: ScheduleView) -> str:
    if view.ends_on is None:
        return "No step is planned yet."
    quick, slow = day_text(view.ends_if_quick), day_text(view.ends_if_slow)
    return (
        f"The plan ends on {day_text(view.ends_on)}: {quick} if everyone answers quickly, {slow} if slowly."
    )


def _dates(step: StepRow) -> str:
    if step.start == step.last_day:
        return day_text(step.start)
    return f"{day_text(step.start)} to {day_text(step.last_day)}"


def _spare(step: StepRow) -> str:
    return "done" if step.is_done else spare_words(step.days_to_spare)


def _details(step: StepRow) -> str:
    parts = [f"{str(step.kind).capitalize()} of {_days(step)}"]
    if step.firm:
        parts.append(f"by {step.firm}")
    if step.with_whom:
        since = f" since {day_text(step.since)}" if step.since is not None else ""
        parts.append(f"with {step.with_whom}{since}")
    if step.agreed_on is not None:
        parts.append(f"agreed for {day_text(step.agreed_on)}")
    if step.slipped_days:
        parts.append(f"{count_text(step.slipped_days, 'day')} behind that")
    if not step.is_done:
        parts.append(f"begin by {day_text(step.start_by)}")
    if step.must_end_by is not None:
        parts.append(f"must end by {day_text(step.must_end_by)}")
    if step.presses:
        parts.append(step.presses)
    words = ", ".join(parts)
    return f"{words}. {step.notes}" if step.notes else f"{words}."


def _days(step: StepRow) -> str:
    counted = "calendar" if step.is_wait else "working"
    days = count_text(step.days, f"{counted} day")
    if step.days_low is not None and step.days_high is not None:
        return f"{days} ({step.days_low:g} to {step.days_high:g})"
    return days
