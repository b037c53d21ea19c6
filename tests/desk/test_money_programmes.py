"""What the rules of programmes say, as the owner reads it under "Rebates due"."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from PySide6.QtWidgets import QFileDialog, QPushButton
from pytestqt.qtbot import QtBot
from sqlalchemy import select

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.rebate_forms import ClaimDialog, ExpectedDialog
from retrofit_desk.desk.pages.money import MoneyPage
from retrofit_desk.desk.pages.money_programmes import ProgrammesPart
from retrofit_desk.desk.widgets.lines import StackedList
from retrofit_desk.records.models import ProgrammeChoice, RuleFile
from retrofit_desk.records.tables import TableDamaged
from retrofit_desk.services.programmes import ProgrammeService
from retrofit_desk.values.stated import Stated, StatedValue
from tests.services.test_programme_entry import lose_the_reservation
from tests.services.test_programmes import TOWN


@pytest.fixture
def part(sample_desk: Desk, qtbot: QtBot) -> ProgrammesPart:
    made = ProgrammesPart(sample_desk)
    qtbot.addWidget(made)
    made.refresh()
    return made


def told(stack: StackedList, word: str) -> str:
    return next(row.accessibleName() for row in stack.rows if word in row.accessibleName())


def test_each_chosen_programme_tells_amount_cap_days_and_source(part: ProgrammesPart) -> None:
    name = told(part.chosen, "sheathing")
    assert "$3,000.00" in name
    assert "bound by: $3,000 a measure, which takes $1,280.00 off" in name
    assert "Claim by Feb 28, 2027" in name
    assert "last checked Nov 12, 2026" in name


def test_a_second_programme_tells_its_place_what_it_loses_and_its_tax(
    part: ProgrammesPart, sample_desk: Desk
) -> None:
    folder = sample_desk.project.own_tables / "programmes"
    folder.mkdir(parents=True)
    (folder / "town-seal.toml").write_text(TOWN)
    part.refresh()
    press(part, part.could_apply, "Choose", "25C")
    assert "Beside what is chosen for this measure it would add $210.00" in told(
        part.could_apply, "Town Draft"
    )
    press(part, part.could_apply, "Choose", "Town Draft")
    credit = told(part.chosen, "25C")
    assert "Taken second of 2: it counts only what Town Draft Fund leaves, which takes $90.00 off." in credit
    assert "Tax: credit against income tax" in credit
    assert "Tax: not known; ask a tax adviser." in told(part.chosen, "Town Draft Fund, Air")


def test_the_sum_of_all_chosen_is_told_with_the_caps_between_them(part: ProgrammesPart) -> None:
    assert "$9,752.00" in part.sums.text()
    assert "Every chosen rebate is reserved in writing or paid." in part.sums.text()


def test_a_chosen_rebate_that_is_not_reserved_is_named_though_its_amount_is_not_known(
    part: ProgrammesPart, sample_desk: Desk
) -> None:
    lose_the_reservation(sample_desk.project)
    with sample_desk.project.action("Nobody said") as work:
        for choice in work.session.scalars(select(ProgrammeChoice)):
            choice.set_stated("expected_cents", StatedValue(None, Stated.UNKNOWN))
    part.refresh()
    assert "Every chosen rebate" not in part.sums.text()
    assert "is not reserved, and nobody said what to expect of it." in part.sums.text()


def test_what_ended_or_changed_says_so_by_date(part: ProgrammesPart) -> None:
    assert "ended Dec 31, 2025" in told(part.pays_nothing, "25D")
    assert "The rule changed on Jun 2, 2026" in told(part.pays_nothing, "Induction range")


def test_an_amount_that_cannot_be_told_says_what_it_needs(part: ProgrammesPart) -> None:
    name = told(part.could_apply, "modeled savings")
    assert "unknown" in name
    assert "Cannot say, needs an answer: household income against the area's median is not known" in name


def test_a_reservation_that_is_lost_needs_the_owner_and_changes_the_sums(
    part: ProgrammesPart, sample_desk: Desk
) -> None:
    lose_the_reservation(sample_desk.project)
    part.refresh()
    assert "Lost: begun Jul 15, 2026 without a reservation that stands" in told(part.chosen, "Ground")
    assert (
        "Carraway Ground Heat, Ground-source heat pump on three short bores, is not reserved"
        in part.sums.text()
    )


def test_the_rules_stand_under_rebates_due(sample_desk: Desk, qtbot: QtBot) -> None:
    page = MoneyPage(sample_desk)
    qtbot.addWidget(page)
    page.refresh()
    page.parts.setCurrentWidget(page.rebates)
    assert told(page.rebates.rules.chosen, "Heat-pump water heater")


def press(part: ProgrammesPart, stack: StackedList, words: str, beside: str = "") -> None:
    row = next(row for row in stack.rows if beside in row.accessibleName())
    next(one for one in row.findChildren(QPushButton) if one.text() == words).click()
    part.refresh()


def test_the_owner_chooses_a_programme_and_drops_it_again(part: ProgrammesPart) -> None:
    before = len(part.chosen.rows)
    press(part, part.could_apply, "Choose")
    assert len(part.chosen.rows) == before + 1
    part._desk.project.undo()
    part.refresh()
    assert len(part.chosen.rows) == before


def test_each_rule_is_told_with_what_is_needed(part: ProgrammesPart) -> None:
    told_ = told(part.chosen, "sheathing")
    assert "Rules: " in told_
    assert "reserved in writing before work: yes" in told_


def test_a_rule_file_is_taken_in_and_out_in_the_window(
    part: ProgrammesPart, sample_desk: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, said = tmp_path / "town.toml", []
    path.write_text(TOWN)
    sample_desk.notices.told.connect(lambda line, _needs: said.append(line))
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_args, **_kwargs: (str(path), ""))
    next(one for one in part.buttons.findChildren(QPushButton) if "Take in" in one.text()).click()
    part.refresh()
    assert "Town Draft Fund" in told(part.could_apply, "Town Draft")
    assert "“Take out” below" in said[-1]
    press(part, part.own, "Take out", "Town Draft")
    assert part.own.rows == []
    assert sample_desk.project.undo_title == "Take out the rule of Town Draft Fund"
    folder = sample_desk.project.own_tables / "programmes"
    folder.mkdir(parents=True)
    (folder / "town.toml").write_text(TOWN)
    part.refresh()
    assert "undo and a look at the past do not know it" in told(part.own, "Town Draft")
    press(part, part.own, "Take in", "Town Draft")
    assert "“Take in”" not in told(part.own, "Town Draft")


def test_a_rule_in_the_record_that_cannot_be_read_can_still_be_taken_out(
    part: ProgrammesPart, sample_desk: Desk
) -> None:
    with sample_desk.project.action("From outside") as work:
        work.session.add(RuleFile(programme_key="town-seal", text="no rule"))
    with pytest.raises(TableDamaged):
        part.refresh()
    assert "cannot be read" in told(part.own, "town-seal")
    press(part, part.own, "Take out")
    assert part.chosen.rows


def test_a_claim_is_recorded_in_its_form(part: ProgrammesPart, qtbot: QtBot) -> None:
    line = next(
        one for one in ProgrammeService(part._desk.project).view().chosen if not one.is_sure or one.rebate
    )
    assert line.rebate is not None
    dialog = ClaimDialog(part._desk, part, line.rebate.choice_id)
    qtbot.addWidget(dialog)
    dialog.state.setCurrentText("refused")
    dialog.accept()
    assert dialog.isVisible() is False
    assert part._desk.project.undo_title != "Record a claim"  # nothing said why: it stays in the form
    dialog.days[2].set_value(date(2026, 11, 19))
    dialog.answer.setText("Serial missing")
    dialog.accept()
    assert part._desk.project.undo_title == "Record a claim"


def test_a_chosen_programme_is_dropped_in_its_form(part: ProgrammesPart, qtbot: QtBot) -> None:
    line, before = ProgrammeService(part._desk.project).view().chosen[-1], len(part.chosen.rows)
    assert line.rebate is not None
    dialog = ExpectedDialog(part._desk, part, line.rebate.choice_id)
    qtbot.addWidget(dialog)
    dialog.drop.setChecked(True)
    dialog.accept()
    part.refresh()
    assert len(part.chosen.rows) == before - 1


def test_a_rebate_for_the_house_is_chosen_and_its_measures_are_ticked_in_its_form(
    part: ProgrammesPart, qtbot: QtBot
) -> None:
    press(part, part.could_apply, "Choose", beside="modeled savings (42 USC 18795), The house as a whole")
    told_ = told(part.chosen, "The house as a whole")
    assert "It pays for: " in told_
    assert "household income against the area's median is not known" in told_
    line = next(one for one in ProgrammeService(part._desk.project).view().chosen if one.measure_id is None)
    assert line.rebate is not None
    dialog = ExpectedDialog(part._desk, part, line.rebate.choice_id)
    qtbot.addWidget(dialog)
    assert len(dialog.measures.ticked()) == len(line.covers)
    left_out = dialog.measures.ticked()[0]
    dialog.measures.tick(dialog.measures.ticked()[1:])
    dialog.accept()
    view = ProgrammeService(part._desk.project).view()
    after = next(one for one in view.chosen if one.measure_id is None)
    assert set(after.measure_ids) == set(line.measure_ids) - {int(left_out)}
