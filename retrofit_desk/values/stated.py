"""Unknown, not stated, excluded and zero are four different values."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import Generic, TypeVar

T = TypeVar("T")


class Stated(StrEnum):
    """How a value came to be there, or not. Zero is a `KNOWN` value of 0."""

    KNOWN = "known"
    UNKNOWN = "unknown"
    NOT_STATED = "not stated"
    EXCLUDED = "excluded"


@dataclass(frozen=True)
class StatedValue(Generic[T]):
    """A value beside the word that tells whether it is there. Raises `ValueError` if the two disagree."""

    value: T | None
    stated: Stated = Stated.KNOWN

    def __post_init__(self) -> None:
        if (self.value is None) == (self.stated is Stated.KNOWN):
            raise ValueError(f"a {self.stated} value cannot be {self.value!r}")

    @classmethod
    def of(cls, value: T | None, stated: Stated) -> StatedValue[T]:
        """From two stored columns; a missing value without a word is unknown."""
        if value is None and stated is Stated.KNOWN:
            return cls(None, Stated.UNKNOWN)
        return cls(value if stated is Stated.KNOWN else None, stated)

    @property
    def is_known(self) -> bool:
        return self.stated is Stated.KNOWN


@dataclass(frozen=True)
class StatedTotal:
    """A sum that remembers what it could not add."""

    known: int
    unknown: int
    not_stated: int
    excluded: int

    @property
    def is_complete(self) -> bool:
        """True when nothing unknown or not stated was left out; what is excluded is left out on purpose."""
        return self.unknown == 0 and self.not_stated == 0


def total(values: Iterable[StatedValue[int]]) -> StatedTotal:
    """Add the known values exactly; count the others apart, never as zero."""
    kept = list(values)

    def count(word: Stated) -> int:
        return sum(1 for value in kept if value.stated is word)

    known = sum(value.value for value in kept if value.value is not None)
    return StatedTotal(known, count(Stated.UNKNOWN), count(Stated.NOT_STATED), count(Stated.EXCLUDED))
