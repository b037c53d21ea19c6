"""Money over the years on the Worth page: present values, cash with and without the loan, incentives."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtWidgets import QPushButton, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.outlook_form import OutlookDialog
from retrofit_desk.desk.pages.worth_later import LaterSection
from retrofit_desk.desk.pages.worth_pane import WorthLook, WorthPane, column_of
from retrofit_desk.desk.pictures.canvas import Picture
from retrofit_desk.desk.pictures.month_bars import MONTHS, MonthSeries, draw_month_bars
from retrofit_desk.desk.pictures.year_lines import YearLine, draw_year_lines
from retrofit_desk.desk.widgets.choices import Views
from retrofit_desk.desk.widgets.lines import StackedLine, StackedList
from retrofit_desk.desk.widgets.record_table import Column, RecordTable
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.services import worth_years_words as words
from retrofit_desk.services.later_money_words import not_known
from retrofit_desk.services.money_values import LoanSheet, RebateRow
from retrofit_desk.services.worth_parts import WorthView
from retrofit_desk.services.worth_years import (
    HOW,
    WHAT_COMES,
    LineYears,
    MoneyOverYears,
    MonthCash,
    WorthYears,
)
from retrofit_desk.services.worth_years_words import YearsFigure, years_figures
from retrofit_desk.values.cents import cents_text, whole_dollars_text


@dataclass(frozen=True)
class _Month:
    name: str
    cash: MonthCash


class MoneyPane(WorthPane):
    """Figures of the whole, cash by month and year, each measure, and what the incentives hang on."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.change = QPushButton("Change rates and prices")
        self.change.clicked.connect(self.change_outlook)
        self.figures: RecordTable[YearsFigure] = RecordTable(desk, "Money over the years", ())
        self.left_out = soft_label()
        self.loan = soft_label()
        self.months = Picture(lambda: desk.theme, "Cash by month")
        self.month_table: RecordTable[_Month] = RecordTable(desk, "Cash by month", ())
        self.years = Picture(lambda: desk.theme, "Cash over the years")
        self.lines: RecordTable[LineYears] = RecordTable(desk, "Each measure over the years", ())
        self.rebates = StackedList(desk, "Incentives", "No incentive is recorded for these measures.")
        self.later = LaterSection(desk)
        self.views = Views(self._views())
        self.add(self.views)

    def _views(self) -> tuple[tuple[WorthView, QWidget], ...]:
        figures = SectionHeading("Money over the years")
        figures.row.addWidget(self.change)
        months = SectionHeading("Bills saved by month, with and without the loan", "first year")
        years = SectionHeading("Cash over the years", "added up, dollars of today")
        lines = SectionHeading("Each measure over the years", "in its place")
        incentives = SectionHeading("Incentives", "reserved or paid are counted; hoped for stand apart")
        return (
            (WorthView.FIGURES, column_of(figures, self.figures, self.left_out)),
            (WorthView.MONTHS, column_of(months, self.loan, self.months, self.month_table)),
            (WorthView.YEARS, column_of(years, self.years)),
            (WorthView.LINES, column_of(lines, self.lines)),
            (WorthView.LATER, self.later),
            (WorthView.INCENTIVES, column_of(incentives, self.rebates)),
        )

    def fill(self, look: WorthLook) -> None:
        found = look.years
        self.figures.set_rows(years_figures(found), _figure_columns(found))
        self.figures.show_all_rows()
        self.left_out.setText(f"{HOW}{WHAT_COMES}{not_known(found)}")
        self.loan.setText(" ".join((_loan_words(found.loan), words.loan_real_text(found))).strip())
        self._draw_months(found)
        months = [_Month(name, cash) for name, cash in zip(MONTHS, found.months, strict=True)]
        self.month_table.set_rows(months, _month_columns(found.loan is not None))
        self.month_table.show_all_rows()
        self._draw_years(found)
        self.lines.set_rows(found.lines, _line_columns(found.outlook.years))
        self.lines.show_all_rows()
        self.later.show_years(found)
        self.rebates.set_lines([_rebate_line(row) for row in found.rebates])

    def turn_to(self, view: WorthView) -> None:
        self.views.turn_to(view)

    def change_outlook(self) -> None:
        """The rates and prices of the years ahead; the page is drawn anew, nothing is simulated."""
        if OutlookDialog(self.desk, self).exec():
            self.desk.record_changed.emit()

    def _draw_months(self, found: WorthYears) -> None:
        series = [MonthSeries("bills saved", tuple(one.saved_cents / 100 for one in found.months))]
        if found.loan is not None:
            left = tuple((one.left_cents or 0) / 100 for one in found.months)
            series.append(MonthSeries("left after the loan's payment", left))
        told = "; ".join(
            f"{one.name}: {', '.join(f'{value:,.0f}' for value in one.values if value is not None)}"
            for one in series
        )
        self.months.set_drawing(lambda canvas: draw_month_bars(canvas, series, "$"), lines=13, told=told)

    def _draw_years(self, found: WorthYears) -> None:
        lines = [YearLine("own money", tuple(cents / 100 for cents in found.cash.own_cents))]
        if found.cash.with_loan_cents is not None:
            lines.append(
                YearLine("with the loan", tuple(cents / 100 for cents in found.cash.with_loan_cents))
            )
        told = "; ".join(
            f"{one.name} from {one.values[0]:,.0f} to {one.values[-1]:,.0f} dollars" for one in lines
        )
        self.years.set_drawing(lambda canvas: draw_year_lines(canvas, lines, "$"), lines=14, told=told)


def _figure_columns(found: WorthYears) -> tuple[Column[YearsFigure], ...]:
    hoped: tuple[Column[YearsFigure], ...] = ()
    if found.hoped is not None:
        heading = f"With {whole_dollars_text(found.hoped_cents)} more hoped for"
        hoped = (Column(heading, lambda row: row.hoped, is_number=True),)
    return (
        Column("Of the whole line-up", lambda row: row.name, is_strong=True),
        Column("Rebates reserved or paid", lambda row: row.reserved, is_number=True),
        *hoped,
        Column("Note", lambda row: row.note),
    )


def _month_columns(with_loan: bool) -> tuple[Column[_Month], ...]:
    columns: tuple[Column[_Month], ...] = (
        Column("Month", lambda row: row.name, is_strong=True),
        Column("Bills before", lambda row: cents_text(row.cash.before_cents), is_number=True),
        Column("Bills after", lambda row: cents_text(row.cash.after_cents), is_number=True),
        Column("Saved", lambda row: cents_text(row.cash.saved_cents), is_number=True),
    )
    if not with_loan:
        return columns
    return (
        *columns,
        Column("Loan's payment", lambda row: cents_text(row.cash.payment_cents or 0), is_number=True),
        Column("Left", lambda row: cents_text(row.cash.left_cents or 0), is_number=True),
    )


def _line_columns(years: int) -> tuple[Column[LineYears], ...]:
    def column(
        title: str, text: Callable[[MoneyOverYears], str], key: Callable[[MoneyOverYears], float | None]
    ) -> Column[LineYears]:
        return Column(
            title,
            lambda one: words.line_figure(one, text(one.money) if one.money else ""),
            lambda one: key(one.money) if one.money else None,
            is_number=True,
        )

    return (
        Column("Measure", lambda one: one.line.title, is_strong=True),
        column(
            "Extra cost",
            lambda one: whole_dollars_text(one.extra_cents),
            lambda one: one.extra_cents,
        ),
        column(
            "NPV", lambda one: whole_dollars_text(one.net_present_cents), lambda one: one.net_present_cents
        ),
        column(
            "SIR",
            lambda one: words.ratio_text(one.savings_to_investment),
            lambda one: float(one.savings_to_investment) if one.savings_to_investment is not None else None,
        ),
        column(
            "Discounted payback",
            lambda one: words.discounted_text(one, years),
            lambda one: one.discounted_payback_years,
        ),
        Column(
            "IRR",
            lambda one: words.line_figure(one, words.return_text(one.money) if one.money else ""),
            lambda one: one.money.internal.rate if one.money else None,
            is_number=True,
            hint=lambda one: words.return_hint(one.money) if one.money else "",
        ),
    )


def _rebate_line(row: RebateRow) -> StackedLine:
    amount = next(
        (one for one in (row.received_cents, row.reserved_cents, row.expected_cents) if one.is_known), None
    )
    kind = "reserved" if row.is_reserved else "hoped for, not counted"
    if row.received_cents.value:
        kind = "paid"
    money = "amount not known" if amount is None else cents_text(amount.value or 0)
    return StackedLine(
        f"{row.programme}: {row.measure}", f"{row.words}.", f"{money} {kind}", needs_owner=row.needs_owner
    )


def _loan_words(loan: LoanSheet | None) -> str:
    if loan is None:
        return "No loan with a stated rate and term is recorded."
    rate = loan.apr_percent
    yearly = f"APR {rate.value:.3f}%" if rate.value is not None else "APR not known"
    return (
        f"{loan.name}: {cents_text(loan.principal_cents)}, {loan.months} payments of "
        f"{cents_text(loan.payment_cents or 0)}, "
        f"interest {cents_text(loan.total_interest_cents or 0)} in all, {yearly}. {loan.apr_note}"
    )
