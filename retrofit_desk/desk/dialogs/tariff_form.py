"""Which tariff bills a meter: one that is known, or a file of the owner's own."""

from __future__ import annotations

from PySide6.QtWidgets import QComboBox, QLineEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.fields import DateField
from retrofit_desk.desk.widgets.file_field import FileField
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.tariff_entry import MeterTariffs, TariffEntryService, TariffUnclear, WrittenTariff

REMARK = (
    "Bills from that day on, and the savings sum, are told by it; nothing is simulated again. Your own "
    "tariff is a TOML file like those in the project's folder tables/tariffs: copy one, give it a key of "
    "its own, and write tiers, seasons, hours, demand and fixed charges as the utility's sheet does."
)
NONE_CHOSEN = "none chosen"


class TariffDialog(FormDialog):
    """Chooses the tariff of one meter."""

    def __init__(self, desk: Desk, parent: QWidget | None, sheet: MeterTariffs) -> None:
        super().__init__(desk, parent, f"tariff:{sheet.meter_id}", f"Tariff of {sheet.meter}")
        self._meter_id = sheet.meter_id
        self.body.insertWidget(0, soft_label(REMARK))
        self.tariff = QComboBox()
        self.tariff.addItem(NONE_CHOSEN, "")
        for offer in sheet.offers:
            self.tariff.addItem(offer.name, offer.key)
        self.tariff.setCurrentIndex(max(self.tariff.findData(sheet.now), 0))
        self.file = FileField("Or its file")
        self.since = DateField(desk, "Since", sheet.today)
        self.since.set_value(sheet.today)
        self.source = QLineEdit()
        self.source.setPlaceholderText("bill, letter or sheet that tells it")
        rows: tuple[tuple[str, str, QWidget], ...] = (
            ("Tariff", "tariff", self.tariff),
            ("Or its file", "file", self.file),
            ("Since", "since", self.since),
            ("Source", "source", self.source),
        )
        for words, name, widget in rows:
            self.add(words, name, widget)
        self.body.addStretch(1)
        self.resize(self.fontMetrics().averageCharWidth() * 80, self.fontMetrics().lineSpacing() * 19)
        self.begin()

    def record(self) -> None:
        since = self.since.value()
        if since is None:
            raise TariffUnclear("no day is named", where="Since", do="type it")
        written = WrittenTariff(self.tariff.currentData(), since, self.source.text(), self.file.path())
        self.desk.notices.tell(self.desk.service(TariffEntryService).choose(self._meter_id, written))
