"""The states of a measure, the evidence that moves it on, and the ways back."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class MeasureState(StrEnum):
    """The seven notches from idea to proven, two other answers of the bills, and two ends."""

    IDEA = "idea"
    PRICED = "priced"
    COMMITTED = "committed"
    UNDER_WAY = "under way"
    IN_PLACE = "in place"
    SIGNED_OFF = "signed off"
    PROVEN = "proven"
    TOO_SOON = "too soon"
    NOT_BORNE_OUT = "not borne out"
    DROPPED = "dropped"
    REPLACED = "replaced"

    @property
    def is_over(self) -> bool:
        """Given up, or another measure took its place: it counts no more."""
        return self in (MeasureState.DROPPED, MeasureState.REPLACED)


PATH = (
    MeasureState.IDEA,
    MeasureState.PRICED,
    MeasureState.COMMITTED,
    MeasureState.UNDER_WAY,
    MeasureState.IN_PLACE,
    MeasureState.SIGNED_OFF,
    MeasureState.PROVEN,
)
"""The notches in their order."""

RULES: dict[MeasureState, str] = {
    MeasureState.IDEA: "written down, nothing asked yet",
    MeasureState.PRICED: "a written quote or the owner's own costing is filed",
    MeasureState.COMMITTED: "signed or bought",
    MeasureState.UNDER_WAY: "work has begun",
    MeasureState.IN_PLACE: "everything is fitted and tested",
    MeasureState.SIGNED_OFF: "accepted by the inspector, or by the owner where no permit is needed",
    MeasureState.PROVEN: "the bills confirm it",
    MeasureState.TOO_SOON: "the bills since then are too few to say",
    MeasureState.NOT_BORNE_OUT: "the bills do not show it",
    MeasureState.DROPPED: "given up, for a written reason",
    MeasureState.REPLACED: "another measure took its place",
}
"""One line for each state, as the owner reads it."""

_AFTER_SIGNED_OFF = (MeasureState.PROVEN, MeasureState.TOO_SOON, MeasureState.NOT_BORNE_OUT)


class BillsAnswer(StrEnum):
    """What *Did it work?* last said about a measure."""

    NOT_ASKED = "not asked"
    TOO_SOON = "too soon"
    CONFIRMED = "confirmed"
    NOT_BORNE_OUT = "not borne out"


@dataclass(frozen=True)
class MeasureFacts:
    """What the record holds about one measure. Paid and rebate received are no states and not asked here."""

    has_written_quote: bool = False
    has_own_costing: bool = False
    is_signed_or_bought: bool = False
    is_own_work: bool = False
    work_has_begun: bool = False
    everything_fitted: bool = False
    open_tests: tuple[str, ...] = ()
    """Tests asked for and not passed, by name."""
    needs_permit: bool = False
    permits_issued: bool = False
    open_inspections: tuple[str, ...] = ()
    """Inspections not passed, corrections not closed, by name."""
    owner_accepts: bool = False
    bills: BillsAnswer = BillsAnswer.NOT_ASKED
    replaced_by: str = ""


@dataclass(frozen=True)
class MoveAnswer:
    """Whether a measure may go to a state; what is missing follows "needs"."""

    before: MeasureState
    after: MeasureState
    missing: tuple[str, ...]

    @property
    def is_allowed(self) -> bool:
        return not self.missing

    @property
    def sentence(self) -> str:
        if self.is_allowed:
            return f"May go from {self.before} to {self.after}: {RULES[self.after]}."
        return f"Not yet {self.after}: needs {_listed(self.missing)}."


def notches(state: MeasureState, before: MeasureState = MeasureState.IDEA) -> int:
    """How many of the seven notches are filled; for dropped and replaced, those of the state `before`."""
    if state.is_over:
        return 1 if before.is_over else notches(before)
    if state in (MeasureState.TOO_SOON, MeasureState.NOT_BORNE_OUT):
        return PATH.index(MeasureState.SIGNED_OFF) + 1
    return PATH.index(state) + 1


def missing_for(state: MeasureState, facts: MeasureFacts) -> tuple[str, ...]:
    """What the record still lacks for `state`, with everything that comes before it."""
    if state is MeasureState.REPLACED:
        return () if facts.replaced_by else ("the measure that takes its place",)
    if state.is_over:
        return ()
    goal = PATH[notches(state) - 1]
    found: list[str] = []
    for step in PATH[1 : PATH.index(goal) + 1]:
        found.extend(_own_needs(step, facts))
    if state in (MeasureState.TOO_SOON, MeasureState.NOT_BORNE_OUT) and facts.bills.value != state.value:
        found.append(f"an answer of the bills that says {state}")
    return tuple(dict.fromkeys(found))


def supported_state(facts: MeasureFacts) -> MeasureState:
    """The furthest state for which all evidence is there."""
    if facts.replaced_by:
        return MeasureState.REPLACED
    for other in (MeasureState.TOO_SOON, MeasureState.NOT_BORNE_OUT):
        if not missing_for(other, facts):
            return other
    return max((step for step in PATH if not missing_for(step, facts)), key=PATH.index)


def next_notch(state: MeasureState) -> MeasureState | None:
    """The state that comes next on the path; nothing after the bills have spoken or at an end."""
    if state in (MeasureState.TOO_SOON, MeasureState.NOT_BORNE_OUT):
        return MeasureState.PROVEN
    if state.is_over or state is MeasureState.PROVEN:
        return None
    return PATH[PATH.index(state) + 1]


def may_move(
    before: MeasureState, after: MeasureState, facts: MeasureFacts, *, reason: str = ""
) -> MoveAnswer:
    """Whether a measure may go from one state to another.

    Forward needs the evidence of every state on the way. Back, dropped and reopened need a written reason.
    """
    missing: list[str] = []
    if before is after:
        missing.append("another state than the one it has")
    if after is MeasureState.DROPPED and may_reopen(before):
        missing.append("to be reopened first, for it stands in the house")
    if _needs_reason(before, after) and not reason.strip():
        missing.append("a written reason")
    missing.extend(_evidence_for_move(before, after, facts))
    return MoveAnswer(before, after, tuple(dict.fromkeys(missing)))


def may_reopen(state: MeasureState) -> bool:
    """A measure can be reopened once it is in place."""
    return state in (MeasureState.IN_PLACE, MeasureState.SIGNED_OFF, *_AFTER_SIGNED_OFF)


def _needs_reason(before: MeasureState, after: MeasureState) -> bool:
    if after.is_over or before.is_over:
        return True
    both_bills = before in _AFTER_SIGNED_OFF and after in _AFTER_SIGNED_OFF
    return not both_bills and notches(after) < notches(before)


def _evidence_for_move(before: MeasureState, after: MeasureState, facts: MeasureFacts) -> tuple[str, ...]:
    # back to under way is a reopening: the evidence of what was done stays on record and is not asked again
    going_back = not before.is_over and not after.is_over and notches(after) < notches(before)
    return () if going_back else missing_for(after, facts)


def _own_needs(step: MeasureState, facts: MeasureFacts) -> list[str]:
    """What one notch asks for by itself; a later act answers for an earlier one it contains."""
    begun = facts.work_has_begun or facts.everything_fitted
    if step is MeasureState.PRICED:
        priced = facts.has_written_quote or facts.has_own_costing or facts.is_signed_or_bought
        return [] if priced else ["a written quote or your own costing"]
    if step is MeasureState.COMMITTED:
        committed = facts.is_signed_or_bought or (facts.is_own_work and begun)
        return [] if committed else ["a signed contract or a receipt"]
    if step is MeasureState.UNDER_WAY:
        return [] if begun else ["a first write-up of the work"]
    if step is MeasureState.IN_PLACE:
        fitted = [] if facts.everything_fitted else ["a write-up that says everything is fitted"]
        return fitted + [f"the test passed: {test}" for test in facts.open_tests]
    if step is MeasureState.SIGNED_OFF:
        return _sign_off_needs(facts)
    return [] if facts.bills is BillsAnswer.CONFIRMED else ["bills that confirm it"]


def _sign_off_needs(facts: MeasureFacts) -> list[str]:
    if not facts.needs_permit:
        return [] if facts.owner_accepts else ["your own acceptance, for no permit is needed"]
    issued = [] if facts.permits_issued else ["its permit issued"]
    return issued + [f"passed: {inspection}" for inspection in facts.open_inspections]


def _listed(parts: tuple[str, ...]) -> str:
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"
