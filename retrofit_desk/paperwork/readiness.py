"""Holds what a packet needs against the papers filed: have, missing, out of date, does not match."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from retrofit_desk.paperwork.contents import ReadinessLine
from retrofit_desk.paperwork.needs import Need, Per, When
from retrofit_desk.paperwork.show import day
from retrofit_desk.rules.matching import Fact, FactKind, Readiness, Reading, compare, cross_check, shown
from retrofit_desk.values.place import PageKey, Place
from retrofit_desk.values.quantity import count_text

_WORDS = {
    FactKind.SERIAL: "Serial number",
    FactKind.MODEL: "Model number",
    FactKind.NAME: "Owner's name",
    FactKind.FIRM: "Firm's legal name",
    FactKind.ADDRESS: "Address",
    FactKind.DATE: "Date",
    FactKind.AMOUNT: "Amount",
    FactKind.NUMBER: "Number",
}
THE_RECORD = "the record"


@dataclass(frozen=True)
class FiledPaper:
    """A filed paper as readiness sees it. `about`: keys of the measures it serves; empty: the project."""

    title: str
    kind: str
    dated_on: date | None = None
    ends_on: date | None = None
    about: frozenset[str] = frozenset()
    facts: tuple[Fact, ...] = ()
    trouble: str = ""
    """Why nobody can read it, such as "is damaged and cannot be read"; empty where that was not found."""


@dataclass(frozen=True)
class Subject:
    """A measure, or the project itself with an empty `kind`; `facts`: what the record says of it.

    `has_no`: facts that it cannot have, such as the serial number of insulation.
    """

    key: str
    kind: str
    title: str
    facts: tuple[Fact, ...] = ()
    record_id: int | None = None
    has_no: frozenset[FactKind] = frozenset()
    is_so: frozenset[When] = frozenset(When)


def readiness_of(
    needs: Sequence[Need],
    project: Subject,
    measures: Sequence[Subject],
    papers: Sequence[FiledPaper],
    today: date,
) -> tuple[ReadinessLine, ...]:
    """First the project's needs, then measure by measure; after the papers, the facts they must agree on."""
    lines = _lines_of([need for need in needs if need.per is Per.PROJECT], project, (), papers, today)
    for measure in measures:
        own = [need for need in needs if need.per is Per.MEASURE and _concerns(need, measure)]
        about = [paper for paper in papers if measure.key in paper.about]
        lines += _lines_of(own, measure, project.facts, about, today)
    return tuple(lines)


def _concerns(need: Need, measure: Subject) -> bool:
    is_asked = need.when is None or need.when in measure.is_so
    return is_asked and (not need.measure_kinds or measure.kind in need.measure_kinds)


def _lines_of(
    needs: Sequence[Need], subject: Subject, more: tuple[Fact, ...], papers: Sequence[FiledPaper], today: date
) -> list[ReadinessLine]:
    lines: list[ReadinessLine] = []
    carriers: dict[FactKind, list[FiledPaper]] = {}
    for need in needs:
        answering = [paper for paper in papers if _answers(paper, need)]
        current = [paper for paper in answering if not (paper.trouble or _too_old(paper, need, today))]
        lines.append(_presence(need, subject, answering, current, today))
        for kind in (one for one in need.match if one not in subject.has_no):
            seen = carriers.setdefault(kind, [])
            seen += [paper for paper in _told_by(current, kind) if paper not in seen]
    for kind, filed in carriers.items():
        lines += _agreement(kind, subject, (*subject.facts, *more), filed)
    return lines


def _answers(paper: FiledPaper, need: Need) -> bool:
    states = not need.states or any(fact.kind in need.states for fact in paper.facts)
    return paper.kind in need.paper_kinds and states


def _told_by(papers: Sequence[FiledPaper], kind: FactKind) -> Sequence[FiledPaper]:
    """Those that state the fact; if none does, all of them, since one of them should."""
    stating = [paper for paper in papers if any(fact.kind is kind for fact in paper.facts)]
    return stating or papers


def _presence(
    need: Need, subject: Subject, answering: Sequence[FiledPaper], current: Sequence[FiledPaper], today: date
) -> ReadinessLine:
    label = need.label if need.per is Per.PROJECT else f"{need.label}, {subject.title}"
    place = _place(subject)
    if not answering:
        return ReadinessLine(label, Readiness.MISSING, "", need.do, place)
    if not current and all(paper.trouble for paper in answering):
        told = "; ".join(f"{paper.title} {paper.trouble}" for paper in answering[:3])
        return ReadinessLine(label, Readiness.MISSING, told, f"File it again, readable. {need.do}", place)
    if not current:
        sound = [paper for paper in answering if not paper.trouble]
        newest = max(sound, key=lambda paper: paper.dated_on or date.min)
        return ReadinessLine(label, Readiness.OUT_OF_DATE, _too_old(newest, need, today), need.do, place)
    found = "; ".join(_named(paper) for paper in current[:3])
    rest = f" and {len(current) - 3} more" if len(current) > 3 else ""
    return ReadinessLine(label, Readiness.HAVE, found + rest, "", place)


def _named(paper: FiledPaper) -> str:
    return f"{paper.title}, {day(paper.dated_on)}" if paper.dated_on else paper.title


def _too_old(paper: FiledPaper, need: Need, today: date) -> str:
    """Why the paper no longer serves; empty while it does."""
    if paper.ends_on is not None and paper.ends_on < today:
        return f"{paper.title} ran out on {day(paper.ends_on)}"
    if need.before is not None and paper.dated_on is not None and paper.dated_on >= need.before:
        was = day(paper.dated_on)
        return f"{paper.title} is of {was}; it had to be there before the work, begun {day(need.before)}"
    if need.max_age_days is None:
        return ""
    wanted = f"not older than {count_text(need.max_age_days, 'day')} is wanted"
    if paper.dated_on is None:
        return f"{paper.title} bears no date; {wanted}"
    if paper.dated_on + timedelta(days=need.max_age_days) < today:
        return f"{paper.title} is of {day(paper.dated_on)}; {wanted}"
    return ""


def _agreement(
    kind: FactKind, subject: Subject, recorded: Sequence[Fact], papers: Sequence[FiledPaper]
) -> list[ReadinessLine]:
    """One line per recorded value of the kind, or one over the papers alone; none where none is filed.

    Of several recorded values a paper speaks of the ones it comes nearest to.
    """
    if not papers:
        return []
    known = [fact for fact in recorded if fact.kind is kind] or [Fact(kind, "")]
    if len(known) == 1:
        return [_agree(kind, subject, known[0], papers)]
    lines = []
    for fact in known:
        spoken = [paper for paper in papers if _speaks_of(paper, fact, known)]
        # every payment wants its proof; a machine or firm may well stand on none of these papers
        if spoken or kind is FactKind.AMOUNT:
            lines.append(_agree(kind, subject, fact, spoken))
    silent = [paper for paper in papers if not any(one.kind is kind for one in paper.facts)]
    return lines + ([_agree(kind, subject, Fact(kind, ""), silent)] if silent and not lines else [])


def _speaks_of(paper: FiledPaper, fact: Fact, known: Sequence[Fact]) -> bool:
    own = [one for one in paper.facts if one.kind is fact.kind]
    return any(_nearest(one, known) is fact for one in own)


def _nearest(stated: Fact, known: Sequence[Fact]) -> Fact:
    labeled = [fact for fact in known if stated.label and fact.label == stated.label]
    return max(labeled or known, key=lambda fact: _nearness(fact, stated.value))


def _agree(kind: FactKind, subject: Subject, fact: Fact, papers: Sequence[FiledPaper]) -> ReadinessLine:
    readings = [Reading(paper.title, _best(paper, fact)) for paper in papers]
    expected = Reading(THE_RECORD, fact.value) if fact.value else None
    check = cross_check(kind, subject.title, expected, readings)
    silent = [reading.paper for reading in readings if not reading.value]
    word, found, do = check.word, check.line, ""
    if word is Readiness.DOES_NOT_MATCH:
        do = "A slip is likely: look again, then have the wrong paper corrected." if check.near else _CORRECT
    elif silent:
        word, found = Readiness.MISSING, f"not stated on {', '.join(silent)}"
        do = "Read it off the paper and note it there, or ask for a paper that states it."
    elif not papers:
        found, do = f"no paper states {shown(kind, fact.value)}", "File the paper that shows it."
    elif word is Readiness.MISSING:
        do = "Enter it where the measure is written up."
    label = f"{_WORDS[kind]}{f' ({fact.label})' if fact.label else ''}, {subject.title}"
    return ReadinessLine(label, word, found, do, _place(subject))


_CORRECT = "Find out which is right, then have the wrong paper corrected."


def _best(paper: FiledPaper, wanted: Fact) -> str | None:
    """The value the paper states for this fact: of several, the one that comes nearest."""
    own = [fact for fact in paper.facts if fact.kind is wanted.kind]
    labeled = [fact for fact in own if wanted.label and fact.label == wanted.label]
    values = [fact.value for fact in labeled or own]
    return max(values, key=lambda value: _nearness(wanted, value), default=None)


def _nearness(wanted: Fact, value: str) -> int:
    if not wanted.value:
        return 0
    result = compare(wanted.kind, wanted.value, value)
    return 2 if result.same else int(result.near)


def _place(subject: Subject) -> Place:
    if subject.kind:
        return Place(PageKey.MEASURES, "measure", subject.record_id)
    return Place(PageKey.PAPERS)


def counts(lines: Iterable[ReadinessLine]) -> dict[Readiness, int]:
    """How many lines carry each word; all four words are there."""
    kept = list(lines)
    return {word: sum(1 for line in kept if line.word is word) for word in Readiness}
