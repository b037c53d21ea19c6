"""A story cut into the days on which it came to be known, each with what it says in one line."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from retrofit_desk.records import models as m
from retrofit_desk.records.models.contracts import ContractState
from retrofit_desk.services.sample_house.known import Columns, Known
from retrofit_desk.services.sample_house.story import SET_UP, Story

LONGEST = 76
DESCRIBED = "Describe the house"
"""Title of the first day."""


@dataclass(frozen=True)
class Told:
    """A row on one day: the columns that read so from then on; `is_new`: it was not there before."""

    row: m.Base
    columns: Columns
    is_new: bool


@dataclass
class Chapter:
    """What one day brought."""

    on: date
    title: str
    is_step: bool
    """A step of its own, which undo takes back."""
    told: list[Told] = field(default_factory=list)


def chapters(story: Story) -> list[Chapter]:
    """The whole story in the order of its days; the steps that the files name come last."""
    known = Known(story)
    days: dict[date, list[Told]] = defaultdict(list)
    steps: dict[str, Chapter] = {}
    for told in story.told:
        if told.action == SET_UP:
            for on, entry in _entries(known, told.row):
                days[on].append(entry)
        else:
            step = steps.setdefault(told.action, Chapter(known.since(told.row), told.action, is_step=True))
            step.told.append(Told(told.row, {}, is_new=True))
    found = [Chapter(on, _title(known, on, days[on]), is_step=False, told=days[on]) for on in sorted(days)]
    return found + list(steps.values())


def _entries(known: Known, row: m.Base) -> Iterator[tuple[date, Told]]:
    since, turns = known.since(row), known.turns(row)
    touched = {column for _, before in turns for column in before}
    final = {column: getattr(row, column) for column in touched}
    stood: Columns = {}
    for on in sorted({since, *(day for day, _ in turns)}):
        stands = dict(final)
        for day, before in turns:
            if day > on:
                stands |= before
        changed = {column: value for column, value in stands.items() if stood.get(column, row) != value}
        yield on, Told(row, changed, is_new=on == since)
        stood = stands


# what a day says in one line


def _title(known: Known, on: date, told: list[Told]) -> str:
    if on == known.first:
        return DESCRIBED
    names = _Names(known)
    ranked = sorted(
        (rank, said)
        for one in told
        for rank, (model, say) in enumerate(_SAYINGS)
        if type(one.row) is model and (said := say(names, one))
    )
    lines = list(dict.fromkeys(said for _, said in ranked)) or ["Note what came"]
    first, *more = lines
    if more and len(first) + len(more[0]) < LONGEST:
        first, more = f"{first}; {more[0]}", more[1:]
    return f"{first}; {len(more)} more" if more else first


@dataclass(frozen=True)
class _Names:
    known: Known

    def of(self, model: type[m.Base], row_id: int | None) -> str:
        row = self.known.story.row(model, row_id)
        return "" if row is None else str(getattr(row, "title", "") or getattr(row, "name", ""))

    def firm(self, row: Any) -> str:
        return self.of(m.Firm, row.firm_id)

    def measure(self, row: Any) -> str:
        return self.of(m.Measure, row.measure_id)


Say = Callable[[_Names, Any], str]
"""What a row says of its day; nothing where something else says it better."""


def _if_new(say: Callable[[_Names, Any], str]) -> Say:
    return lambda names, one: say(names, one.row) if one.is_new else ""


def _if_moved(what: str) -> Say:
    return lambda names, one: f"{what} {one.columns['state']}" if "state" in one.columns else ""


def _moved(names: _Names, row: m.MeasureStateChange) -> str:
    title = names.measure(row)
    return f"Think of {title}" if row.before is None else f"{title}: {row.after}"


def _contract(names: _Names, one: Told) -> str:
    row: Any = one.row
    words = {ContractState.DRAFT: "Draw up a contract", ContractState.SIGNED: "Sign"}
    if not one.is_new and "state" not in one.columns:
        return ""
    did = words.get(one.columns.get("state", row.state), "See the contract through")
    return f"{did} with {names.firm(row)}: {row.title}"


def _measure(names: _Names, one: Told) -> str:
    row: Any = one.row
    is_costed = not one.is_new and one.columns.get("cost_cents") is not None
    return f"Cost {row.title}" if is_costed else ""


def _task(names: _Names, one: Told) -> str:
    is_told = not one.is_new and "state" in one.columns
    return f"{one.row.title}: {one.columns['state']}" if is_told else ""  # type: ignore[attr-defined]


def _paper(names: _Names, row: m.Paper) -> str:
    is_proof = not names.known.beside(row)  # the row that it proves has its own words
    return "" if is_proof else f"File {row.title}"


def _permit(names: _Names, one: Told) -> str:
    if one.is_new:
        return f"Apply for {one.row.title}"  # type: ignore[attr-defined]
    return f"{one.row.title}: {one.columns['state']}" if "state" in one.columns else ""  # type: ignore[attr-defined]


def _visit(names: _Names, one: Told) -> str:
    is_told = not one.is_new and "result" in one.columns
    return f"{one.row.title}: {one.columns['result']}" if is_told else ""  # type: ignore[attr-defined]


_SAYINGS: tuple[tuple[type[m.Base], Say], ...] = (
    (m.Contract, _contract),
    (m.WorkEntry, _if_new(lambda names, row: f"Write up the work: {names.measure(row)}")),
    (m.HoldOverride, _if_new(lambda names, row: "Go on without evidence")),
    (m.MeasureStateChange, _if_new(_moved)),
    (m.Inspection, _visit),
    (m.Permit, _permit),
    (m.QuoteRequest, _if_new(lambda names, row: f"Ask for quotes: {row.title}")),
    (m.Quote, _if_new(lambda names, row: f"Enter the quote of {names.firm(row)}")),
    (m.Loan, _if_new(lambda names, row: f"Record the loan: {row.name}")),
    (m.LoanDraw, _if_new(lambda names, row: "Ask for a draw")),
    (
        m.ProgrammeChoice,
        _if_new(lambda names, row: f"Choose a rebate: {names.measure(row)}"),
    ),
    (m.Reservation, _if_moved("Reservation")),
    (m.Claim, _if_moved("Rebate claim")),
    (m.ChangeOrder, _if_new(lambda names, row: f"Write down a change order: {row.reason}")),
    (m.Payment, _if_new(lambda names, row: f"Pay {names.firm(row)}")),
    (m.Invoice, _if_new(lambda names, row: f"Enter a bill of {names.firm(row)}")),
    (m.LienWaiver, _if_new(lambda names, row: "File a lien waiver")),
    (m.Correction, lambda names, one: "" if one.is_new else "Close a correction"),
    (m.HazardFinding, _if_new(lambda names, row: f"Record a find: {row.where}")),
    (m.LeakageTest, _if_new(lambda names, row: "Record a leakage test")),
    (m.Task, _task),
    (m.TaskContact, _if_new(lambda names, row: f"Note an answer of {row.with_whom}")),
    (m.QuoteQuestion, lambda names, one: "Ask a firm" if one.is_new else "Note a firm's answer"),
    (m.ServiceEntry, _if_new(lambda names, row: f"Note a service: {row.what}")),
    (m.DesignLoad, _if_new(lambda names, row: f"Work out the design load {row.name}")),
    (m.Hold, lambda names, one: f"Let {one.row.what} wait" if one.is_new else f"Done: {one.row.what}"),
    (m.Paper, _if_new(_paper)),
    (m.Bill, _if_new(lambda names, row: f"Enter the bill of the {names.of(m.Meter, row.meter_id).lower()}")),
    (m.License, _if_new(lambda names, row: f"Check the license of {names.firm(row)}")),
    (m.Insurance, _if_new(lambda names, row: f"File the insurance of {names.firm(row)}")),
    (m.ProgrammeListing, _if_new(lambda names, row: f"Check the listing of {names.firm(row)}")),
    (
        m.LaterFigures,
        _if_new(lambda names, row: f"After it is bought: {names.measure(row)}"),
    ),
    (m.Measure, _measure),
    (m.ChainParty, lambda names, one: f"{'Add' if one.is_new else 'Note the last day of'} {one.row.name}"),
    (m.Payment, lambda names, one: "" if one.is_new else "Note that a payment cleared"),
)
"""In the order of what weighs more on a day."""
