"""The Quotes page on the sample house, by what the owner does with it."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QApplication, QPushButton
from pytestqt.qtbot import QtBot

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.accept_quote import AcceptDialog
from retrofit_desk.desk.dialogs.firm_form import FirmDialog
from retrofit_desk.desk.dialogs.quote_form import QuoteDialog
from retrofit_desk.desk.dialogs.request_form import RequestDialog
from retrofit_desk.desk.pages.quotes import QuotesPage
from retrofit_desk.services.holds import HoldService
from retrofit_desk.services.quotes import QuoteService
from retrofit_desk.values.place import PageKey, Place
from retrofit_desk.values.quantity import Units
from retrofit_desk.values.stated import Stated
from tests.desk.conftest import OpenPage


@pytest.fixture
def page(sample_desk: Desk, open_page: OpenPage) -> QuotesPage:
    return open_page(QuotesPage(sample_desk))


def chosen(page: QuotesPage, word: str) -> None:
    row = next(row for row in page.table.model.rows if word in row.title)
    page.table.select(row)


def texts(page: QuotesPage) -> list[str]:
    return [row.accessibleName() for row in page.request.points.rows]


def press(page: QuotesPage, words: str) -> None:
    buttons = [one for one in page.findChildren(QPushButton) if one.text() == words and one.isVisible()]
    buttons[0].click()


def test_each_request_shows_a_strip_and_a_column_for_every_firm_that_answered(page: QuotesPage) -> None:
    for row in page.table.model.rows:
        page.table.select(row)
        firms = [column.title for column in page.request.facts.model.columns[1:]]
        assert len(firms) == row.answered
        told = page.request.strips.accessibleDescription()
        assert all(firm in told for firm in firms)


def test_like_for_like_and_not_stated_stand_side_by_side(page: QuotesPage) -> None:
    chosen(page, "Ground-source")
    rows = {row[0]: row[1:] for row in page.request.facts.shown_texts()}
    assert rows["Like for like"][2] == "at least $42,850.00"
    assert rows["Capacity"][2] == "not stated"
    scope = {row[0]: row[1:] for row in page.request.scope.shown_texts()}
    assert scope["Sales tax"][2] == "not stated; no guess"
    assert scope["Permits and fees"][2] == "excluded; you add $650.00"


def test_units_change_the_capacity_and_the_load(page: QuotesPage) -> None:
    chosen(page, "Ground-source")
    before = page.request.facts.shown_texts()
    page.desk.set_units(Units.SI)
    page.refresh()
    after = {row[0]: row[1:] for row in page.request.facts.shown_texts()}
    assert before != page.request.facts.shown_texts()
    assert after["Capacity"][0].endswith("kW at −7.0 °C")


def test_a_click_on_a_strip_shows_what_stands_open_about_that_firm(page: QuotesPage) -> None:
    chosen(page, "Ground-source")
    sheet = page.request.sheet
    assert sheet is not None
    ninefold = next(quote for quote in sheet.quotes if "Ninefold" in quote.firm)
    page.request.strips.chosen.emit(ninefold.id)
    assert page.request.quote == ninefold
    assert any("No liability insurance on record" in text for text in texts(page))


def test_a_quote_is_entered_and_stands_beside_the_others(page: QuotesPage, qtbot: QtBot) -> None:
    chosen(page, "South glass")
    sheet = page.request.sheet
    assert sheet is not None
    dialog = QuoteDialog(page.desk, page, sheet)
    qtbot.addWidget(dialog)
    dialog.firm.setCurrentText("Brindle Carpentry")
    dialog.price.field.setText("12,000")
    dialog.price.field.settle()
    dialog.accept()
    assert dialog.quote_id is not None
    page.refresh()
    facts = page.request.facts.model
    assert [column.title for column in facts.columns][-1] == "Brindle Carpentry"
    rows = {row[0]: row[-1] for row in page.request.facts.shown_texts()}
    assert (rows["Asks"], rows["Deposit"]) == ("$12,000.00", Stated.NOT_STATED)


def test_a_quote_without_a_firm_stays_in_the_form_with_the_reason(page: QuotesPage, qtbot: QtBot) -> None:
    chosen(page, "South glass")
    assert page.request.sheet is not None
    dialog = QuoteDialog(page.desk, page, page.request.sheet)
    qtbot.addWidget(dialog)
    dialog.accept()
    assert dialog.result() == 0
    assert dialog.quote_id is None


def test_signing_from_the_form_leads_to_the_contract(
    page: QuotesPage, monkeypatch: pytest.MonkeyPatch
) -> None:
    chosen(page, "South glass")

    def sign(dialog: AcceptDialog) -> int:
        dialog.accept()
        return dialog.result()

    monkeypatch.setattr(AcceptDialog, "exec", sign)
    went: list[Place] = []
    page.desk.went_to.connect(went.append)
    quote = page.request.quote
    assert quote is not None
    holds = HoldService(page.desk.project)
    before = {view.id for view in holds.all()}
    press(page, "Accept and sign …")
    made = [view.sentence for view in holds.all() if view.id not in before]
    assert any("don't pay the stage" in one for one in made)
    assert page.desk.project.undo_title == "Accept a quote"  # the contract and its holds are one step
    assert went
    assert went[0].page is PageKey.MONEY
    page.refresh()
    chosen(page, "South glass")
    row = page.table.selected()
    assert row is not None
    assert row.accepted_firm == quote.firm


def test_a_changed_request_keeps_what_firms_answered(page: QuotesPage, qtbot: QtBot) -> None:
    chosen(page, "South glass")
    sheet = page.request.sheet
    assert sheet is not None
    dialog = RequestDialog(page.desk, page, sheet)
    qtbot.addWidget(dialog)
    dialog.scope.add_row(("Gutters hung again", "250", "Owner's guess"))
    dialog.accept()
    after = QuoteService(page.desk.project).sheet(sheet.row.id)
    assert [item.text for item in after.scope] == [*(item.text for item in sheet.scope), "Gutters hung again"]
    before = [line.amount_cents for line in sheet.quotes[0].lines]
    assert [line.amount_cents for line in after.quotes[0].lines][:-1] == before


def test_the_same_words_are_copied_for_every_firm(page: QuotesPage, qapp: QApplication) -> None:
    chosen(page, "Solar")
    press(page, "Copy the request")
    assert "Twenty modules with inverter" in qapp.clipboard().text()


def test_a_suggested_question_is_asked_with_one_press(page: QuotesPage, qtbot: QtBot) -> None:
    chosen(page, "South glass")
    quote = page.request.quote
    assert quote is not None
    ask = next(
        row for row in page.request.questions.rows if row.accessibleName().startswith(quote.suggested[0])
    )
    ask.findChildren(QPushButton)[0].click()
    page.refresh()
    again = page.request.quote
    assert again is not None
    assert [one.text for one in again.questions][-1] == quote.suggested[0]


def test_firms_tell_what_runs_out_and_a_new_one_joins_the_list(page: QuotesPage, qtbot: QtBot) -> None:
    page.show_item(Place(PageKey.QUOTES, "firm", 1))
    names = [row.accessibleName() for row in page.people.sheet.proofs.rows]
    assert any("Liability insurance" in name and "until Dec 15, 2026" in name for name in names)
    dialog = FirmDialog(page.desk, page)
    qtbot.addWidget(dialog)
    dialog.name.setText("Juniper Roofing")
    dialog.accept()
    page.refresh()
    page.people.show_firm(dialog.firm_id)
    row = page.people.table.selected()
    assert row is not None
    assert row.name == "Juniper Roofing"


def test_an_empty_project_says_what_would_stand_here(empty_desk: Desk, qtbot: QtBot) -> None:
    page = QuotesPage(empty_desk)
    qtbot.addWidget(page)
    page.refresh()
    assert page.request.sheet is None
    assert page.table.model.rows == ()
