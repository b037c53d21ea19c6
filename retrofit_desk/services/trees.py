"""Trees around the house: where they stand, how high, and what they let through in leaf and bare."""

from __future__ import annotations

from dataclasses import asdict, dataclass

from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.house import NotRecorded
from retrofit_desk.services.house_facts import CannotBe
from retrofit_desk.values.dates import MONTHS, months_text

KEPT = "nothing was changed"


@dataclass(frozen=True)
class TreeFacts:
    """What is recorded of a stand of trees; named as its columns. Nothing is filled in.

    Directions clockwise from north. Without `share_bare` and months it is evergreen: in leaf all year.
    """

    name: str
    from_azimuth_deg: float
    to_azimuth_deg: float
    altitude_deg: float
    share_in_leaf: float
    share_bare: float | None
    leaf_from_month: int | None
    leaf_to_month: int | None
    source: str

    @property
    def in_leaf(self) -> str:
        """In words: "evergreen", or "in leaf April to October"."""
        if self.leaf_from_month is None or self.leaf_to_month is None:
            return "evergreen"
        return f"in leaf {months_text(self.leaf_from_month, self.leaf_to_month)}"


@dataclass(frozen=True)
class TreeRow:
    """A recorded stand of trees."""

    id: int
    facts: TreeFacts


class TreeService:
    """Reads and records the trees that stand between the house and the sun."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def stands(self) -> tuple[TreeRow, ...]:
        """All of them in the order in which they were recorded."""
        with self._project.session() as session:
            rows = session.scalars(select(m.TreeStand).order_by(m.TreeStand.id))
            return tuple(TreeRow(row.id, _facts(row)) for row in rows)

    def add(self, facts: TreeFacts) -> None:
        """Record a stand of trees. Raises `CannotBe`."""
        _can_be(facts)
        with self._project.action(f"Record {facts.name}") as work:
            work.session.add(m.TreeStand(**asdict(facts)))

    def change(self, stand_id: int, facts: TreeFacts) -> None:
        """Change a stand of trees. Raises `CannotBe`, `NotRecorded`."""
        _can_be(facts)
        with self._project.action(f"Change {facts.name}") as work:
            row = work.session.get(m.TreeStand, stand_id)
            if row is None:
                raise _gone()
            for column, value in asdict(facts).items():
                setattr(row, column, value)

    def take_out(self, stand_id: int) -> None:
        """Take a stand of trees out of the record; undo brings it back. Raises `NotRecorded`."""
        with self._project.action("Take out trees") as work:
            row = work.session.get(m.TreeStand, stand_id)
            if row is None:
                raise _gone()
            work.session.delete(row)


def _facts(row: m.TreeStand) -> TreeFacts:
    return TreeFacts(
        row.name,
        row.from_azimuth_deg,
        row.to_azimuth_deg,
        row.altitude_deg,
        row.share_in_leaf,
        row.share_bare,
        row.leaf_from_month,
        row.leaf_to_month,
        row.source,
    )


def _gone() -> NotRecorded:
    return NotRecorded("these trees are not recorded any more", do="undo brings them back")


def _can_be(facts: TreeFacts) -> None:
    for word, azimuth in (("From", facts.from_azimuth_deg), ("To", facts.to_azimuth_deg)):
        if not 0.0 <= azimuth <= 360.0:
            raise CannotBe("a direction lies between 0 and 360 degrees", where=word, kept=KEPT)
    if facts.from_azimuth_deg == facts.to_azimuth_deg:
        raise CannotBe(
            "both directions are the same", where="From and to", kept=KEPT, do="type 0 and 360 for all around"
        )
    if not 0.0 < facts.altitude_deg < 90.0:
        raise CannotBe("their tops stand between 0 and 90 degrees above level", where="Tops", kept=KEPT)
    for share in (facts.share_in_leaf, facts.share_bare):
        if share is not None and not 0.0 <= share <= 1.0:
            raise CannotBe("a share is not below 0 or above 1", where="Sun let through", kept=KEPT)
    _seasons_can_be(facts)
    if not facts.source:
        raise CannotBe(
            "what trees let through needs its source", where="Source", kept=KEPT, do="say how you know"
        )


def _seasons_can_be(facts: TreeFacts) -> None:
    seasons = (facts.share_bare, facts.leaf_from_month, facts.leaf_to_month)
    if any(one is None for one in seasons) and any(one is not None for one in seasons):
        raise CannotBe(
            "trees that shed their leaves need both months and what they let through when bare",
            where="In leaf",
            kept=KEPT,
            do="state all three, or none of them for evergreen trees",
        )
    for month in (facts.leaf_from_month, facts.leaf_to_month):
        if month is not None and not 1 <= month <= len(MONTHS):
            raise CannotBe("a month lies between 1 and 12", where="In leaf", kept=KEPT)
    if facts.share_bare is not None and facts.share_bare < facts.share_in_leaf:
        raise CannotBe(
            "bare trees let through no less than trees in leaf", where="Sun let through", kept=KEPT
        )
