"""The budget ladder on the Worth page: for each budget what does most."""

from __future__ import annotations

from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pages import worth_words as words
from retrofit_desk.desk.pages.worth_work import SumWork
from retrofit_desk.desk.pictures.budget_ladder import Ladder, Rung, draw_budget_ladder, height_in_lines
from retrofit_desk.desk.pictures.canvas import Picture
from retrofit_desk.desk.widgets.choices import ChoiceRow
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.services.ladder_words import HOW, how_many
from retrofit_desk.services.worth import Aim, BestSet, SavingsSum, ladder
from retrofit_desk.values.cents import whole_dollars_text
from retrofit_desk.values.quantity import Units

RUN_EVERY = (
    "Runs every set of the measures that can stand together, and counts the fair parts: up to {sets:,} sets, "
    "a hundred in a second or two. Of more than twelve measures the sets of drawn orders are run."
)


class LadderSection(QWidget):
    """The drawn ladder with its heading."""

    def __init__(self, desk: Desk, work: SumWork) -> None:
        super().__init__()
        self._desk = desk
        self._aim = Aim.MONEY
        self._found: SavingsSum | None = None
        self.picture = Picture(lambda: desk.theme, "Best for the money")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        heading = SectionHeading("Best for the money", "for each budget the set that does most")
        self.run_every_set = QPushButton("Run every set")
        self.run_every_set.clicked.connect(work.start_every_set)
        work.freed.connect(self.run_every_set.setEnabled)
        heading.row.addWidget(self.run_every_set)
        column.addWidget(heading)
        self.how = soft_label("")
        column.addWidget(self.how)
        column.addWidget(ChoiceRow(list(Aim), self._aim, self.choose))
        column.addWidget(self.picture)

    def choose(self, aim: Aim) -> None:
        """What the best set of each budget does most of."""
        self._aim = aim
        if self._found is not None:
            self.show_sum(self._found)

    def show_sum(self, found: SavingsSum) -> None:
        self._found = found
        self.how.setText(HOW + how_many(found))
        counted = found.fair_parts_are_counted and bool(found.sets)
        is_done = counted or found.every_set_was_run or self._desk.project.is_read_only
        self.run_every_set.setVisible(not is_done)
        self.run_every_set.setToolTip(RUN_EVERY.format(sets=2 ** len(found.lines)))
        drawn = drawn_ladder(found, self._desk.units, self._aim)
        self.picture.setVisible(bool(drawn.rungs))
        self.picture.set_drawing(
            lambda canvas: draw_budget_ladder(canvas, drawn), lines=height_in_lines(drawn), told=drawn.told()
        )


def drawn_ladder(found: SavingsSum, units: Units, aim: Aim = Aim.MONEY) -> Ladder:
    """The ladder in the owner's units: cash above carbon; where fuel is asked for, fuel above cash."""

    def cash(rung: BestSet) -> tuple[float, str]:
        return rung.money_saved_cents, f"{whole_dollars_text(rung.money_saved_cents)} a year"

    def carbon(rung: BestSet) -> tuple[float, str]:
        return rung.carbon_saved_kg, words.mass(rung.carbon_saved_kg, units)

    def fuel(rung: BestSet) -> tuple[float, str]:
        return rung.fuel_removed_kwh, words.fuel_text(rung.fuel_removed_kwh, found.fuel_dimension, units)

    rungs = ladder(found.lines, found.sets, aim)
    upper, lower = (fuel, cash) if aim is Aim.FUEL else (cash, carbon)
    longest = [max((of(rung)[0] for rung in rungs), default=0.0) or 1.0 for of in (upper, lower)]
    return Ladder(
        tuple(line.title for line in found.lines),
        tuple(
            Rung(
                whole_dollars_text(rung.budget_cents),
                frozenset(rung.measures),
                max(upper(rung)[0] / longest[0], 0.0),
                upper(rung)[1],
                max(lower(rung)[0] / longest[1], 0.0),
                lower(rung)[1],
            )
            for rung in rungs
        ),
        *((Aim.FUEL, Aim.MONEY) if aim is Aim.FUEL else (Aim.MONEY, Aim.CARBON)),
    )
