"""The form of when windows are opened against warmth."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.facts_form import FactsForm, needed
from retrofit_desk.services.airing import AiringHabit, AiringService
from retrofit_desk.values.quantity import Dimension


class AiringDialog(FactsForm):
    """When the family opens the windows against warmth."""

    def __init__(self, desk: Desk, parent: QWidget | None) -> None:
        super().__init__(desk, parent, "airing", "When windows are opened")
        habit = desk.service(AiringService).habit()
        temperature, plain = Dimension.TEMPERATURE, Dimension.PLAIN
        self._above = self.add_quantity(
            "Opened when a room is above", "above", temperature, habit.opens_above_c
        )
        self._above.setToolTip("Empty: the windows are kept shut")
        self._below = self.add_quantity("Shut again below", "below", temperature, habit.closes_below_c)
        self._from, self._to = (
            self.add_quantity(words, words, plain, float(hour), low_si=0.0, decimals=0)
            for words, hour in (
                ("Only from hour (0 to 24)", habit.from_hour),
                ("Until hour (the same: all day)", habit.to_hour),
            )
        )
        self.begin()
        self.resize(self.width(), self.fontMetrics().lineSpacing() * 14)

    def record(self) -> None:
        habit = AiringHabit(
            self._above.value(), self._below.value(), round(needed(self._from)), round(needed(self._to))
        )
        self.desk.service(AiringService).change_habit(habit)
