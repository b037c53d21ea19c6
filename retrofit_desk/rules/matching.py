"""Whether two papers say the same serial, model, name, address, date or amount, and how near a miss is."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation
from enum import StrEnum

from retrofit_desk.rules.addresses import Address, read_address
from retrofit_desk.rules.firm_names import FirmName, read_firm_name


class Readiness(StrEnum):
    """The four words for one thing a packet needs."""

    HAVE = "have"
    MISSING = "missing"
    OUT_OF_DATE = "out of date"
    DOES_NOT_MATCH = "does not match"

    def counted(self, count: int) -> str:
        """ "2 missing", "1 does not match", "2 do not match"."""
        return f"{count} {'do not match' if self is Readiness.DOES_NOT_MATCH and count != 1 else self.value}"


class FactKind(StrEnum):
    """What can be read off a paper and compared with another."""

    SERIAL = "serial"
    MODEL = "model"
    NAME = "name"
    FIRM = "firm"
    ADDRESS = "address"
    DATE = "date"
    AMOUNT = "amount"
    NUMBER = "number"


@dataclass(frozen=True)
class Fact:
    """Something read off a paper or kept in the record. `label`: which of several (outdoor, indoor)."""

    kind: FactKind
    value: str
    label: str = ""


@dataclass(frozen=True)
class Comparison:
    """`same`: a reader would take the two as one. `near`: not the same, but a slip explains it.

    `why` is empty when nothing needs saying; else one phrase without a period.
    """

    same: bool
    near: bool = False
    why: str = ""


@dataclass(frozen=True)
class Reading:
    """What one paper says; `value` is None when the paper is filed but the fact could not be read off it."""

    paper: str
    value: str | None


@dataclass(frozen=True)
class CrossCheck:
    """One fact over all papers that should carry it."""

    kind: FactKind
    subject: str
    word: Readiness
    line: str
    near: bool = False


MOST_LISTED = 4
SAME = Comparison(same=True)
LOOK_ALIKES = ("O0QD", "I1L", "S5", "B8", "Z2", "G6", "UV")
"""Letters and digits taken for each other in hand or on a worn nameplate (common practice, no source)."""


def compare(kind: FactKind, left: str, right: str) -> Comparison:
    """Compare two readings of one kind. Symmetric but for the order of the words quoted in `why`."""
    return _COMPARERS[kind](left.strip(), right.strip())


def cross_check(
    kind: FactKind, subject: str, expected: Reading | None, readings: Sequence[Reading]
) -> CrossCheck:
    """Hold every reading against the expected one (or, without one, against the first that can be read)."""
    stated = [reading for reading in readings if reading.value]
    if expected is None or not expected.value:
        if not stated:
            return CrossCheck(kind, subject, Readiness.MISSING, f"no paper states the {kind}")
        expected, stated = stated[0], stated[1:]
    if not stated:
        return CrossCheck(kind, subject, Readiness.MISSING, f"only {expected.paper} states the {kind}")
    wanted = expected.value or ""
    found = [(reading, compare(kind, wanted, reading.value or "")) for reading in stated]
    misses = [(reading, result) for reading, result in found if not result.same]
    if misses:
        near = all(result.near for _, result in misses)
        told = "; ".join(_miss_line(kind, expected, reading, result) for reading, result in misses)
        return CrossCheck(kind, subject, Readiness.DOES_NOT_MATCH, told, near)
    papers = _listed([expected.paper, *(reading.paper for reading in stated)])
    remarks = "; ".join(sorted({result.why for _, result in found if result.why}))
    return CrossCheck(
        kind, subject, Readiness.HAVE, f"same on {papers}" + (f" ({remarks})" if remarks else "")
    )


def _listed(papers: Sequence[str]) -> str:
    """The first few; titles hold commas themselves."""
    more = len(papers) - MOST_LISTED
    return "; ".join(papers[:MOST_LISTED]) + (f"; and {more} more" if more > 0 else "")


def _miss_line(kind: FactKind, expected: Reading, reading: Reading, result: Comparison) -> str:
    mine, other = shown(kind, expected.value or ""), shown(kind, reading.value or "")
    line = f"{expected.paper} says {mine}, {reading.paper} says {other}"
    return f"{line}: {result.why}" if result.why else line


def compare_code(left: str, right: str) -> Comparison:
    """Serial and model numbers: case, spaces, hyphens, dots and slashes do not count."""
    a, b = _bare_code(left), _bare_code(right)
    if a == b:
        return SAME if a else Comparison(same=False, why="nothing readable")
    if len(a) == len(b):
        return _same_length_miss(a, b)
    short, long = sorted((a, b), key=len)
    if len(long) == len(short) + 1 and any(long[:i] + long[i + 1 :] == short for i in range(len(long))):
        return Comparison(False, near=True, why="one character is missing in the shorter one")
    if len(short) >= 4 and long.startswith(short):
        return Comparison(False, near=True, why="the shorter one leaves out the ending")
    return Comparison(same=False)


def _bare_code(text: str) -> str:
    return re.sub(r"[\s\-./_#]", "", text).upper()


def _same_length_miss(a: str, b: str) -> Comparison:
    places = [i for i in range(len(a)) if a[i] != b[i]]
    if all(_look_alike(a[i], b[i]) for i in places):
        pairs = list(dict.fromkeys(f'"{a[i]}" and "{b[i]}"' for i in places))
        where = ", ".join(str(i + 1) for i in places)
        return Comparison(False, near=True, why=f"{', '.join(pairs)} look alike (character {where})")
    if _is_swap(a, b, places):
        i, j = places
        return Comparison(False, near=True, why=f"characters {i + 1} and {j + 1} are swapped")
    if len(places) == 1:
        i = places[0]
        return Comparison(
            False, near=True, why=f'one character differs ("{a[i]}" and "{b[i]}", character {i + 1})'
        )
    return Comparison(same=False)


def _look_alike(a: str, b: str) -> bool:
    return any(a in group and b in group for group in LOOK_ALIKES)


def _is_swap(a: str, b: str, places: Sequence[int]) -> bool:
    if len(places) != 2 or places[1] != places[0] + 1:
        return False
    i, j = places
    return a[i] == b[j] and a[j] == b[i]


def compare_name(left: str, right: str) -> Comparison:
    """Firms and people: punctuation, case and "&" do not count; a legal form that one leaves out does."""
    a, b = read_firm_name(left), read_firm_name(right)
    if not a.words or not b.words:
        return Comparison(same=False, why="nothing readable")
    if a.words == b.words:
        return SAME if a.legal_form == b.legal_form else _other_legal_form(left, right, a, b)
    short, long = sorted((a, b), key=lambda name: len(name.words))
    if len(short.words) < len(long.words) and _in_order(short.words, long.words):
        return Comparison(
            False, near=True, why=f'short name; the other reads "{right if long is b else left}"'
        )
    if " ".join(a.words).replace(" ", "") == " ".join(b.words).replace(" ", ""):
        return Comparison(same=True, why="written with and without a space")
    return _near_text(" ".join(a.words), " ".join(b.words))


def _other_legal_form(left: str, right: str, a: FirmName, b: FirmName) -> Comparison:
    if a.legal_form and b.legal_form:
        why = f"legal form differs ({a.legal_form.upper()} and {b.legal_form.upper()})"
    else:
        why = f'legal form left out; the legal name reads "{left if a.legal_form else right}"'
    return Comparison(False, near=True, why=why)


def _in_order(short: Sequence[str], long: Sequence[str]) -> bool:
    rest = iter(long)
    return all(any(word == other for other in rest) for word in short)


def _near_text(a: str, b: str) -> Comparison:
    if len(a) == len(b):
        places = [i for i in range(len(a)) if a[i] != b[i]]
        if _is_swap(a, b, places):
            return Comparison(False, near=True, why="two letters are swapped")
        if len(places) == 1:
            return Comparison(False, near=True, why="one letter differs")
    short, long = sorted((a, b), key=len)
    if len(long) == len(short) + 1 and any(long[:i] + long[i + 1 :] == short for i in range(len(long))):
        return Comparison(False, near=True, why="one letter is missing in the shorter one")
    return Comparison(same=False)


def compare_address(left: str, right: str) -> Comparison:
    """US postal addresses; abbreviations do not count, what only one states is told but does not part them.

    A unit number that only one of them gives does part them: it may be another home.
    """
    a, b = read_address(left), read_address(right)
    if not a.number or not b.number:
        return SAME if a == b and a.street else Comparison(same=False, why="no house number to compare")
    for part, told in (
        ("number", "house number"),
        ("street", "street"),
        ("unit", "unit"),
        ("zip5", "ZIP code"),
    ):
        mine, other = getattr(a, part), getattr(b, part)
        if mine != other and (part != "zip5" or (mine and other)):
            return _address_miss(told, mine, other, right if mine else left)
    for part, told in (("city", "city"), ("state", "state")):
        mine, other = getattr(a, part), getattr(b, part)
        if mine and other and mine != other:
            return _address_miss(told, mine, other, "")
    return Comparison(same=True, why=_left_out(a, b))


def _address_miss(told: str, mine: str, other: str, lacking: str) -> Comparison:
    if not mine or not other:
        return Comparison(False, near=True, why=f'{told} {mine or other} is left out in "{lacking}"')
    near = _same_length_miss(mine, other) if len(mine) == len(other) else _near_text(mine, other)
    why = f"{told} differs ({mine} and {other})" + (f": {near.why}" if near.why else "")
    return Comparison(False, near=near.near, why=why)


def _left_out(a: Address, b: Address) -> str:
    names = {"city": "city", "state": "state", "zip5": "ZIP code"}
    lacking = [told for part, told in names.items() if bool(getattr(a, part)) != bool(getattr(b, part))]
    return f"{' and '.join(lacking)} on one of them only" if lacking else ""


def read_date(text: str) -> date | None:
    """ISO (2026-05-04) or US (5/4/2026, 05-04-2026); None if it is neither."""
    if found := re.fullmatch(r"(\d{4})-(\d{1,2})-(\d{1,2})", text.strip()):
        year, month, day = (int(part) for part in found.groups())
    elif found := re.fullmatch(r"(\d{1,2})[/-](\d{1,2})[/-](\d{4})", text.strip()):
        month, day, year = (int(part) for part in found.groups())
    else:
        return None
    try:
        return date(year, month, day)
    except ValueError:
        return None


def compare_date(left: str, right: str) -> Comparison:
    a, b = read_date(left), read_date(right)
    if a is None or b is None:
        return SAME if left == right else Comparison(same=False, why="not a date that can be read")
    if a == b:
        return SAME
    if (a.year, a.month, a.day) == (b.year, b.day, b.month):
        return Comparison(False, near=True, why="day and month are swapped")
    if (a.month, a.day) == (b.month, b.day):
        return Comparison(False, near=True, why="only the year differs")
    days = abs((a - b).days)
    return Comparison(False, near=days == 1, why=f"{days} day{'s' if days > 1 else ''} apart")


def read_amount(text: str) -> Decimal | None:
    """Dollars. Digits alone are cents, as the record keeps them; "$12,450" and "12450.00" are dollars."""
    try:
        amount = Decimal(re.sub(r"[\s$,]", "", text))
        amount = amount / 100 if re.fullmatch(r"-?\d+", text.strip()) else amount
    except InvalidOperation:
        return None
    return amount if amount.is_finite() else None


def shown(kind: FactKind, value: str) -> str:
    """The reading as a person writes it: cents become dollars, the rest stays."""
    amount = read_amount(value) if kind is FactKind.AMOUNT else None
    return value if amount is None else f"${amount:,.2f}"


def compare_amount(left: str, right: str) -> Comparison:
    a, b = read_amount(left), read_amount(right)
    if a is None or b is None:
        return SAME if left == right else Comparison(same=False, why="not an amount that can be read")
    if a == b:
        return SAME
    if a * 100 == b or b * 100 == a:
        return Comparison(False, near=True, why="the decimal point is in another place")
    one, two = f"{a:.2f}", f"{b:.2f}"
    if len(one) == len(two) and _is_swap(one, two, [i for i in range(len(one)) if one[i] != two[i]]):
        return Comparison(False, near=True, why=f"two digits are swapped, {abs(a - b):,.2f} apart")
    return Comparison(False, near=abs(a - b) < 1, why=f"{abs(a - b):,.2f} apart")


_COMPARERS: dict[FactKind, Callable[[str, str], Comparison]] = {
    FactKind.SERIAL: compare_code,
    FactKind.MODEL: compare_code,
    FactKind.NUMBER: compare_code,
    FactKind.NAME: compare_name,
    FactKind.FIRM: compare_name,
    FactKind.ADDRESS: compare_address,
    FactKind.DATE: compare_date,
    FactKind.AMOUNT: compare_amount,
}
