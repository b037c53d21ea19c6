"""Sums of money as the owner types and reads them; whole cents inside."""

from __future__ import annotations

import re
from decimal import Decimal

from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.quantity import to_three_digits

_TYPED = re.compile(r"^(?P<minus>[-−(]?)\s*\$?\s*(?P<dollars>\d[\d,]*|\d*)(?:\.(?P<cents>\d{1,2}))?\s*\)?$")
_THOUSANDS = re.compile(r"^\d{1,3}(,\d{3})*$|^\d+$")


class NotASum(DeskError):
    """The text typed is no sum of money."""


def cents_text(amount_cents: int) -> str:
    """`$1,250.50`, `−$40.00`."""
    dollars, rest = divmod(abs(amount_cents), 100)
    return f"{'−' if amount_cents < 0 else ''}${dollars:,}.{rest:02d}"


def whole_dollars_text(amount_cents: int | Decimal) -> str:
    """`$1,251`, for estimates whose range is wider than a dollar; halves away from zero."""
    dollars = int((abs(Decimal(amount_cents)) + 50) // 100)
    return f"{'−' if amount_cents < 0 and dollars else ''}${dollars:,}"


def about_dollars_text(amount_cents: float | Decimal) -> str:
    """`$64,400`, for what a model works out: to three digits."""
    return whole_dollars_text(round(to_three_digits(float(amount_cents))))


def parse_cents(text: str, *, where: str = "", kept: str = "") -> int:
    """Read `$1,250.50`, `1250.5`, `-40`. Raises `NotASum`, one line with an example."""
    typed = text.strip()
    found = _TYPED.match(typed)
    grouped = found is not None and _THOUSANDS.match(found["dollars"] or "0") is not None
    if found is None or not grouped or not (found["dollars"] or found["cents"]):
        held = f"the field kept '{kept}'" if kept else ""
        raise NotASum(f"'{typed}': not a sum of money", where=where, kept=held, do="type e.g. 1250.50")
    whole = int((found["dollars"] or "0").replace(",", "")) * 100
    part = int((found["cents"] or "0").ljust(2, "0"))
    return -(whole + part) if found["minus"] else whole + part
