"""The same money seen by measure, by rebate, by loan and by month."""

from __future__ import annotations

from PySide6.QtWidgets import QLabel, QScrollArea, QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pages.money_programmes import ProgrammesPart
from retrofit_desk.desk.widgets.button_row import ButtonRow, Press
from retrofit_desk.desk.widgets.lines import LineButton, StackedLine, StackedList
from retrofit_desk.desk.widgets.record_table import Column, RecordTable
from retrofit_desk.desk.widgets.scroll_pane import ScrollPane
from retrofit_desk.desk.widgets.sheet_pane import scrolling_column
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label, wrap
from retrofit_desk.money.ledger import CashMonth, CashMove, ProjectMoney
from retrofit_desk.services.budget_words import contingency_words, meant_words
from retrofit_desk.services.money import MoneyService
from retrofit_desk.services.money_values import Budget, DrawRow, LoanSheet, MeasureLine, RebateRow
from retrofit_desk.values.cents import cents_text
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.place import PageKey, Place
from retrofit_desk.values.quantity import count_text
from retrofit_desk.values.stated import StatedTotal, StatedValue


def _money(value: StatedValue[int]) -> str:
    return str(value.stated) if value.value is None else cents_text(value.value)


def _sum(total: StatedTotal) -> str:
    return f"{cents_text(total.known)}{_not_known(total)}"


def _not_known(total: StatedTotal) -> str:
    """What stands behind every sum that lacks something: the unknown is not zero."""
    missing = total.unknown + total.not_stated
    return f" and {missing} not known" if missing else ""


def _net(cents: int, all_: ProjectMoney, *, of_all: bool = True) -> str:
    """The forecast less rebates, with what is lacking on either side."""
    hoped = all_.rebates_expected
    missing = hoped.unknown + hoped.not_stated if of_all else 0
    rebates = f", rebates of {count_text(missing, 'measure')} not known" if missing else ""
    return f"{cents_text(cents)}{_not_known(all_.forecast)}{rebates}"


def _columns() -> tuple[Column[MeasureLine], ...]:
    return (
        Column("Measure", lambda row: row.title, is_strong=True),
        Column("State", lambda row: row.state),
        Column(
            "Budget",
            lambda row: _money(row.money.budget_cents),
            lambda row: row.money.budget_cents.value,
            True,
        ),
        Column(
            "Committed",
            _committed,
            lambda row: row.money.committed_cents.value,
            True,
        ),
        Column("Paid", lambda row: cents_text(row.money.paid_cents), lambda row: row.money.paid_cents, True),
        Column(
            "Forecast",
            lambda row: _money(row.money.forecast_cents),
            lambda row: row.money.forecast_cents.value,
            True,
        ),
        Column("Could be", _could_be, lambda row: row.cost_high_cents, True),
        Column(
            "Rebates expected",
            lambda row: _money(row.money.rebates_expected_cents),
            lambda row: row.money.rebates_expected_cents.value,
            True,
        ),
        Column(
            "Rebates received",
            lambda row: cents_text(row.money.rebates_received_cents),
            lambda row: row.money.rebates_received_cents,
            True,
        ),
    )


def _committed(row: MeasureLine) -> str:
    committed = row.money.committed_cents
    return "nothing signed" if committed.value is None else cents_text(committed.value)


def _could_be(row: MeasureLine) -> str:
    return "–" if row.cost_high_cents is None else cents_text(row.cost_high_cents)


class MeasuresPane(ScrollPane):
    """Budget, committed, paid and forecast."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self.sums = QLabel()
        wrap(self.sums)
        self.contingency = StackedList(desk, "Contingency", "")
        self.table = RecordTable(desk, "Money by measure", _columns())
        self.table.opened.connect(lambda row: desk.go_to(Place(PageKey.MEASURES, "measure", row.measure_id)))
        self.column.addWidget(self.sums)
        self.column.addWidget(self.contingency)
        self.column.addWidget(self.table, 1)

    def refresh(self) -> None:
        budget = self._desk.service(MoneyService).budget()
        self.sums.setText(_budget_words(budget))
        self.contingency.set_lines([self._set_aside(budget)])
        self.table.set_rows(budget.lines)

    def _set_aside(self, budget: Budget) -> StackedLine:
        """What is kept for surprises: set, taken, left, and what could still come."""
        left = budget.contingency.left_cents
        aside = str(left.stated) if left.value is None else f"{cents_text(left.value)} left"
        change = LineButton("Budget and contingency …", lambda: self._change(budget))
        why = "\n".join((*contingency_words(budget), *meant_words(budget)))
        return StackedLine("Contingency", why, aside, needs_owner=budget.is_short, buttons=(change,))

    def _change(self, budget: Budget) -> None:
        from retrofit_desk.desk.dialogs.budget_form import BudgetDialog

        BudgetDialog(self._desk, self, budget).exec()


def _budget_words(budget: Budget) -> str:
    all_ = budget.project
    not_signed = sum(1 for line in budget.lines if line.money.committed_cents.value is None)
    committed = f"committed {cents_text(all_.committed.known)}"
    if not_signed:
        committed += f" ({count_text(not_signed, 'measure')} not signed yet)"
    first = [
        f"Budget {_sum(all_.budget)}",
        committed,
        f"paid {cents_text(all_.paid_cents)}",
        f"still owed {cents_text(all_.owed_cents)}",
    ]
    second = [f"Forecast {_sum(all_.forecast)}"]
    if budget.may_come_cents:
        could_be = f"could become {cents_text(budget.could_be_cents)}{_not_known(all_.forecast)}"
        second.append(f"{could_be}: keep {cents_text(budget.may_come_cents)} ready for it")
    third = [
        f"Less every rebate hoped for: {_net(all_.net_with_all_cents, all_)}",
        f"less only what is reserved or received: {_net(all_.net_with_reserved_cents, all_, of_all=False)}",
    ]
    return "\n".join(" · ".join(parts) for parts in (first, second, third))


class RebatesPane(QScrollArea):
    """Rebates due, with what it costs when one falls away."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        column = scrolling_column(self)
        self.sums = QLabel()
        self.sums.setWordWrap(True)
        self.due = StackedList(desk, "Rebates due", "No programme is chosen for any measure.")
        self.received = StackedList(desk, "Rebates received", "None yet.")
        column.addWidget(self.sums)
        for heading, stack in (("Due back", self.due), ("Received", self.received)):
            column.addWidget(SectionHeading(heading))
            column.addWidget(stack)
        self.rules = ProgrammesPart(desk)
        column.addWidget(self.rules)
        column.addStretch(1)

    def refresh(self) -> None:
        self.rules.refresh()
        service = self._desk.service(MoneyService)
        rows = service.rebates()
        budget = service.budget().project
        unreserved = [row for row in rows if not row.is_reserved and not row.received_cents.is_known]
        parts = [f"Forecast with every rebate {_net(budget.net_with_all_cents, budget)}"]
        sure = _net(budget.net_with_reserved_cents, budget, of_all=False)
        parts += [f"without those not reserved {sure}", f"without any {_sum(budget.forecast)}"]
        words = " · ".join(parts) + "."
        if unreserved:
            names = ", ".join(f"{row.programme} for {row.measure}" for row in unreserved)
            words += f"\nNot reserved, so do not count on it: {names}."
        self.sums.setText(words)
        self.due.set_lines([_rebate(row) for row in rows if not row.received_cents.is_known])
        self.received.set_lines([_rebate(row) for row in rows if row.received_cents.is_known])


def _rebate(row: RebateRow) -> StackedLine:
    place = Place(PageKey.MEASURES, "measure", row.measure_ids[0])
    if row.received_cents.is_known:
        why = f"{row.words[:1].upper()}{row.words[1:]}."
        return StackedLine(f"{row.programme}, {row.measure}", why, _money(row.received_cents), place)
    reserved = f"{_money(row.reserved_cents)} reserved" if row.is_reserved else "nothing reserved"
    lost = ""
    if row.expected_cents.value:
        lost = f" If it falls away, {cents_text(row.expected_cents.value)} more is yours to pay."
    why = f"{row.words[:1].upper()}{row.words[1:]}. {reserved[:1].upper()}{reserved[1:]}.{lost}"
    title = f"{row.programme}, {row.measure}"
    return StackedLine(title, why, _money(row.expected_cents), place, needs_owner=row.needs_owner)


class LoanPane(QScrollArea):
    """Each loan with its level payment, its yearly rate and its draws."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._money = desk.service(MoneyService)
        self._column = scrolling_column(self)

    def refresh(self) -> None:
        while (item := self._column.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        loans = self._money.loans()
        if not loans:
            self._column.addWidget(soft_label("No loan is recorded."))
        for loan in loans:
            self._add(loan)
        self._column.addWidget(ButtonRow((("Enter a loan …", self._enter),)))
        self._column.addStretch(1)

    def _add(self, loan: LoanSheet) -> None:
        self._column.addWidget(SectionHeading(f"{loan.name}, {loan.lender}" if loan.lender else loan.name))
        facts = StackedList(self._desk, loan.name, "")
        facts.set_lines(_loan_lines(loan))
        self._column.addWidget(facts)
        self._column.addWidget(SectionHeading("Draws"))
        draws = StackedList(self._desk, "Draws", "Nothing was drawn yet.")
        draws.set_lines([self._draw(draw) for draw in loan.draws])
        self._column.addWidget(draws)
        buttons: list[Press] = [("Correct the loan …", lambda: self._enter(loan.id))]
        if loan.left_to_draw_cents > 0:
            buttons.insert(0, ("Ask for a draw …", lambda: self._ask(loan)))
        self._column.addWidget(ButtonRow(buttons))

    def _draw(self, draw: DrawRow) -> StackedLine:
        title = f"{cents_text(draw.amount_cents)} for {draw.for_what}" if draw.for_what else ""
        title = title or cents_text(draw.amount_cents)
        asked = f"asked {day_text(draw.asked_on)}"
        if draw.paid_on is not None:
            return StackedLine(title, asked, f"came {day_text(draw.paid_on)}")
        button = LineButton("Came today", lambda: self._came(draw))
        return StackedLine(title, asked, "not here yet", buttons=(button,))

    def _came(self, draw: DrawRow) -> None:
        with self._desk.notices.caught():
            self._money.draw_came(draw.id, self._money.choices().today)

    def _enter(self, loan_id: int | None = None) -> None:
        from retrofit_desk.desk.dialogs.loan_form import LoanDialog

        LoanDialog(self._desk, self, loan_id).exec()

    def _ask(self, loan: LoanSheet) -> None:
        from retrofit_desk.desk.dialogs.loan_draw import LoanDrawDialog

        LoanDrawDialog(self._desk, self, loan).exec()


def _loan_lines(loan: LoanSheet) -> list[StackedLine]:
    rate, apr = loan.rate_percent, loan.apr_percent
    lines = [
        StackedLine("Lent", "", cents_text(loan.principal_cents)),
        StackedLine(
            "Interest rate", "", str(rate.stated) if rate.value is None else f"{rate.value:g}% a year"
        ),
        StackedLine("Fees", "", _money(loan.fees_cents)),
        StackedLine("APR", loan.apr_note, str(apr.stated) if apr.value is None else f"{apr.value:.2f}%"),
    ]
    if loan.payment_cents is not None and loan.months is not None:
        last = f"the last one {cents_text(loan.last_payment_cents or 0)}"
        first = f"from {day_text(loan.first_payment_on)}"
        words = f"{loan.months} payments {first}, {last}, if all is drawn"
        lines.append(StackedLine("Level payment", words, f"{cents_text(loan.payment_cents)} a month"))
        lines.append(StackedLine("Interest in all", "", cents_text(loan.total_interest_cents or 0)))
    by = f"the last day is {day_text(loan.draw_by)}" if loan.draw_by else "last day not stated"
    lines.append(StackedLine("Drawn so far", "", cents_text(loan.drawn_cents)))
    lines.append(StackedLine("Left to ask for", by, cents_text(loan.left_to_draw_cents)))
    return lines


class CashPane(QWidget):
    """Every month's money in and out, and what has no date yet."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self.notes = soft_label("")
        self.table: RecordTable[CashMonth] = RecordTable(desk, "Money by month", ())
        inside = QScrollArea()
        column = scrolling_column(inside)
        self.undated = StackedList(desk, "Without a date", "Everything has its date.")
        self._undated_heading = SectionHeading("Without a date yet")
        column.addWidget(self._undated_heading)
        column.addWidget(self.undated)
        column.addStretch(1)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 8, 0, 0)
        outer.addWidget(self.notes)
        outer.addWidget(self.table, 3)
        outer.addWidget(inside, 2)

    def refresh(self) -> None:
        view = self._desk.service(MoneyService).cash()
        now = view.today.year * 12 + view.today.month
        self.table.set_rows(
            view.plan.months,
            (
                Column("Month", lambda row: f"{_MONTHS[row.month - 1]} {row.year}", _index, is_strong=True),
                Column("In", lambda row: cents_text(row.in_cents), lambda row: row.in_cents, True),
                Column("Out", lambda row: cents_text(row.out_cents), lambda row: row.out_cents, True),
                Column(
                    "Own money put in by then",
                    lambda row: cents_text(-row.balance_cents),
                    lambda row: -row.balance_cents,
                    True,
                ),
                Column("", lambda row: "past" if _index(row) < now else _planned(row, now)),
            ),
        )
        coming = [row for row in view.plan.months if _index(row) >= now] or list(view.plan.months[-1:])
        if coming:
            self.table.select(coming[0])
        self.notes.setText(" ".join(view.notes))
        moves = view.plan.undated
        comes = sum(move.amount_cents for move in moves if move.amount_cents > 0)
        goes = -sum(move.amount_cents for move in moves if move.amount_cents < 0)
        self._undated_heading.set_remark(f"{cents_text(comes)} in, {cents_text(goes)} out")
        self.undated.set_lines([_move(move) for move in moves])


def _index(row: CashMonth) -> int:
    return row.year * 12 + row.month


def _planned(row: CashMonth, now: int) -> str:
    return "this month, as far as known" if _index(row) == now else "planned"


def _move(move: CashMove) -> StackedLine:
    unsure = ", not promised in writing" if move.amount_cents > 0 and not move.is_firm else ""
    return StackedLine(f"{move.what}{unsure}", aside=cents_text(move.amount_cents))


_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
