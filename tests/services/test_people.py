"""Firms and what of theirs runs out."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from retrofit_desk.records.project import Project
from retrofit_desk.services.people import (
    FirmKind,
    FirmUnclear,
    PeopleService,
    ProofKind,
    WrittenFirm,
    WrittenProof,
)
from retrofit_desk.values.stated import StatedValue


def test_a_firm_is_added_once_with_whom_to_ask_for(sample_project: Project) -> None:
    people = PeopleService(sample_project)
    written = WrittenFirm("Juniper Roofing", FirmKind.CONTRACTOR, phone="336-555-0190", person="Ada Quill")
    firm_id = people.record(written)
    sheet = people.sheet(firm_id)
    assert [one.name for one in sheet.people] == ["Ada Quill"]
    assert not sheet.row.has_license
    with pytest.raises(FirmUnclear, match="already"):
        people.record(written)
    people.record(written, firm_id)  # the same firm, unchanged
    assert len(people.sheet(firm_id).people) == 1
    with pytest.raises(FirmUnclear, match="name"):
        people.record(WrittenFirm("  ", FirmKind.OTHER))


def test_proofs_are_recorded_with_their_paper_and_tell_when_they_end(
    sample_project: Project, tmp_path: Path
) -> None:
    people = PeopleService(sample_project)
    firm_id = next(row.id for row in people.rows() if row.name == "Three Gates Glazing")
    paper = tmp_path / "insurance.pdf"
    paper.write_bytes(b"%PDF-1.4 insurance")
    people.record_proof(
        firm_id,
        WrittenProof(
            ProofKind.LIABILITY,
            "Blue Knob Casualty (invented)",
            "BK-1",
            limit_cents=StatedValue(50_000_000),
            ends_on=date(2026, 11, 19),
            paper=paper,
        ),
    )
    people.record_proof(
        firm_id, WrittenProof(ProofKind.LISTING, "triad-warm-walls", checked_on=date(2026, 11, 20))
    )
    insurance, listing = people.sheet(firm_id).proofs
    assert insurance.has_paper
    assert insurance.is_over(date(2026, 11, 20))
    assert listing.what == "Triad Warm Walls Fund"
    assert people.sheet(firm_id).row.insured_until == date(2026, 11, 19)


def test_a_proof_without_number_or_with_crossed_dates_is_refused(sample_project: Project) -> None:
    people = PeopleService(sample_project)
    with pytest.raises(FirmUnclear, match="number"):
        people.record_proof(1, WrittenProof(ProofKind.LICENSE, "mechanical"))
    crossed = WrittenProof(
        ProofKind.BOND, "Blue Knob", "B-1", starts_on=date(2026, 2, 1), ends_on=date(2026, 1, 1)
    )
    with pytest.raises(FirmUnclear, match="end before"):
        people.record_proof(1, crossed)


def test_who_works_sells_inspects_lends_and_pays_is_in_one_list(sample_project: Project) -> None:
    kinds = {row.kind for row in PeopleService(sample_project).rows()}
    assert {FirmKind.CONTRACTOR, FirmKind.AUTHORITY, FirmKind.LENDER, FirmKind.PROGRAMME} <= kinds
