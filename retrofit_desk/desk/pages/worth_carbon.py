"""Carbon on the Worth page: put in by stage, saved by year under a falling grid, stored apart."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from functools import partial

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pages import worth_words as words
from retrofit_desk.desk.pages.worth_pane import WorthLook, WorthPane
from retrofit_desk.desk.pictures.canvas import Picture
from retrofit_desk.desk.pictures.year_lines import YearLine, draw_year_lines
from retrofit_desk.desk.widgets.choices import Views
from retrofit_desk.desk.widgets.lines import StackedLine, StackedList
from retrofit_desk.desk.widgets.record_table import Column, RecordTable
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.services.worth import SavingsSum
from retrofit_desk.services.worth_years import (
    STAGES,
    CarbonAgain,
    CarbonOverYears,
    SpareLeak,
    UpstreamLeaks,
    WorthYears,
)
from retrofit_desk.values.quantity import Dimension, Units, count_text, in_unit, show_about, unit_word


@dataclass(frozen=True)
class _Year:
    """One year in kilograms."""

    number: int
    saved_kg: float
    leaked_kg: float
    left_kg: float


class Shape(StrEnum):
    """How the years are shown."""

    PICTURE = "as a picture"
    TABLE = "as a table"


class CarbonPane(WorthPane):
    """Lines by stage, and the years as a picture or a table."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.lines = StackedList(desk, "Carbon", "")
        self.picture = Picture(lambda: desk.theme, "Carbon over the years")
        self.table: RecordTable[_Year] = RecordTable(desk, "Carbon over the years", ())
        self.add(
            SectionHeading("Carbon saved against carbon put in", "CO2 equivalent"),
            self.lines,
            soft_label(STAGES),
            SectionHeading("Carbon over the years", "below the line more is saved than was put in"),
            Views(((Shape.PICTURE, self.picture), (Shape.TABLE, self.table))),
        )

    def fill(self, look: WorthLook) -> None:
        found, years, units = look.sum, look.years, self.desk.units
        self.lines.set_lines(
            [
                *_saved_lines(found, years.carbon, units),
                *_put_in_lines(found, years, units),
                *upstream_lines(years.upstream, units),
            ]
        )
        unit = unit_word(Dimension.MASS, units)
        left = YearLine(
            "put in and not yet saved",
            tuple(in_unit(kg, Dimension.MASS, units) for kg in years.carbon.left_kg),
        )
        frozen = YearLine("if the grid stayed as it is", _frozen(found, years.carbon, units))
        told = f"{left.name}: from {left.values[0]:,.0f} to {left.values[-1]:,.0f} {unit}"
        self.picture.set_drawing(
            lambda canvas: draw_year_lines(canvas, (left, frozen), unit), lines=14, told=told
        )
        self.table.set_rows(_years(years.carbon), _columns(units))
        self.table.show_all_rows()


def _mass(kg: float, units: Units) -> str:
    return show_about(kg, Dimension.MASS, units)


def _saved_lines(found: SavingsSum, carbon: CarbonOverYears, units: Units) -> list[StackedLine]:
    """What is saved in use, and how soon that makes good what was put in."""
    mass, back = partial(_mass, units=units), found.whole.carbon_payback_years
    hours = "Power by the grid's hours" if found.grid_by_hour else "Power at one rate for all hours"
    fall = f"{hours}; later years follow a grid that falls by {found.grid.falls_by_share:.0%} a year."
    return [
        StackedLine("Saved in use, first year", fall, words.ranged(found.whole.carbon_saved, mass)),
        StackedLine(
            f"Saved in use, {count_text(len(carbon.saved_kg), 'year')}",
            f"The last of them: {mass(carbon.saved_kg[-1])}.",
            mass(sum(carbon.saved_kg)),
        ),
        StackedLine(
            "Carbon payback",
            "Until what was put in (A1-A5, installing) is saved in use.",
            "never" if back is None else f"{back:.1f} years",
        ),
    ]


def _put_in_lines(found: SavingsSum, years: WorthYears, units: Units) -> list[StackedLine]:
    """What is put in, by stage, and what is stored apart."""
    whole, carbon, mass = found.whole, years.carbon, partial(_mass, units=units)
    low = sum(line.material.low_kg for line in found.lines)
    high = sum(line.material.high_kg for line in found.lines)
    moved = sum(line.material.hauled_kg + line.material.wasted_kg for line in found.lines)
    unknown = f" Unknown and left out: {', '.join(whole.made_unknown)}." if whole.made_unknown else ""
    return [
        StackedLine(
            "Made (A1-A3)",
            f"{mass(low)} to {mass(high)} by the spread of the factors.{unknown}",
            mass(whole.made_kg),
        ),
        StackedLine("Hauled (A4) and cut away (A5)", "", mass(moved)),
        again_line(years.carbon_again, len(carbon.saved_kg), units),
        StackedLine("At the end of the material (C2-C4)", *_ended(carbon, mass)),
        *_gas_lines(found, carbon, units),
        StackedLine(
            "Apart: stored in wood and cellulose while it stands",
            f"EN 16449; never taken off the figures above. {_given_back(carbon, mass)}",
            mass(whole.stored_kg),
        ),
    ]


def _gas_lines(found: SavingsSum, carbon: CarbonOverYears, units: Units) -> list[StackedLine]:
    """Refrigerant by the time at which it escapes."""
    mass = partial(_mass, units=units)
    gases = [line.refrigerant for line in found.lines if line.refrigerant is not None]
    in_use = sum(one.in_use_kg_co2e for one in gases)
    at_end = sum(one.at_end_kg_co2e for one in gases)
    unsaid = [line.title for line in found.lines if line.refrigerant_is_unknown]
    return [
        StackedLine("Refrigerant lost at installing", _unsaid(unsaid), mass(carbon.installing_kg)),
        StackedLine(
            "Refrigerant lost in use and at the machines' end",
            f"{mass(in_use)} in use, {mass(at_end)} at the end.",
            mass(in_use + at_end),
        ),
    ]


def again_line(found: CarbonAgain, years: int, units: Units) -> StackedLine:
    """What wears out within the study and is bought again (B4): unknown where nobody weighed any of it."""
    mass = partial(_mass, units=units)

    title = f"Put in again (B4), {count_text(years, 'year')}"
    unknown = f" Unknown and left out: {', '.join(found.unknown)}." if found.unknown else ""
    against = "Nothing is set against it for what would be bought again without the measures."
    if found.titles:
        says = f"{', '.join(found.titles)}; in no year and no payback here. {against}{unknown}"
        low, high = mass(found.low_kg), mass(found.high_kg)
        spread = "" if low == high else f" ({low} to {high} by how long they last)"
        return StackedLine(title, says, mass(found.kg) + spread)
    if found.unknown:
        return StackedLine(title, f"{unknown.strip()} {against}", "unknown")
    return StackedLine(title, "No part wears out within these years, by the usual lives.", "none")


def upstream_lines(found: UpstreamLeaks, units: Units) -> list[StackedLine]:
    """What no longer leaks before it reaches the house: apart, as no figure above holds it."""
    mass = partial(_mass, units=units)

    def told(one: SpareLeak) -> StackedLine:
        soon = "" if one.in_20_years_kg is None else f", {mass(one.in_20_years_kg)} over 20 years"
        return StackedLine(
            f"Apart: {one.fuel} that no longer leaks on its way here, a year",
            f"Methane counted over 100 years{soon}; never in the figures above. What leaks for power plants "
            f"is not in it: unknown. {one.origin.line}.",
            f"{mass(one.kg)} (likely {mass(one.low_kg)} to {mass(one.high_kg)})",
        )

    lines = [told(one) for one in found.known]
    if found.unknown:
        lines.append(
            StackedLine(
                f"Apart: losses of {' and '.join(found.unknown)} on the way here",
                "No table tells it; put your own upstream_methane.csv in tables/. Unknown, not zero.",
                "unknown",
            )
        )
    return lines


def _ended(carbon: CarbonOverYears, mass: Callable[[float], str]) -> tuple[str, str]:
    """What is said of it, and the figure; unknown where nobody tells of any."""
    end = carbon.end
    if end is None or not end.is_told:
        return "Nobody tells what becomes of these materials: unknown, not zero.", "unknown"
    unknown = f" Unknown and left out: {', '.join(end.unknown)}." if end.unknown else ""
    return (
        f"{mass(end.low_kg)} to {mass(end.high_kg)}; in no year and no payback here.{unknown}",
        mass(end.kg),
    )


def _given_back(carbon: CarbonOverYears, mass: Callable[[float], str]) -> str:
    """The other side of the store."""
    back = carbon.store.given_back_kg
    if back is None:
        return "Not all of it has a told end, so nothing is set against it."
    return f"Given back at its end: {mass(back)}."


def _unsaid(titles: list[str]) -> str:
    return f"Charge not stated, so not counted: {', '.join(titles)}." if titles else ""


def _frozen(found: SavingsSum, carbon: CarbonOverYears, units: Units) -> tuple[float, ...]:
    """The same with the first year's grid for ever."""
    left = [carbon.left_kg[0]]
    for lost in carbon.leaked_kg:
        left.append(left[-1] - carbon.saved_kg[0] + lost)
    return tuple(in_unit(kg, Dimension.MASS, units) for kg in left)


def _years(carbon: CarbonOverYears) -> list[_Year]:
    rows = zip(carbon.saved_kg, carbon.leaked_kg, carbon.left_kg[1:], strict=True)
    return [_Year(number, *row) for number, row in enumerate(rows, start=1)]


def _columns(units: Units) -> tuple[Column[_Year], ...]:
    def column(title: str, pick: str) -> Column[_Year]:
        return Column(
            title,
            lambda row: words.mass(getattr(row, pick), units),
            lambda row: getattr(row, pick),
            is_number=True,
        )

    return (
        Column("Year", lambda row: str(row.number), lambda row: row.number, is_strong=True),
        column("Saved in use", "saved_kg"),
        column("Refrigerant lost", "leaked_kg"),
        column("Put in and not yet saved", "left_kg"),
    )
