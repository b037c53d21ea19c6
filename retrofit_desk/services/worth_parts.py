"""The contents of the Worth page: its parts, and what can be looked at in each."""

from __future__ import annotations

from enum import StrEnum

from retrofit_desk.values.place import PageKey, Place


class Heading(StrEnum):
    """Words that stand in a sentence, and begin with a capital where they stand alone."""

    @property
    def heading(self) -> str:
        return self[:1].upper() + self[1:]


class WorthPart(Heading):
    """What is read one at a time, in the order of the story."""

    ANSWER = "the answer"
    MEASURES = "measures"
    SUN = "sun & storage"
    MONEY = "money over the years"
    CARBON = "carbon"
    COMFORT = "comfort"
    SURE = "how sure"
    WORKED = "did it work?"


class WorthView(Heading):
    """What a part shows one at a time."""

    STEPS = "step by step"
    BEFORE_AFTER = "month by month"
    EACH = "each measure"
    BONDS = "what needs what"
    ORDER = "order of the line-up"
    LADDER = "best for the money"
    FIGURES = "in figures"
    MONTHS = "cash by month"
    YEARS = "cash over the years"
    LINES = "each measure over the years"
    LATER = "bought again and upkeep"
    INCENTIVES = "incentives"
    MOVES = "what moves it most"
    FIT = "fit to the bills"
    SOURCES = "sources and prices"


VIEWS: dict[WorthPart, tuple[WorthView, ...]] = {
    WorthPart.MEASURES: (
        WorthView.STEPS,
        WorthView.BEFORE_AFTER,
        WorthView.EACH,
        WorthView.BONDS,
        WorthView.ORDER,
        WorthView.LADDER,
    ),
    WorthPart.MONEY: (
        WorthView.FIGURES,
        WorthView.MONTHS,
        WorthView.YEARS,
        WorthView.LINES,
        WorthView.LATER,
        WorthView.INCENTIVES,
    ),
    WorthPart.SURE: (WorthView.MOVES, WorthView.FIT, WorthView.SOURCES),
}
"""Parts that are too long for one look."""


def worth_place(where: Heading) -> Place:
    """Where in the window a part, or a view of one, is read."""
    return Place(PageKey.WORTH, str(where))


def worth_part_at(place: Place) -> tuple[WorthPart, WorthView | None] | None:
    """The part, and the view in it, that a place names; None where it names none."""
    for part in WorthPart:
        if place.kind == part:
            return part, None
        for view in VIEWS.get(part, ()):
            if place.kind == view:
                return part, view
    return None
