"""Typed quantities into SI, and SI into the words of US customary or SI units."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from math import floor, isfinite, log10

from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.units import (
    DECIMALS,
    EXAMPLES,
    FOOT_M,
    INCH_M,
    ONE_OF,
    SHOWN,
    SMALL,
    UNITS,
    Dimension,
    Unit,
    Units,
)

__all__ = [
    "Dimension",
    "NotANumber",
    "OutOfReach",
    "Quantity",
    "UnitNotKnown",
    "Units",
    "billed_text",
    "count_text",
    "heading",
    "in_unit",
    "number_text",
    "parse",
    "percent_text",
    "show",
    "unit_after",
    "unit_of_many",
    "unit_word",
    "units_understood",
]


@dataclass(frozen=True)
class Quantity:
    """A number in the SI unit of its dimension."""

    value_si: float
    dimension: Dimension


class UnitNotKnown(DeskError):
    """The unit typed is none of those that the field understands."""


class NotANumber(DeskError):
    """The text typed holds no number."""


class OutOfReach(DeskError):
    """The number is impossible for this field."""


_NUMBER = r"[-+−]?(?:\d[\d,]*(?:\.\d+)?|\.\d+)(?:[eE][-+]?\d+)?"
_MIXED = re.compile(r"^([-+−]?\d+)[ -](\d+)/(\d+)(.*)$")
_FRACTION = re.compile(r"^([-+−]?\d+)/(\d+)(.*)$")
_NUMBER_FIRST = re.compile(rf"^({_NUMBER})\s*(.*)$")
_UNIT_FIRST = re.compile(rf"^([A-Za-z]+)\s*-?\s*({_NUMBER})$")
_FEET_INCHES = re.compile(
    r"^([-+−]?\d+(?:\.\d+)?)\s*(?:'|′|ft|feet)\.?\s*-?\s*(\d.*?)\s*(?:\"|″|in|inches)?\.?$"
)
_VULGAR = {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8"}


def parse(text: str, dimension: Dimension, units: Units, *, where: str = "", kept: str = "") -> Quantity:
    """Read what the owner typed; a bare number is in the unit shown for `units`.

    Raises `NotANumber` or `UnitNotKnown`, each one line with an example; `kept` is what the field keeps.
    """
    typed = text.strip()
    clean = typed
    for mark, words in _VULGAR.items():
        clean = clean.replace(mark, words)
    clean = clean.strip()
    if dimension in (Dimension.LENGTH, Dimension.THICKNESS):
        both = _FEET_INCHES.match(clean)
        if both:
            feet, inches = _plain(both[1]), _number_and_unit(both[2])
            if inches is not None and not inches[1]:
                sign = -1.0 if feet < 0 else 1.0
                return Quantity(feet * FOOT_M + sign * inches[0] * INCH_M, dimension)
    pair = _number_and_unit(clean)
    if pair is None or not isfinite(pair[0]):
        raise NotANumber(
            f"'{typed}': no number in it", where=where, kept=_kept(kept), do=_example(dimension, units)
        )
    number, written = pair
    unit = _find(written, dimension) if written else _shown_unit(dimension, units)
    if unit is None:
        raise UnitNotKnown(
            f"'{typed}': unit not known", where=where, kept=_kept(kept), do=_example(dimension, units)
        )
    return Quantity(number * unit.factor + unit.offset, dimension)


def number_in(text: str, unit_name: str, *, where: str = "", kept: str = "") -> float:
    """A typed number in the unit named; one typed in another unit of the same kind is converted.

    For records that keep the unit as it stood on the gauge. Raises `NotANumber` or `UnitNotKnown`.
    """
    typed = text.strip()
    pair = _number_and_unit(typed)
    if pair is None or not isfinite(pair[0]):
        raise NotANumber(
            f"'{typed}': no number in it", where=where, kept=kept, do=f"type e.g. 12 {unit_name}"
        )
    number, written = pair
    if not written or written == unit_name:
        return number
    for dimension in UNITS:
        source, target = _find(written, dimension), _find(unit_name, dimension)
        if source is not None and target is not None:
            return (number * source.factor + source.offset - target.offset) / target.factor
    raise UnitNotKnown(
        f"'{typed}': cannot be told in {unit_name or 'a plain number'}",
        where=where,
        kept=kept,
        do=f"type it in {unit_name or 'a plain number'}",
    )


def show(value_si: float, dimension: Dimension, units: Units, *, decimals: int | None = None) -> str:
    """The number with its unit, in digits that mean something: "R-13", "3.50 in", "68 °F", "42,300 Btu/h"."""
    name = unit_word(dimension, units)
    small = SMALL.get(dimension)
    if small is not None and 0 < abs(in_unit(value_si, dimension, units)) < 1:
        unit = _unit_called(small, dimension)
        return f"{_digits((value_si - unit.offset) / unit.factor, small, None)} {small}"
    number = number_text(value_si, dimension, units, decimals=decimals)
    if name == "R-":
        return f"R-{number}"
    if name in ("°", "%", ""):
        return f"{number}{name}"
    return f"{number} {unit_after(number, name)}"


def show_about(value_si: float, dimension: Dimension, units: Units) -> str:
    """As `show`, to three digits: no model knows more of what it works out. "27,000 Btu/h"."""
    unit = _shown_unit(dimension, units)
    kept = to_three_digits(in_unit(value_si, dimension, units))
    whole = 0 if abs(kept) >= 100 else None  # three digits before the point leave none after it
    return show(kept * unit.factor + unit.offset, dimension, units, decimals=whole)


def to_three_digits(value: float) -> float:
    """Rounded to three significant digits."""
    return float(f"{value:.3g}")


def count_text(number: float, thing: str, things: str = "") -> str:
    """How many: `1 day`, `2.5 days`, `1,200 papers`; `things` where an s does not make it."""
    shown = (f"{number:,}" if isinstance(number, int) else f"{number:,g}").replace("-", "−")
    return f"{shown} {thing if _is_one(shown) else things or f'{thing}s'}"


def billed_text(amount: float, unit: str) -> str:
    """What a meter counted, in whole units: `1 therm`, `412 therms`, `850 kWh`."""
    shown = f"{amount:,.0f}".replace("-", "−")
    return f"{shown} {unit_after(shown, unit)}"


def unit_after(number: str, unit: str) -> str:
    """A unit after a written number: one therm, many therms; a sign stays as it is."""
    many = unit_of_many(unit)
    return ONE_OF.get(many, many) if _is_one(number) else many


def unit_of_many(unit: str) -> str:
    """A unit that is a word, as it stands over a column or after a number: "therms" for "therm"."""
    return next((many for many, one in ONE_OF.items() if one == unit), unit)


def percent_text(share: float | Decimal, decimals: int = 0) -> str:
    """A share of one as percent, alike in both units: "15%", "−3.0%"."""
    return show(float(share), Dimension.SHARE, Units.US, decimals=decimals)


def number_text(value_si: float, dimension: Dimension, units: Units, *, decimals: int | None = None) -> str:
    """The number alone, for columns whose heading carries the unit."""
    return _digits(in_unit(value_si, dimension, units), unit_word(dimension, units), decimals)


def _digits(value: float, unit: str, decimals: int | None) -> str:
    """In digits that mean something for the unit; a minus as a minus, nothing without a sign."""
    if decimals is None:
        decimals = DECIMALS.get(unit)
    if decimals is None:
        decimals = _three_digits(value)
    shown = f"{value:,.{decimals}f}"
    if unit in ("R-", "in", "W") and "." in shown:
        shown = shown.rstrip("0").rstrip(".")
    return shown.lstrip("-") if not shown.strip("-0.,") else shown.replace("-", "−", 1)


def in_unit(value_si: float, dimension: Dimension, units: Units) -> float:
    """The bare number in the unit shown."""
    unit = _shown_unit(dimension, units)
    return (value_si - unit.offset) / unit.factor


def unit_word(dimension: Dimension, units: Units) -> str:
    """The unit shown, for headings: "ft²", "Btu/h"."""
    return SHOWN[dimension][0 if units is Units.US else 1]


def heading(title: str, dimension: Dimension, units: Units) -> str:
    """A column heading with its unit: "Area, ft²"."""
    name = unit_word(dimension, units).rstrip("-")
    return f"{title}, {name}" if name else title


def units_understood(dimension: Dimension) -> tuple[str, ...]:
    """What a field's help lists."""
    return tuple(unit.names[0] for unit in UNITS[dimension])


def _number_and_unit(text: str) -> tuple[float, str] | None:
    mixed = _MIXED.match(text)
    if mixed and float(mixed[3]) != 0:
        whole = _plain(mixed[1])
        part = float(mixed[2]) / float(mixed[3])
        return (whole - part if mixed[1].startswith(("-", "−")) else whole + part), mixed[4].strip()
    fraction = _FRACTION.match(text)
    if fraction and float(fraction[2]) != 0:
        return _plain(fraction[1]) / float(fraction[2]), fraction[3].strip()
    first = _NUMBER_FIRST.match(text)
    if first:
        return _plain(first[1]), first[2].strip()
    unit_first = _UNIT_FIRST.match(text)
    if unit_first:
        return _plain(unit_first[2]), unit_first[1]
    return None


def _plain(text: str) -> float:
    return float(text.replace(",", "").replace("−", "-"))


def _find(written: str, dimension: Dimension) -> Unit | None:
    """Exactly as written first (mW is not MW), then without regard to case and spaces."""
    for unit in UNITS[dimension]:
        if written in unit.names:
            return unit
    wanted = _folded(written)
    for unit in UNITS[dimension]:
        if wanted in _folded_names(unit.names):
            return unit
    return None


def _folded(name: str) -> str:
    return name.lower().replace(" ", "").replace("·", "").replace("-", "").rstrip(".")


def _folded_names(names: Iterable[str]) -> set[str]:
    return {_folded(name) for name in names}


def _shown_unit(dimension: Dimension, units: Units) -> Unit:
    return _unit_called(unit_word(dimension, units), dimension)


def _unit_called(name: str, dimension: Dimension) -> Unit:
    return next(unit for unit in UNITS[dimension] if unit.names[0] == name)


def _is_one(number: str) -> bool:
    return number in ("1", "−1")


def _three_digits(value: float) -> int:
    """Decimals that leave three significant digits, and none from 100 up."""
    size = abs(value)
    if size < 1e-9:
        return 0
    return min(max(2 - floor(log10(size)), 0), 4)


def _kept(kept: str) -> str:
    return f"the field kept '{kept}'" if kept else ""


def _example(dimension: Dimension, units: Units) -> str:
    return f"type e.g. {EXAMPLES.get(dimension) or '12 ' + unit_word(dimension, units)}"
