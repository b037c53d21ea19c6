"""At hand on the sample house, by what the owner does with it."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.answer_noted import AnswerNotedDialog
from retrofit_desk.desk.pages.at_hand import AtHandPage
from retrofit_desk.desk.pages.at_hand_words import gap_line
from retrofit_desk.desk.settings import Settings
from retrofit_desk.desk.widgets.lines import LineRow, StackedList
from retrofit_desk.desk.widgets.notch import Notch
from retrofit_desk.desk.window import Window
from retrofit_desk.records.models.tasks import TaskKind
from retrofit_desk.services.at_hand import AtHandService
from retrofit_desk.services.heat_watch import GapWarning, HeatWatch
from retrofit_desk.services.steps import StepService, WrittenStep
from retrofit_desk.values.place import PageKey, Place
from retrofit_desk.values.quantity import Units
from tests.desk.conftest import OpenPage


@pytest.fixture
def page(sample_desk: Desk, open_page: OpenPage) -> AtHandPage:
    return open_page(AtHandPage(sample_desk))


def line(stack: StackedList, word: str) -> LineRow:
    return next(row for row in stack.rows if word in row.accessibleName())


def press(row: LineRow, words: str) -> None:
    next(button for button in row.findChildren(QPushButton) if button.text() == words).click()


def test_all_four_lists_stand_under_each_other(page: AtHandPage) -> None:
    tops = [part.y() for part in (page.ready, page.not_yet, page.with_others, page.runs_out)]
    assert tops == sorted(tops)
    assert all(stack.rows for stack in (page.ready, page.not_yet, page.with_others))
    assert page.runs_out.bars


def test_only_what_needs_the_owner_bears_a_notch(page: AtHandPage) -> None:
    assert all(row.findChildren(Notch) for row in page.not_yet.rows)
    assert line(page.with_others, "Final waiver of Pennant Hill").findChildren(Notch)
    assert not line(page.with_others, "Casements are built").findChildren(Notch)


def test_a_line_leads_to_where_it_is_dealt_with(page: AtHandPage, qtbot: QtBot) -> None:
    row = line(page.not_yet, "stage 3 of the heat pump")
    with qtbot.waitSignal(page.desk.went_to) as went:
        qtbot.keyClick(row, Qt.Key.Key_Return)
    assert went.args[0].page is PageKey.MONEY


def test_done_takes_a_line_away_and_undo_brings_it_back(page: AtHandPage) -> None:
    press(line(page.ready, "Register the water heater's warranty"), "Done")
    page.refresh()
    assert not [row for row in page.ready.rows if "Register the water heater" in row.accessibleName()]
    page.desk.project.undo()
    page.refresh()
    assert line(page.ready, "Register the water heater's warranty")


def test_the_message_to_whom_one_waits_for_is_copied(page: AtHandPage) -> None:
    press(line(page.with_others, "Carraway answers"), "Copy message")
    assert "Carraway answers the application to connect" in QGuiApplication.clipboard().text()


def test_an_answer_is_noted_in_its_form(
    page: AtHandPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fill(dialog: AnswerNotedDialog) -> int:
        qtbot.addWidget(dialog)
        dialog.said.setPlainText("The engineer is ill")
        qtbot.keyClicks(dialog.ask_again, "Dec 1")
        dialog.accept()
        return dialog.result()

    monkeypatch.setattr(AnswerNotedDialog, "exec", fill)
    press(line(page.with_others, "Carraway answers"), "Note an answer …")
    page.refresh()
    name = line(page.with_others, "Carraway answers").accessibleName()
    assert "ask again on Dec 1, 2026" in name
    assert "The engineer is ill" in name


def test_the_watch_over_heat_arrives_from_the_background(page: AtHandPage, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: "Gas furnace until" in page.watch_words.text(), timeout=20_000)
    assert page.watch_words.text().startswith("No heat gap and no hot-water gap within a year")


def test_a_heat_gap_stands_on_top_with_degrees_and_the_heat_needed_in_the_units_of_now(
    page: AtHandPage,
) -> None:
    place = Place(PageKey.MEASURES, "schedule")
    gap = GapWarning("As the plan stands: heat gap of 9 days.", True, 9, -10.0, 9000.0, place)
    page._show_heat(HeatWatch((gap,), "Heat: nothing.", "Hot water: tank."))
    name = page.watch.rows[0].accessibleName()
    assert "14 °F" in name
    assert "31,000 Btu/h" in name
    assert "carbon monoxide" in name
    in_si = gap_line(gap, Units.SI).why
    assert "−10.0 °C" in in_si
    assert "About 9 kW" in in_si
    assert page.watch.y() < page.ready.y()


def test_every_line_opens_the_page_where_it_is_dealt_with(
    page: AtHandPage, qtbot: QtBot, settings: Settings
) -> None:
    window = Window(page.desk, settings, lambda _where: None)
    qtbot.addWidget(window)
    lines: list[str] = []
    page.desk.notices.told.connect(lambda text, needs_owner: lines.append(text) if needs_owner else None)
    found = page.desk.service(AtHandService).look()
    places = [one.place for part in (found.ready, found.not_yet, found.with_others) for one in part]
    places += [one.place for one in found.runs_out]
    for place in dict.fromkeys(places):
        page.desk.go_to(place)
        assert window._open_key is place.page
    assert {place.page for place in places} >= {
        PageKey.PERMITS,
        PageKey.MEASURES,
        PageKey.MONEY,
        PageKey.QUOTES,
        PageKey.HOUSE,
    }
    assert lines == []


def test_an_empty_project_says_that_nothing_waits(empty_desk: Desk, qtbot: QtBot) -> None:
    page = AtHandPage(empty_desk)
    qtbot.addWidget(page)
    page.refresh()
    assert page.ready.rows == []
    qtbot.waitUntil(lambda: "cannot say" in page.watch_words.text().lower(), timeout=20_000)


def test_a_wait_is_asked_for_at_hand_and_is_with_others_from_then_on(page: AtHandPage) -> None:
    service = page.desk.service(StepService)
    service.add(
        WrittenStep(
            "Date for the meter", TaskKind.WAIT, 30, with_whom="Haw Bend Gas", days_low=20, days_high=60
        )
    )
    page.refresh()
    asked = line(page.ready, "Ask Haw Bend Gas: Date for the meter")
    assert "takes 30 days, 20 to 60, ask by" in asked.accessibleName()
    press(asked, "Asked today")
    page.refresh()
    assert not [row for row in page.ready.rows if "Date for the meter" in row.accessibleName()]
    assert line(page.with_others, "Date for the meter")


def test_what_runs_out_says_what_that_means(page: AtHandPage) -> None:
    assert all(bar.accessibleDescription() for bar in page.runs_out.bars)


def test_a_last_day_is_told_apart_from_days_to_spare(page: AtHandPage) -> None:
    assert "17 days left" in line(page.ready, "Registering Heat-pump water heater").accessibleName()
    assert "10 days to spare" in line(page.ready, "Register the water heater's warranty").accessibleName()
