"""Where in the window something is dealt with: a page and one thing on it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class PageKey(StrEnum):
    """The nine pages, in the order of the rail."""

    AT_HAND = "at_hand"
    HOUSE = "house"
    MEASURES = "measures"
    QUOTES = "quotes"
    PERMITS = "permits"
    WORTH = "worth"
    MONEY = "money"
    PACKETS = "packets"
    PAPERS = "papers"


@dataclass(frozen=True)
class Place:
    """A page, and on it one recorded thing: `kind` in plain words ("room"), `item` its record id."""

    page: PageKey
    kind: str = ""
    item: int | None = None


@dataclass(frozen=True)
class Found:
    """One line of an answer to "go to": what it is called, what it is, where it is dealt with."""

    title: str
    detail: str
    place: Place
