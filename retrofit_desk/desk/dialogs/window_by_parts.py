"""The form that works out the U-value of a window without a label."""

from __future__ import annotations

from PySide6.QtWidgets import QCheckBox, QComboBox, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.facts_form import FactsForm, counted, needed
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.house_faces import OpeningSheet
from retrofit_desk.services.house_facts import GLASS_COATINGS
from retrofit_desk.services.window_by_parts import (
    GAS_NAMES,
    SPACERS,
    WindowByParts,
    WindowByPartsService,
    WorkedOutU,
)
from retrofit_desk.values.quantity import Dimension

NOT_CHOSEN = "not chosen"
UNCOATED = "uncoated"
USUAL_GAP_M = 0.0127  # half an inch, common practice


class WindowByPartsDialog(FactsForm):
    """Asks what can be seen of the window; `found` holds the answer once it is taken."""

    def __init__(self, desk: Desk, parent: QWidget | None, sheet: OpeningSheet) -> None:
        facts = sheet.facts
        super().__init__(
            desk,
            parent,
            f"window-by-parts:{sheet.id}",
            f"Work out the U-value of {facts.name or 'a new window'}",
        )
        self.found: WorkedOutU | None = None
        length, plain = Dimension.LENGTH, Dimension.PLAIN
        self.body.insertWidget(
            0,
            soft_label(
                "By ISO 10077-1 and EN 673, for a window whose label is gone. A label, or a maker's sheet, "
                "is better: this is good to some 15%."
            ),
        )
        self._width = self.add_quantity("Width", "width", length, facts.width_m or None, low_si=0.0)
        self._height = self.add_quantity("Height", "height", length, facts.height_m or None, low_si=0.0)
        frames = desk.service(WindowByPartsService).frames()
        self._frame = self._choice("Frame", "frame", (NOT_CHOSEN, *frames), facts.frame)
        panes = None if facts.panes is None else float(facts.panes)
        self._panes = self.add_quantity("Panes", "panes", plain, panes, low_si=1.0, decimals=0)
        coatings = tuple(dict.fromkeys((UNCOATED, *(coating or UNCOATED for coating in GLASS_COATINGS))))
        self._coating = self._choice("Coating", "coating", coatings, facts.coating)
        self._gas = self._choice("Between the panes", "gas", GAS_NAMES, "")
        self._gap = self.add_quantity("Panes apart", "gap", Dimension.THICKNESS, USUAL_GAP_M, low_si=0.0)
        self._spacer = self._choice("Spacer at the edge of the glass", "spacer", SPACERS, "")
        self._rail = self.add_quantity(
            "Meeting rail across, height (0: none)", "rail", Dimension.THICKNESS, 0.0, low_si=0.0
        )
        self._storm = QCheckBox("A storm window hangs outside it")
        self._storm.setAccessibleName("Storm window outside")
        self.add("", "storm", self._storm)
        self.record_button.setText("Take it")
        self.begin()
        self.resize(self.width(), self.fontMetrics().lineSpacing() * 26)

    def _choice(self, words: str, name: str, choices: tuple[str, ...], now: str) -> QComboBox:
        box = QComboBox()
        box.addItems(choices)
        box.setCurrentIndex(max(box.findText(now), 0))
        self.add(words, name, box)
        return box

    def record(self) -> None:
        parts = WindowByParts(
            width_m=needed(self._width),
            height_m=needed(self._height),
            frame=self._frame.currentText(),
            panes=counted(self._panes),
            coating=self._coating.currentText(),
            gas=self._gas.currentText(),
            gap_m=needed(self._gap),
            spacer=self._spacer.currentText(),
            has_storm=self._storm.isChecked(),
            meeting_rail_m=self._rail.value() or 0.0,
        )
        self.found = self.desk.service(WindowByPartsService).work_out(parts)
