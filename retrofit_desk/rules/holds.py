"""One engine for every step that waits: cover, remove, pay, start, sign, energize."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from retrofit_desk.values.dates import day_text, weekday
from retrofit_desk.values.errors import DeskError


class HoldAction(StrEnum):
    COVER = "cover"
    REMOVE = "remove"
    PAY = "pay"
    START = "start"
    SIGN = "sign"
    ENERGIZE = "energize"


class NeedKind(StrEnum):
    """What kind of evidence a hold waits for."""

    PAPER = "paper"
    PHOTO_SET = "photo set"
    INSPECTION = "inspection passed"
    TEST = "test passed"
    MEASURE = "measure state"
    WAIVER = "lien waiver"
    PAYMENT_CLEARED = "payment cleared"
    RESERVATION = "reservation"
    PERMIT = "permit issued"
    EQUIPMENT_RUNNING = "tested and running"
    TAKEN_OUT = "taken out"
    CORRECTIONS = "corrections closed"
    DATE = "date reached"
    OTHER = "other"


class Outcome(StrEnum):
    """What a piece of evidence says."""

    GIVEN = "given"
    EXPECTED = "expected"
    """Booked, asked for, ordered: on its way, and no evidence yet."""
    REFUSED = "refused"
    """Failed, bounced, declined."""


@dataclass(frozen=True)
class Need:
    """One thing a hold waits for.

    `key` names what is looked at ("inspection:12", "need:4"); `text` follows "until"; `count` papers.
    `not_before`: not free before that day. `not_applicable_reason`: why the owner does not ask for it here.
    """

    kind: NeedKind
    text: str
    key: str = ""
    count: int = 1
    not_before: date | None = None
    with_whom: str = ""
    not_applicable_reason: str = ""


@dataclass(frozen=True)
class Evidence:
    """Something filed, found or booked. Counts from `on` to `valid_until`; without a date it never counts."""

    kind: NeedKind
    key: str
    outcome: Outcome
    on: date | None
    count: int = 1
    valid_until: date | None = None
    title: str = ""


@dataclass(frozen=True)
class Override:
    """Somebody went on without the evidence, for a reason that stays visible.

    `on`: when the reason was given, which is later than the step where that is written up afterwards.
    """

    reason: str
    by: str
    on: date
    missing: tuple[str, ...]


@dataclass(frozen=True)
class Hold:
    """One step that waits: don't `action` `what` until all `needs` are answered."""

    key: str
    action: HoldAction
    what: str
    needs: tuple[Need, ...]
    because: str = ""
    source: str = ""
    override: Override | None = None
    done_on: date | None = None
    """The day the step itself was done."""


@dataclass(frozen=True)
class OpenNeed:
    """A need without its evidence; `state` says how far it is, in words for brackets ("booked Thursday")."""

    need: Need
    state: str

    @property
    def text(self) -> str:
        return f"{self.need.text} ({self.state})" if self.state else self.need.text


@dataclass(frozen=True)
class HoldAnswer:
    """What the desk says about a hold on one day, in one sentence."""

    hold: Hold
    on: date
    open_needs: tuple[OpenNeed, ...]
    free_since: date | None
    """The day the last evidence came, when free by evidence; none too when no need asks for any."""
    sentence: str
    not_overridden: tuple[OpenNeed, ...] = ()
    """Open needs that were answered when the override was given: it does not speak for them."""

    @property
    def is_free(self) -> bool:
        """Free by evidence alone."""
        return not self.open_needs

    @property
    def is_overridden(self) -> bool:
        return self.hold.override is not None and not self.is_free and not self.not_overridden

    @property
    def may_go_on(self) -> bool:
        return self.is_free or self.is_overridden


class NotYet(DeskError):
    """A step was tried before its evidence; only a written reason goes past."""


class Known:
    """All evidence on record, found by what it speaks of: many holds are answered from one look."""

    def __init__(self, evidence: Iterable[Evidence]) -> None:
        self._by_need: dict[tuple[NeedKind, str], list[Evidence]] = {}
        for one in evidence:
            self._by_need.setdefault((one.kind, one.key), []).append(one)

    def of(self, need: Need) -> Sequence[Evidence]:
        """Everything that speaks of this need."""
        return self._by_need.get((need.kind, need.key), ())


def answer(hold: Hold, evidence: Iterable[Evidence] | Known, on: date) -> HoldAnswer:
    """What `hold` says on the day `on`, given all the evidence on record."""
    known = evidence if isinstance(evidence, Known) else Known(evidence)
    open_needs: list[OpenNeed] = []
    days: list[date] = []
    for need in hold.needs:
        since, state = _look(need, known, on)
        if since is None:
            open_needs.append(OpenNeed(need, state))
        else:
            days.append(since)
    known_days = [day for day in days if day > date.min]
    free_since = max(known_days, default=None) if not open_needs else None
    beyond = _beyond_override(hold, open_needs, known)
    sentence = _sentence(hold, tuple(open_needs), beyond, free_since)
    return HoldAnswer(hold, on, tuple(open_needs), free_since, sentence, beyond)


def go_on(
    hold: Hold,
    evidence: Iterable[Evidence] | Known,
    on: date,
    *,
    reason: str = "",
    by: str = "",
    given_on: date | None = None,
) -> tuple[HoldAnswer, Override | None]:
    """Let the step be done on `on`. Returns the answer and, when it went on for a reason, the new override.

    `given_on`: the day on which the reason is given, where it is not the day of the step.
    Raises `NotYet` when evidence is missing and there is neither an earlier override nor a reason.
    """
    found = answer(hold, evidence, on)
    if found.may_go_on:
        return found, None
    if not reason.strip():
        raise NotYet(
            found.sentence, kept="nothing was done", do="file what is missing, or write down why you go on"
        )
    missing = tuple(one.text for one in found.open_needs)
    return found, Override(reason.strip(), by, given_on or on, missing)


def _beyond_override(hold: Hold, open_needs: list[OpenNeed], known: Known) -> tuple[OpenNeed, ...]:
    """What opened again after the override: a wall reopened, a certificate that ran out since."""
    given = hold.override
    if given is None:
        return ()
    return tuple(one for one in open_needs if _look(one.need, known, given.on)[0] is not None)


def _look(need: Need, known: Known, on: date) -> tuple[date | None, str]:
    """The day since which a need is answered, or nothing and how far it is."""
    if need.not_applicable_reason.strip():
        return (need.not_before or date.min), ""
    if need.not_before is not None and on < need.not_before:
        return None, f"not before {_near(need.not_before, on)}"
    if need.kind is NeedKind.DATE:
        return (need.not_before, "") if need.not_before else (None, "no date set")
    mine = known.of(need)
    good = [one for one in mine if _counts(one, on)]
    # a later refusal outweighs an earlier pass: the wall was opened again, the certificate was withdrawn
    refused = [one for one in mine if one.outcome is Outcome.REFUSED and one.on and one.on <= on]
    last_refusal = max((one.on for one in refused if one.on), default=None)
    standing = [
        one for one in good if last_refusal is None or (one.on is not None and one.on >= last_refusal)
    ]
    have = sum(one.count for one in standing)
    if have >= need.count:
        since = max(one.on for one in standing if one.on)
        return max(since, need.not_before or since), ""
    return None, _how_far(need, mine, have, last_refusal, on)


def _counts(evidence: Evidence, on: date) -> bool:
    if evidence.outcome is not Outcome.GIVEN or evidence.on is None or evidence.on > on:
        return False
    return evidence.valid_until is None or on <= evidence.valid_until


def _how_far(need: Need, mine: Sequence[Evidence], have: int, last_refusal: date | None, on: date) -> str:
    parts: list[str] = []
    coming = sorted(
        one.on for one in mine if one.outcome is Outcome.EXPECTED and one.on is not None and one.on >= on
    )
    lapsed = [one for one in mine if one.valid_until is not None and one.valid_until < on]
    if need.count > 1:
        parts.append(f"{have} of {need.count}")
    if last_refusal is not None:
        parts.append(f"failed {_near(last_refusal, on)}")
    if lapsed:
        parts.append(f"ran out {_near(max(one.valid_until for one in lapsed if one.valid_until), on)}")
    if any(one.outcome is Outcome.GIVEN and one.on is None for one in mine):
        parts.append("filed without its date")
    if coming:
        parts.append(f"{_COMING.get(need.kind, 'expected')} {_near(coming[0], on)}")
    elif need.with_whom:
        parts.append(f"with {need.with_whom}")
    return ", ".join(parts)


_COMING = {NeedKind.INSPECTION: "booked", NeedKind.TEST: "planned", NeedKind.PERMIT: "applied for, due"}


def _near(day: date, on: date) -> str:
    """A weekday within the coming week, else the date; the owner reads it beside today."""
    if 0 < (day - on).days < 7:
        return weekday(day)
    return "today" if day == on else day_text(day)


def _given(override: Override, done_on: date | None) -> str:
    """The day of the reason; with that of the step where it was written up on another day."""
    given = day_text(override.on)
    return given if done_on in (None, override.on) else f"{given} for {day_text(done_on)}"


def _sentence(
    hold: Hold, open_needs: tuple[OpenNeed, ...], beyond: tuple[OpenNeed, ...], free_since: date | None
) -> str:
    step = f"{hold.action} {hold.what}"
    if not open_needs:
        since = f" since {day_text(free_since)}" if free_since else ""
        return f"Free{since}: {step}."
    until = " and ".join(need.text for need in beyond or open_needs)
    if hold.override is not None and not beyond:
        return (
            f"Going on without: {step}, though not until {until}. "
            f"Reason of {_given(hold.override, hold.done_on)}: {hold.override.reason.rstrip('.')}."
        )
    return f"Not yet: don't {step} until {until}."
