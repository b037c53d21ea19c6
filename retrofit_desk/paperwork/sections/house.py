"""The house before and after: areas and losses, what its shell is made of, machines, air leakage."""

from __future__ import annotations

from reportlab.platypus import Flowable

from retrofit_desk.paperwork.contents import ElementLine, HousePart, LeakageLine, QuantityLine
from retrofit_desk.paperwork.layout import NOTE, text
from retrofit_desk.paperwork.show import NONE, day, quantity, stated
from retrofit_desk.paperwork.tables import block, facts, long_block, table
from retrofit_desk.values.quantity import Dimension, Units, heading, number_text, show, unit_word
from retrofit_desk.values.stated import StatedValue


def house(part: HousePart, units: Units) -> list[Flowable]:
    """Tables of what changed; "after" is said to be as planned or as built."""
    story: list[Flowable] = [
        facts([("Built", stated(part.year_built)), ("Stories", part.stories), ("After means", part.after_is)])
    ]
    if part.quantities:
        story.append(_quantities(part.quantities, units))
    if part.elements:
        story += long_block("Walls, roofs, floors and windows", _elements(part.elements, units))
        story.append(text(_u_note(units), NOTE))
    if part.machines:
        rows = [(line.what_for, line.before or NONE, line.after or NONE) for line in part.machines]
        story += block("Equipment", table(("For", "Before", "After"), rows, (18, 41, 41)))
    if part.leakage:
        story += block("Air leakage", _leakage(part.leakage, units))
    return story


def _quantities(lines: tuple[QuantityLine, ...], units: Units) -> Flowable:
    rows = [
        (
            line.name,
            quantity(line.before, line.dimension, units),
            quantity(line.after, line.dimension, units),
            line.source or NONE,
        )
        for line in lines
    ]
    return table(("", "Before", "After", "Source"), rows, (30, 18, 18, 34), numbers=(1, 2))


def _elements(lines: tuple[ElementLine, ...], units: Units) -> Flowable:
    heads = (
        "Where",
        heading("Area", Dimension.AREA, units),
        "Before",
        "After",
        "U before",
        "U after",
        "R after",
    )
    return table(
        heads, [_element(line, units) for line in lines], (25, 7, 22, 20, 9, 9, 8), numbers=(1, 4, 5, 6)
    )


def _element(line: ElementLine, units: Units) -> tuple[str, ...]:
    return (
        line.where,
        number_text(line.area_m2, Dimension.AREA, units, decimals=0),
        line.made_of_before + _shgc(line.shgc_before),
        line.made_of_after + _shgc(line.shgc_after),
        _u_value(line.u_before_w_m2k, units),
        _u_value(line.u_after_w_m2k, units),
        _resistance(line.u_after_w_m2k, units),
    )


def _u_value(value: StatedValue[float], units: Units) -> str:
    decimals = 3 if units is Units.US else 2
    return stated(value, lambda one: number_text(one, Dimension.U_VALUE, units, decimals=decimals))


def _shgc(value: StatedValue[float] | None) -> str:
    return "" if value is None else f", SHGC {stated(value, lambda share: f'{share:.2f}')}"


def _resistance(u_value: StatedValue[float], units: Units) -> str:
    if not u_value.value:
        return u_value.stated.value if u_value.value is None else NONE
    return number_text(1 / u_value.value, Dimension.R_VALUE, units)


def _u_note(units: Units) -> str:
    return (
        f"U in {unit_word(Dimension.U_VALUE, units)}, whole assembly with framing and surface films; "
        f"R is 1/U{'' if units is Units.US else ', m²·K/W'}, so it is less than the label on the insulation."
    )


def _leakage(lines: tuple[LeakageLine, ...], units: Units) -> Flowable:
    rows = [
        (
            day(line.tested_on),
            line.house_was,
            show(line.flow_50pa_m3_s, Dimension.AIR_FLOW, units, decimals=0),
            stated(line.ach50, lambda value: f"{value:.1f}"),
            line.by,
        )
        for line in lines
    ]
    return table(
        ("Tested", "House was", "At 50 Pa", "ACH50", "By"), rows, (16, 34, 14, 10, 26), numbers=(2, 3)
    )
