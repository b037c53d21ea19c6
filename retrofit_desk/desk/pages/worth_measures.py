"""Each measure on the Worth page: the line-up as steps, the table of figures, what needs what, the order."""

from __future__ import annotations

from PySide6.QtWidgets import QPushButton

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pages import worth_words as words
from retrofit_desk.desk.pages.worth_ladder import LadderSection
from retrofit_desk.desk.pages.worth_months import MonthsSection
from retrofit_desk.desk.pages.worth_order import LineUpOrder
from retrofit_desk.desk.pages.worth_pane import WorthLook, WorthPane, column_of
from retrofit_desk.desk.pages.worth_words import Shown
from retrofit_desk.desk.pages.worth_work import SumWork
from retrofit_desk.desk.pictures.canvas import Picture
from retrofit_desk.desk.pictures.line_up_steps import draw_line_up_steps, height_in_lines
from retrofit_desk.desk.widgets.choices import ChoiceRow, Views
from retrofit_desk.desk.widgets.lines import StackedLine, StackedList
from retrofit_desk.desk.widgets.record_table import Column, RecordTable
from retrofit_desk.desk.widgets.text import SectionHeading
from retrofit_desk.services.worth import SavingsLine, SavingsSum
from retrofit_desk.services.worth_parts import WorthView
from retrofit_desk.services.worth_words import later_words
from retrofit_desk.values.cents import whole_dollars_text
from retrofit_desk.values.quantity import Dimension, Units


class MeasuresPane(WorthPane):
    """One view at a time; without a sum only the order of the line-up."""

    needs_sum = False

    def __init__(self, desk: Desk, work: SumWork) -> None:
        super().__init__(desk)
        self._found: SavingsSum | None = None
        self._shown = Shown.MONEY
        self.steps = Picture(lambda: desk.theme, "The line-up, step by step")
        self.table: RecordTable[SavingsLine] = RecordTable(
            desk, "Worth of each measure", measure_columns(Dimension.GAS, desk.units)
        )
        self.count_parts = QPushButton("Count fair parts")
        self.count_parts.setToolTip("Runs every set of the measures that can stand together: some minutes")
        self.count_parts.clicked.connect(work.start_fair_parts)
        work.freed.connect(self.count_parts.setEnabled)
        self.bonds = StackedList(desk, "What needs what", "No measure needs or bars another.")
        self.order = LineUpOrder(desk)
        self.ladder = LadderSection(desk, work)
        self.months = MonthsSection(desk)
        each = SectionHeading("Each measure", "in its place in the line-up")
        each.row.addWidget(self.count_parts)
        self.views = Views(
            (
                (
                    WorthView.STEPS,
                    column_of(
                        SectionHeading(
                            "The line-up, step by step", "today at the top; thin lines are likely ranges"
                        ),
                        ChoiceRow(list(Shown), self._shown, self.choose),
                        self.steps,
                    ),
                ),
                (WorthView.BEFORE_AFTER, self.months),
                (WorthView.EACH, column_of(each, self.table)),
                (
                    WorthView.BONDS,
                    column_of(SectionHeading("What needs what", "and what no bill shows"), self.bonds),
                ),
                (WorthView.ORDER, self.order),
                (WorthView.LADDER, self.ladder),
            )
        )
        self.add(self.views)

    def fill(self, look: WorthLook) -> None:
        self._found = look.found
        self.order.refresh()
        self.views.keep_to(WorthView.ORDER if look.found is None else None)
        if look.found is None:
            return
        is_counted = look.found.fair_parts_are_counted
        self.count_parts.setVisible(not is_counted and not self.desk.project.is_read_only)
        self._draw_steps(look.found)
        self.table.set_rows(look.found.lines, measure_columns(look.found.fuel_dimension, self.desk.units))
        self.table.show_all_rows()
        self.bonds.set_lines(bonds(look.found))
        self.ladder.show_sum(look.found)
        self.months.show_sum(look.found)

    def turn_to(self, view: WorthView) -> None:
        self.views.turn_to(view)

    def choose(self, what: Shown) -> None:
        """The figure that the steps show."""
        self._shown = what
        if self._found is not None:
            self._draw_steps(self._found)

    def _draw_steps(self, found: SavingsSum) -> None:
        drawn = words.steps_of(found, self._shown, self.desk.units)
        told = "; ".join(f"{step.name} {step.change_text}" for step in drawn.steps)
        self.steps.set_drawing(
            lambda canvas: draw_line_up_steps(
                canvas, drawn.start, drawn.start_text, drawn.steps, drawn.end_text
            ),
            lines=height_in_lines(drawn.steps),
            told=told,
        )


def measure_columns(fuel: Dimension, units: Units) -> tuple[Column[SavingsLine], ...]:
    """Each measure in its place, with the other ways to count it."""
    return (
        Column("Measure", lambda line: line.title, is_strong=True),
        *_energy_columns(fuel, units),
        *_money_columns(),
        *_cost_columns(),
        *_carbon_columns(units),
    )


def _energy_columns(fuel: Dimension, units: Units) -> tuple[Column[SavingsLine], ...]:
    def burned(kwh: float) -> str:
        return words.fuel_text(kwh, fuel, units)

    return (
        Column(
            "Fuel removed",
            lambda line: burned(line.fuel_removed.value),
            lambda line: line.fuel_removed.value,
            is_number=True,
            hint=lambda line: words.ranged(line.fuel_removed, burned),
        ),
        Column(
            "Electricity",
            lambda line: words.change(line.electricity_added.value),
            lambda line: line.electricity_added.value,
            is_number=True,
            hint=lambda line: words.ranged(line.electricity_added, words.change),
        ),
    )


def _money_columns() -> tuple[Column[SavingsLine], ...]:
    """Money saved in its place, alone, last of all and as a fair part."""
    return (
        Column(
            "Saves a year (range)",
            lambda line: words.brief(line.money_saved, _dollars),
            lambda line: line.money_saved.value,
            is_number=True,
            hint=lambda line: later_words(line) or words.ranged(line.money_saved, _dollars),
        ),
        Column(
            "Alone",
            lambda line: words.gain_money(line.alone, "only with others"),
            lambda line: line.alone.money_saved_cents if line.alone else None,
            is_number=True,
        ),
        Column(
            "Last of all",
            lambda line: words.gain_money(line.last, "only with others"),
            lambda line: line.last.money_saved_cents if line.last else None,
            is_number=True,
            hint=words.last_hint,
        ),
        Column(
            "Fair part",
            words.fair_part_money,
            lambda line: line.fair_part.money_saved_cents if line.fair_part else None,
            is_number=True,
            hint=words.fair_part_hint,
        ),
    )


def _cost_columns() -> tuple[Column[SavingsLine], ...]:
    return (
        Column("Costs", _cost, lambda line: line.cost_cents.value, is_number=True),
        Column(
            "Simple payback, years",
            lambda line: words.brief_payback(line.payback, line.payback_words),
            lambda line: line.payback.value if line.payback else None,
            hint=lambda line: words.payback_text(line.payback, line.payback_words),
        ),
    )


def _carbon_columns(units: Units) -> tuple[Column[SavingsLine], ...]:
    def mass(kg: float) -> str:
        return words.mass(kg, units)

    return (
        Column(
            "Carbon saved",
            lambda line: mass(line.carbon_saved.value),
            lambda line: line.carbon_saved.value,
            is_number=True,
            hint=lambda line: words.ranged(line.carbon_saved, mass),
        ),
        Column(
            "Carbon put in (A1-A5)",
            lambda line: _put_in(line, units),
            lambda line: line.material.upfront_kg,
            is_number=True,
            hint=lambda line: "; ".join(line.material.sources) or "unknown",
        ),
    )


def _dollars(cents: float) -> str:
    return whole_dollars_text(round(cents))


def _cost(line: SavingsLine) -> str:
    cents = line.cost_cents.value
    return str(line.cost_cents.stated) if cents is None else whole_dollars_text(cents)


def _put_in(line: SavingsLine, units: Units) -> str:
    if line.material.unknown and not line.material.made_kg:
        return "unknown"
    return words.mass(line.material.upfront_kg, units)


def bonds(found: SavingsSum) -> list[StackedLine]:
    """For each measure that has any: what it needs, what needs it, what cannot stand beside it."""
    titles = {line.key: line.title for line in found.lines}
    lines = []
    for line in found.lines:
        told = [f"Needs {_and([titles[key] for key in line.needs if key in titles])}."] if line.needs else []
        if line.last_without:
            told.append(f"Without it these cannot stand: {_and(line.last_without)}.")
        if line.excludes:
            told.append(f"Cannot stand beside: {_and([one.lower() for one in line.excludes])}.")
        told += [*line.beside, *filter(None, [later_words(line)])]
        if told:
            lines.append(StackedLine(line.title, " ".join(told)))
    return lines


def _and(names: list[str] | tuple[str, ...]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
