"""The owner's own figures of a measure's years: how long it lasts, upkeep, what would be bought anyway."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.facts_form import FactsForm
from retrofit_desk.desk.widgets.fields import DateField, MoneyField
from retrofit_desk.desk.widgets.stated_field import StatedField
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.later_money import LaterMoneyService, OwnFigures
from retrofit_desk.services.measures import MeasureRow
from retrofit_desk.services.steps import StepService
from retrofit_desk.values.quantity import Dimension
from retrofit_desk.values.stated import StatedValue

EXPLAINED = "Where you say unknown the tables speak, and upkeep stays unknown. Money is in dollars of today."


class OverTheYearsDialog(FactsForm):
    """Figures that only the owner or an offer knows; each may stay unknown."""

    def __init__(self, desk: Desk, parent: QWidget | None, row: MeasureRow) -> None:
        super().__init__(desk, parent, f"later:{row.id}", f"Over the years: {row.title}")
        self._measure_id = row.id
        service = desk.service(LaterMoneyService)
        own = service.own_figures(row.id)
        self.body.insertWidget(0, soft_label("\n".join((*service.usual(row.id), EXPLAINED))))
        self.life = self._years("It lasts, in years", "life", own.life_years)
        self.renewal = self._money("Buying again what wears out first", "renewal", own.renewal_cents)
        self.upkeep = self._money("Upkeep a year", "upkeep", own.upkeep_cents)
        self.ended = self._money("Upkeep a year that ends with it", "ended", own.ended_upkeep_cents)
        self.anyway = self._money("Bought anyway without it", "anyway", own.replacement_cents)
        self.due = DateField(desk, "That falls due on", desk.service(StepService).today())
        self.due.set_value(own.instead_due_on)
        self.add("That falls due on", "due", self.due)
        self.instead_life = self._years("That lasts, in years", "instead-life", own.instead_life_years)
        self.source = self.add_line("Source", "source", own.source)
        self.source.setPlaceholderText("warranty, service contract, offer, own experience")
        self.body.addStretch(1)
        self.resize(self.width(), self.fontMetrics().lineSpacing() * 29)
        self.begin()

    def record(self) -> None:
        self.desk.service(LaterMoneyService).keep(
            self._measure_id,
            OwnFigures(
                life_years=_whole(self.life.stated()),
                renewal_cents=self.renewal.stated(),
                upkeep_cents=self.upkeep.stated(),
                ended_upkeep_cents=self.ended.stated(),
                replacement_cents=self.anyway.stated(),
                instead_due_on=self.due.value(),
                instead_life_years=_whole(self.instead_life.stated()),
                source=self.source.text().strip(),
            ),
        )

    def _years(self, words: str, name: str, value: StatedValue[int]) -> StatedField:
        held = StatedValue.of(None if value.value is None else float(value.value), value.stated)
        return self.add_stated(words, name, Dimension.PLAIN, held, low_si=1.0, high_si=100.0)

    def _money(self, words: str, name: str, value: StatedValue[int]) -> StatedField:
        field = StatedField(MoneyField(self.desk, words))
        field.set_stated(value)
        self.add(words, name, field)
        return field


def _whole(value: StatedValue[float]) -> StatedValue[int]:
    return StatedValue.of(None if value.value is None else round(value.value), value.stated)
