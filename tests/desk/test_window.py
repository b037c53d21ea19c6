"""The frame: pages, undo by its title, units and look live, long work, notices."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPointF, Qt, QUrl
from PySide6.QtGui import QDropEvent
from PySide6.QtWidgets import QLabel, QLineEdit, QPushButton
from pytestqt.qtbot import QtBot
from sqlalchemy import select

from retrofit_desk.desk.commands import Command
from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.page import Page
from retrofit_desk.desk.pages import PAGES, PageEntry
from retrofit_desk.desk.settings import Choices, Settings
from retrofit_desk.desk.theme import Tone
from retrofit_desk.desk.window import Window
from retrofit_desk.records.models import Site
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.place import Found, PageKey, Place
from retrofit_desk.values.quantity import Units


class PlainPage(Page):
    """Counts what the frame asks of it."""

    key = PageKey.AT_HAND
    title = "At hand"
    question = "What can I do?"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.refreshed = 0
        self.shown_item: Place | None = None
        self.asked = 0
        self.line = QLineEdit()
        self.body.addWidget(self.line)

    def refresh(self) -> None:
        self.refreshed += 1

    def show_item(self, place: Place) -> None:
        self.shown_item = place

    def commands(self) -> tuple[Command, ...]:
        return (Command("count", "Count", self._count, ("Ctrl+J",)),)

    def _count(self) -> None:
        self.asked += 1


@pytest.fixture
def window(qtbot: QtBot, empty_desk: Desk, settings: Settings, monkeypatch: pytest.MonkeyPatch) -> Window:
    monkeypatch.setattr(PageEntry, "load", lambda _self: PlainPage)
    made = Window(empty_desk, settings, lambda _how: None)
    qtbot.addWidget(made)
    made.show()
    made.show_page(PageKey.AT_HAND)
    qtbot.waitExposed(made)
    return made


def name_the_house(desk: Desk, name: str) -> None:
    with desk.project.action(f"Name the house {name}") as work:
        site = work.session.scalar(select(Site))
        if site is None:
            work.session.add(Site(name=name))
        else:
            site.name = name


def page_of(window: Window, key: PageKey) -> PlainPage:
    page = window.show_page(key)
    assert isinstance(page, PlainPage)
    return page


def test_number_keys_open_the_nine_pages(window: Window, qtbot: QtBot) -> None:
    for digit, entry in enumerate(PAGES, start=1):
        qtbot.keyClick(window, str(digit))
        assert window._open_key is entry.key


def test_a_digit_typed_into_a_field_stays_in_the_field(window: Window, qtbot: QtBot) -> None:
    page = page_of(window, PageKey.AT_HAND)
    page.line.setFocus()
    qtbot.keyClicks(page.line, "35")
    assert page.line.text() == "35"
    assert window._open_key is PageKey.AT_HAND


def test_a_page_is_made_when_first_shown_and_only_once(window: Window) -> None:
    assert set(window._pages) == {PageKey.AT_HAND}
    first = window.show_page(PageKey.MONEY)
    window.show_page(PageKey.AT_HAND)
    assert window.show_page(PageKey.MONEY) is first


def test_an_action_refreshes_the_open_page_now_and_the_others_when_shown(
    window: Window, qtbot: QtBot
) -> None:
    money, at_hand = page_of(window, PageKey.MONEY), page_of(window, PageKey.AT_HAND)
    before = (money.refreshed, at_hand.refreshed)
    with qtbot.waitSignal(window.desk.record_changed):
        name_the_house(window.desk, "Elm Street")
    assert (money.refreshed, at_hand.refreshed) == (before[0], before[1] + 1)
    window.show_page(PageKey.MONEY)
    assert money.refreshed == before[0] + 1


def test_undo_and_redo_carry_the_title_of_the_action(window: Window, qtbot: QtBot) -> None:
    with qtbot.waitSignal(window.desk.record_changed):
        name_the_house(window.desk, "Elm Street")
    assert window._strip._undo.toolTip() == "Undo: Name the house Elm Street"
    with qtbot.waitSignal(window.desk.record_changed):
        qtbot.keyClick(window, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert window._notice.line == "Undone: Name the house Elm Street. Redo brings it back."
    assert not window._strip._undo.isEnabled()
    assert window._strip._redo.toolTip() == "Redo: Name the house Elm Street"


def test_the_strip_says_when_all_was_saved_and_backed_up(window: Window, qtbot: QtBot) -> None:
    with qtbot.waitSignal(window.desk.record_changed):
        name_the_house(window.desk, "Elm Street")
    saved = window._strip._kept.text()
    assert saved.startswith("Saved ")
    assert saved.endswith("not backed up yet")
    window._actions["backup"].trigger()
    qtbot.waitUntil(lambda: "backed up today" in window._strip._kept.text(), timeout=5000)


def test_units_change_live_and_are_remembered(window: Window, settings: Settings) -> None:
    page = page_of(window, PageKey.AT_HAND)
    before = page.refreshed
    window._actions["units"].trigger()
    assert window.desk.units is Units.SI
    assert page.refreshed == before + 1
    assert settings.read().units is Units.SI


def test_dark_paper_changes_live_and_is_remembered(window: Window, settings: Settings) -> None:
    window._actions["tone"].trigger()
    assert window.desk.theme.tone is Tone.DARK
    assert window.palette().window().color().name() == window.desk.theme.paper
    assert settings.read().tone is Tone.DARK


def test_going_to_a_place_opens_its_page_at_the_thing(window: Window) -> None:
    place = Place(PageKey.PERMITS, "permit", 7)
    window.desk.go_to(place)
    page = page_of(window, PageKey.PERMITS)
    assert page.shown_item == place


def test_a_page_brings_its_own_commands_with_keys_and_help(window: Window, qtbot: QtBot) -> None:
    page = page_of(window, PageKey.AT_HAND)
    qtbot.keyClick(window, Qt.Key.Key_J, Qt.KeyboardModifier.ControlModifier)
    assert page.asked == 1
    assert "Count" in [command.title for command in window.all_commands()]


def test_every_command_has_its_own_keys(window: Window) -> None:
    keys = [key for command in window.all_commands() for key in command.keys]
    assert len(keys) == len(set(keys))


def test_long_work_shows_what_it_does_and_hands_over_its_answer(window: Window, qtbot: QtBot) -> None:
    answers: list[int] = []
    go_on = threading.Event()

    def work(report: Callable[[float, str], None]) -> int:
        report(0.5, "subset 512 of 1,024")
        go_on.wait(5)
        return 42

    job = window.desk.jobs.start("Working out the savings sum", work, answers.append)
    words = "Working out the savings sum: subset 512 of 1,024"
    qtbot.waitUntil(lambda: words in [label.text() for label in window._jobs.findChildren(QLabel)])
    go_on.set()
    qtbot.waitUntil(lambda: not job.is_running)
    assert answers == [42]
    assert not window._jobs.isVisible()


def test_a_cancel_stops_long_work_and_keeps_nothing_of_it(window: Window, qtbot: QtBot) -> None:
    answers: list[int] = []
    reached = []

    def work(report: Callable[[float, str], None]) -> int:
        for step in range(1000):
            report(step / 1000, "counting")
            reached.append(step)
            time.sleep(0.005)
        return 1

    job = window.desk.jobs.start("Counting", work, answers.append)
    qtbot.waitUntil(lambda: len(reached) > 1)
    cancel = next(button for button in window._jobs.findChildren(QPushButton) if button.text() == "Cancel")
    cancel.click()
    qtbot.waitUntil(lambda: not job.is_running, timeout=3000)
    assert len(reached) < 1000
    assert answers == []


def test_an_error_in_long_work_becomes_one_line(window: Window, qtbot: QtBot) -> None:
    def work(_report: Callable[[float, str], None]) -> None:
        raise DeskError(
            "the weather file has 8,759 rows", kept="the last result is kept", do="choose another file"
        )

    job = window.desk.jobs.start("Reading weather", work, lambda _answer: None)
    qtbot.waitUntil(lambda: not job.is_running)
    line = "the weather file has 8,759 rows. The last result is kept. Choose another file."
    assert window._notice.line == line
    assert window._notice.isVisible()


def test_escape_puts_the_notice_away(window: Window, qtbot: QtBot) -> None:
    window.desk.notices.warn("boiler.pdf is gone from the papers folder.")
    assert window._notice.isVisible()
    qtbot.keyClick(window, Qt.Key.Key_Escape)
    assert not window._notice.isVisible()


def test_files_dropped_anywhere_go_to_papers_and_photos(window: Window, tmp_path: Path) -> None:
    photo = tmp_path / "den north wall.jpg"
    photo.write_bytes(b"\xff\xd8")
    dropped: list[list[str]] = []
    window.desk.papers_dropped.connect(dropped.append)
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(photo)), QUrl("https://example.org/x.jpg")])
    copy, left, none = Qt.DropAction.CopyAction, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    window.dropEvent(QDropEvent(QPointF(5, 5), copy, data, left, none))
    assert dropped == [[str(photo)]]
    assert window._open_key is PageKey.PAPERS


def test_a_project_open_elsewhere_is_opened_for_reading_only_and_says_so(
    qtbot: QtBot, empty_desk: Desk, settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    from retrofit_desk.desk.app import READING_ONLY, Starter

    monkeypatch.setattr(PageEntry, "load", lambda _self: PlainPage)
    starter = Starter(settings)
    starter.open_project(empty_desk.project.path)
    qtbot.waitUntil(lambda: starter.window is not None)
    assert starter.window is not None
    qtbot.addWidget(starter.window)
    assert starter.window.desk.project.is_read_only
    assert starter.window._notice.line == READING_ONLY
    assert starter.window._strip._kept.text().startswith("Read only")
    starter.leave()


def test_a_folder_that_is_no_project_leaves_the_first_choice_with_the_reason(
    qtbot: QtBot, settings: Settings, tmp_path: Path
) -> None:
    from retrofit_desk.desk.app import Starter
    from retrofit_desk.desk.first_start import FirstStart

    starter = Starter(settings)
    starter.open_project(tmp_path / "nothing.retrofit")
    assert isinstance(starter.beginning, FirstStart)
    qtbot.addWidget(starter.beginning)
    assert starter.beginning._doing.text() == "Opening nothing …"
    assert not starter.beginning.buttons["sample"].isVisible()
    qtbot.waitUntil(starter.beginning.buttons["sample"].isVisible)
    assert "nothing.retrofit" in starter.beginning._doing.text()
    assert starter.window is None


def test_damaged_settings_count_as_none(tmp_path: Path) -> None:
    path = tmp_path / "window.ini"
    path.write_text("[General]\nunits=furlongs\ntone=plaid\ntext_scale=huge\n", encoding="utf-8")
    assert Settings(path).read() == Choices()


@pytest.mark.parametrize("scale", [1.0, 2.0])
def test_the_frame_fits_a_small_screen(
    qtbot: QtBot, empty_desk: Desk, settings: Settings, monkeypatch: pytest.MonkeyPatch, scale: float
) -> None:
    monkeypatch.setattr(PageEntry, "load", lambda _self: PlainPage)
    settings.write(Choices(text_scale=scale))
    made = Window(empty_desk, settings, lambda _how: None)
    qtbot.addWidget(made)
    made.show()
    made.show_page(PageKey.AT_HAND)
    assert made.minimumSizeHint().width() <= 1280
    assert made.minimumSizeHint().height() <= 720


class TestGoTo:
    FOUND = (
        Found("Den", "room", Place(PageKey.HOUSE, "room", 4)),
        Found("Wood-fiber batts in the den", "measure", Place(PageKey.MEASURES, "measure", 9)),
    )

    @pytest.fixture(autouse=True)
    def _search(self, monkeypatch: pytest.MonkeyPatch) -> None:
        from retrofit_desk.services.search import SearchService

        def find(_self: SearchService, typed: str, most: int = 12) -> tuple[Found, ...]:
            return tuple(one for one in self.FOUND if typed.casefold() in one.title.casefold())[:most]

        monkeypatch.setattr(SearchService, "find", find)

    def test_typing_and_enter_opens_the_first_thing_found(self, window: Window, qtbot: QtBot) -> None:
        qtbot.keyClick(window, Qt.Key.Key_G, Qt.KeyboardModifier.ControlModifier)
        field = window._strip.go_to
        qtbot.keyClicks(field, "den")
        qtbot.keyClick(field, Qt.Key.Key_Return)
        assert page_of(window, PageKey.HOUSE).shown_item == self.FOUND[0].place
        assert field.text() == ""

    def test_down_chooses_the_next_one(self, window: Window, qtbot: QtBot) -> None:
        field = window._strip.go_to
        field.setText("den")
        field.look_up()
        qtbot.keyClick(field, Qt.Key.Key_Down)
        qtbot.keyClick(field, Qt.Key.Key_Return)
        assert page_of(window, PageKey.MEASURES).shown_item == self.FOUND[1].place

    def test_nothing_found_is_said_and_enter_stays(self, window: Window, qtbot: QtBot) -> None:
        field = window._strip.go_to
        field.setText("boathouse")
        field.look_up()
        assert field._list.item(0).text() == "Nothing called “boathouse” is recorded"
        qtbot.keyClick(field, Qt.Key.Key_Return)
        assert field.text() == "boathouse"

    def test_escape_puts_the_search_away(self, window: Window, qtbot: QtBot) -> None:
        field = window._strip.go_to
        field.setText("den")
        field.look_up()
        qtbot.keyClick(field, Qt.Key.Key_Escape)
        assert field.text() == ""
        assert not field._list.isVisible()
