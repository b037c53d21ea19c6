"""Reading a fact of a recorded machine, or saying by its name that it is missing."""

from __future__ import annotations

from typing import Any

from retrofit_desk.records import models as m
from retrofit_desk.records.machine_facts import words_of
from retrofit_desk.values.errors import CannotSay


def stated(row: m.Equipment, column: str) -> float:
    """A capacity. Raises `CannotSay` where it is not known."""
    value = row.stated(column)
    if value.value is None:
        raise CannotSay(
            f"what the {row.name} can do", f"its capacity, which is {value.stated}", where="House"
        )
    return float(value.value)


def detail(row: m.Equipment, key: str) -> Any:
    """One of the facts beside its columns. Raises `CannotSay` where it is not on record."""
    if key not in row.details:
        raise CannotSay(f"what the {row.name} does", words_of(row.kind, key), where="House")
    return row.details[key]
