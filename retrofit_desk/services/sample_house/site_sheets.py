"""Sample papers of the site: permits, inspections, reservations, claims, tests."""

from __future__ import annotations

from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import PaperKind, PaperSubject
from retrofit_desk.rules.matching import FactKind
from retrofit_desk.services.sample_house.letterhead import Drawn, Letterhead, money
from retrofit_desk.services.sample_house.printing import Sheet
from retrofit_desk.values.dates import day_text


def permit(at: Letterhead, row: m.Permit) -> Drawn | None:
    if row.issued_on is None:
        return None
    sheet = Sheet(
        at.firm(row.authority_id),
        f"Permit: {row.kind}",
        row.issued_on,
        row.number,
        at.head(
            ("Work", row.title),
            ("Pulled by", row.pulled_by),
            (
                "Lapses after",
                f"{row.idle_days_limit} days without work" if row.idle_days_limit else "see end",
            ),
            ("Ends", day_text(row.ends_on)),
        ),
        text=("Nothing is to be covered before it has been inspected. Keep this card on site.",),
    )
    facts = at.facts(
        None,
        (FactKind.NUMBER, "permit", row.number),
        (FactKind.DATE, "issued", row.issued_on.isoformat()),
    )
    uses = ((PaperSubject.PERMIT, row.id), *at.measures_of_permit(row.id))
    return Drawn(
        PaperKind.PERMIT,
        f"Permit card {row.number}",
        f"permit {row.number}",
        sheet,
        facts,
        uses,
        row.authority_id,
        row.ends_on,
    )


def inspection(at: Letterhead, row: m.Inspection) -> Drawn | None:
    if row.visited_on is None:
        return None
    permit = at.story.row(m.Permit, row.permit_id)
    fixes = [fix for fix in at.story.rows(m.Correction) if fix.inspection_id == row.id]
    table = [("To be corrected", "Reference"), *((fix.text, fix.code_reference) for fix in fixes)]
    sheet = Sheet(
        at.firm(permit.authority_id),
        f"{row.title}: {row.result}",
        row.visited_on,
        row.booking_number,
        at.head(("Permit", permit.number), ("Inspector", row.inspector)),
        tuple(table) if fixes else (),
        ("Correct and book again." if fixes else "Approved.",),
        (row.inspector,),
    )
    kind = PaperKind.INSPECTION_REPORT
    if fixes:
        kind = PaperKind.CORRECTION_LIST
    elif row.is_final:
        kind = PaperKind.FINAL_CERTIFICATE
    facts = at.facts(
        None,
        (FactKind.NUMBER, "permit", permit.number),
        (FactKind.DATE, "visit", row.visited_on.isoformat()),
    )
    uses = (
        (PaperSubject.INSPECTION, row.id),
        (PaperSubject.PERMIT, permit.id),
        *at.measures_of_permit(permit.id),
    )
    return Drawn(
        kind,
        f"{row.title}, {row.result}",
        f"{kind} {row.booking_number}",
        sheet,
        facts,
        uses,
        permit.authority_id,
    )


def reservation(at: Letterhead, row: m.Reservation) -> Drawn | None:
    if row.held_from is None:
        return None
    choice = at.story.row(m.ProgrammeChoice, row.choice_id)
    sheet = Sheet(
        (programme_name(choice.programme_key),),
        "Reservation",
        row.held_from,
        row.number,
        at.head(("Amount held", money(row.amount_cents)), ("Held until", day_text(row.ends_on))),
        text=("Start no work before this date. Send the claim before the reservation ends.",),
    )
    facts = at.facts(
        None,
        (FactKind.NUMBER, "reservation", row.number),
        (FactKind.AMOUNT, "", str(row.amount_cents or "")),
    )
    uses = ((PaperSubject.PROGRAMME, choice.id), (PaperSubject.MEASURE, choice.measure_id))
    return Drawn(
        PaperKind.RESERVATION,
        f"Reservation {row.number}",
        f"reservation {row.number}",
        sheet,
        facts,
        uses,
        None,
        row.ends_on,
    )


def claim(at: Letterhead, row: m.Claim) -> Drawn | None:
    if row.sent_on is None:
        return None
    choice = at.story.row(m.ProgrammeChoice, row.choice_id)
    sheet = Sheet(
        (programme_name(choice.programme_key),),
        "Claim, as sent",
        row.sent_on,
        row.number,
        at.head(("Amount asked", money(row.asked_cents)), ("Answer", row.answer or "none yet")),
    )
    uses = ((PaperSubject.CLAIM, row.id), (PaperSubject.MEASURE, choice.measure_id))
    facts = at.facts(None, (FactKind.AMOUNT, "asked", str(row.asked_cents or "")))
    return Drawn(PaperKind.CLAIM, f"Claim {row.number}", f"claim {row.number}", sheet, facts, uses)


def leakage(at: Letterhead, row: m.LeakageTest) -> Drawn:
    sheet = Sheet(
        at.firm(row.firm_id),
        "Blower-door test",
        row.tested_on,
        "",
        at.head(
            ("House", row.house_version),
            ("Flow at 50 Pa", f"{row.flow_50pa_m3_s / 0.0004719474:,.0f} cfm"),
            ("Exponent", f"{row.flow_exponent:g}"),
            ("Volume", f"{(row.volume_m3 or 0) / 0.0283168:,.0f} cu ft"),
        ),
        text=(row.notes,),
        signed=(row.tested_by,),
    )
    uses = [(PaperSubject.LEAKAGE_TEST, row.id)]
    if row.after_measure_id is not None:
        uses.append((PaperSubject.MEASURE, row.after_measure_id))
    facts = at.facts(row.firm_id, (FactKind.DATE, "test", row.tested_on.isoformat()))
    return Drawn(
        PaperKind.TEST_SHEET,
        f"Blower door, {row.house_version}",
        f"blower door {row.tested_on}",
        sheet,
        facts,
        tuple(uses),
        row.firm_id,
    )


def test(at: Letterhead, row: m.CommissioningTest) -> Drawn | None:
    if row.minutes is None:
        return None
    entry = at.story.row(m.WorkEntry, row.entry_id)
    sheet = Sheet(
        at.firm(entry.firm_id),
        f"Test sheet: {row.quantity}",
        entry.worked_on,
        "",
        at.head(
            ("Start and end", f"{row.value:g} / {row.end_value or row.value:g} {row.unit}"),
            ("Needed", f"{row.low_limit:g} {row.unit}, {row.minutes_needed:g} minutes"),
            ("Held", f"{row.minutes:g} minutes"),
            ("Medium and gauge", f"{row.medium}, {row.gauge}"),
            ("Change of air temperature", f"{row.ambient_change_c or 0:g} K"),
            ("Limit from", row.limit_source),
        ),
        text=("Passed." if row.passed else "Not passed.",),
        signed=(row.witness,),
    )
    uses = ((PaperSubject.TEST, row.id), (PaperSubject.MEASURE, entry.measure_id))
    facts = at.facts(entry.firm_id, (FactKind.DATE, "test", entry.worked_on.isoformat()))
    return Drawn(
        PaperKind.TEST_SHEET,
        f"Test sheet: {row.quantity}",
        f"test {row.kind} {entry.worked_on}",
        sheet,
        facts,
        uses,
        entry.firm_id,
    )


def programme_name(key: str) -> str:
    return key.replace("-", " ").capitalize()
