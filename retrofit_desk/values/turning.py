"""Spans of hours and months that may go over the turn of the day or the year."""

from __future__ import annotations


def turning(first: int, last: int, lowest: int, count: int) -> tuple[int, ...]:
    """From `first` to `last`, both in it, among `count` numbers that begin at `lowest` and begin again."""
    span = (last - first) % count + 1
    return tuple((first - lowest + step) % count + lowest for step in range(span))
