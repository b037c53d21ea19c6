"""Worth: the story of the newest sum, the order of the line-up, and what the bills say."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path

import pytest
from PySide6.QtWidgets import QAbstractButton, QApplication, QPushButton
from pytestqt.qtbot import QtBot

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.outlook_form import OutlookDialog
from retrofit_desk.desk.pages.worth import NOT_YET, WorthPage
from retrofit_desk.desk.pages.worth_did_it_work import NOTHING
from retrofit_desk.desk.pages.worth_ladder import ADDED_UP, AS_RUN
from retrofit_desk.desk.pages.worth_words import Shown, Yearly
from retrofit_desk.desk.theme import LIGHT, dress, load_fonts
from retrofit_desk.records.project import Project
from retrofit_desk.rules.states import MeasureState
from retrofit_desk.services.measures import MeasureService
from retrofit_desk.services.outlook import Outlook, OutlookService
from retrofit_desk.services.worth import WorthService
from retrofit_desk.values.quantity import Units
from tests.desk.conftest import OpenPage
from tests.services.small_house import Work, a_recorded_house, add_bills, put_in_service

FIRST = date(2024, 10, 1)
DONE = FIRST + timedelta(days=360)
LONG_MS = 60_000


@pytest.fixture(scope="module")
def worked_out_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A house with its sum, made once; each test takes a copy."""
    folder = tmp_path_factory.mktemp("worth") / "house"
    with a_recorded_house(folder) as project:
        WorthService(project).savings()
        return project.path


def open_desk(folder: Path) -> Desk:
    load_fonts()
    app = QApplication.instance()
    assert isinstance(app, QApplication)
    dress(app, LIGHT)
    return Desk(Project.open(folder))


@pytest.fixture
def desk(qapp: QApplication, tmp_path: Path, worked_out_folder: Path) -> Iterator[Desk]:
    made = open_desk(Path(shutil.copytree(worked_out_folder, tmp_path / "copy.retrofit")))
    yield made
    made.leave()


@pytest.fixture
def page(desk: Desk, open_page: OpenPage) -> WorthPage:
    return open_page(WorthPage(desk))


def press(page: WorthPage, name: str) -> None:
    """Press the button that is called so."""
    found = [
        button
        for button in page.findChildren(QAbstractButton)
        if name in (button.accessibleName(), button.text())
    ]
    found[-1].click()


def test_without_a_sum_the_page_says_so_and_works_it_out_in_the_background(
    qtbot: QtBot, qapp: QApplication, tmp_path: Path
) -> None:
    a_recorded_house(tmp_path / "house").close()
    desk = open_desk(tmp_path / "house.retrofit")
    page = WorthPage(desk)
    qtbot.addWidget(page)
    page.refresh()
    assert page.headline.text() == NOT_YET
    with qtbot.waitSignal(desk.notices.told, timeout=LONG_MS):
        page.start()
        assert not page.work_it_out.isEnabled()
    assert page.headline.text().startswith("With all 2 measures the house burns")
    assert page.work_it_out.isEnabled()
    desk.leave()


def test_a_cancel_keeps_the_old_sum(qtbot: QtBot, desk: Desk, page: WorthPage) -> None:
    made_at = WorthService(desk.project).latest()
    page.start()
    job = desk.jobs.running[0]
    with qtbot.waitSignal(job.ended, timeout=LONG_MS):
        job.cancel()
    assert WorthService(desk.project).latest() == made_at
    assert page.work_it_out.isEnabled()


def test_fair_parts_are_counted_on_demand_and_one_sum_at_a_time(
    qtbot: QtBot, desk: Desk, page: WorthPage
) -> None:
    column = [one.title for one in page.table.model.columns].index("Fair part")
    assert {row[column] for row in page.table.shown_texts()} == {"not counted"}
    with qtbot.waitSignal(desk.notices.told, timeout=LONG_MS):
        page.start_fair_parts()
        page.start()
        assert len(desk.jobs.running) == 1
    assert all("$" in row[column] for row in page.table.shown_texts())
    assert AS_RUN in page.ladder.how.text()
    by_money = page.ladder.picture.accessibleDescription()
    press(page, "Fuel removed")
    assert page.ladder.picture.accessibleDescription() != by_money


def test_the_ladder_says_that_gains_were_added_up_until_every_set_was_run(page: WorthPage) -> None:
    assert ADDED_UP in page.ladder.how.text()


def test_each_measure_has_its_line_in_the_table_with_its_range(page: WorthPage) -> None:
    rows = page.table.shown_texts()
    assert [row[0] for row in rows] == ["Air sealing", "Induction range"]
    assert all("(" in row[3] for row in rows)
    assert page.sources.shown_texts()[0][0].startswith("weather")


def test_the_story_tells_how_sure_what_moves_it_and_what_to_do_next(page: WorthPage) -> None:
    told = page.story.text()
    assert "nine times in ten" in told
    assert "What moves that most" in told
    assert "Over 20 years, at 3.0 % above inflation" in told
    assert "too cold" in told


def test_another_rate_changes_the_money_and_reruns_nothing(desk: Desk, page: WorthPage) -> None:
    def present() -> str:
        return next(row[1] for row in page.money.figures.shown_texts() if "NPV" in row[0])

    before, kept = present(), WorthService(desk.project).latest()
    desk.service(OutlookService).keep(Outlook(discount_rate=Decimal("0.08"), years=10))
    page.refresh()
    assert present() != before
    assert "Over 10 years, at 8.0 % above inflation" in page.story.text()
    assert WorthService(desk.project).latest() == kept
    assert not page.stale.isVisibleTo(page)
    sources = {row[0]: row[1] for row in page.sources.shown_texts()}
    assert sources["discount rate above inflation: 8.0 %"] == "the owner's own figure"
    assert "own judgment" in sources["inflation: 2.5 %"]


def test_the_rates_are_typed_in_a_form_and_an_impossible_one_stays_there(desk: Desk, page: WorthPage) -> None:
    form = OutlookDialog(desk, page)
    form.rates["fuel_growth"].set_value(0.02)
    form.years.set_value(60.0)
    form.accept()
    assert form.result() == 0
    form.years.set_value(15.0)
    form.accept()
    held = desk.service(OutlookService).outlook()
    assert (held.fuel_growth, held.years) == (Decimal("0.02"), 15)


def test_the_years_are_drawn_and_stand_in_tables(page: WorthPage) -> None:
    assert len(page.money.month_table.shown_texts()) == 12
    assert "own money from" in page.money.years.accessibleDescription()
    assert [row[0] for row in page.money.lines.shown_texts()] == ["Air sealing", "Induction range"]
    years = page.carbon.table.shown_texts()
    assert [row[0] for row in years] == [str(year) for year in range(1, 21)]
    assert "EN 16449" in page.carbon.lines.rows[-1].accessibleName()
    assert "Coldest room" in page.comfort.lines.rows[0].accessibleName()
    assert page.comfort.table.shown_texts()


def test_each_measure_is_counted_alone_and_last(page: WorthPage) -> None:
    titles = [one.title for one in page.table.model.columns]
    last = titles.index("Last of all")
    assert all("$" in row[last] for row in page.table.shown_texts())


def test_units_change_with_the_window(desk: Desk, page: WorthPage) -> None:
    assert "therms" in page.headline.text()
    desk.set_units(Units.SI)
    page.refresh()
    assert "therms" not in page.headline.text()
    assert "kWh" in page.table.shown_texts()[0][1]


def test_the_pictures_show_what_is_chosen(page: WorthPage) -> None:
    for yearly in Yearly:
        page._choose_yearly(yearly)
        assert str(yearly) in page.months.accessibleDescription()
    for shown in Shown:
        page._choose_shown(shown)
        assert "Air sealing" in page.steps.accessibleDescription()


def test_a_move_in_the_line_up_is_one_undo_step_and_marks_the_sum_out_of_date(
    desk: Desk, page: WorthPage
) -> None:
    assert not page.stale.isVisibleTo(page)
    press(page, "Down: 1. Air sealing")
    page.refresh()
    order = [row.key for row in MeasureService(desk.project).rows()]
    assert order == ["induction", "sealing"]
    assert page.stale.isVisibleTo(page)
    assert "the order of the line-up was changed" in page.stale.rows[0].accessibleName()
    desk.project.undo()
    page.refresh()
    assert not page.stale.isVisibleTo(page)


def test_the_first_goes_no_higher_and_the_last_no_lower(page: WorthPage) -> None:
    names = {button.accessibleName() for button in page.order.findChildren(QPushButton)}
    leave = {"Leave out: 1. Air sealing", "Leave out: 2. Induction range"}
    assert names == {"Down: 1. Air sealing", "Up: 2. Induction range"} | leave


def test_a_measure_is_left_out_of_the_sum_and_taken_in_again(desk: Desk, page: WorthPage) -> None:
    press(page, "Leave out: 2. Induction range")
    page.refresh()
    assert [row.title for row in MeasureService(desk.project).rows() if row.in_line_up] == ["Air sealing"]
    assert page.stale.isVisibleTo(page)
    press(page, "Take in: Induction range")
    page.refresh()
    assert len([row for row in MeasureService(desk.project).rows() if row.in_line_up]) == 2
    assert not page.stale.isVisibleTo(page)


def test_a_measure_written_down_can_be_taken_into_the_sum(desk: Desk, page: WorthPage) -> None:
    MeasureService(desk.project).add("induction_range", "A second range")
    page.refresh()
    press(page, "Take in: A second range")
    assert [row.title for row in MeasureService(desk.project).rows() if row.in_line_up][
        -1
    ] == "A second range"


def test_a_house_without_finished_work_has_nothing_to_ask_the_bills(page: WorthPage) -> None:
    words = [label.text() for label in page.did_it_work.findChildren(type(page.did_it_work.weather))]
    assert NOTHING in words
    assert not page.did_it_work.months.isVisibleTo(page.did_it_work)


def test_the_owner_keeps_what_the_bills_say(desk: Desk, page: WorthPage) -> None:
    (measure_id,) = put_in_service(desk.project, Work("sealed", "Sealed", DONE))
    for meter, before, after in (("gas", 60.0, 40.0), ("power", 600.0, 600.0)):
        quantities = [
            (before if FIRST + timedelta(days=30 * number) < DONE else after) + number % 2
            for number in range(25)
        ]
        add_bills(desk.project, meter, FIRST, quantities)
    page.refresh()
    (line,) = page.did_it_work.answers.rows
    assert "Sealed: proven" in line.accessibleName()
    assert page.did_it_work.table.shown_texts()[0][0] == "Gas meter"
    press(page, "Keep this answer: Sealed: proven")
    row = next(row for row in MeasureService(desk.project).rows() if row.id == measure_id)
    assert row.state is MeasureState.PROVEN
    page.refresh()
    assert page.did_it_work.answers.rows[0].findChildren(QPushButton) == []
