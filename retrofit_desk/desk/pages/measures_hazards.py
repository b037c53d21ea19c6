"""The section "Before work begins" of a measure: what may be in the old parts, and the usual cautions."""

from __future__ import annotations

from collections.abc import Callable

from retrofit_desk.desk.widgets.lines import LineButton, StackedLine
from retrofit_desk.rules.hazards import LEAD_BEFORE_YEAR, HazardState
from retrofit_desk.services.hazards import BeforeWork, HazardLine
from retrofit_desk.values.dates import day_text

_QUIET = (HazardState.NOT_FOUND, HazardState.CLEARED)
LEAD_SAFE = (
    "Federal rules ask paid firms that disturb old paint for a lead-safe certificate (40 CFR 745), unless a "
    "test of the paint says otherwise. Ask to see it; state rules can ask for more."
)
STOPS = "Work stops there until it is cleared or taken on by people licensed for it. "


def hazard_lines(
    before: BeforeWork, settle: Callable[[HazardLine], object], find: Callable[[HazardLine], object]
) -> list[StackedLine]:
    """Finds first, then the certificate, then what nobody looked for yet."""
    lines = [_found(one, settle) for one in before.found]
    if before.lead_safe:
        lines.append(StackedLine("Paid work needs a lead-safe certified firm", LEAD_SAFE, _age(before)))
    return lines + [_to_look_for(one, find) for one in before.to_look_for]


def _age(before: BeforeWork) -> str:
    if before.year_built is None:
        return "year built unknown, taken as old"
    return f"built {before.year_built}, before {LEAD_BEFORE_YEAR}"


def _found(line: HazardLine, settle: Callable[[HazardLine], object]) -> StackedLine:
    settled = line.state in _QUIET
    by = f", {line.settled_by}" if line.settled_by else ""
    seen = f"Seen {day_text(line.seen_on)}{by}. " if line.seen_on else ""
    stop = STOPS if line.stops else ""
    why = seen if settled else f"{seen}{stop}{line.what_to_do} {line.caution}"
    title = f"{line.name}: {line.where}" if line.where else line.name
    buttons = () if settled else (LineButton("Settle …", lambda: settle(line)),)
    return StackedLine(title, why.strip(), str(line.state), needs_owner=line.stops, buttons=buttons)


def _to_look_for(line: HazardLine, find: Callable[[HazardLine], object]) -> StackedLine:
    checked = f", last checked {day_text(line.checked_on)}" if line.checked_on else ""
    why = f"Where: {line.where}. {line.what_to_do} {line.caution}\nSource: {line.source}{checked}."
    button = LineButton("Record a find …", lambda: find(line))
    return StackedLine(line.name, why, "nothing on record", buttons=(button,))
