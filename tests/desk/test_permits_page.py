"""The Permits page on the sample house, by what the owner does with it."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from PySide6.QtWidgets import QLabel, QPushButton
from pytestqt.qtbot import QtBot
from sqlalchemy import select

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs import save_calendar
from retrofit_desk.desk.dialogs.office_forms import OfficeBookingDialog
from retrofit_desk.desk.dialogs.permit_forms import AddPermitDialog, ChangePermitDialog, ClosePermitDialog
from retrofit_desk.desk.dialogs.visit_forms import (
    AddVisitDialog,
    BookVisitDialog,
    CloseCorrectionDialog,
    VisitResultDialog,
)
from retrofit_desk.desk.pages import permits
from retrofit_desk.desk.pages.permits import PermitsPage
from retrofit_desk.desk.widgets.lines import LineRow
from retrofit_desk.desk.widgets.picker import PickRow
from retrofit_desk.records import models as m
from retrofit_desk.services.search import SearchService
from retrofit_desk.values.place import PageKey, Place
from tests.desk.conftest import OpenPage


@pytest.fixture
def page(sample_desk: Desk, open_page: OpenPage) -> PermitsPage:
    return open_page(PermitsPage(sample_desk))


def pick(page: PermitsPage, word: str) -> PickRow:
    row = next(row for picker in page.pickers for row in picker.rows if word in row.line.title)
    row.picked.emit(row.line.key)
    return row


def line(page: PermitsPage, word: str) -> LineRow:
    return next(row for row in page.pane.findChildren(LineRow) if row.accessibleName().startswith(word))


def press(page: PermitsPage, word: str, button: str) -> None:
    found = line(page, word).findChildren(QPushButton)
    next(one for one in found if one.text() == button).click()
    page.refresh()


def words_of(row: LineRow) -> list[str]:
    return [one.text() for one in row.findChildren(QPushButton)]


def told(page: PermitsPage) -> list[str]:
    lines: list[str] = []
    page.desk.notices.told.connect(lambda text, _needs: lines.append(text))
    return lines


def test_permits_stand_under_their_offices(page: PermitsPage) -> None:
    assert [picker.accessibleName() for picker in page.pickers] == [
        "City inspections office",
        "County environmental health",
    ]
    assert "2 corrections open" in pick(page, "range and den").line.remark
    assert "runs out in 41 days" in pick(page, "Bore permit").line.remark


def test_work_without_its_permit_stands_below_the_offices_and_brings_the_form_along(
    page: PermitsPage, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    def fill(dialog: AddPermitDialog) -> int:
        qtbot.addWidget(dialog)
        assert [box.text() for _id, box in dialog.measures if box.isChecked()] == [row_title]
        dialog.kind.setCurrentText("plumbing")
        dialog.accept()
        return dialog.result()

    monkeypatch.setattr(AddPermitDialog, "exec", fill)
    (row,) = page.list.findChildren(LineRow)
    assert "Offices usually ask for: electrical and plumbing" in row.accessibleName()
    row_title = row.accessibleName().split(".")[0]
    row.findChildren(QPushButton)[0].click()
    page.refresh()
    assert not page.list.findChildren(LineRow)
    assert pick(page, row_title).line.remark == "needed"


def test_a_visit_that_must_wait_cannot_be_booked_and_says_why(page: PermitsPage) -> None:
    pick(page, "sheathing, den walls")
    row = line(page, "Framing, den walls")
    assert "Don't book it until Rough electrical, den, second visit has passed." in row.accessibleName()
    assert "Book …" not in words_of(row)


def test_a_failed_inspection_from_the_door_to_the_next_booking(
    page: PermitsPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(dialog: VisitResultDialog) -> int:
        qtbot.addWidget(dialog)
        dialog.outcome.setCurrentText("failed")
        dialog.corrections.add_row(("No label in the panel", "NEC 408.4"))
        dialog.accept()
        return dialog.result()

    def put_right(dialog: CloseCorrectionDialog) -> int:
        qtbot.addWidget(dialog)
        dialog.how.setPlainText("Labeled")
        dialog.accept()
        return dialog.result()

    def book(dialog: BookVisitDialog) -> int:
        qtbot.addWidget(dialog)
        qtbot.keyClicks(dialog.day, "Dec 4")
        dialog.accept()
        return dialog.result()

    monkeypatch.setattr(VisitResultDialog, "exec", fail)
    monkeypatch.setattr(CloseCorrectionDialog, "exec", put_right)
    monkeypatch.setattr(BookVisitDialog, "exec", book)
    lines = told(page)
    pick(page, "range and den")
    press(page, "Electrical final, range", "Result …")
    assert any("stage 2 of the circuits" in one for one in lines)
    again = "Electrical final, range, second visit"
    assert "Book …" not in words_of(line(page, again))
    press(page, "To put right: No label in the panel", "Put right …")
    assert "Book …" in words_of(line(page, again))
    press(page, again, "Book …")
    assert "booked for Fri Dec 4, 2026" in line(page, again).accessibleName()


def test_a_result_without_a_word_stays_in_the_form(page: PermitsPage, qtbot: QtBot) -> None:
    pick(page, "range and den")
    visit = next(
        one for sheet in page._sheets.values() for one in sheet.visits if one.title.endswith("range")
    )
    dialog = VisitResultDialog(page.desk, page, visit)
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.accept()
    assert dialog.isVisible()
    assert dialog.effect is None


def test_going_to_a_visit_opens_its_permit(page: PermitsPage) -> None:
    (found, *_rest) = SearchService(page.desk.project).find("solar permit")
    page.show_item(found.place)
    assert line(page, "Racking and wiring")
    page.show_item(Place(PageKey.PERMITS, "inspection", 16))
    assert line(page, "Rough mechanical, header and piping")


def test_issuing_the_solar_permit_frees_the_roof_but_for_the_utility(
    page: PermitsPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    def issue(dialog: ChangePermitDialog) -> int:
        qtbot.addWidget(dialog)
        qtbot.keyClicks(dialog.days[1], "Nov 20")
        dialog.accept()
        return dialog.result()

    monkeypatch.setattr(ChangePermitDialog, "exec", issue)
    lines = told(page)
    pick(page, "Solar permit")
    next(one for one in page.pane.findChildren(QPushButton) if one.text() == "Number and dates …").click()
    page.refresh()
    assert "Book …" in words_of(line(page, "Racking and wiring"))
    assert any("work on the roof" in one and "agreement to connect" in one for one in lines)


def test_a_permit_is_added_with_its_usual_visits(
    page: PermitsPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    def add(dialog: AddPermitDialog) -> int:
        qtbot.addWidget(dialog)
        dialog.name.setText("Gas permit, dryer stub")
        dialog.kind.setCurrentText("gas")
        dialog.office.setCurrentText("City inspections office")
        dialog.accept()
        return dialog.result()

    monkeypatch.setattr(AddPermitDialog, "exec", add)
    page.add()
    page.refresh()
    assert line(page, "Test of the gas piping")
    assert "Gas permit, dryer stub is issued" in line(page, "Gas final").accessibleName()


def test_the_calendar_is_written_where_the_owner_says(
    page: PermitsPage, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "dates"
    monkeypatch.setattr(save_calendar.QFileDialog, "getSaveFileName", lambda *_args: (str(path), ""))
    lines = told(page)
    page.write_calendar()
    assert path.with_suffix(".ics").read_bytes().startswith(b"BEGIN:VCALENDAR")
    assert "dates.ics" in lines[-1]


def test_an_empty_project_says_whom_to_ask(empty_desk: Desk, qtbot: QtBot) -> None:
    page = PermitsPage(empty_desk)
    qtbot.addWidget(page)
    page.refresh()
    assert page.pickers == []


def test_what_to_print_for_a_visit_is_one_step_away(page: PermitsPage, sample_desk: Desk) -> None:
    # MOM-4: checklist and bundle for the visit
    went: list[Place] = []
    sample_desk.went_to.connect(went.append)
    button = next(one for one in page.findChildren(QPushButton) if one.text() == "To print …")
    button.click()
    assert (went[0].page, went[0].kind) == (PageKey.PACKETS, "inspection")


def head_button(page: PermitsPage, words: str) -> QPushButton:
    return next(one for one in page.pane.findChildren(QPushButton) if one.text() == words)


def test_a_permit_is_withdrawn_for_a_reason_and_taken_up_again(
    page: PermitsPage, monkeypatch: pytest.MonkeyPatch
) -> None:
    pick(page, "Bore permit")
    monkeypatch.setattr(permits, "ask_reason", lambda *_words: None)
    head_button(page, "Withdraw …").click()
    page.refresh()
    assert "withdrawn" not in pick(page, "Bore permit").line.remark
    monkeypatch.setattr(permits, "ask_reason", lambda *_words: "The driller pulls it")
    lines = told(page)
    head_button(page, "Withdraw …").click()
    page.refresh()
    assert pick(page, "Bore permit").line.remark.startswith("withdrawn")
    assert lines[-1].startswith("Permit withdrawn.")
    head_button(page, "Take up again").click()
    page.refresh()
    assert pick(page, "Bore permit").line.remark.startswith("issued")


def test_the_final_with_an_open_visit_stays_in_the_form(
    page: PermitsPage, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    pick(page, "Bore permit")
    results: list[int] = []

    def close(dialog: ClosePermitDialog) -> int:
        qtbot.addWidget(dialog)
        dialog.accept()
        results.append(dialog.result())
        return dialog.result()

    monkeypatch.setattr(ClosePermitDialog, "exec", close)
    head_button(page, "Final and certificate …").click()
    page.refresh()
    assert results == [0]
    assert pick(page, "Bore permit").line.remark.startswith("issued")


def test_an_office_is_told_once_how_it_gives_its_visits(
    page: PermitsPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    def tell(dialog: OfficeBookingDialog) -> int:
        qtbot.addWidget(dialog)
        dialog.lead.set_value(2.0)
        assert dialog.call_by.text() == "3 p.m."
        dialog.call_by.setText("before lunch")
        assert "no time of day" in dialog.told.text()
        dialog.call_by.setText("noon")
        dialog.days[4].setChecked(False)
        assert dialog.told.text().startswith(
            "Visits Monday to Thursday, 8 to 12 or 1 to 4. To book, call by noon 2 work"
        )
        dialog.accept()
        return dialog.result()

    monkeypatch.setattr(OfficeBookingDialog, "exec", tell)
    button(page, "Its visits …").click()
    page.refresh()
    pick(page, "radiant floors")
    rest = line(page, "Tubing, other rooms").accessibleName()
    assert "called now, it comes on Tue Nov 24, 2026 at the earliest" in rest


def test_a_booking_says_when_the_day_is_not_one_the_office_gives(page: PermitsPage, qtbot: QtBot) -> None:
    sheet = page._sheets[int(pick(page, "Bore permit").line.key)]
    dialog = BookVisitDialog(page.desk, page, sheet.visits[-1])
    qtbot.addWidget(dialog)
    assert "Dec 1, 2026 at the earliest" in dialog.day.placeholderText()
    dialog.day.set_value(date(2026, 12, 2))
    dialog.look()
    assert "Wednesday, Dec 2, 2026 is not a day" in dialog.told.text()
    dialog.day.set_value(date(2026, 12, 3))
    dialog.look()
    assert dialog.told.text() == ""


def test_a_visit_outside_the_usual_list_is_added_and_undone(
    page: PermitsPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    def add(dialog: AddVisitDialog) -> int:
        qtbot.addWidget(dialog)
        dialog.kind.setCurrentText("Framing")
        assert dialog.name.text() == "Framing"
        dialog.name.setText("Framing of the pump room")
        dialog.after.setCurrentIndex(0)
        dialog.accept()
        return dialog.result()

    monkeypatch.setattr(AddVisitDialog, "exec", add)
    pick(page, "Mechanical permit")
    button(page, "Add a visit …").click()
    page.refresh()
    assert line(page, "Framing of the pump room")
    page.desk.project.undo()
    page.refresh()
    with pytest.raises(StopIteration):
        line(page, "Framing of the pump room")


def test_an_expired_permit_says_so_and_how_to_have_it_back(
    page: PermitsPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    with page.desk.project.action("A year on") as work:
        work.session.scalars(select(m.Site)).one().story_date = date(2027, 8, 1)
    page.refresh()
    row = pick(page, "Mechanical permit")
    assert row.line.remark.startswith("expired Feb 5, 2027")
    assert row.line.needs_owner

    def extend(dialog: ChangePermitDialog) -> int:
        qtbot.addWidget(dialog)
        dialog.days[3].set_value(date(2027, 12, 31))
        dialog.accept()
        return dialog.result()

    monkeypatch.setattr(ChangePermitDialog, "exec", extend)
    button(page, "Extended or issued again …").click()
    page.refresh()
    assert pick(page, "Mechanical permit").line.remark.startswith("issued")


def test_without_permits_the_page_tells_what_offices_usually_ask_for(
    empty_desk: Desk, open_page: OpenPage
) -> None:
    page = open_page(PermitsPage(empty_desk))
    assert line(page, "1. Rough electrical").accessibleName().count("Have ready") == 1
    assert any("Work in a panel can kill" in one.text() for one in page.pane.findChildren(QLabel))


def button(page: PermitsPage, words: str) -> QPushButton:
    return next(one for one in page.findChildren(QPushButton) if one.text() == words)


def test_the_fee_and_the_idle_days_typed_stand_on_the_page(
    page: PermitsPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    pick(page, "Gas permit")

    def type_it(dialog: ChangePermitDialog) -> int:
        qtbot.addWidget(dialog)
        dialog.fee.set_value(8_550)
        dialog.days[1].set_value(date(2026, 11, 18))
        dialog.idle.set_value(90.0)
        dialog.accept()
        return dialog.result()

    monkeypatch.setattr(ChangePermitDialog, "exec", type_it)
    button(page, "Number and dates …").click()
    page.refresh()
    words = [one.text() for one in page.pane.findChildren(QLabel)]
    assert any("fee $85.50" in one for one in words)
    assert any("90 days after the last activity: issued, Nov 18, 2026" in one for one in words)


def test_a_result_is_recorded_without_a_booking(
    page: PermitsPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    pick(page, "Bore permit")

    def passed(dialog: VisitResultDialog) -> int:
        qtbot.addWidget(dialog)
        dialog.outcome.setCurrentText("passed")
        dialog.accept()
        return dialog.result()

    monkeypatch.setattr(VisitResultDialog, "exec", passed)
    press(page, "Completion report accepted", "Result …")
    pick(page, "Bore permit")
    assert "passed" in line(page, "Completion report accepted").accessibleName()
