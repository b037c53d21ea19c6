"""Leaves out of a packet what its reader has no business seeing, and says so."""

from __future__ import annotations

from dataclasses import replace

from retrofit_desk.paperwork.contents import (
    MeasurePart,
    PacketContents,
    PaperItem,
    Party,
    Private,
    SavingsPart,
)
from retrofit_desk.paperwork.kinds import PacketProfile


def redacted(contents: PacketContents, profile: PacketProfile) -> PacketContents:
    """The same contents without what `profile` withholds. Overrides of holds are never withheld.

    A price is not shown at all; a paper is left out whole, since a page cannot be blacked out safely here.
    """
    hidden = frozenset(Private) - profile.may_see
    kept, left_out = _papers(contents.papers, hidden)
    prices = Private.PRICES in hidden
    return replace(
        contents,
        cover=replace(
            contents.cover,
            owner=_party(contents.cover.owner, hidden),
            accounts=() if Private.ACCOUNT in hidden else contents.cover.accounts,
        ),
        measures=tuple(_unpriced(measure) for measure in contents.measures) if prices else contents.measures,
        savings=_unpriced_sum(contents.savings) if prices and contents.savings else contents.savings,
        money=None if prices else contents.money,
        papers=kept,
        left_out=contents.left_out + left_out,
    )


def _papers(
    papers: tuple[PaperItem, ...], hidden: frozenset[Private]
) -> tuple[tuple[PaperItem, ...], tuple[str, ...]]:
    kept, left_out = [], []
    # a geotag is a caption of ours, not part of the picture that is merged: it can go by itself
    for paper in papers:
        why = sorted(word.value for word in (paper.private & hidden) - {Private.GEOTAG})
        if why:
            left_out.append(f"{paper.title}: left out, it shows {' and '.join(why)}")
        else:
            kept.append(replace(paper, geotag="") if Private.GEOTAG in hidden else paper)
    return tuple(kept), tuple(left_out)


def _party(owner: Party, hidden: frozenset[Private]) -> Party:
    return replace(owner, contact="") if Private.CONTACT in hidden else owner


def _unpriced(measure: MeasurePart) -> MeasurePart:
    return replace(measure, cost_cents=None)


def _unpriced_sum(savings: SavingsPart) -> SavingsPart:
    steps = tuple(replace(step, cost_cents=None) for step in savings.steps)
    return replace(savings, steps=steps, years=None)
