"""Numbers, dates and stated values in the words that stand on paper."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import TypeVar

from retrofit_desk.values.cents import cents_text, whole_dollars_text
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.figure import Figure
from retrofit_desk.values.quantity import Dimension, Units, in_unit, show, unit_word
from retrofit_desk.values.stated import StatedTotal, StatedValue

T = TypeVar("T")
NONE = "–"
"""Stands where a cell has nothing to say; never for a value that is unknown or zero."""


def stated(value: StatedValue[T], shown: Callable[[T], str] = str) -> str:
    """The value, or the word that says why there is none."""
    return value.stated.value if value.value is None else shown(value.value)


def total_cents(total: StatedTotal) -> str:
    """A sum that says what it could not add: "at least $4,000.00 (1 not stated)"."""
    counts = ((total.unknown, "unknown"), (total.not_stated, "not stated"), (total.excluded, "excluded"))
    told = ", ".join(f"{count} {word}" for count, word in counts if count)
    head = cents_text(total.known) if total.is_complete else f"at least {cents_text(total.known)}"
    return f"{head} ({told})" if told else head


def day(value: date | None) -> str:
    return day_text(value) if value else NONE


def quantity(value: StatedValue[float], dimension: Dimension, units: Units) -> str:
    """With its unit; from a thousand up in three figures, since nothing here is known better."""
    return stated(value, lambda number: _three_figures(number, dimension, units))


def _three_figures(value_si: float, dimension: Dimension, units: Units) -> str:
    shown = in_unit(value_si, dimension, units)
    if abs(shown) < 1000:
        return show(value_si, dimension, units)
    return f"{float(f'{shown:.3g}'):,.0f} {unit_word(dimension, units)}".replace("-", "−")


def with_range(figure: Figure, dimension: Dimension | None, units: Units) -> str:
    """ "412 therms a year (380 to 450)"; a figure in cents is shown in whole dollars, its range is wide."""
    value, span = _value_and_span(figure, dimension, units)
    return " ".join(part for part in (value, _unit(figure.unit, dimension, units), span) if part)


def number_with_range(figure: Figure, dimension: Dimension | None, units: Units) -> str:
    """Without the unit, for a column whose heading carries it."""
    value, span = _value_and_span(figure, dimension, units)
    return f"{value} {span}".rstrip()


def number_alone(figure: Figure, dimension: Dimension | None, units: Units) -> str:
    """As fine as beside its range, for a picture that draws the range."""
    return _value_and_span(figure, dimension, units)[0]


def _value_and_span(figure: Figure, dimension: Dimension | None, units: Units) -> tuple[str, str]:
    parts = (figure.value, figure.low, figure.high)
    if figure.unit.startswith("cents"):
        value, low, high = (whole_dollars_text(round(part)) for part in parts)
    else:
        value, low, high = _as_fine_as_its_largest(parts, dimension, units)
    return value, "" if low == high else f"({low} to {high})"


def _as_fine_as_its_largest(
    parts: tuple[float, float, float], dimension: Dimension | None, units: Units
) -> tuple[str, ...]:
    shown = parts if dimension is None else tuple(in_unit(part, dimension, units) for part in parts)
    largest = max(abs(part) for part in shown)
    decimals = 0 if largest >= 100 or largest == 0 else 1 if largest >= 10 else 2
    return tuple(_signed(part, decimals) for part in shown)


def _signed(value: float, decimals: int) -> str:
    text = f"{abs(value):,.{decimals}f}"
    return f"−{text}" if value < 0 and text.strip("0.,") else text


def _unit(unit: str, dimension: Dimension | None, units: Units) -> str:
    """ "kWh/year" becomes the reader's unit "a year"; "cents/year" leaves "a year" behind the dollars."""
    head, _, per = unit.partition("/")
    word = "" if head == "cents" else head if dimension is None else unit_word(dimension, units)
    return f"{word} a {per}".strip() if per else word
