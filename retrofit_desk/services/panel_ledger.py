"""The load of a panel measure by measure, by the code's two ways: counted plates, and the metered peak."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from retrofit_desk.physics.panel_load import SERVICE_V, ServiceLoad, metered_load_va
from retrofit_desk.records import models as m
from retrofit_desk.rules.states import PATH, MeasureState
from retrofit_desk.services.circuit_entry import METERED_PEAK

DONE = PATH[PATH.index(MeasureState.IN_PLACE) :]


@dataclass(frozen=True)
class LedgerStep:
    """The panel after one measure. `metered_a` none: no metered peak is on record.

    `added_va`, `taken_va`: what the measure adds and takes away; `missing`: loads nobody stated.
    """

    measure: str
    added_va: float
    taken_va: float
    counted_a: float | None
    metered_a: float | None
    missing: tuple[str, ...]


def ledger(
    row: m.Panel,
    counted_today: Sequence[m.PanelLoad],
    measures: Sequence[m.Measure],
    answer: Callable[[list[m.PanelLoad]], ServiceLoad | None],
) -> tuple[LedgerStep, ...]:
    """From today on, each measure that touches the panel and is not done, in the order of the register."""
    counted = list(counted_today)
    peak = next((one for one in row.loads if one.category == METERED_PEAK), None)
    steps = [_step("As it stands today", [], [], counted, peak, answer)]
    for measure in measures:
        if measure.state.is_over:
            continue
        added = [
            one
            for one in row.loads
            if one.added_by_measure_id == measure.id
            and one not in counted
            and one.category != METERED_PEAK
            and not one.is_managed
        ]
        taken = [one for one in counted if one.removed_by_measure_id == measure.id]
        if added or taken:
            counted = [one for one in counted if one not in taken] + added
            steps.append(_step(measure.title, added, taken, counted, peak, answer))
    return tuple(steps)


def _step(
    title: str,
    added: Sequence[m.PanelLoad],
    taken: Sequence[m.PanelLoad],
    counted: list[m.PanelLoad],
    peak: m.PanelLoad | None,
    answer: Callable[[list[m.PanelLoad]], ServiceLoad | None],
) -> LedgerStep:
    by_plates = answer(counted)
    return LedgerStep(
        title,
        sum(one.volt_amperes or 0.0 for one in added),
        sum(one.volt_amperes or 0.0 for one in taken),
        by_plates.amperes if by_plates is not None else None,
        _metered_a(counted, peak),
        tuple(one.name for one in added if one.volt_amperes is None),
    )


def _metered_a(counted: Sequence[m.PanelLoad], peak: m.PanelLoad | None) -> float | None:
    """What came since the peak is added at its plate; what went stays in it, for the meter saw it."""
    if peak is None or peak.volt_amperes is None:
        return None
    since = [
        one
        for one in counted
        if one.added_by_measure_id is not None
        and (one.from_date is None or peak.from_date is None or one.from_date > peak.from_date)
    ]
    new_va = sum(one.volt_amperes or 0.0 for one in since)
    return metered_load_va(peak.volt_amperes, new_va, basis="year of bills") / SERVICE_V
