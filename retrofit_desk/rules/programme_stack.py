"""Several programmes for the same work: which is taken first, what each leaves the next, what caps take."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING

from retrofit_desk.money.rounding import split_cents, to_cents, whole_cents
from retrofit_desk.rules.programme_amounts import cap_turns, capped
from retrofit_desk.rules.programme_file import ALL_OTHERS, Cap, Tax, Version
from retrofit_desk.rules.programmes import evaluate
from retrofit_desk.rules.stack_values import UNKNOWN_CENTS, Apart, Cut, Stack, Taken, Wanted
from retrofit_desk.values.quantity import percent_text
from retrofit_desk.values.stated import StatedValue

if TYPE_CHECKING:
    import networkx

__all__ = ["Apart", "Cut", "Stack", "Taken", "Wanted", "adds_cents", "stack"]


def stack(wanted: Sequence[Wanted], on: date) -> Stack:
    """What programmes pay together, in their order; those that pay nothing by themselves are left out."""
    paying = [one for one in wanted if one.answer.may_pay or one.received_cents is not None]
    if circle := _circle(paying):
        needs = "each counts only what the other leaves; the offices must say who comes first"
        return Stack((), (Apart("", (), circle, None, needs, is_order=True),), UNKNOWN_CENTS, 0)
    kept, apart = _kept(paying, on)
    taken = _taken(kept, on)
    known = sum(one.taken_cents.value or 0 for one in taken)
    undecided = any(one.needs for one in apart)
    is_known = not undecided and all(one.taken_cents.is_known for one in taken)
    return Stack(taken, apart, StatedValue(known) if is_known else UNKNOWN_CENTS, known)


def adds_cents(one: Wanted, chosen: Sequence[Wanted], on: date) -> StatedValue[int]:
    """What a programme would add to those chosen already. Unknown where either sum is."""
    with_it, without = stack([*chosen, one], on).total_cents.value, stack(chosen, on).total_cents.value
    return UNKNOWN_CENTS if with_it is None or without is None else StatedValue(with_it - without)


def _kept(paying: Sequence[Wanted], on: date) -> tuple[list[Wanted], tuple[Apart, ...]]:
    """Per work the largest sum among the sets that may pay together."""
    kept: list[Wanted] = []
    apart: list[Apart] = []
    for mine in _hanging_together(paying):
        work = mine[0].work
        sets = _allowed_sets(mine)
        if len(sets) == 1:
            kept += mine
            continue
        unclear = [one for one in _in_conflict(mine) if not _is_known(one)]
        if unclear:
            needs = "; ".join(reason for one in unclear for reason in one.answer.reasons)
            apart.append(Apart(work, (), _names(_in_conflict(mine)), None, needs or "an amount"))
            kept += [one for one in mine if one not in _in_conflict(mine)]
            continue
        best = max(sets, key=lambda one: (_received(one), _sum(one, on)))
        out = [one for one in mine if one not in best]
        costs = _sum(mine, on) - _sum(best, on)
        rivals = [one for one in _in_conflict(mine) if one in best]
        apart.append(Apart(work, _names(rivals), _names(out), costs))
        kept += best
    return kept, tuple(apart)


def _hanging_together(paying: Sequence[Wanted]) -> list[list[Wanted]]:
    """Those that pay for the same work, or that one for several measures joins; in the order given."""
    import networkx

    graph = networkx.Graph()
    graph.add_nodes_from(range(len(paying)))
    graph.add_edges_from(
        (a, b) for a in range(len(paying)) for b in range(a) if paying[a].shares_work_with(paying[b])
    )
    groups = sorted(sorted(group) for group in networkx.connected_components(graph))
    return [[paying[at] for at in group] for group in groups]


def _allowed_sets(mine: Sequence[Wanted]) -> list[list[Wanted]]:
    """The largest sets without two that exclude each other, in a fixed order."""
    import networkx

    graph = networkx.Graph()
    graph.add_nodes_from(range(len(mine)))
    graph.add_edges_from((a, b) for a in range(len(mine)) for b in range(a) if not _exclude(mine[a], mine[b]))
    return [[mine[at] for at in clique] for clique in sorted(map(sorted, networkx.find_cliques(graph)))]


def _names(some: Iterable[Wanted]) -> tuple[str, ...]:
    return tuple(one.programme.name for one in some)


def _exclude(one: Wanted, other: Wanted) -> bool:
    return one.shares_work_with(other) and any(
        first.answer.version is not None and second.programme.key in first.answer.version.not_together_with
        for first, second in ((one, other), (other, one))
    )


def _in_conflict(mine: Sequence[Wanted]) -> list[Wanted]:
    return [one for one in mine if any(other is not one and _exclude(one, other) for other in mine)]


def _is_known(one: Wanted) -> bool:
    return one.received_cents is not None or one.answer.amount_cents.is_known


def _received(some: Iterable[Wanted]) -> int:
    """What came already is not given back for a better sum."""
    return sum(one.received_cents or 0 for one in some)


def _sum(some: Sequence[Wanted], on: date) -> int:
    return sum(one.taken_cents.value or 0 for one in _taken(some, on))


def _taken(kept: Sequence[Wanted], on: date) -> tuple[Taken, ...]:
    """Programme by programme in order, over all works; each sees what those before it left."""
    ordered = _ordered(kept)
    given: dict[tuple[str, str], int | None] = {}
    found: list[Taken] = []
    for key in dict.fromkeys(one.programme.key for one in ordered):
        mine = [one for one in ordered if one.programme.key == key]
        told = _amounts(mine, ordered, given, on)
        for one in mine:
            cents, cuts = told[one.work]
            given[one.at] = cents
            same = [other for other in ordered if other.shares_work_with(one)]
            found.append(
                Taken(
                    key,
                    one.programme.name,
                    one.work,
                    same.index(one) + 1,
                    len(same),
                    _why(one, same),
                    one.answer.amount_cents
                    if one.received_cents is None
                    else StatedValue(one.received_cents),
                    UNKNOWN_CENTS if cents is None else StatedValue(cents),
                    cuts,
                    one.answer.version.tax if one.answer.version is not None else Tax(),
                )
            )
    return tuple(found)


def _ordered(kept: Sequence[Wanted]) -> list[Wanted]:
    """Those that count the whole cost before those that count what is left; else as they were chosen."""
    import networkx

    keys = list(dict.fromkeys(one.programme.key for one in kept))
    order = list(networkx.lexicographical_topological_sort(_network(kept), keys.index))
    return sorted(kept, key=lambda one: order.index(one.programme.key))


def _circle(kept: Sequence[Wanted]) -> tuple[str, ...]:
    """Programmes of which each counts only what the next leaves; empty when there is an order."""
    import networkx

    network = _network(kept)
    if networkx.is_directed_acyclic_graph(network):
        return ()
    names = {one.programme.key: one.programme.name for one in kept}
    return tuple(names[edge[0]] for edge in networkx.find_cycle(network))


def _network(kept: Sequence[Wanted]) -> networkx.DiGraph[str]:
    import networkx

    network: networkx.DiGraph[str] = networkx.DiGraph()
    network.add_nodes_from(one.programme.key for one in kept)
    for one in kept:
        network.add_edges_from(
            (other.programme.key, one.programme.key) for other in kept if _after(one, other)
        )
    return network


def _after(one: Wanted, other: Wanted) -> bool:
    """Whether money of `other` lowers the cost that `one` counts."""
    version = one.answer.version
    if version is None or other.programme.key == one.programme.key:
        return False
    if other.programme.key in version.taken_after:
        return True
    others = other.answer.version.taken_after if other.answer.version is not None else ()
    return ALL_OTHERS in version.taken_after and ALL_OTHERS not in others


def _amounts(
    mine: Sequence[Wanted], ordered: Sequence[Wanted], given: Mapping[tuple[str, str], int | None], on: date
) -> dict[str, tuple[int | None, tuple[Cut, ...]]]:
    """One programme over all its works: by the lowered cost, by caps over them, by what is left to pay."""
    cents: dict[str, int | None] = {}
    cuts: defaultdict[str, list[Cut]] = defaultdict(list)
    for one in mine:
        cents[one.work], lowered = _on_what_is_left(one, ordered, given, on)
        cuts[one.work] += lowered
    for work, (less, cap) in _caps_over_works(mine, cents).items():
        cents[work] = (cents[work] or 0) - less
        cuts[work].append(Cut(cap, less, over_works=True))
    for one in mine:
        amount = cents[one.work]
        if amount is None or one.received_cents is not None:
            continue
        room, why = _room(one, ordered, given)
        if amount > room:
            cuts[one.work].append(Cut(why, amount - room))
            cents[one.work] = room
    return {one.work: (cents[one.work], tuple(cuts[one.work])) for one in mine}


def _on_what_is_left(
    one: Wanted, ordered: Sequence[Wanted], given: Mapping[tuple[str, str], int | None], on: date
) -> tuple[int | None, list[Cut]]:
    """By the cost less what those before it pay; unknown where one of them is."""
    alone = one.answer.amount_cents.value
    if one.received_cents is not None:
        return one.received_cents, []
    before = [
        other for other in ordered if other.shares_work_with(one) and other.at in given and _after(one, other)
    ]
    if alone is None or any(given[other.at] is None for other in before):
        return None, []
    paid = _paid_by_work(before, given)
    less = sum(paid[work] for work in one.costs)
    if not less:
        return alone, []
    items = one.facts.items
    shares = split_cents(less, [Decimal(item.cost_cents) for item in items])
    left = tuple(
        replace(item, cost_cents=max(item.cost_cents - part, 0))
        for item, part in zip(items, shares, strict=True)
    )
    lower = evaluate(one.programme, replace(one.facts, items=left), on).amount_cents.value or 0
    names = " and ".join(other.programme.name for other in before)
    return lower, [Cut(f"it counts only what {names} leaves", alone - lower)] if alone > lower else []


def _caps_over_works(mine: Sequence[Wanted], cents: Mapping[str, int | None]) -> dict[str, tuple[int, str]]:
    """What caps over several works take off each, to the cent, by version of the rule.

    What came already counts against the caps and is not cut itself.
    """
    left = {work: amount for work, amount in cents.items() if amount}
    names: dict[str, str] = {}
    for version in _versions(one for one in mine if one.work in left):
        some = [one for one in mine if one.work in left and one.answer.version == version]
        years = [one.answer.tested_on.year if one.answer.tested_on else None for one in some]
        for caps, places in cap_turns(version.caps, years):
            names |= _one_turn(caps, [some[at] for at in places], left)
    return {work: ((cents[work] or 0) - left[work], cap) for work, cap in names.items()}


def _one_turn(caps: Sequence[Cap], some: Sequence[Wanted], left: dict[str, int]) -> dict[str, str]:
    """Lowers what is `left` of each by these caps over all of them; the cap that cut, by work."""
    raw = [(one.facts.items[0], Decimal(left[one.work]) / 100) for one in some]
    amounts, cap = capped(caps, raw)
    to_come = [at for at, one in enumerate(some) if one.received_cents is None and amounts[at]]
    room = max(to_cents(sum(amounts, Decimal(0))) - _received(some), 0)
    if not to_come or room >= sum(left[some[at].work] for at in to_come):
        return {}
    cut: dict[str, str] = {}
    for at, part in zip(to_come, split_cents(room, [amounts[at] for at in to_come]), strict=True):
        work = some[at].work
        if part < left[work]:
            left[work], cut[work] = part, cap
    return cut


def _versions(some: Iterable[Wanted]) -> list[Version]:
    found: list[Version] = []
    for one in some:
        if one.answer.version is not None and one.answer.version not in found:
            found.append(one.answer.version)
    return found


def _room(
    one: Wanted, ordered: Sequence[Wanted], given: Mapping[tuple[str, str], int | None]
) -> tuple[int, str]:
    """What may still be paid for the work, and the rule that says so."""
    same = [other for other in ordered if other.shares_work_with(one)]
    by_work = _paid_by_work([other for other in ordered if other is not one], given)
    paid = sum(by_work[work] for work in one.costs)
    versions = [other.answer.version for other in same if other.answer.version is not None]
    shares = [one.total_share_of_cost for one in versions if one.total_share_of_cost is not None]
    share = min([Decimal(1), *shares])
    why = "all together pay no more than the work costs"
    if share < 1:
        why = f"all together pay no more than {percent_text(share)} of the cost"
    return max(whole_cents(one.cost_cents * share) - paid, 0), why


def _paid_by_work(
    some: Iterable[Wanted], given: Mapping[tuple[str, str], int | None]
) -> defaultdict[str, int]:
    """What is paid for each piece of work; of one for several pieces by what is left to pay of each."""
    paid: defaultdict[str, int] = defaultdict(int)
    for one in some:
        cents = given.get(one.at, one.received_cents) or 0
        left = {work: max(cost - paid[work], 0) for work, cost in one.costs.items()}
        weights = left if any(left.values()) else dict.fromkeys(left, 1)
        parts = split_cents(cents, [Decimal(weight) for weight in weights.values()])
        for work, part in zip(weights, parts, strict=True):
            paid[work] += part
    return paid


def _why(one: Wanted, same: Sequence[Wanted]) -> str:
    if len(same) == 1:
        return ""
    before = [other.programme.name for other in same if _after(one, other)]
    if before:
        return f"it counts only what {' and '.join(before)} leaves"
    if any(_after(other, one) for other in same):
        return "it counts the whole cost, and others count what it leaves"
    return "it counts the whole cost, whatever the others pay"
