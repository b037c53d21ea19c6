"""Errors of the physics layer: a value the formulas cannot take."""

from __future__ import annotations

import math

from retrofit_desk.values.errors import DeskError


class ImpossibleValue(DeskError):
    """A stated quantity lies outside what can exist or outside what the method covers."""


def require_positive(name: str, value: float, *, where: str = "") -> None:
    """Raise `ImpossibleValue` unless `value` is finite and above zero; `name` tells quantity and unit."""
    if not (math.isfinite(value) and value > 0.0):
        raise ImpossibleValue(f"{name} must be more than 0, not {value:g}", where=where)


def require_between(name: str, value: float, low: float, high: float, *, where: str = "") -> None:
    """Raise `ImpossibleValue` unless `low <= value <= high`."""
    if not low <= value <= high:
        raise ImpossibleValue(f"{name} must lie between {low:g} and {high:g}, not {value:g}", where=where)
