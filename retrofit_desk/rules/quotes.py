"""Quotes made comparable: the bid, the owner's visible guesses beside it, deposits the law allows."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from retrofit_desk.money.rounding import to_cents, to_dollars
from retrofit_desk.values.cents import cents_text
from retrofit_desk.values.errors import CannotSay
from retrofit_desk.values.origin import Origin
from retrofit_desk.values.stated import StatedValue


class ScopeAnswer(StrEnum):
    INCLUDED = "included"
    EXCLUDED = "excluded"
    NOT_STATED = "not stated"
    ALLOWANCE = "allowance"


@dataclass(frozen=True)
class ScopeLine:
    """What a firm says to one line of the scope. `guess_cents`: the owner's guess where it is not in the bid.

    For an allowance the guess is what is expected beyond it.
    """

    text: str
    answer: ScopeAnswer
    guess_cents: StatedValue[int]


@dataclass(frozen=True)
class LikeForLike:
    """The bid and, apart from it, what the owner adds. `is_at_least`: something missing has no guess."""

    bid_cents: StatedValue[int]
    added: tuple[tuple[str, int], ...]
    without_guess: tuple[str, ...]

    @property
    def added_cents(self) -> int:
        return sum(cents for _, cents in self.added)

    @property
    def is_at_least(self) -> bool:
        return bool(self.without_guess)

    @property
    def price_cents(self) -> int | None:
        """Like-for-like price; none when the firm named no price."""
        return None if self.bid_cents.value is None else self.bid_cents.value + self.added_cents

    @property
    def words(self) -> str:
        if self.price_cents is None:
            return "no price"
        return f"{'at least ' if self.is_at_least else ''}{cents_text(self.price_cents)}"


def like_for_like(bid_cents: StatedValue[int], lines: Iterable[ScopeLine]) -> LikeForLike:
    """The bid plus the owner's guess for each line it leaves out; one without a guess makes it "at least"."""
    added: list[tuple[str, int]] = []
    without: list[str] = []
    for line in lines:
        if line.answer is ScopeAnswer.INCLUDED:
            continue
        if line.guess_cents.value is not None:
            added.append((line.text, line.guess_cents.value))
        elif line.answer is not ScopeAnswer.ALLOWANCE:
            without.append(line.text)
    return LikeForLike(bid_cents, tuple(added), tuple(without))


class DepositRule(StrEnum):
    LESSER = "lesser"
    """The lesser of a share and a flat sum."""
    SHARE = "share"
    GREATER_OF_SPECIAL_ORDER = "greater_of_special_order"
    """The greater of a share and the cost of special-order items."""
    PLUS_SPECIAL_ORDER = "plus_special_order"


@dataclass(frozen=True)
class DepositLimit:
    """The highest first payment a state allows."""

    state: str
    kind: DepositRule
    share: Decimal
    flat_cents: int | None
    applies_above_cents: int | None
    text: str
    origin: Origin


def highest_deposit_cents(
    limit: DepositLimit, price_cents: int, special_order_cents: int | None = None
) -> int | None:
    """The most that may be asked at signing; none below the price from which the rule applies.

    Raises `CannotSay` when the rule turns on special-order items and their cost is not known.
    """
    if limit.applies_above_cents is not None and price_cents <= limit.applies_above_cents:
        return None
    share = to_cents(to_dollars(price_cents) * limit.share)
    if limit.kind is DepositRule.SHARE:
        return share
    if limit.kind is DepositRule.LESSER:
        return min(share, limit.flat_cents) if limit.flat_cents is not None else share
    if special_order_cents is None:
        raise CannotSay("the highest deposit", "the cost of special-order items")
    if limit.kind is DepositRule.GREATER_OF_SPECIAL_ORDER:
        return max(share, special_order_cents)
    return share + special_order_cents
