"""The Money page on the sample house, by what the owner does with it."""

from __future__ import annotations

from datetime import date

import pytest
from PySide6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.bill import BillDialog
from retrofit_desk.desk.dialogs.budget_form import BudgetDialog
from retrofit_desk.desk.dialogs.change_order import ChangeOrderDialog
from retrofit_desk.desk.dialogs.pay import PayDialog
from retrofit_desk.desk.dialogs.waiver import WaiverDialog
from retrofit_desk.desk.pages import money
from retrofit_desk.desk.pages.money import MoneyPage
from retrofit_desk.desk.widgets.lines import LineRow, StackedList
from retrofit_desk.desk.widgets.notch import Notch
from retrofit_desk.services.money import MoneyService
from retrofit_desk.values.place import PageKey, Place
from tests.desk.conftest import OpenPage


@pytest.fixture
def page(sample_desk: Desk, open_page: OpenPage) -> MoneyPage:
    return open_page(MoneyPage(sample_desk))


def chosen(page: MoneyPage, word: str) -> None:
    page.table.select(next(row for row in page.table.model.rows if word in row.title))


def line(stack: StackedList, word: str) -> LineRow:
    return next(row for row in stack.rows if word in row.accessibleName())


def press(row: LineRow) -> None:
    row.findChildren(QPushButton)[0].click()


def paying(monkeypatch: pytest.MonkeyPatch) -> None:
    """The form is recorded as it opens."""

    def pay(dialog: PayDialog) -> int:
        dialog.accept()
        return dialog.result()

    monkeypatch.setattr(PayDialog, "exec", pay)


def test_every_stage_says_what_it_waits_for(page: MoneyPage) -> None:
    chosen(page, "Ground-source")
    name = line(page.contract.lists["stages"], "Machine delivered").accessibleName()
    assert "$11,927.25" in name
    assert "Ottermark's waiver for the bores is in" in name
    assert "$627.75 held back" in name


def test_a_payment_is_stopped_by_a_missing_waiver_until_it_is_filed(
    page: MoneyPage, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    # NEED-20, MOM-9
    paying(monkeypatch)
    asked: list[str] = []
    monkeypatch.setattr(money, "ask_reason", lambda *words: asked.append(words[3]))
    chosen(page, "Solar")
    press(line(page.contract.lists["stages"], "Modules delivered"))
    assert asked
    assert "waiver of Thornbury Sun Works" in asked[0]
    sheet = page.contract.sheet
    assert sheet is not None
    assert sheet.row.paid_cents == 229_000

    waiver = WaiverDialog(page.desk, page, sheet)
    qtbot.addWidget(waiver)
    assert waiver.stage.currentText() == "Modules delivered"
    waiver.signed_on.set_value(date(2026, 11, 19))
    waiver.through_on.set_value(date(2026, 11, 19))
    waiver.accept()
    page.refresh()
    press(line(page.contract.lists["stages"], "Modules delivered"))
    page.refresh()
    assert page.contract.sheet is not None
    assert page.contract.sheet.row.paid_cents == 229_000 + 1_145_000
    assert len(asked) == 1


def test_a_written_reason_pays_and_is_shown_beside_the_stage(
    page: MoneyPage, monkeypatch: pytest.MonkeyPatch
) -> None:
    paying(monkeypatch)
    monkeypatch.setattr(money, "ask_reason", lambda *_words: "Delivery is tomorrow")
    chosen(page, "Ground-source")
    press(line(page.contract.lists["stages"], "Machine delivered"))
    page.refresh()
    assert "Delivery is tomorrow" in line(page.contract.lists["stages"], "Machine delivered").accessibleName()
    page.desk.project.undo()
    page.refresh()
    assert "due Nov 27, 2026" in line(page.contract.lists["stages"], "Machine delivered").accessibleName()


def test_a_change_order_is_signed_with_one_press(page: MoneyPage) -> None:
    chosen(page, "Ground-source")
    press(line(page.contract.lists["changes"], "No. 2"))
    page.refresh()
    assert page.contract.sheet is not None
    assert page.contract.sheet.row.total_cents == 4_197_000


def test_a_change_order_without_its_price_stays_in_the_form(page: MoneyPage, qtbot: QtBot) -> None:
    chosen(page, "Ground-source")
    assert page.contract.sheet is not None
    dialog = ChangeOrderDialog(page.desk, page, page.contract.sheet)
    qtbot.addWidget(dialog)
    dialog.reason.setPlainText("More pipe")
    dialog.accept()
    assert dialog.result() == 0
    dialog.price.set_value(-5_000)
    dialog.accept()
    assert dialog.result() == 1


def test_a_bill_without_a_contract_is_entered_and_paid(
    page: MoneyPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    paying(monkeypatch)
    dialog = BillDialog(page.desk, page, None)
    qtbot.addWidget(dialog)
    dialog.firm.setCurrentText("Linden Yard Supply")
    dialog.number.setText("LY-77")
    dialog.on.set_value(date(2026, 11, 19))
    dialog.amount.set_value(4_210)
    dialog.accept()
    page.refresh()
    press(line(page.purchases, "LY-77"))
    page.refresh()
    assert "paid" in line(page.purchases, "LY-77").accessibleName()


def test_the_other_parts_tell_budget_rebates_loan_and_months(page: MoneyPage) -> None:
    for at in range(page.parts.count()):
        page.parts.setCurrentIndex(at)
    budget = MoneyService(page.desk.project).budget()
    assert len(page.measures.table.model.rows) == len(budget.lines)
    assert "keep" in page.measures.sums.text()
    assert any("must be in by" in row.accessibleName() for row in page.rebates.due.rows)
    assert page.cash.table.selected() is not None
    november = next(row for row in page.cash.table.shown_texts() if row[0] == "Nov 2026")
    assert november[4] == "this month, as far as known"


def test_what_is_set_aside_is_shown_changed_and_marked_when_it_is_short(
    page: MoneyPage, qtbot: QtBot
) -> None:
    # NEED-17
    page.parts.setCurrentWidget(page.measures)
    (row,) = page.measures.contingency.rows
    assert "Set aside $16,539.00 (10% of $165,390.00)" in row.accessibleName()
    assert "by change orders" in row.accessibleName()
    assert "what is left covers it" in row.accessibleName()
    dialog = BudgetDialog(page.desk, page, MoneyService(page.desk.project).budget())
    qtbot.addWidget(dialog)
    dialog.share.field.setText("1%")
    dialog.share.field.editingFinished.emit()
    dialog.accept()
    assert dialog.result() == 1
    page.measures.refresh()
    (row,) = page.measures.contingency.rows
    assert "more than is left" in row.accessibleName()
    assert row.findChildren(Notch)


def test_each_kind_of_place_is_brought_into_view(page: MoneyPage) -> None:
    page.show_item(Place(PageKey.MONEY, "contract", 1))
    row = page.table.selected()
    assert row is not None
    assert row.id == 1
    page.show_item(Place(PageKey.MONEY, "loan", 1))
    assert page.parts.currentWidget() is page.loan
    page.show_item(Place(PageKey.MONEY, "claim", 1))
    assert page.parts.currentWidget() is page.rebates


def test_an_empty_project_says_what_would_stand_here(empty_desk: Desk, qtbot: QtBot) -> None:
    page = MoneyPage(empty_desk)
    qtbot.addWidget(page)
    page.refresh()
    for at in range(page.parts.count()):
        page.parts.setCurrentIndex(at)
    assert page.contract.sheet is None
