"""Filing one paper: what it is, what it serves, what stands on it."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

from PySide6.QtWidgets import QCheckBox, QComboBox, QLineEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.dialogs.paper_uses import NOTHING, UseBoxes
from retrofit_desk.desk.widgets.fields import DateField, MoneyField
from retrofit_desk.desk.widgets.paper_view import PaperView
from retrofit_desk.rules.matching import Fact, FactKind
from retrofit_desk.services.papers import Direction, Filed, Filing, PaperKind, PaperService


class FilePaperDialog(FormDialog):
    """One file at a time; `filed` tells the answer after *Record*."""

    def __init__(self, desk: Desk, parent: QWidget | None, path: Path) -> None:
        super().__init__(desk, parent, f"file-paper:{path.name}", f"File {path.name}")
        self._path = path
        self._papers = desk.service(PaperService)
        self.uses = UseBoxes(self._papers.choices())
        self.filed: Filed | None = None
        self._build_fields()
        preview = PaperView(desk)
        preview.show_file(path, self._papers.media_type_of(path))
        self.put_beside(preview)
        self.begin()

    def _build_fields(self) -> None:
        desk, today = self.desk, self._papers.today()
        media = self._papers.media_type_of(self._path)
        self._kind = QComboBox()
        self._kind.addItems([str(kind) for kind in PaperKind])
        self._kind.setCurrentText(str(PaperKind.PHOTO if media.startswith("image/") else PaperKind.OTHER))
        self._title = QLineEdit(_title_from(self._path))
        self._on_paper = DateField(desk, "Date on it", today)
        self._on_paper.set_value(_date_from(self._path))
        self._direction = QComboBox()
        self._direction.addItems([NOTHING, *(str(way) for way in Direction)])
        self._tape = QCheckBox("A tape is in view")
        self._serial, self._model, self._firm = QLineEdit(), QLineEdit(), QLineEdit()
        self._number, self._owner = QLineEdit(), QLineEdit()
        self._address, self._asked_by = QLineEdit(), QLineEdit()
        self._amount = MoneyField(desk, "Amount on it")
        self._ends_on = DateField(desk, "Runs out", today)
        self._private = QCheckBox("Private: income, account numbers")
        for words, name, widget in (
            ("Kind", "kind", self._kind),
            ("Title", "title", self._title),
            ("Date on it", "on_paper", self._on_paper),
            ("Measure", "measure", self.uses.measure),
            ("Room", "room", self.uses.room),
            ("Wall, floor or ceiling", "surface", self.uses.surface),
            ("Camera looked", "direction", self._direction),
            ("", "tape", self._tape),
            ("Answers", "need", self.uses.need),
            ("Serial on it", "serial", self._serial),
            ("Model on it", "model", self._model),
            ("Number on it", "number", self._number),
            ("Firm on it", "firm", self._firm),
            ("Owner's name on it", "owner", self._owner),
            ("Address on it", "address", self._address),
            ("Amount on it", "amount", self._amount),
            ("Runs out", "ends_on", self._ends_on),
            ("Asked for by", "asked_by", self._asked_by),
            ("", "private", self._private),
        ):
            if not words:
                widget.setAccessibleName(widget.text() if isinstance(widget, QCheckBox) else name)
            self.add(words, name, widget)

    def record(self) -> None:
        self.filed = self._papers.file(self._path, self._filing())

    def _filing(self) -> Filing:
        way = self._direction.currentText()
        return Filing(
            kind=PaperKind(self._kind.currentText()),
            title=self._title.text().strip() or self._path.stem,
            on_paper=self._on_paper.value(),
            facts=self._facts(),
            uses=self.uses.chosen(),
            direction=None if way == NOTHING else Direction(way),
            tape_in_view=True if self._tape.isChecked() else None,
            is_private=self._private.isChecked(),
            asked_by=self._asked_by.text().strip(),
            ends_on=self._ends_on.value(),
        )

    def _facts(self) -> tuple[Fact, ...]:
        typed = (
            (FactKind.SERIAL, self._serial.text().strip()),
            (FactKind.MODEL, self._model.text().strip()),
            (FactKind.NUMBER, self._number.text().strip()),
            (FactKind.FIRM, self._firm.text().strip()),
            (FactKind.NAME, self._owner.text().strip()),
            (FactKind.ADDRESS, self._address.text().strip()),
        )
        facts = [Fact(kind, text) for kind, text in typed if text]
        amount_cents = self._amount.value()
        if amount_cents is not None:
            facts.append(Fact(FactKind.AMOUNT, str(amount_cents)))
        return tuple(facts)


_DATED = re.compile(r"^(\d{4})-?(\d{2})-?(\d{2})[ _-]*")


def _title_from(path: Path) -> str:
    """The file's name as words, without the date that cameras and scanners put in front."""
    words = _DATED.sub("", path.stem).replace("_", " ").replace("-", " ").strip()
    return words[:1].upper() + words[1:]


def _date_from(path: Path) -> date | None:
    found = _DATED.match(path.stem)
    try:
        return date(*(int(part) for part in found.groups())) if found else None
    except ValueError:
        return None
