"""The form of a stand of trees around the house."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.facts_form import FactsForm, needed, needed_text
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.trees import TreeFacts, TreeRow, TreeService
from retrofit_desk.values.quantity import Dimension, show

EVERGREEN, NO_MONTH = "evergreen", "not stated"
PLACE_WORDS = (
    ("From, clockwise from north", "from"),
    ("To, clockwise from north", "to"),
    ("Tops above level", "tops"),
)
HIGHER_M, AWAY_M, THEN_DEG = 10.0, 20.0, 26.57  # tan 26.57 degrees = 10/20


class TreeStandDialog(FactsForm):
    """Adds trees, or changes recorded ones."""

    def __init__(self, desk: Desk, parent: QWidget | None, stand: TreeRow | None) -> None:
        form = "new-trees" if stand is None else f"trees:{stand.id}"
        super().__init__(desk, parent, form, "Add trees" if stand is None else f"Change {stand.facts.name}")
        self._stand = stand
        facts = None if stand is None else stand.facts
        self._name = self.add_line("Name", "name", "" if facts is None else facts.name)
        self._name.setPlaceholderText("oaks along the street, pines of the neighbors …")
        self._add_place(facts)
        self._add_seasons(facts)
        self._known_by = self.add_line("Source", "source", "" if facts is None else facts.source)
        self._known_by.setPlaceholderText("how you know: looked at in July, a photo of January …")
        self.body.addWidget(
            soft_label(
                "They take sun from every face of the house alike, seen from its middle. Evergreen trees "
                "have no months and no bare share. Solar modules have their shade in their own form."
            )
        )
        self.body.addStretch(1)
        self._first.currentIndexChanged.connect(lambda _at: self._seasons_chosen())
        self.begin()
        self._seasons_chosen()
        self.resize(self.width(), self.fontMetrics().lineSpacing() * 24)

    def record(self) -> None:
        sheds = self._first.currentData() is not None
        facts = TreeFacts(
            name=needed_text(self._name, "Name"),
            from_azimuth_deg=needed(self._from),
            to_azimuth_deg=needed(self._to),
            altitude_deg=needed(self._tops),
            share_in_leaf=needed(self._in_leaf),
            share_bare=needed(self._bare) if sheds else None,
            leaf_from_month=self._first.currentData(),
            leaf_to_month=self._last.currentData() if sheds else None,
            source=self._known_by.text().strip(),
        )
        trees = self.desk.service(TreeService)
        if self._stand is None:
            trees.add(facts)
        else:
            trees.change(self._stand.id, facts)

    def _add_place(self, facts: TreeFacts | None) -> None:
        """Where they stand, and how high."""
        now = (facts.from_azimuth_deg, facts.to_azimuth_deg, facts.altitude_deg) if facts else (None,) * 3
        self._from, self._to, self._tops = (
            self.add_quantity(words, name, Dimension.ANGLE, value, low_si=0.0)
            for (words, name), value in zip(PLACE_WORDS, now, strict=True)
        )
        self._tops.setPlaceholderText(self._example())

    def _add_seasons(self, facts: TreeFacts | None) -> None:
        """What they let through, and when they are in leaf."""
        in_leaf, bare = (facts.share_in_leaf, facts.share_bare) if facts else (None, None)
        first, last = (facts.leaf_from_month, facts.leaf_to_month) if facts else (None, None)
        self._in_leaf = self.add_quantity(
            "Sun let through in leaf", "in leaf", Dimension.SHARE, in_leaf, low_si=0.0
        )
        self._first = self.add_month("In leaf from", "first", first, EVERGREEN)
        self._last = self.add_month("Until the end of", "last", last, NO_MONTH)
        self._bare = self.add_quantity("Sun let through when bare", "bare", Dimension.SHARE, bare, low_si=0.0)
        self._bare.setPlaceholderText("often 50 to 70% (common practice, no source)")

    def _seasons_chosen(self) -> None:
        """Evergreen trees have no last month and are never bare."""
        sheds = self._first.currentData() is not None
        self._last.setEnabled(sheds)
        self._bare.setEnabled(sheds)

    def _example(self) -> str:
        units = self.desk.units
        higher, away = (show(one, Dimension.LENGTH, units, decimals=0) for one in (HIGHER_M, AWAY_M))
        return (
            f"{higher} above your eye and {away} away: {show(THEN_DEG, Dimension.ANGLE, units, decimals=0)}"
        )
