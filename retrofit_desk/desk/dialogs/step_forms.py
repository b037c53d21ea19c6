"""The forms of a step: a new one, the day agreed for one, and what a slip of it does."""

from __future__ import annotations

from PySide6.QtWidgets import QLabel, QLineEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.facts_form import FactsForm, FieldEmpty, counted, needed
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.choice_box import choice_box
from retrofit_desk.desk.widgets.fields import DateField, QuantityField
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.dated_steps import ScheduleView, StepRow
from retrofit_desk.services.measures import MeasureService
from retrofit_desk.services.people import PeopleService
from retrofit_desk.services.schedule import ScheduleService, Slip
from retrofit_desk.services.steps import KINDS, StepService, WrittenStep
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.quantity import Dimension, count_text


class AgreeDayDialog(FormDialog):
    """The day agreed with whoever does it; empty when there is none any more."""

    def __init__(self, desk: Desk, parent: QWidget | None, step: StepRow) -> None:
        super().__init__(desk, parent, f"day:{step.id}", f"Agree a day: {step.title}")
        self._task_id = step.id
        said = f"Can begin on {day_text(step.start)}; must begin by {day_text(step.start_by)}."
        self.body.insertWidget(0, soft_label(said))
        self.day = DateField(desk, "Agreed for", desk.service(StepService).today())
        self.day.set_value(step.agreed_on)
        self.add("Agreed for", "day", self.day)
        self.body.addStretch(1)
        self.resize(self.width(), self.fontMetrics().lineSpacing() * 11)
        self.begin()

    def record(self) -> None:
        self.desk.service(StepService).agree_day(self._task_id, self.day.value())


class ExpectDialog(FormDialog):
    """The day on which a wait is now said to end."""

    def __init__(self, desk: Desk, parent: QWidget | None, step: StepRow) -> None:
        super().__init__(desk, parent, f"expect:{step.id}", f"A new day: {step.title}")
        self._task_id = step.id
        self.body.insertWidget(0, soft_label(f"As planned, it comes on {day_text(step.last_day)}."))
        self.day = DateField(desk, "Comes on", desk.service(StepService).today())
        self.add("Comes on", "day", self.day)
        self.body.addStretch(1)
        self.resize(self.width(), self.fontMetrics().lineSpacing() * 11)
        self.begin()

    def record(self) -> None:
        day = self.day.value()
        if day is None:
            raise FieldEmpty("this cannot be left empty", where="Comes on", do="type a day")
        self.desk.service(StepService).expect(self._task_id, day)


class AddStepDialog(FactsForm):
    """One more step, after one that is in the plan already."""

    def __init__(self, desk: Desk, parent: QWidget | None, view: ScheduleView) -> None:
        super().__init__(desk, parent, "step:new", "Add a step")
        self.task_id: int | None = None
        self.name = QLineEdit()
        self.add("What is to be done", "title", self.name)
        self.kind = choice_box([(number, str(one)) for number, one in enumerate(KINDS)])
        self.add("Kind", "kind", self.kind)
        self.days = QuantityField(desk, "Days", Dimension.PLAIN, low_si=0.0, decimals=1)
        self.days.set_value(1.0)
        self.add("Days", "days", self.days)
        self.days.setToolTip("Working days; calendar days for a wait")
        self.low, self.high = (
            QuantityField(desk, words, Dimension.PLAIN, low_si=0.0, decimals=1)
            for words in ("At least", "At most")
        )
        self.add("At least", "low", self.low)
        self.add("At most", "high", self.high)
        measures = [(one.id, one.title) for one in desk.service(MeasureService).rows()]
        self.measure = choice_box(measures, "no measure")
        self.add("Measure", "measure", self.measure)
        self.after = choice_box([(one.id, one.title) for one in view.open_steps], "nothing")
        self.add("Must wait for", "after", self.after)
        firms = [(one.id, one.name) for one in desk.service(PeopleService).rows()]
        self.firm = choice_box(firms, "no firm")
        self.add("Firm", "firm", self.firm)
        self.whom = self.add_line("With whom", "whom", "")
        self.end = DateField(desk, "Must end by", view.today)
        self.add("Must end by", "end", self.end)
        self.body.addStretch(1)
        self.resize(self.width(), self.fontMetrics().lineSpacing() * 26)
        self.begin()

    def record(self) -> None:
        before: int | None = self.after.currentData()
        self.task_id = self.desk.service(StepService).add(
            WrittenStep(
                title=self.name.text(),
                kind=KINDS[self.kind.currentData()],
                days=needed(self.days),
                measure_id=self.measure.currentData(),
                after=(before,) if before is not None else (),
                firm_id=self.firm.currentData(),
                with_whom=self.whom.text(),
                must_end_by=self.end.value(),
                days_low=self.low.value(),
                days_high=self.high.value(),
            )
        )


class WaitForDialog(FormDialog):
    """One step must wait for another."""

    def __init__(self, desk: Desk, parent: QWidget | None, step: StepRow, view: ScheduleView) -> None:
        super().__init__(desk, parent, f"wait:{step.id}", f"Let it wait: {step.title}")
        self._task_id = step.id
        others = [one for one in view.open_steps if one.id != step.id and one.title not in step.waits_for]
        self.before = choice_box([(one.id, one.title) for one in others], "choose a step")
        self.add("Must wait for", "before", self.before)
        self.body.addStretch(1)
        self.resize(self.width(), self.fontMetrics().lineSpacing() * 11)
        self.begin()

    def record(self) -> None:
        before: int | None = self.before.currentData()
        if before is None:
            raise FieldEmpty("this cannot be left empty", where="Must wait for", do="choose a step")
        self.desk.service(StepService).wait_for(self._task_id, before)


class SlipDialog(FactsForm):
    """What more days for one step would move; nothing is recorded."""

    def __init__(self, desk: Desk, parent: QWidget | None, step: StepRow) -> None:
        super().__init__(desk, parent, f"slip:{step.id}", f"If it takes longer: {step.title}")
        self._task_id = step.id
        words = f"More {'calendar' if step.is_wait else 'working'} days"
        self.more = QuantityField(desk, words, Dimension.PLAIN, low_si=0.0, decimals=0)
        self.more.set_value(5.0)
        self.add(words, "days", self.more)
        self.told = QLabel()
        self.told.setWordWrap(True)
        self.body.addWidget(self.told)
        self.record_button.setText("Close")
        self.more.changed.connect(self.look)
        self.body.addStretch(1)
        self.resize(self.width(), self.fontMetrics().lineSpacing() * 18)
        self.begin()
        self.look()

    def look(self) -> None:
        """Say what moves."""
        with self.desk.notices.caught():
            slip = self.desk.service(ScheduleService).slip(self._task_id, counted(self.more))
            end = f"The plan then ends on {day_text(slip.ends_on)}"
            later = (
                f", {count_text(slip.ends_later_by, 'day')} later." if slip.ends_later_by else ", as before."
            )
            moved = "\n".join(
                f"{one.title}: {day_text(one.before)} → {day_text(one.after)}, "
                f"{count_text(one.days, 'day')} later"
                for one in slip.moved
            )
            self.told.setText(f"{end}{later}\n\n{_gap_words(slip)}\n\n{moved or 'No other step moves.'}")

    def record(self) -> None:
        """Nothing to record: this form only looks."""


def _gap_words(slip: Slip) -> str:
    """Whether the house would then be without heat or hot water, and longer than planned."""
    if not slip.gaps:
        return "It opens no gap of heat or hot water."
    told = "\n".join(slip.gaps)
    if slip.days_after == slip.days_before:
        return f"It opens no other gap than planned:\n{told}"
    if not slip.days_before:
        return f"It opens a gap:\n{told}"
    return f"It changes the days of a gap from {slip.days_before} to {slip.days_after}:\n{told}"
