"""The forms of a measure: a new one, what it costs by the owner's own sum, the steps it usually brings."""

from __future__ import annotations

from PySide6.QtWidgets import QCheckBox, QComboBox, QPlainTextEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.facts_form import FactsForm, FieldEmpty
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.dialogs.usual_holds import HOW, HoldChoice
from retrofit_desk.desk.widgets.fields import MoneyField
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.measures import MeasureService, MeasureSheet
from retrofit_desk.services.step_plan import OfferedStep, StepPlanService
from retrofit_desk.services.usual_holds import UsualHoldService
from retrofit_desk.values.quantity import count_text
from retrofit_desk.values.stated import StatedValue


class AddMeasureDialog(FactsForm):
    """A new idea: what is done to the house, and why."""

    def __init__(self, desk: Desk, parent: QWidget | None) -> None:
        super().__init__(desk, parent, "measure:new", "Add a measure")
        self.measure_id: int | None = None
        self.kind = QComboBox()
        for key, title in desk.service(MeasureService).kinds():
            self.kind.addItem(title, key)
        self.add("Kind of work", "kind", self.kind)
        self.name = self.add_line("What is done", "title", "")
        self.why = QPlainTextEdit()
        self.why.setTabChangesFocus(True)
        self.why.setFixedHeight(self.fontMetrics().lineSpacing() * 3)
        self.add("Why", "why", self.why)
        self.own_work = QCheckBox("We do it ourselves")
        self.add("Who", "own", self.own_work)
        self.usual = HoldChoice((), ticked=False)
        self.kind.currentIndexChanged.connect(lambda _at: self._offer_holds())
        self._offer_holds()
        self.body.addWidget(soft_label(f"Tick what it is to wait for from the start. {HOW}"))
        self.body.addWidget(self.usual)
        self.watch("usual", self.usual)
        self.body.addStretch(1)
        self.resize(self.width(), self.fontMetrics().lineSpacing() * 30)
        self.begin()

    def _offer_holds(self) -> None:
        kind: str = self.kind.currentData()
        self.usual.set_holds(self.desk.service(UsualHoldService).of_kind(kind))

    def record(self) -> None:
        self.measure_id = self.desk.service(MeasureService).add(
            self.kind.currentData(),
            self.name.text().strip() or self.kind.currentText(),
            self.why.toPlainText().strip(),
            own_work=self.own_work.isChecked(),
            usual_holds=self.usual.keys(),
        )


class CostDialog(FactsForm):
    """What a measure costs by the owner's own sum, and where the figure comes from."""

    def __init__(self, desk: Desk, parent: QWidget | None, sheet: MeasureSheet) -> None:
        super().__init__(desk, parent, f"cost:{sheet.row.id}", f"Your own costing: {sheet.row.title}")
        self._measure_id = sheet.row.id
        self.cost = MoneyField(desk, "Cost")
        self.cost.set_value(None if sheet.row.cost_is_contract else sheet.row.cost_cents.value)
        self.add("Cost", "cost", self.cost)
        self.source = self.add_line("Source", "source", "")
        self.source.setPlaceholderText("a catalog, a call, a list of materials")
        self.body.addStretch(1)
        self.resize(self.width(), self.fontMetrics().lineSpacing() * 11)
        self.begin()

    def record(self) -> None:
        cents = self.cost.value()
        if cents is None:
            raise FieldEmpty("this cannot be left empty", where="Cost", do="type an amount")
        source = self.source.text().strip() or "Own costing"
        self.desk.service(MeasureService).cost_it(self._measure_id, StatedValue(cents), source)


class PlanStepsDialog(FormDialog):
    """The steps that this kind of work usually brings; the usual ones are marked."""

    def __init__(self, desk: Desk, parent: QWidget | None, sheet: MeasureSheet) -> None:
        super().__init__(desk, parent, f"plan:{sheet.row.id}", f"Plan the steps: {sheet.row.title}")
        self._measure_id = sheet.row.id
        self.body.insertWidget(0, soft_label("Common practice; the local office and the firms say more."))
        self.boxes: dict[str, QCheckBox] = {}
        for step in desk.service(StepPlanService).offered(sheet.row.id):
            box = QCheckBox(_in_words(step))
            box.setChecked(step.is_usual and not step.is_planned)
            box.setEnabled(not step.is_planned)
            box.setAccessibleName(step.title)
            if step.after:
                box.setToolTip(f"After: {'; '.join(step.after)}")
            self.boxes[step.key] = box
            self.body.addWidget(box)
            self.watch(step.key, box)
        self.body.addStretch(1)
        self.begin()

    def record(self) -> None:
        chosen = [key for key, box in self.boxes.items() if box.isChecked() and box.isEnabled()]
        self.desk.service(StepPlanService).plan(self._measure_id, chosen)


def _in_words(step: OfferedStep) -> str:
    span = count_text(step.days, "calendar day" if step.kind == "wait" else "working day")
    if step.days_low is not None and step.days_high is not None:
        span += f" ({step.days_low:g} to {step.days_high:g})"
    return f"{step.title}: {'planned already' if step.is_planned else span}"
