"""The form of the horizon around the house."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.facts_form import FactsForm
from retrofit_desk.services.horizon import AZIMUTHS_DEG, HorizonService
from retrofit_desk.services.house import compass_word
from retrofit_desk.values.quantity import Dimension


class HorizonDialog(FactsForm):
    """Height of what stands around, for eight directions; all empty: not looked at."""

    def __init__(self, desk: Desk, parent: QWidget | None) -> None:
        super().__init__(desk, parent, "horizon", "Horizon: height of hills and houses around")
        now = desk.service(HorizonService).altitudes_deg()
        self._altitudes = [
            self.add_quantity(
                f"To the {compass_word(azimuth)}, above level",
                compass_word(azimuth),
                Dimension.ANGLE,
                altitude,
                low_si=0.0,
            )
            for azimuth, altitude in zip(AZIMUTHS_DEG, now, strict=True)
        ]
        self.begin()
        self.resize(self.width(), self.fontMetrics().lineSpacing() * 22)

    def record(self) -> None:
        self.desk.service(HorizonService).change(tuple(field.value() for field in self._altitudes))
