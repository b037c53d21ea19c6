"""The form of a thermal bridge of a face."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.facts_form import FactsForm, needed, needed_text
from retrofit_desk.services.house_faces import SurfaceSheet
from retrofit_desk.services.thermal_bridges import BridgeFacts, BridgeRow, ThermalBridgeService
from retrofit_desk.values.quantity import Dimension


class ThermalBridgeDialog(FactsForm):
    """Adds a thermal bridge to a face, or changes one."""

    def __init__(
        self, desk: Desk, parent: QWidget | None, sheet: SurfaceSheet, bridge: BridgeRow | None
    ) -> None:
        form = f"new-bridge:{sheet.row.id}" if bridge is None else f"bridge:{bridge.id}"
        title = f"Add a thermal bridge, {sheet.row.name}" if bridge is None else f"Change {bridge.facts.name}"
        super().__init__(desk, parent, form, title)
        self._surface_id, self._bridge = sheet.row.id, bridge
        facts = None if bridge is None else bridge.facts
        self._name = self.add_line("Name", "name", "" if facts is None else facts.name)
        self._name.setPlaceholderText("slab edge, window reveal, balcony …")
        self._length = self.add_quantity(
            "Length", "length", Dimension.LENGTH, None if facts is None else facts.length_m, low_si=0.0
        )
        self._psi = self.add_quantity(
            "Loss by length (psi)", "psi", Dimension.LINEAR_LOSS, None if facts is None else facts.psi_w_mk
        )
        self._psi.setToolTip("For the system of dimensions in which the face's area was measured")
        self._psi.setPlaceholderText("below 0 at outside corners of faces measured from outside")
        self._psi_source = self.add_line("Source", "source", "" if facts is None else facts.source)
        self._psi_source.setPlaceholderText("ISO 14683, a calculation by ISO 10211, a maker's sheet …")
        self.begin()
        self.resize(self.width(), self.fontMetrics().lineSpacing() * 14)

    def record(self) -> None:
        facts = BridgeFacts(
            name=needed_text(self._name, "Name"),
            length_m=needed(self._length),
            psi_w_mk=needed(self._psi),
            source=self._psi_source.text().strip(),
        )
        bridges = self.desk.service(ThermalBridgeService)
        if self._bridge is None:
            bridges.add(self._surface_id, facts)
        else:
            bridges.change(self._bridge.id, facts)
