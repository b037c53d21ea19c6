"""Trees are recorded with their seasons, each change one undo step; what cannot be is refused."""

from __future__ import annotations

from dataclasses import replace

import pytest

from retrofit_desk.records.project import Project
from retrofit_desk.services.house_facts import CannotBe
from retrofit_desk.services.trees import TreeFacts, TreeRow, TreeService

OAKS = TreeFacts("Oaks", 135.0, 225.0, 35.0, 0.2, 0.6, 4, 10, "looked at in July and January")
PINES = TreeFacts("Pines", 260.0, 310.0, 25.0, 0.15, None, None, None, "looked at in March")


def test_trees_are_added_changed_taken_out_and_brought_back(sample_project: Project) -> None:
    trees = TreeService(sample_project)
    assert trees.stands() == ()
    trees.add(OAKS)
    trees.add(PINES)
    oaks, pines = trees.stands()
    assert (oaks.facts, pines.facts) == (OAKS, PINES)
    assert (oaks.facts.in_leaf, pines.facts.in_leaf) == ("in leaf April to October", "evergreen")
    trees.change(oaks.id, replace(OAKS, altitude_deg=40.0))
    assert sample_project.undo_title == "Change Oaks"
    trees.take_out(pines.id)
    assert trees.stands() == (TreeRow(oaks.id, replace(OAKS, altitude_deg=40.0)),)
    sample_project.undo()
    assert trees.stands()[1] == pines
    sample_project.undo()
    assert trees.stands() == (oaks, pines)


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"share_bare": 0.1}, "no less than trees in leaf"),
        ({"share_bare": None}, "need both months"),
        ({"leaf_to_month": None}, "need both months"),
        ({"leaf_to_month": 13}, "between 1 and 12"),
        ({"share_in_leaf": 1.2}, "not below 0 or above 1"),
        ({"altitude_deg": 90.0}, "between 0 and 90"),
        ({"to_azimuth_deg": 135.0}, "both directions are the same"),
        ({"from_azimuth_deg": 361.0}, "between 0 and 360"),
        ({"source": ""}, "needs its source"),
    ],
    ids=str,
)
def test_trees_that_cannot_be_are_refused(
    sample_project: Project, wrong: dict[str, float | str | None], says: str
) -> None:
    trees = TreeService(sample_project)
    with pytest.raises(CannotBe, match=says):
        trees.add(replace(OAKS, **wrong))  # type: ignore[arg-type]
    assert trees.stands() == ()
