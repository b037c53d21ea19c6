"""Permits and visits in words."""

from __future__ import annotations

from retrofit_desk.desk.widgets.picker import PickLine
from retrofit_desk.rules.deadlines import Urgency
from retrofit_desk.rules.permits import InspectionResult
from retrofit_desk.services.no_permit_yet import NoPermitYet
from retrofit_desk.services.permit_dates import EXPIRED
from retrofit_desk.services.permit_sheet import AuthorityPermits, PermitSheet, VisitSheet
from retrofit_desk.values.cents import cents_text
from retrofit_desk.values.dates import day_text, days_text, weekday_text
from retrofit_desk.values.quantity import count_text


def office_words(office: AuthorityPermits) -> str:
    """How to reach it, and how it gives its visits."""
    phone = office.phone or "no phone number"
    return f"{phone}. {office.booking.sentence()}" if office.booking is not None else phone


def permit_pick(sheet: PermitSheet) -> PickLine:
    """One line of the list: its state, its number, and the next visit or what runs out."""
    parts = [_state(sheet)]
    if sheet.number:
        parts.append(sheet.number)
    booked = [one for one in sheet.visits if one.result is InspectionResult.BOOKED and one.booked_for]
    for visit in sorted(booked, key=lambda one: str(one.booked_for))[:1]:
        parts.append(f"{visit.title} on {day_text(visit.booked_for)}")
    corrections = sum(len(one.open_corrections) for one in sheet.visits)
    if corrections:
        parts.append(f"{count_text(corrections, 'correction')} open")
    is_soon = sheet.runs_out is not None and sheet.runs_out.urgency is not Urgency.LATER
    if sheet.runs_out is not None and is_soon and not sheet.has_lapsed:
        parts.append(f"runs out {days_text(sheet.runs_out.days_left)}")
    return PickLine(str(sheet.id), sheet.title, " · ".join(parts), is_soon or corrections > 0)


def lacking_words(lacking: NoPermitYet) -> str:
    """How far the work is, and why a permit is expected."""
    kinds = " and ".join(str(kind) for kind in lacking.usual)
    usual = f"Offices usually ask for: {kinds}." if kinds else "It is noted as needing one."
    return f"{str(lacking.state).capitalize()}. {usual}"


def permit_title(lacking: NoPermitYet) -> str:
    """What a permit for this work alone may be called."""
    kind = f"{str(lacking.usual[0]).capitalize()} permit" if len(lacking.usual) == 1 else "Permit"
    return f"{kind}, {lacking.title}"


def permit_facts(sheet: PermitSheet) -> str:
    """Who pulled it, when, for how much."""
    role = " as the homeowner" if sheet.is_homeowner_permit else ""
    by = f" by {sheet.pulled_by}" if sheet.pulled_by else ""
    pulled = f"{'pulled' if by or sheet.applied_on else 'to be pulled'}{by}{role}"
    parts = [
        f"{str(sheet.kind).capitalize()} permit, {_state(sheet)}",
        f"number {sheet.number}" if sheet.number else "no number yet",
        pulled,
        f"applied for {day_text(sheet.applied_on)}" if sheet.applied_on else "not applied for",
        f"issued {day_text(sheet.issued_on)}" if sheet.issued_on else "not issued",
    ]
    if sheet.final_on is not None:
        parts.append(f"final {day_text(sheet.final_on)}")
    fee = sheet.fee_cents
    parts.append(f"fee {cents_text(fee.value)}" if fee.value is not None else f"fee {fee.stated}")
    if sheet.extended_until is not None:
        parts.append(f"extended until {day_text(sheet.extended_until)}")
    return " · ".join(parts)


def _state(sheet: PermitSheet) -> str:
    if sheet.has_lapsed and sheet.runs_out is not None:
        return f"expired {day_text(sheet.runs_out.ending.ends_on)}"
    return str(sheet.state)


def final_words(sheet: PermitSheet) -> str:
    """What stands between the permit and its end."""
    if sheet.final_on is not None:
        return "Final: nothing is open."
    if sheet.has_lapsed:
        return f"{EXPIRED} Then write the new day down with “Extended or issued again …”."
    if not sheet.visits:
        return "No visit is listed yet. Ask the office which ones it wants."
    if not sheet.still_needs:
        return "Nothing is open; the final can be asked for."
    return f"Not final until {'; '.join(sheet.still_needs)}."


def visit_aside(visit: VisitSheet) -> str:
    """The result and its day."""
    if visit.result is InspectionResult.BOOKED and visit.booked_for is not None:
        window = f", {visit.booked_window}" if visit.booked_window else ""
        return f"booked for {weekday_text(visit.booked_for)}{window}"
    if visit.visited_on is not None:
        return f"{visit.result} {day_text(visit.visited_on)}"
    return "not asked for" if visit.result is InspectionResult.CANCELLED else str(visit.result)


def _bookable(visit: VisitSheet) -> str:
    if visit.earliest is None:
        return "May be booked."
    first = weekday_text(visit.earliest)
    return f"May be booked; called now, it comes on {first} at the earliest."


def visit_why(visit: VisitSheet) -> str:
    """What must come first or be ready, and what passing it frees."""
    parts = []
    if visit.repeated_by:
        parts.append(f"Followed by: {visit.repeated_by}.")
    elif not visit.is_over:
        if visit.missing:
            parts.append(f"Don't book it until {' and '.join(visit.missing)}.")
        elif visit.result is InspectionResult.NOT_BOOKED:
            parts.append(_bookable(visit))
        if visit.ready:
            parts.append(f"Have ready: {'; '.join(visit.ready)}.")
    if visit.booking_number and not visit.is_over:
        parts.append(f"Booking {visit.booking_number}.")
    if visit.inspector:
        parts.append(f"Inspector {visit.inspector}.")
    if visit.notes:
        parts.append(visit.notes)
    return "\n".join(parts)
