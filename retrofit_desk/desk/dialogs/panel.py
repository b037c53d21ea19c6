"""The form of an electrical panel that is not recorded yet."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.facts_form import FactsForm, counted, needed
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.panel import PanelEntry, PanelService
from retrofit_desk.values.quantity import Dimension

CAUTION = (
    "Read what the door and the handle of the main breaker tell; leave the cover on. What is behind it stays "
    "live with the main breaker off."
)


class PanelDialog(FactsForm):
    """Main breaker, bus, spaces, maker; the loads are assumed by the recorded machines."""

    def __init__(self, desk: Desk, parent: QWidget | None) -> None:
        super().__init__(desk, parent, "panel", "Record the panel")
        self._main = self.add_quantity("Main breaker", "main", Dimension.CURRENT, None, low_si=1.0)
        self._bus = self.add_quantity("Bus, by its label", "bus", Dimension.CURRENT, None, low_si=1.0)
        self._spaces = self.add_quantity("Spaces", "spaces", Dimension.PLAIN, None, low_si=1.0, decimals=0)
        self._make = self.add_line("Maker", "make", "")
        self._model = self.add_line("Model", "model", "")
        self.body.addWidget(soft_label(CAUTION))
        self.body.addStretch(1)
        self.begin()

    def record(self) -> None:
        entry = PanelEntry(
            main_a=needed(self._main),
            bus_a=self._bus.value(),
            spaces=None if self._spaces.value() is None else counted(self._spaces),
            make=self._make.text().strip(),
            model=self._model.text().strip(),
        )
        self.desk.service(PanelService).record(entry)
