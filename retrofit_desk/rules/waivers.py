"""Which lien waivers a payment waits for, and who in the chain can still claim against the house."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from retrofit_desk.values.origin import Origin


class WaiverKind(StrEnum):
    CONDITIONAL_PROGRESS = "conditional, progress"
    UNCONDITIONAL_PROGRESS = "unconditional, progress"
    CONDITIONAL_FINAL = "conditional, final"
    UNCONDITIONAL_FINAL = "unconditional, final"


@dataclass(frozen=True)
class WaiverForm:
    """A form a state's law fixes."""

    state: str
    kind: WaiverKind
    name: str
    statute: str
    origin: Origin


@dataclass(frozen=True)
class LienWindow:
    """How long after its last work a firm may file a claim against the house, by state."""

    state: str
    days: int
    text: str
    origin: Origin


@dataclass(frozen=True)
class ChainFirm:
    """A firm in the chain. The firm under contract always counts; others once they gave notice."""

    key: str
    name: str
    is_main: bool = False
    gave_notice: bool = False


@dataclass(frozen=True)
class Waiver:
    """One waiver on record. `is_signed` and, for a progress waiver, `through_on` make it whole."""

    firm: str
    stage: str
    kind: WaiverKind
    is_signed: bool
    through_on: date | None = None
    exceptions: str = ""


@dataclass(frozen=True)
class StagePaid:
    """A stage already paid; `cleared` when the bank says so."""

    stage: str
    cleared: bool


def waivers_before_paying(
    stage: str,
    *,
    is_final: bool,
    firms: Iterable[ChainFirm],
    waivers: Sequence[Waiver],
    paid_before: Iterable[StagePaid] = (),
) -> tuple[str, ...]:
    """What is missing before a stage may be paid, in words that follow "until".

    Before each payment: a conditional waiver for it. For every earlier payment that cleared: its
    unconditional waiver. Before the final payment both from everyone in the chain who counts.
    """
    chain = [one for one in firms if one.is_main or one.gave_notice]
    asked = WaiverKind.CONDITIONAL_FINAL if is_final else WaiverKind.CONDITIONAL_PROGRESS
    missing: list[str] = []
    for firm in chain:
        if not _has(waivers, firm.key, stage, (asked,)):
            missing.append(f"the waiver of {firm.name} ({asked}) is in")
        for earlier in paid_before:
            whole = (WaiverKind.UNCONDITIONAL_PROGRESS, WaiverKind.UNCONDITIONAL_FINAL)
            if earlier.cleared and not _has(waivers, firm.key, earlier.stage, whole):
                missing.append(f"the unconditional waiver of {firm.name} for “{earlier.stage}” is in")
        if is_final and not _uncovered_free(firm, waivers):
            missing.append(f"the waiver of {firm.name} names no exceptions")
    return tuple(dict.fromkeys(missing))


def waivers_before_release(firms: Iterable[ChainFirm], waivers: Sequence[Waiver]) -> tuple[str, ...]:
    """What is missing before retainage may be released: a final waiver of everyone who counts.

    The firm under contract may give a conditional one, for this is its last money; the others were paid by
    it before and give an unconditional one.
    """
    missing: list[str] = []
    for firm in (one for one in firms if one.is_main or one.gave_notice):
        kinds = [WaiverKind.UNCONDITIONAL_FINAL]
        if firm.is_main:
            kinds.append(WaiverKind.CONDITIONAL_FINAL)
        if not any(_whole(w) and w.firm == firm.key and w.kind in kinds for w in waivers):
            missing.append(f"the waiver of {firm.name} ({kinds[-1]}) is in")
        if not _uncovered_free(firm, waivers):
            missing.append(f"the waiver of {firm.name} names no exceptions")
    return tuple(missing)


def can_still_claim(firms: Iterable[ChainFirm], waivers: Sequence[Waiver]) -> tuple[ChainFirm, ...]:
    """Firms in the chain without an unconditional final waiver."""
    final = (WaiverKind.UNCONDITIONAL_FINAL,)
    return tuple(
        one
        for one in firms
        if (one.is_main or one.gave_notice)
        and not any(_whole(w) and w.firm == one.key and w.kind in final for w in waivers)
    )


def _has(waivers: Sequence[Waiver], firm: str, stage: str, kinds: tuple[WaiverKind, ...]) -> bool:
    return any(w.firm == firm and w.stage == stage and w.kind in kinds and _whole(w) for w in waivers)


def _whole(waiver: Waiver) -> bool:
    progress = waiver.kind in (WaiverKind.CONDITIONAL_PROGRESS, WaiverKind.UNCONDITIONAL_PROGRESS)
    return waiver.is_signed and (not progress or waiver.through_on is not None)


def _uncovered_free(firm: ChainFirm, waivers: Sequence[Waiver]) -> bool:
    return not any(w.firm == firm.key and w.exceptions.strip() and w.is_signed for w in waivers)
