"""What a paper serves: chosen when it is filed, and again when it is wanted for one thing more."""

from __future__ import annotations

from PySide6.QtWidgets import QComboBox, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.facts_form import FieldEmpty
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.holds import HoldEffect
from retrofit_desk.services.papers import Choice, FilingChoices, PaperService, PaperSheet, Use

NOTHING = "–"


class UseBoxes:
    """Measure, room, its walls, and what a hold waits for."""

    def __init__(self, choices: FilingChoices) -> None:
        self._surfaces = choices.surfaces
        self.measure, self.room, self.need = (
            _box(offered) for offered in (choices.measures, choices.rooms, choices.needs)
        )
        self.surface = QComboBox()
        self.room.currentIndexChanged.connect(lambda _index: self._fill_surfaces())
        self._fill_surfaces()

    def chosen(self) -> tuple[Use, ...]:
        """A wall stands for its room."""
        surface: Use | None = self.surface.currentData()
        room: Use | None = None if surface else self.room.currentData()
        chosen = (self.measure.currentData(), room, surface, self.need.currentData())
        return tuple(use for use in chosen if use is not None)

    def _fill_surfaces(self) -> None:
        room: Use | None = self.room.currentData()
        self.surface.clear()
        self.surface.addItem(NOTHING, None)
        for choice in self._surfaces:
            if room is not None and choice.room_id == room.subject_id:
                self.surface.addItem(choice.words, choice.use)


class UsePaperDialog(FormDialog):
    """A filed paper serves one thing more; `effect` tells what that frees."""

    def __init__(self, desk: Desk, parent: QWidget | None, sheet: PaperSheet) -> None:
        super().__init__(desk, parent, f"paper-use:{sheet.row.id}", f"Also use {sheet.row.title}")
        self._papers, self._paper_id = desk.service(PaperService), sheet.row.id
        self.effect: HoldEffect | None = None
        said = "It stays filed once, and is counted for everything that it is used for."
        self.body.insertWidget(0, soft_label(said))
        self.uses = UseBoxes(self._papers.choices())
        self.add("Measure", "measure", self.uses.measure)
        self.add("Room", "room", self.uses.room)
        self.add("Wall, floor or ceiling", "surface", self.uses.surface)
        self.add("Answers", "need", self.uses.need)
        self.body.addStretch(1)
        self.resize(self.width(), self.fontMetrics().lineSpacing() * 15)
        self.begin()

    def record(self) -> None:
        uses = self.uses.chosen()
        if not uses:
            raise FieldEmpty("nothing is chosen yet", do="choose what it is used for")
        self.effect = self._papers.serve(self._paper_id, *uses)


def _box(choices: tuple[Choice, ...]) -> QComboBox:
    box = QComboBox()
    box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
    box.setMinimumContentsLength(20)
    box.addItem(NOTHING, None)
    for choice in choices:
        box.addItem(choice.words, choice.use)
    return box
