"""Worth: the story of the newest sum, the order of the line-up, and what the bills say."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractButton, QApplication, QPushButton
from pytestqt.qtbot import QtBot

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.outlook_form import OutlookDialog
from retrofit_desk.desk.pages.worth import NOT_YET, WorthPage
from retrofit_desk.desk.pages.worth_answer import AnswerPane
from retrofit_desk.desk.pages.worth_carbon import CarbonPane
from retrofit_desk.desk.pages.worth_comfort import ComfortPane
from retrofit_desk.desk.pages.worth_did_it_work import DidItWork
from retrofit_desk.desk.pages.worth_ladder import drawn_ladder
from retrofit_desk.desk.pages.worth_measures import MeasuresPane
from retrofit_desk.desk.pages.worth_money import MoneyPane
from retrofit_desk.desk.pages.worth_sure import SurePane
from retrofit_desk.desk.pages.worth_words import Shown, Yearly
from retrofit_desk.desk.theme import LIGHT, dress, load_fonts
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.rules.states import MeasureState
from retrofit_desk.services.did_it_work_words import NOTHING
from retrofit_desk.services.ladder_words import AS_RUN
from retrofit_desk.services.measures import MeasureService
from retrofit_desk.services.outlook import Outlook, OutlookService
from retrofit_desk.services.search import SearchService
from retrofit_desk.services.worth import Aim, WorthService
from retrofit_desk.services.worth_parts import VIEWS, WorthPart, WorthView, worth_part_at, worth_place
from retrofit_desk.services.worth_words import later_words
from retrofit_desk.values.place import Place
from retrofit_desk.values.quantity import Units
from tests.desk.conftest import OpenPage
from tests.services.small_house import Work, a_recorded_house, add_bills, put_in_service

FIRST = date(2024, 10, 1)
DONE = FIRST + timedelta(days=360)
LONG_MS = 180_000


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


def answer(page: WorthPage) -> dict[str, str]:
    """The figures of the answer with what is said of each."""
    pane = page.pane(WorthPart.ANSWER)
    assert isinstance(pane, AnswerPane)
    return {line.what: f"{line.figure}. {line.why}" for line in pane.figures.lines}


def headline(page: WorthPage) -> str:
    pane = page.pane(WorthPart.ANSWER)
    assert isinstance(pane, AnswerPane)
    return pane.headline.text()


def measures(page: WorthPage) -> MeasuresPane:
    pane = page.pane(WorthPart.MEASURES)
    assert isinstance(pane, MeasuresPane)
    return pane


def money(page: WorthPage) -> MoneyPane:
    pane = page.pane(WorthPart.MONEY)
    assert isinstance(pane, MoneyPane)
    return pane


def sources(page: WorthPage) -> dict[str, str]:
    """What it rests on, by subject."""
    pane = page.pane(WorthPart.SURE)
    assert isinstance(pane, SurePane)
    return {line.subject: line.source for line in pane.sources.shown_rows()}


def did_it_work(page: WorthPage) -> DidItWork:
    pane = page.pane(WorthPart.WORKED)
    assert isinstance(pane, DidItWork)
    return pane


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
    assert page.not_yet.text() == NOT_YET
    assert page.not_yet.isVisibleTo(page)
    assert not page.pane(WorthPart.ANSWER).isVisibleTo(page)
    page.show_item(worth_place(WorthView.STEPS))
    assert measures(page).order.isVisibleTo(page)
    assert not measures(page).steps.isVisibleTo(page)
    page.open(WorthPart.ANSWER)
    with qtbot.waitSignal(desk.notices.told, timeout=LONG_MS):
        page.work.start()
        assert not page.work_it_out.isEnabled()
    assert headline(page).startswith("With all 2 measures the house burns")
    assert not page.not_yet.isVisibleTo(page)
    page.open(WorthPart.MEASURES)
    assert measures(page).steps.isVisibleTo(page)
    assert page.work_it_out.isEnabled()
    desk.leave()


def test_a_cancel_keeps_the_old_sum(qtbot: QtBot, desk: Desk, page: WorthPage) -> None:
    made_at = WorthService(desk.project).latest()
    page.work.start()
    job = desk.jobs.running[0]
    with qtbot.waitSignal(job.ended, timeout=LONG_MS):
        job.cancel()
    assert WorthService(desk.project).latest() == made_at
    assert page.work_it_out.isEnabled()


def test_fair_parts_are_counted_on_demand_and_one_sum_at_a_time(
    qtbot: QtBot, desk: Desk, page: WorthPage
) -> None:
    column = [one.title for one in measures(page).table.model.columns].index("Fair part")
    assert {row[column] for row in measures(page).table.shown_texts()} == {"not counted"}
    with qtbot.waitSignal(desk.notices.told, timeout=LONG_MS):
        page.work.start_fair_parts()
        page.work.start()
        assert len(desk.jobs.running) == 1
    assert all("$" in row[column] for row in measures(page).table.shown_texts())
    assert AS_RUN in measures(page).ladder.how.text()
    by_money = measures(page).ladder.picture.accessibleDescription()
    page.open(WorthPart.MEASURES)
    press(page, "Fuel removed")
    assert measures(page).ladder.picture.accessibleDescription() != by_money


def test_the_ladder_says_how_many_sets_it_knows_and_runs_the_others_by_one_button(
    qtbot: QtBot, desk: Desk, page: WorthPage
) -> None:
    ladder, kept = measures(page).ladder, WorthService(desk.project).latest()
    assert kept is not None
    assert AS_RUN in ladder.how.text()  # of two measures there are no sets but those of the sum
    ladder.show_sum(replace(kept, sets=kept.sets[:3], every_set_was_run=False))
    assert "Only 3 sets were run so far" in ladder.how.text()
    assert not ladder.run_every_set.isHidden()
    with desk.project.action("Cost it anew") as work:
        work.session.get_one(m.Measure, 1).cost_cents = 123_400
    with qtbot.waitSignal(desk.notices.told, timeout=LONG_MS):
        ladder.run_every_set.click()
        assert len(desk.jobs.running) == 1
    ladder = measures(page).ladder  # filled anew when it is looked at
    assert AS_RUN in ladder.how.text()
    assert ladder.run_every_set.isHidden()
    assert not WorthService(desk.project).is_out_of_date()


def test_each_measure_has_its_line_in_the_table_with_its_range(page: WorthPage) -> None:
    rows = measures(page).table.shown_texts()
    assert [row[0] for row in rows] == ["Air sealing", "Induction range"]
    assert all("(" in row[3] for row in rows)
    assert next(iter(sources(page))).startswith("weather")


def test_the_answer_tells_every_headline_figure_with_its_range(page: WorthPage) -> None:
    told = answer(page)
    for what in ("Fuel removed", "Electricity drawn", "Saved each year", "Over 20 years", "Carbon saved"):
        assert "Likely" in told[what], what
    for what in ("Fuel removed", "Electricity drawn", "Carbon saved"):
        numbers = re.findall(r"[\d,.]*\d", told[what])
        assert numbers
        assert all(len(one.replace(",", "").replace(".", "").strip("0")) <= 3 for one in numbers), what
    assert "Moved most by" in told["Saved each year"]
    assert "waking hours" in told["Comfort"]
    assert "typical year" in told["Rests on"]
    assert "beyond what must be bought anyway" in told["Pays back"]
    assert told["Did it work?"].startswith("not yet to be asked")


def test_every_figure_of_the_answer_leads_to_its_part(desk: Desk, page: WorthPage) -> None:
    gone: list[Place] = []
    desk.went_to.connect(gone.append)
    pane = page.pane(WorthPart.ANSWER)
    assert isinstance(pane, AnswerPane)
    for button in pane.figures.findChildren(QAbstractButton):
        button.click()
    assert len(gone) == len(pane.figures.lines)
    for place in gone:
        page.show_item(place)
        where = worth_part_at(place)
        assert where is not None
        assert page.part is where[0]


@pytest.mark.parametrize("part", list(WorthPart))
def test_only_the_part_that_is_open_is_seen(page: WorthPage, part: WorthPart) -> None:
    page.show_item(worth_place(part))
    seen = [one for one in WorthPart if page.pane(one).isVisibleTo(page)]
    assert seen == [part]


def test_the_parts_are_turned_by_keys(qtbot: QtBot, page: WorthPage) -> None:
    opened: list[WorthPart] = []
    page.tabs.currentChanged.connect(lambda _index: opened.append(page.part))
    page.tabs.setFocus()
    qtbot.keyClick(page.tabs, Qt.Key.Key_Right)  # type: ignore[no-untyped-call]
    keys = {command.key: command for command in page.commands()}
    keys["worth-part-5"].run()
    assert opened == [WorthPart.MEASURES, WorthPart.CARBON]
    assert "Ctrl+5" in keys["worth-part-5"].keys


@pytest.mark.parametrize("view", list(WorthView))
def test_a_place_names_one_view_of_one_part(page: WorthPage, view: WorthView) -> None:
    page.show_item(worth_place(view))
    pane = page.pane(page.part)
    assert view in VIEWS[page.part]
    assert isinstance(pane, MeasuresPane | MoneyPane | SurePane)
    assert pane.views.seen is view


@pytest.mark.parametrize(
    ("typed", "part", "view"),
    [("carbon", WorthPart.CARBON, None), ("cash over", WorthPart.MONEY, WorthView.YEARS)],
)
def test_a_part_that_is_typed_in_go_to_is_opened(
    desk: Desk, page: WorthPage, typed: str, part: WorthPart, view: WorthView | None
) -> None:
    hit = desk.service(SearchService).find(typed)[0]
    assert hit.place == worth_place(view or part)
    page.show_item(hit.place)
    assert page.part is part
    if view is not None:
        assert money(page).views.seen is view


def test_a_part_is_not_built_before_it_is_opened_and_is_filled_anew_after_a_change(
    desk: Desk, open_page: OpenPage
) -> None:
    page = WorthPage(desk)
    open_page(page)
    assert not page.findChildren(MoneyPane)
    page.open(WorthPart.MONEY)
    assert page.findChildren(MoneyPane)
    assert "20 years" in str(money(page).figures.shown_texts())
    desk.service(OutlookService).keep(Outlook(years=10))
    page.refresh()
    assert "10 years" in str(money(page).figures.shown_texts())


def test_what_changed_stays_in_view_over_every_part(desk: Desk, page: WorthPage) -> None:
    page.open(WorthPart.MEASURES)
    press(page, "Down: 1. Air sealing")
    page.refresh()
    for part in WorthPart:
        page.open(part)
        assert page.stale.isVisibleTo(page)
        assert not page.scroll_area.isAncestorOf(page.stale)


def test_another_rate_changes_the_money_and_reruns_nothing(desk: Desk, page: WorthPage) -> None:
    def present() -> str:
        return next(row[1] for row in money(page).figures.shown_texts() if "NPV" in row[0])

    before, kept = present(), WorthService(desk.project).latest()
    briefly = answer(page)["Over 20 years"]
    desk.service(OutlookService).keep(Outlook(discount_rate=Decimal("0.08"), years=10))
    page.refresh()
    assert present() != before
    assert answer(page)["Over 10 years"] != briefly
    assert WorthService(desk.project).latest() == kept
    assert not page.stale.isVisibleTo(page)
    told = sources(page)
    assert (
        told["discount rate above inflation: 8.0% (10.7% in dollars of the day)"] == "the owner's own figure"
    )
    assert "own judgment" in told["inflation: 2.5%"]


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
    assert len(money(page).month_table.shown_texts()) == 12
    assert "own money from" in money(page).years.accessibleDescription()
    assert [row[0] for row in money(page).lines.shown_texts()] == ["Air sealing", "Induction range"]
    carbon, comfort = page.pane(WorthPart.CARBON), page.pane(WorthPart.COMFORT)
    assert isinstance(carbon, CarbonPane)
    assert isinstance(comfort, ComfortPane)
    years = carbon.table.shown_texts()
    assert [row[0] for row in years] == [str(year) for year in range(1, 21)]
    stored, leaked = (row.accessibleName() for row in carbon.lines.rows[-2:])
    assert "EN 16449" in stored
    assert "Alvarez" in leaked
    assert "Coldest room" in comfort.lines.rows[0].accessibleName()
    assert "Asked for and not delivered" in comfort.lines.rows[-1].accessibleName()
    assert comfort.table.shown_texts()


def test_each_measure_is_counted_alone_and_last(page: WorthPage) -> None:
    titles = [one.title for one in measures(page).table.model.columns]
    last = titles.index("Last of all")
    assert all("$" in row[last] for row in measures(page).table.shown_texts())


def test_units_change_with_the_window(desk: Desk, page: WorthPage) -> None:
    assert "therms" in headline(page)
    desk.set_units(Units.SI)
    page.refresh()
    assert "therms" not in headline(page)
    assert "kWh" in measures(page).table.shown_texts()[0][1]


def test_the_pictures_show_what_is_chosen(page: WorthPage) -> None:
    months = measures(page).months
    for yearly in Yearly:
        months.choose(yearly)
        assert str(yearly) in months.picture.accessibleDescription()
    told = set()
    for shown in Shown:
        measures(page).choose(shown)
        told.add(measures(page).steps.accessibleDescription())
    assert len(told) == len(Shown)
    assert all("Air sealing" in one for one in told)


def test_each_rung_shows_what_its_set_was_chosen_for(desk: Desk) -> None:
    found = WorthService(desk.project).latest()
    assert found is not None
    by_money, by_fuel = drawn_ladder(found, Units.US), drawn_ladder(found, Units.US, Aim.FUEL)
    assert (by_money.upper_title, by_money.lower_title) == ("money saved", "carbon saved")
    assert (by_fuel.upper_title, by_fuel.lower_title) == ("fuel removed", "money saved")
    assert by_fuel.rungs[-1].upper_text.endswith("therms")
    assert by_fuel.rungs[-1].upper_share == 1.0
    assert by_fuel.rungs[-1].lower_text.endswith("a year")


def test_a_measure_that_works_with_later_ones_says_why_its_place_saves_nothing(desk: Desk) -> None:
    found = WorthService(desk.project).latest()
    assert found is not None
    line = found.lines[0]
    assert line.last is not None
    assert later_words(line) == ""
    useless = replace(line.in_its_place, money_saved_cents=0.0)
    told = later_words(replace(line, in_its_place=useless))
    assert f"as the last of all it saves ${round(line.last.money_saved_cents / 100)} a year" in told
    assert later_words(replace(line, in_its_place=useless, last=useless)) == ""


def test_a_move_in_the_line_up_is_one_undo_step_and_marks_the_sum_out_of_date(
    desk: Desk, page: WorthPage
) -> None:
    assert not page.stale.isVisibleTo(page)
    page.open(WorthPart.MEASURES)
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
    names = {button.accessibleName() for button in measures(page).order.findChildren(QPushButton)}
    leave = {"Leave out: 1. Air sealing", "Leave out: 2. Induction range"}
    assert names == {"Down: 1. Air sealing", "Up: 2. Induction range"} | leave


def test_a_measure_is_left_out_of_the_sum_and_taken_in_again(desk: Desk, page: WorthPage) -> None:
    page.open(WorthPart.MEASURES)
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
    page.open(WorthPart.MEASURES)
    press(page, "Take in: A second range")
    assert [row.title for row in MeasureService(desk.project).rows() if row.in_line_up][
        -1
    ] == "A second range"


def test_a_house_without_finished_work_has_nothing_to_ask_the_bills(page: WorthPage) -> None:
    words = [label.text() for label in did_it_work(page).findChildren(type(did_it_work(page).weather))]
    assert NOTHING in words
    assert not did_it_work(page).months.isVisibleTo(did_it_work(page))


def test_more_use_than_before_is_told_with_a_minus_in_every_figure(desk: Desk, page: WorthPage) -> None:
    put_in_service(desk.project, Work("sealed", "Sealed", DONE))
    for meter, before, after in (("gas", 60.0, 80.0), ("power", 600.0, 600.0)):
        days = (FIRST + timedelta(days=30 * number) for number in range(25))
        quantities = [(before if day < DONE else after) + number % 2 for number, day in enumerate(days)]
        add_bills(desk.project, meter, FIRST, quantities)
    page.refresh()
    (line,) = did_it_work(page).answers.rows
    told = line.accessibleName()
    assert "Sealed: not borne out" in told
    assert re.search(r"−\d+% of all energy; −\$", told)
    assert not re.search(r"-\d", told)


def test_the_owner_keeps_what_the_bills_say(desk: Desk, page: WorthPage) -> None:
    (measure_id,) = put_in_service(desk.project, Work("sealed", "Sealed", DONE))
    for meter, before, after in (("gas", 60.0, 40.0), ("power", 600.0, 600.0)):
        quantities = [
            (before if FIRST + timedelta(days=30 * number) < DONE else after) + number % 2
            for number in range(25)
        ]
        add_bills(desk.project, meter, FIRST, quantities)
    page.refresh()
    (line,) = did_it_work(page).answers.rows
    assert "Sealed: proven" in line.accessibleName()
    assert did_it_work(page).table.shown_texts()[0][0] == "Gas meter"
    page.open(WorthPart.WORKED)
    press(page, "Keep this answer: Sealed: proven")
    row = next(row for row in MeasureService(desk.project).rows() if row.id == measure_id)
    assert row.state is MeasureState.PROVEN
    page.refresh()
    assert did_it_work(page).answers.rows[0].findChildren(QPushButton) == []
