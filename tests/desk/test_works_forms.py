"""Forms of the works as the owner fills them in: finds, usual holds, reservations."""

from __future__ import annotations

from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.hazard_forms import FindDialog, SettleDialog
from retrofit_desk.desk.dialogs.own_hold import OwnHoldDialog
from retrofit_desk.desk.dialogs.rebate_forms import ReservationDialog
from retrofit_desk.desk.dialogs.usual_holds import UsualHoldsDialog
from retrofit_desk.paperwork.kinds import PROFILES, Part
from retrofit_desk.rules.holds import HoldAction
from retrofit_desk.services.hazards import HazardService
from retrofit_desk.services.holds import HoldService
from retrofit_desk.services.measures import MeasureService


def measure_id(desk: Desk, key: str) -> int:
    return next(row.id for row in desk.service(MeasureService).rows() if row.key == key)


def test_a_find_is_recorded_and_settled_by_its_paper(sample_desk: Desk, qtbot: QtBot, tmp_path: Path) -> None:
    # NEED-17
    batts = measure_id(sample_desk, "den-batts")
    find = FindDialog(sample_desk, None, batts)
    qtbot.addWidget(find)
    find.choose_kind("wet_structure")
    assert find.stops.isChecked()
    find.where.setText("north sill")
    find.accept()
    assert sample_desk.project.undo_title == "Record a find: Damp or rot"
    assert any("north sill" in one.sentence for one in HoldService(sample_desk.project).blocking())
    before = HazardService(sample_desk.project).before_work(batts)
    assert before is not None
    line = next(one for one in before.found if one.where == "north sill")
    assert line.find_id is not None
    settle = SettleDialog(sample_desk, None, line, line.find_id)
    qtbot.addWidget(settle)
    settle.by.setText("Larch Builders, license 2231")
    settle.accept()
    assert sample_desk.project.undo_title == "Record a find: Damp or rot"  # no paper: it stays in the form
    paper = tmp_path / "dry.pdf"
    paper.write_bytes(b"%PDF-1.4 dry and sound")
    settle.paper.line.setText(str(paper))
    settle.accept()
    assert settle.effect is not None
    assert settle.effect.frees
    assert not any("north sill" in one.sentence for one in HoldService(sample_desk.project).blocking())


def test_usual_holds_left_out_are_not_made(sample_desk: Desk, qtbot: QtBot) -> None:
    count = len(HoldService(sample_desk.project).all())
    dialog = UsualHoldsDialog(sample_desk, None, measure_id(sample_desk, "casements"), "Casements")
    qtbot.addWidget(dialog)
    for _key, box in dialog.choice.boxes[1:]:
        box.setChecked(False)
    dialog.accept()
    assert dialog.made == 1
    assert len(HoldService(sample_desk.project).all()) == count + 1


def test_a_reservation_without_the_day_of_its_letter_stays_in_the_form(
    sample_desk: Desk, qtbot: QtBot
) -> None:
    dialog = ReservationDialog(sample_desk, None, 1)
    qtbot.addWidget(dialog)
    dialog.state.setCurrentText("held")
    dialog.held_from.set_value(None)
    undo = sample_desk.project.undo_title
    dialog.accept()
    assert sample_desk.project.undo_title == undo


@pytest.mark.parametrize("kind", list(PROFILES))
def test_what_was_passed_without_evidence_stands_in_every_packet(kind: str) -> None:
    assert Part.OVERRIDES in PROFILES[kind].parts  # type: ignore[index]


@pytest.mark.parametrize("action", list(HoldAction))
def test_the_owner_writes_a_hold_of_each_sort_in_one_sentence(
    sample_desk: Desk, qtbot: QtBot, action: HoldAction
) -> None:
    dialog = OwnHoldDialog(sample_desk, None, measure_id(sample_desk, "casements"), "Casements")
    qtbot.addWidget(dialog)
    dialog.action.setCurrentText(str(action))
    dialog.what.setText("the trial window")
    dialog.accept()
    assert "Write a hold" not in (sample_desk.project.undo_title or "")  # until when is missing
    dialog.until.setText("four photos are filed")
    dialog.kind.setCurrentText("photo set")
    dialog.count.set_value(4.0)
    dialog.accept()
    sentence = f"Not yet: don't {action} the trial window until four photos are filed (0 of 4)."
    assert sentence in [one.sentence for one in HoldService(sample_desk.project).blocking()]
    sample_desk.project.undo()
    assert sentence not in [one.sentence for one in HoldService(sample_desk.project).blocking()]
