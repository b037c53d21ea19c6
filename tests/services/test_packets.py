"""Packets made from the record of the sample house."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from sqlalchemy import select

from retrofit_desk.estimate.savings import (
    Gain,
    MaterialCarbon,
    SavingsLine,
    SavingsSum,
    WholeSum,
    YearSummary,
)
from retrofit_desk.estimate.scenario import MonthlyUse
from retrofit_desk.paperwork.contents import PacketKind
from retrofit_desk.paperwork.packet import text_of
from retrofit_desk.records import models as m
from retrofit_desk.records.errors import OnlyForReading
from retrofit_desk.records.project import Project
from retrofit_desk.rules.matching import Readiness
from retrofit_desk.services.budget_words import contingency_words
from retrofit_desk.services.money import MoneyService
from retrofit_desk.services.packet_aims import NothingToPack
from retrofit_desk.services.packet_savings import savings_part, savings_readiness
from retrofit_desk.services.packets import CopyFailed, PacketGone, PacketService
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.figure import Figure
from retrofit_desk.values.quantity import Units
from retrofit_desk.values.stated import StatedTotal, StatedValue


class Stopped(Exception):
    """Stands for a cancel."""


@pytest.fixture
def packets(sample_project: Project) -> PacketService:
    return PacketService(sample_project)


@pytest.fixture(scope="module")
def reading(sample_folder: Path):  # type: ignore[no-untyped-def]
    with Project.open(sample_folder, read_only=True) as project:
        yield project


def words_of(project: Project, kind: str) -> dict[str, tuple[Readiness, str]]:
    state = PacketService(project).readiness(kind)
    return {line.need: (line.word, line.found) for line in state.lines}


def test_the_rebate_packet_is_for_the_claim_that_is_due_first(reading: Project) -> None:
    state = PacketService(reading).readiness("rebate")
    assert state.subject.title.startswith("Heat-pump water heater")
    others = next(one for one in PacketService(reading).kinds() if one.kind is PacketKind.REBATE).subjects
    due = [one.due_on for one in others if one.due_on is not None]
    assert state.subject.due_on == min(due)


# NEED-3: claims bounce for serials, names and addresses that differ and for stale proof of income
def test_an_o_for_a_zero_between_plate_and_invoice_is_found_and_said_to_be_near(reading: Project) -> None:
    word, found = words_of(reading, "rebate")["Serial number, Heat-pump water heater"]
    assert word is Readiness.DOES_NOT_MATCH
    assert "OK66-2609-O1187" in found
    assert '"O" and "0" look alike' in found


def test_the_plate_of_a_removed_machine_speaks_for_nothing_new(reading: Project) -> None:
    word, _ = words_of(reading, "rebate")["Model number, Heat-pump water heater"]
    assert word is Readiness.HAVE


def test_a_stale_income_proof_is_out_of_date(reading: Project) -> None:
    assert words_of(reading, "rebate")["Proof of income"][0] is Readiness.OUT_OF_DATE


def test_a_payment_without_its_proof_is_missing(reading: Project) -> None:
    lines = words_of(reading, "rebate")
    missing = [
        need for need, (word, _) in lines.items() if need.startswith("Amount") and word is Readiness.MISSING
    ]
    assert missing
    assert lines["Proof of payment, Heat-pump water heater"][0] is Readiness.HAVE


def test_swapped_digits_on_a_permit_do_not_match_the_address(reading: Project) -> None:
    word, found = words_of(reading, "lender")["Address, Ground-source heat pump on three short bores"]
    assert word is Readiness.DOES_NOT_MATCH
    assert "swapped" in found


def test_what_needs_no_permit_and_was_only_bought_is_not_asked_for_papers_it_cannot_have(
    reading: Project,
) -> None:
    lines = words_of(reading, "lender")
    assert "Permit, Air sealing" not in lines
    assert "Lien waiver for what was paid, Casements instead of sliders" not in lines  # a deposit only
    assert lines["Invoices, Induction range"][0] is Readiness.HAVE  # a receipt answers


# NEED-21: an open permit found at the sale
def test_an_open_inspection_is_named(reading: Project) -> None:
    word, found = words_of(reading, "next owner")[
        "Permits and inspections closed, Radiant floors for heat and cold"
    ]
    assert word is Readiness.MISSING
    assert "Tubing before the pour" in found


def test_without_a_savings_sum_the_packet_says_so(sample_project: Project) -> None:
    with sample_project.outside_history() as work:
        for row in work.session.scalars(select(m.SavingsResult)):
            work.session.delete(row)
    line = PacketService(sample_project).readiness("lender").lines[0]
    assert (line.need, line.word) == ("Savings sum", Readiness.MISSING)
    assert line.place is not None


def test_every_line_that_is_not_ready_says_what_to_do_and_where(reading: Project) -> None:
    for state in PacketService(reading).overview():
        for line in state.lines:
            assert line.place is not None, line
            assert line.do or line.word is Readiness.HAVE, line


@pytest.mark.parametrize("kind", list(PacketKind))
def test_each_kind_of_packet_is_made_filed_and_shows_the_hold_that_was_passed(
    packets: PacketService, sample_project: Project, kind: PacketKind
) -> None:
    made = packets.make(kind)
    text = text_of(made.path)
    assert "Passed without the evidence" in text
    assert "Rain was coming" in text
    row = packets.sent()[0]
    assert (row.kind, row.pages, row.saved_as) == (kind, made.pages, made.path)
    assert row.path is not None
    assert row.path.read_bytes() == made.path.read_bytes()


def test_the_rebate_packet_tells_serial_license_cost_and_reservation(packets: PacketService) -> None:
    text = text_of(packets.make("rebate").path)
    for words in ("OK66-2609-O1187", "NC P-30225", "$3,890.00", "CWH-2290", "31-0042-8817", "P-26-4480"):
        assert words in text


def test_the_lender_gets_no_account_number_and_no_place_of_a_photo(packets: PacketService) -> None:
    text = text_of(packets.make("lender").path)
    assert "31-0042-8817" not in text
    assert "36.06" not in text
    assert "6.24%" in text  # the rate of the loan


def test_a_firm_asked_for_a_quote_sees_no_price_and_no_other_firm(packets: PacketService) -> None:
    text = text_of(packets.make("contractor").path)
    assert "Clear" in text or "clear" in text
    assert "$" not in text
    assert "Odell Brook" not in text
    assert "Fallowmere" not in text


def test_another_claim_can_be_asked_for(packets: PacketService) -> None:
    claims = next(one for one in packets.kinds() if one.kind is PacketKind.REBATE).subjects
    other = next(one for one in claims if one.title.startswith("Ground-source"))
    state = packets.readiness("rebate", other.id)
    assert state.subject == other
    assert any(line.need.startswith("Certificate that the parts belong together") for line in state.lines)


def test_the_same_record_gives_the_same_bytes(packets: PacketService) -> None:
    first, again = packets.make("inspector"), packets.make("inspector")
    assert first.sha256 == again.sha256
    assert len(packets.sent()) == 1  # nothing new to keep


def test_numbers_follow_the_units_asked_for(packets: PacketService, tmp_path: Path) -> None:
    us = text_of(packets.make("next owner", tmp_path / "us.pdf", units=Units.US).path)
    si = text_of(packets.make("next owner", tmp_path / "si.pdf", units=Units.SI).path)
    assert "Btu/h" in us
    assert "Btu/h" not in si
    assert "kW" in si


def test_making_is_one_step_that_undo_takes_back(packets: PacketService, sample_project: Project) -> None:
    packets.make("inspector")
    assert sample_project.undo().startswith("Make Papers for the visit")
    assert packets.sent() == ()
    with sample_project.session() as session:
        assert session.scalars(select(m.Paper).where(m.Paper.kind == m.PaperKind.PACKET)).all() == []


def test_a_packet_once_made_is_not_merged_into_the_next(packets: PacketService) -> None:
    first = packets.make("inspector", units=Units.US)
    again = packets.make("inspector", units=Units.SI)
    assert len(packets.sent()) == 2
    assert again.pages == first.pages


def test_sending_is_noted_with_whom_how_and_when(packets: PacketService) -> None:
    made = packets.make("inspector")
    packets.record_sent(made.id, "City inspections office", "shown at the visit", date(2026, 11, 23))
    row = packets.sent()[0]
    assert (row.to_whom, row.how, row.sent_on) == (
        "City inspections office", "shown at the visit", date(2026, 11, 23),
    )  # fmt: skip
    with pytest.raises(PacketGone):
        packets.record_sent(made.id + 1, "nobody", "mail")


def test_a_copy_goes_where_it_is_asked_for_or_says_why_not(packets: PacketService, tmp_path: Path) -> None:
    made = packets.make("inspector")
    packets.save_copy(made.id, tmp_path / "copy.pdf")
    assert (tmp_path / "copy.pdf").read_bytes() == made.path.read_bytes()
    with pytest.raises(CopyFailed, match="could not be written"):
        packets.save_copy(made.id, tmp_path / "no such folder" / "copy.pdf")


def test_a_stopped_making_leaves_nothing_behind(packets: PacketService, sample_project: Project) -> None:
    def stop(share: float, _doing: str) -> None:
        if share > 0.5:
            raise Stopped

    with pytest.raises(Stopped):
        packets.make("inspector", progress=stop)
    assert packets.sent() == ()
    assert list((sample_project.path / "packets").iterdir()) == []


def test_a_measure_whose_facts_do_not_fit_is_told_and_stops_no_packet(
    packets: PacketService, sample_project: Project
) -> None:
    with sample_project.action("Break the facts of a measure") as work:
        batts = work.session.scalar(select(m.Measure).where(m.Measure.key == "den-batts"))
        assert batts is not None
        batts.inputs = {"no such fact": 1.0}
    text = " ".join(text_of(packets.make("contractor").path).split())
    assert "Walls and windows are left out: Wood-fiber batts in the den walls" in text


def test_a_folder_that_cannot_be_made_is_told_in_one_line(
    packets: PacketService, sample_project: Project
) -> None:
    (sample_project.path / "packets").write_text("a file stands where the folder should")
    with pytest.raises(DeskError):
        packets.make("inspector")
    assert packets.sent() == ()


def test_a_project_open_for_reading_refuses_in_one_line(reading: Project) -> None:
    with pytest.raises(OnlyForReading):
        PacketService(reading).make("rebate")


def test_an_empty_project_says_what_comes_first(tmp_path: Path) -> None:
    with Project.create(tmp_path / "empty") as project:
        packets = PacketService(project)
        assert all(not entry.subjects and entry.nothing for entry in packets.kinds())
        assert packets.overview() == ()
        with pytest.raises(NothingToPack, match="Choose a programme"):
            packets.make("rebate")


def a_figure(value: float, unit: str) -> Figure:
    return Figure(value, value - 10, value + 10, unit, "hourly model", date(2026, 11, 18))


def a_year(gas: float, power: float) -> YearSummary:
    uses = (
        MonthlyUse("gas", "heating", (gas,) * 12),
        MonthlyUse("electricity", "all", (power,) * 12),
    )
    return YearSummary(uses, (), 12 * power, 0.0, 0.0, 0.0, 0.0, 0.0, ())


def a_sum() -> SavingsSum:
    gain = Gain(1200.0, -100.0, 0.0, 9000.0, 300.0)
    fuel, power = a_figure(1200.0, "kWh/year"), a_figure(-100.0, "kWh/year")
    money, carbon = a_figure(9000.0, "cents/year"), a_figure(300.0, "kg/year")
    line = SavingsLine(
        "air-sealing", "Air sealing", "air_sealing", fuel, power, money, carbon, gain, gain, None,
        (100.0,) * 12, (0.0,) * 12, (), StatedValue(298_000), StatedValue(0), 0, None, "never",
        MaterialCarbon(12.0, 10.0, 15.0, (), (), 0.0), None, None,
    )  # fmt: skip
    whole = WholeSum(
        fuel,
        power,
        money,
        carbon,
        StatedTotal(298_000, 0, 0, 0),
        0,
        0,
        None,
        "never",
        12.0,
        (),
        0.0,
        0.0,
        None,
    )
    made_at = datetime(2026, 11, 18, 20, 0, tzinfo=UTC)
    return SavingsSum(
        "abc", made_at, "typical year", a_year(150.0, 400.0), a_year(50.0, 390.0), (line,), whole, (), (), ()
    )


def test_the_savings_part_carries_figures_months_and_states() -> None:
    part = savings_part(a_sum(), is_out_of_date=True, states={"air-sealing": "proven"})
    assert part.is_out_of_date
    assert [step.state for step in part.steps] == ["proven"]
    assert part.months[0].gas_before_kwh == 150.0
    assert part.months[11].electricity_after_kwh == 390.0
    assert {line.name for line in part.headline} >= {"Fuel removed", "Electricity added", "Money saved"}


def test_an_old_savings_sum_is_out_of_date_in_the_readiness() -> None:
    assert savings_readiness(a_sum(), is_out_of_date=False).word is Readiness.HAVE
    assert savings_readiness(a_sum(), is_out_of_date=True).word is Readiness.OUT_OF_DATE
    assert savings_readiness(None, is_out_of_date=False).word is Readiness.MISSING


def test_the_lender_reads_what_is_set_aside_for_surprises_and_the_firm_does_not(
    sample_project: Project,
) -> None:
    packets = PacketService(sample_project)
    said = contingency_words(MoneyService(sample_project).budget())
    told = {kind: " ".join(text_of(packets.make(kind).path).split()) for kind in ("lender", "contractor")}
    assert said[0] in told["lender"]
    assert "You mean to spend" not in told["lender"]
    assert "Set aside for surprises" not in told["contractor"]
